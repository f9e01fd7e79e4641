"""Texts on foods they are untrue of, and texts that claim nothing, in five languages: none of the former
prints, all of the latter do.

Written by hand before the words were looked at that the program knows.
"""

import csv
from collections import defaultdict
from pathlib import Path

import pytest

from labelgen.market.claims.in_text import read_text
from tests.market.claim_kitchen import MARKETS, claim_findings, write_kitchen

HERE = Path(__file__).parent


def rows(name):
    """The rows of a table by what they stand on, each with the market its turn it is."""
    found = defaultdict(list)
    with open(HERE / name, encoding="utf-8", newline="") as f:
        for n, row in enumerate(csv.DictReader(f)):
            found[row["language"], row["food"], row["place"]].append((row["text"], MARKETS[n % len(MARKETS)]))
    return [pytest.param(*key, texts, id=" ".join(key)) for key, texts in found.items()]


@pytest.fixture(scope="session")
def folder(tmp_path_factory):
    return write_kitchen(tmp_path_factory.mktemp("claimed"))


@pytest.mark.parametrize("language, food, place, texts", rows("false_claims.csv"))
def test_a_false_claim_does_not_print(folder, language, food, place, texts):
    printed = [
        t for t, market in texts if not any(f.blocks for f in claim_findings(folder, food, place, t, market))
    ]
    assert printed == []


@pytest.mark.parametrize("language, food, place, texts", rows("harmless_names.csv"))
def test_words_that_claim_nothing_print(folder, language, food, place, texts):
    told = {
        t: [f.message for f in claim_findings(folder, food, place, t, market) if f.blocks]
        for t, market in texts
    }
    assert {t: m for t, m in told.items() if m} == {}


def masked():
    """Claims behind a typing slip, signs for letters, torn words and abbreviations, by language and way."""
    found = defaultdict(list)
    with open(HERE / "masked_claims.csv", encoding="utf-8", newline="") as f:
        for row in csv.DictReader(f):
            found[row["language"], row["how"]].append(row["text"])
    return [pytest.param(texts, id=" ".join(key)) for key, texts in found.items()]


@pytest.mark.parametrize("texts", masked())
def test_a_claim_is_seen_however_it_is_written(texts):
    assert [t for t in texts if not (said := read_text(t)).claims and not said.unclear] == []
