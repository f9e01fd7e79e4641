"""Words that rows of the lexicon rest on: without its row each would be told otherwise."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from labelgen.composition.text.folded_words import read_words
from labelgen.composition.text.matching import find_matches
from labelgen.composition.text.terms import read_lexicon

HERE = Path(__file__).parent


def rows(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


FRAMES = {r["language"]: f"{r['words']}, " for r in rows("languages.csv") if r["contains"] == "frame"}
ROWS = rows("rows.csv")


def told(text: str) -> tuple[set[str], set[str]]:
    """(what words contain or are usually made with, what they may come from)."""
    matches = find_matches(read_words(text), read_lexicon())
    contains = {code for m in matches for code in m.contains + m.typical}
    return contains, {code for m in matches for code in m.may} - contains


@pytest.mark.parametrize("language", sorted({r["language"] for r in ROWS}))
def test_each_word_tells_what_it_means_and_no_more(language):
    wrong = {}
    for row in (r for r in ROWS if r["language"] == language):
        wanted = set(row["contains"].split()), set(row["may"].split())
        for word in row["words"].split("|"):
            if (found := told(FRAMES.get(language, "") + word)) != wanted:
                wrong[word] = found
    assert not wrong


def test_there_are_enough_of_them_to_mean_something():
    assert sum(len(r["words"].split("|")) for r in ROWS) > 2000 and {r["language"] for r in ROWS} == {
        "",
        *FRAMES,
    }
