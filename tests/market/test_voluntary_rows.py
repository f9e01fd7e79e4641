"""Rows a maker asks for: every vitamin and mineral with a reference value, and the omega fatty acids where
the law has rows for them.
"""

from datetime import date

import pytest

from labelgen.law.figure_tables import DailyValue, Nutrient
from labelgen.law.pack import Pack, read_table
from labelgen.market.declare_food import declare
from labelgen.order import Order
from tests.market.foods import KITCHEN, amounts, line, product, profile

ON = date(2026, 12, 1)
#: 100 g of food in one piece of 100 g, so that serving and 100 g are one.
FOOD = {
    "FAT": 20,
    "FASAT": 3,
    "FAPU": 8,
    "FAMS": 8,
    "FAPUN3": 2.26,
    "FAPUN6": 5.7,
    "CHOCDF": 50,
    "PROCNT": 10,
    "ID": 45,
    "BIOT": 12.4,
    "CR": 8,
    "MO": 10,
    "CLD": 240,
}


def rows(market, *show, **figures):
    d = declare(
        profile(amounts(100, **{**FOOD, **figures}), 1, [line("oats", 100)]),
        product(
            pieces=1,
            show=list(show),
            category="cake_heavy",
            also={"fr": {"name": "Chose", "unit": "morceau"}},
        ),
        KITCHEN,
        Order(market, ON),
    )
    return {r.label: (r.declared, r.percent) for r in d.panel.columns[0].rows}, {f.code for f in d.findings}


@pytest.mark.parametrize("shown", ["omega-3", "omega-6", "polyunsaturated fat", "monounsaturated fat"])
def test_canada_shows_the_fatty_acids_together(shown):
    """B.01.402(3): omega-6, omega-3 and monounsaturated stand together. Items 6 to 8: 2.26 g -> 2.5 g (0.5
    g steps), 5.7 and 8 g to the gram.
    """
    found, codes = rows("ca", shown)
    assert (found["Omega-3"], found["Omega-6"], found["Monounsaturated"]) == (
        ("2.5 g", ""),
        ("6 g", ""),
        ("8 g", ""),
    )
    assert ("Polyunsaturated" in found) is (shown == "polyunsaturated fat") and "show-unknown" not in codes


def test_australia_shows_them_with_the_other_classes():
    """1.2.8-6(1): with an omega row trans, polyunsaturated and monounsaturated; to show one is itself a
    claim.
    """
    found, codes = rows("au", "omega-3")
    assert (
        found["— omega-3"][0] == "2.3 g"
        and {"— trans", "— polyunsaturated", "— monounsaturated"} <= set(found)
        and "row-is-a-claim" in codes
    )


@pytest.mark.parametrize("market", ["eu", "uk", "us"])
def test_a_closed_list_has_no_such_row(market):
    """Regulation (EU) 1169/2011, Article 30(2); 21 CFR 101.9(c)."""
    found, codes = rows(market, "omega-3")
    assert "show-not-allowed" in codes and not any("mega" in label for label in found)


@pytest.mark.parametrize(
    "market, shown, label, declared, percent",
    [
        # 21 CFR 101.9(c)(8)(iv): iodine 150 mcg, biotin 30 mcg, chromium 35 mcg, molybdenum 45 mcg, chloride
        # 2,300 mg; 5 % steps above 10 %
        ("us", "iodine", "Iodine", "45mcg", "30%"),
        ("us", "biotin", "Biotin", "12mcg", "40%"),
        ("us", "chromium", "Chromium", "8mcg", "25%"),
        ("us", "molybdenum", "Molybdenum", "10mcg", "20%"),
        ("us", "chloride", "Chloride", "240mg", "10%"),
        # Annex XIII: iodine 150, biotin 50, chromium 40, molybdenum 50 ug, chloride 800 mg; at least 15 %
        ("eu", "iodine", "Iodine", "45.0 µg", "30%"),
        ("eu", "biotin", "Biotin", "12 µg", "25%"),
        ("eu", "chromium", "Chromium", "8.0 µg", "20%"),
        ("eu", "molybdenum", "Molybdenum", "10 µg", "20%"),
        ("eu", "chloride", "Chloride", "240 mg", "30%"),
        # B.01.402 table: iodide to 5 ug (45 of 150), chromium to 0.5 ug (8 of 35), chloride to 25 mg (250 of
        # 2300)
        ("ca", "iodine", "Iodide", "45 µg", "30%"),
        ("ca", "chromium", "Chromium", "8 µg", "23%"),
        ("ca", "chloride", "Chloride", "250 mg", "11%"),
    ],
)
def test_every_mineral_with_a_reference_value_has_its_row(market, shown, label, declared, percent):
    assert rows(market, shown)[0][label] == (declared, percent)


def test_too_little_iodine_is_not_declared_in_europe():
    """15 % of 150 ug are 22.5 ug in 100 g."""
    assert "Iodine" in rows("eu", "iodine", ID=22.5)[0] and "Iodine" not in rows("eu", "iodine", ID=22.4)[0]


@pytest.mark.parametrize("market", ["us", "eu", "uk", "ca", "au", "nz"])
def test_a_daily_value_has_a_row_and_a_row_has_its_words(market):
    pack = Pack(market, ON)
    tags = {e.rule.removesuffix("_amount") for e in pack.entries(Nutrient)} | {
        e.key for e in pack.entries(Nutrient)
    }
    other_names = (
        {
            "protein_corrected",
            "thiamin",
            "vitamin_b1",
            "vitamin_b2",
            "folacin",
            "pantothenic_acid",
            "iodine",
        }
        if market == "ca"
        else {"protein_corrected"}
    )
    assert not {e.key for e in pack.entries(DailyValue)} - tags - other_names
    for entry in read_table(market, Nutrient) if market in ("eu", "uk") else ():
        assert all(entry.is_worded(language, "label") for language in ("de", "es", "fr", "it")), entry.key


@pytest.mark.parametrize(
    "market, milligrams, said",
    [
        ("au", 312.4, ("312 mg", "(13.6 mmol)")),
        ("nz", 4.6, ("LESS THAN 5 mg", "(0.2 mmol)")),
        ("au", 0, ("0 mg", "(0 mmol)")),
    ],
)
def test_sodium_in_millimoles_stands_beside_the_milligrams(market, milligrams, said):
    """S12-2: "mg (mmol)"; the molar mass of sodium is 22.99 g: 312.4 / 22.99 = 13.59."""
    d = declare(
        profile(amounts(100, **FOOD, NA=milligrams), 1, [line("oats", 100)]),
        product(pieces=1, show=["sodium mmol"]),
        KITCHEN,
        Order(market, ON),
    )
    found = [(r.declared, r.joined) for r in d.panel.columns[0].rows if r.tag == "NA"]
    assert found == [(said[0], False), (said[1], True)]
