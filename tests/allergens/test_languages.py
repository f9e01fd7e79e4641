"""Every language's allergen words, each pinned by a form that packets use."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from labelgen import paths
from labelgen.composition.text.abroad import fits, keys_of, read_rows
from labelgen.composition.text.folded_words import read_words
from labelgen.composition.text.lexicon import find_allergens
from labelgen.composition.text.tongues import FIRST, PHRASES, WORDS, languages, lexicon_files

with (Path(__file__).parent / "languages.csv").open(encoding="utf-8", newline="") as file:
    ROWS = list(csv.DictReader(line for line in file if not line.startswith("#")))
#: By language, harmless words that stand before the word that is looked for, so that the text is in that
# language.
FRAMES = {row["language"]: row["words"] for row in ROWS if row["contains"] == "frame"}


def codes(said: str) -> set[str]:
    wanted = set(said.split()) - {"none", "frame"}
    return wanted | ({"gluten/wheat"} if "wheat" in wanted else set())


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r['language']} {r['contains']}")
def test_words(row):
    wrong = {}
    for word in row["words"].split("|"):
        for text, language in ((word, row["language"]), (f"{FRAMES[row['language']]}, {word}", None)):
            found = {h.allergen for h in find_allergens(text, language=language).contains}
            if found != codes(row["contains"]):
                wrong[text, language] = found
    assert not wrong


#: The allergens of Annex II of Regulation (EU) No 1169/2011 by their groups.
ANNEX = {
    "wheat",
    "gluten/rye",
    "gluten/barley",
    "gluten/oats",
    "crustacean",
    "egg",
    "fish",
    "peanut",
    "soy",
    "milk",
    "tree_nut",
    "celery",
    "mustard",
    "sesame",
    "sulphite",
    "lupin",
    "mollusc",
}
TERMS = read_rows(lexicon_files()[1:])
SAID = {
    code: [
        w for r in ROWS if r["language"] == code for word in r["words"].split("|") for w in [read_words(word)]
    ]
    for code in FRAMES
}


def test_every_language_has_every_allergen_pinned_and_its_words_and_phrases():
    assert set(FRAMES) == languages().keys() - FIRST and len(FRAMES) == 23
    for language in FRAMES:
        pinned = {code for r in ROWS if r["language"] == language for code in r["contains"].split()}
        assert not ANNEX - pinned, language
        words = languages()[language]
        assert all(
            words[k]
            for k in ("heading", "contains", "may", "free_from", "without", "connecting", "foods")
            if k != "without" or language != "tr"
        ), language
        assert set(words) == {"name", *WORDS, *PHRASES}, language


def test_no_file_of_words_stands_beside_those_of_languages_whose_allergens_are_known():
    strays = {p.stem for p in paths.reference("words").glob("??.toml")} - languages().keys()
    assert not strays and languages().keys() == FIRST | {p.stem for p in lexicon_files()[1:]}


def pins(language: str, rule: str, term: str) -> bool:
    """Whether a pinned word of the language holds a term."""
    keys = keys_of(term)
    if rule == "part":
        return any("".join(keys) in w.text for said in SAID[language] for w in said)
    return any(
        all(fits(w, k) for w, k in zip(said[i:], keys, strict=False)) and len(said) - i >= len(keys)
        for said in SAID[language]
        for i in range(len(said))
    )


@pytest.mark.parametrize("language", sorted(FRAMES))
def test_every_row_that_names_an_allergen_is_pinned_by_a_word_of_its_own(language):
    rows = [r for r in TERMS if r[0] == language and r[2]]
    bare = [r[5] for r in rows if not any(pins(language, r[1], term) for term in r[5].split("|"))]
    assert not bare
