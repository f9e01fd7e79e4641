"""Every language's allergen words, each pinned by a form that packets use."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from labelgen.composition.text.lexicon import find_allergens

with (Path(__file__).parent / "languages.csv").open(encoding="utf-8", newline="") as file:
    ROWS = list(csv.DictReader(line for line in file if not line.startswith("#")))
#: By language, harmless words that stand before the word that is looked for, so that the text is in that language.
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
