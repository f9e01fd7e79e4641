"""A label without a panel, where the maker says that an exemption of the market covers it."""

from datetime import date

import pytest

from labelgen.export.linked import declaration_as_jsonld
from labelgen.export.plain import declaration_as_text
from labelgen.market.declare_food import declare
from labelgen.order import Order
from tests.market.foods import KITCHEN, amounts, line, product, profile

ON = date(2026, 12, 1)


def label(market, exempt, claims=(), **figures):
    food = amounts(
        240,
        **{
            "FAT": 48,
            "FASAT": 30,
            "CHOCDF": 150,
            "SUGAR": 80,
            "SUGAD": 80,
            "PROCNT": 12,
            "NA": 500,
            **figures,
        },
    )
    also = {"fr": {"name": "Chose", "unit": "biscuit"}}
    made = profile(food, 8, [line("oats", 240, print_name="oats")])
    return declare(
        made,
        product(unit="biscuit", exempt=[exempt], claims=claims, category="cookies", also=also),
        KITCHEN,
        Order(market, ON),
    )


@pytest.mark.parametrize(
    "market, exempt",
    [
        # 21 CFR 101.9(j)(1), (j)(18), (j)(3)
        ("us", "small_retailer"),
        ("us", "low volume"),
        ("us", "made-on-site"),
        # Food and Drug Regulations B.01.401(2), B.01.467, B.01.469
        ("ca", "farmers_market"),
        ("ca", "made_on_site"),
        ("ca", "small_package"),
        # Standard 1.2.8-5
        ("au", "small_package"),
        ("nz", "small_package"),
        ("eu", "small_pack_nutrition"),
        ("uk", "local_supply"),
    ],
)
def test_the_panel_is_left_out_and_nothing_else(market, exempt):
    d = label(market, exempt)
    assert (
        d.without_panel
        and d.net_quantity
        and d.business
        and d.ingredients
        and "exemption-taken" in {f.code for f in d.findings}
    )
    title = d.panel.title
    assert title and title not in declaration_as_text(d) and "nutrition" not in declaration_as_jsonld(d)
    # B.01.350: no symbol where no table is needed
    assert "not-ready-nutrition-symbol" not in {f.code for f in d.findings}


@pytest.mark.parametrize(
    "market, exempt, claim",
    [
        ("us", "small_retailer", "high fiber"),
        ("ca", "farmers_market", "source of fibre"),
        ("au", "small_package", "good source of fibre"),
    ],
)
def test_a_nutrition_claim_brings_it_back(market, exempt, claim):
    d = label(market, exempt, [claim], FIBTG=40)
    assert (
        not d.without_panel
        and d.panel.title in declaration_as_text(d)
        and "exemption-lost" in {f.code for f in d.findings}
    )


def test_erythritol_is_told_in_grams_where_no_table_tells_it():
    """B.16.018: 40 g in eight biscuits, 5 g a serving of one (30 g)."""
    assert "5 g erythritol per serving" in label("ca", "farmers_market", ERYTHRITOL=40, POLYL=40).advisories
    assert "5 g erythritol per serving" not in label("ca", "", ERYTHRITOL=40, POLYL=40).advisories


@pytest.mark.parametrize("word, severity", [("farmers_market", "note"), ("farmers_markte", "warn")])
def test_an_exemption_nobody_knows_is_told_louder_than_one_of_another_market(word, severity):
    found = [f for f in label("us", word).findings if f.code == "exemption-unknown"]
    assert [f.severity for f in found] == [severity] and "small_retailer" in found[0].message
