"""Every language's allergen words, each pinned by a form that packets use."""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from labelgen.composition.text.lexicon import find_allergens

with (Path(__file__).parent / "languages.csv").open(encoding="utf-8", newline="") as file:
    ROWS = list(csv.DictReader(line for line in file if not line.startswith("#")))


def codes(said: str) -> set[str]:
    wanted = set(said.split()) - {"none"}
    return wanted | ({"gluten/wheat"} if "wheat" in wanted else set())


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"{r['language']} {r['contains']}")
def test_words(row):
    wrong = {}
    for word in row["words"].split("|"):
        for language in (row["language"], None):
            found = {h.allergen for h in find_allergens(word, language=language).contains}
            if found != codes(row["contains"]):
                wrong[word, language] = found
    assert not wrong
