"""The lists of food names in other languages: in order, whole, and the French one able to name every
allergen word that Canada prints.
"""

import csv

import pytest

from labelgen import paths
from labelgen.law.label_tables import AllergenRule
from labelgen.law.pack import read_table
from labelgen.layout.metrics import missing_characters


def rows(language="fr"):
    with open(paths.reference("names", f"{language}.csv"), encoding="utf-8", newline="") as f:
        return list(csv.DictReader(f))


@pytest.mark.parametrize("language, least", [("fr", 250), ("de", 100), ("es", 100), ("it", 100)])
def test_the_list_is_sorted_and_whole(language, least):
    names = [r["en"] for r in rows(language)]
    assert names == sorted(set(names)) and len(names) > least
    assert all(r[language] and r["grade"] in ("read", "read-secondary", "memory") for r in rows(language))
    assert not any(missing_characters(r[language] + r["plural"]) for r in rows(language))


def test_french_allergen_names_of_the_regulation():
    """B.01.010.1(1), French text: the words of the two lists agree with the regulation's."""
    printed = {e.name: e.worded("fr").name for e in read_table("ca", AllergenRule) if e.name}
    listed = {r["en"]: r["fr"] for r in rows()}
    for english in (
        "Hazelnuts",
        "Pecans",
        "Pine nuts",
        "Pistachios",
        "Walnuts",
        "Cashews",
        "Macadamia nuts",
        "Brazil nuts",
        "Peanuts",
        "Eggs",
        "Milk",
        "Rye",
        "Barley",
        "Mustard",
        "Sulphites",
    ):
        assert listed[english.lower()].lower() == printed[english].lower(), english
