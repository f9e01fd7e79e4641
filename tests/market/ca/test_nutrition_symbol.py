"""The front-of-package nutrition symbol: Food and Drug Regulations B.01.350, thresholds worked by hand.

Percent of the daily value, per serving or per reference amount, whichever is greater: 10 % where the
reference amount is 30 g or less, 15 % above, 30 % for main dishes. Daily values: saturated and trans fat 20
g, sugars 100 g, sodium 2300 mg.
"""

from datetime import date

import pytest

from labelgen.errors import Where
from labelgen.law.pack import read_pack
from labelgen.market.declaration_records import Serving
from labelgen.market.nutrition.symbol import check_symbol
from labelgen.recipe.models import IngredientSpec
from tests.market.foods import KITCHEN, amounts, line, product, profile

ON = date(2026, 11, 25)
#: (reference amount [g], category)
COOKIES, MUFFINS, CARAMELS = (30.0, "cookies"), (110.0, "muffins"), (40.0, "candies")


def decided(food, figures, serving=None, on=ON, lines=(), **more):
    """The findings on a pack of 1000 g of which figures are per 100 g; the serving is the reference amount
    unless given.
    """
    reference, category = food
    pack = amounts(1000, **{k: 10 * v for k, v in figures.items()})
    grams = serving or reference
    return check_symbol(
        read_pack("ca", on),
        product(category=category, **more),
        KITCHEN.model_copy(update=kitchen_of(lines)),
        profile(pack, lines=lines),
        Serving("1 piece", f"{grams:g} g", "", grams, 1000 / grams, False, "", reference=reference),
    )


def kitchen_of(lines):
    return {
        "ingredients": {
            i.ingredient.name: IngredientSpec(name=i.ingredient.name, where=Where("larder.yaml", 1))
            for i in lines
        }
    }


def needs(found):
    return [f for f in found if f.code == "not-ready-nutrition-symbol"]


@pytest.mark.parametrize(
    "food, key, just_below, at",
    [
        # saturated fat, 10 % of 20 g = 2 g in 30 g of cookies: 6.6667 g per 100 g; 1.99 g in 30 g = 6.6333 g
        (COOKIES, "FASAT", 6.6333, 6.6667),
        # 15 % of 20 g = 3 g in 110 g of muffin: 2.7273 g per 100 g
        (MUFFINS, "FASAT", 2.7270, 2.7273),
        # sugars, 10 % of 100 g = 10 g in 30 g: 33.3334 g per 100 g; 15 % = 15 g in 40 g of caramels: 37.5 g
        # per 100 g
        (COOKIES, "SUGAR", 33.333, 33.3334),
        (CARAMELS, "SUGAR", 37.49, 37.5),
        # sodium, 10 % of 2300 mg = 230 mg in 30 g: 766.67 mg per 100 g; 15 % = 345 mg in 110 g: 313.64 mg per
        # 100 g
        (COOKIES, "NA", 766.6, 766.67),
        (MUFFINS, "NA", 313.6, 313.64),
    ],
)
def test_both_sides_of_each_threshold(food, key, just_below, at):
    assert not needs(decided(food, {key: just_below}))
    (needed,) = needs(decided(food, {key: at}))
    assert needed.severity == "warn" and "not ready to sell" in needed.message


def test_the_larger_of_serving_and_reference_amount_counts():
    """5 g of saturated fat per 100 g: 1.5 g in the reference amount of 30 g (7.5 %), 2.25 g in a serving
    of 45 g (11.25 %).
    """
    assert not needs(decided(COOKIES, {"FASAT": 5}))
    (needed,) = needs(decided(COOKIES, {"FASAT": 5}, serving=45))
    assert "in 45 g" in needed.message and "11.2 %" in needed.message
    # a serving of 20 g below the reference amount of 30 g: 7 g per 100 g are 1.4 g in it, yet 2.1 g in 30 g
    assert needs(decided(COOKIES, {"FASAT": 7}, serving=20))


def test_the_finding_names_every_nutrient_in_both_languages_and_where_the_art_is():
    (needed,) = needs(decided(COOKIES, {"FASAT": 12, "SUGAR": 40, "NA": 100}))
    assert (
        "'High in: Sat fat, Sugars / Élevé en: Gras sat., Sucres'" in needed.message
        and "Sodium" not in needed.message
    )
    assert (
        "3.6 g, 18.0 % of 20 g (limit 10 %)" in needed.message
        and "Directory of Nutrition Symbol Specifications" in needed.message
    )
    assert needed.citation == "fdr-ca B.01.350"


def test_dates_of_commencement():
    """Published 20 July 2022; from 1 January 2026 compulsory."""

    def code(day):
        return [f.code for f in decided(COOKIES, {"FASAT": 12}, on=day)]

    assert code(date(2022, 7, 19)) == []
    assert code(date(2022, 7, 20)) == ["symbol-coming"] == code(date(2025, 12, 31))
    assert code(date(2026, 1, 1)) == ["not-ready-nutrition-symbol"]


def test_what_never_carries_it_and_what_already_does():
    assert decided((20.0, "honey"), {"SUGAR": 80}) == ()
    assert [f.code for f in decided(COOKIES, {"SUGAR": 80}, nutrition_symbol=True)] == ["symbol-on-pack"]


def test_results_near_the_limit_are_pointed_out():
    """Whether 9.6 % counts as 10 % is not told by the regulation: 6.4 g per 100 g is 1.92 g in 30 g."""
    assert [f.code for f in decided(COOKIES, {"FASAT": 6.4})] == ["symbol-near"]
    assert [f.code for f in decided(COOKIES, {"FASAT": 6.3})] == []
    # 6.66 g per 100 g is 1.998 g in 30 g, 9.99 % of 20 g: below, and it must read so
    (near,) = decided(COOKIES, {"FASAT": 6.66})
    assert "1.998 g, 9.99 % of 20 g (limit 10 %)" in near.message


def test_relief_where_nothing_but_nuts_brings_the_fat():
    """B.01.350: nuts whose fat is less than 30 % saturated do not count when nothing else brings the
    nutrient.
    """

    def codes(*names):
        lines = [line(n, 500, food=amounts(500, FASAT=60)) for n in names]
        return [f.code for f in decided((50.0, "nuts"), {"FASAT": 12}, lines=lines)]

    assert codes("almonds") == ["symbol-relief"]
    assert codes("almonds", "butter") == ["not-ready-nutrition-symbol"]


def test_what_is_not_known_is_not_decided():
    pack = read_pack("ca", ON)
    serving = Serving("1 piece", "30 g", "", 30.0, 10, False, "", reference=30.0)
    unknown = profile(amounts(300, unknown=("SUGAR",)))
    assert [f.code for f in check_symbol(pack, product(category="cookies"), KITCHEN, unknown, serving)] == [
        "not-ready-symbol-undecided"
    ]
    nowhere = profile(amounts(300, SUGAR=40))
    assert [f.code for f in check_symbol(pack, product(), KITCHEN, nowhere, serving)] == [
        "not-ready-symbol-undecided"
    ]
    # 60 g in 300 g are 6 g in 30 g: below the ordinary limit; 200 g are 20 g, above every limit of a food
    # that is no main dish
    found = check_symbol(pack, product(), KITCHEN, profile(amounts(300, SUGAR=200)), serving)
    assert "not-ready-nutrition-symbol" in [f.code for f in found]


def test_a_claim_about_a_nutrient_of_the_symbol_is_barred():
    """B.01.503(1.1): none but "reduced in"; a claim about another nutrient may stand."""

    def codes(claim, on=ON):
        return [f.code for f in decided(COOKIES, {"SUGAR": 40}, claims=[claim], on=on) if f.blocks]

    assert codes("no sugar added") == ["symbol-bars-claim"] == codes("unsweetened")
    assert codes("reduced in sugars") == [] == codes("low in sodium")
    assert codes("unsweetened", on=date(2025, 12, 31)) == []


def test_other_markets_have_no_symbol():
    serving = Serving("1 piece", "30 g", "", 30.0, 10, False, "", reference=30.0)
    assert (
        check_symbol(
            read_pack("us", ON),
            product(category="cookies"),
            KITCHEN,
            profile(amounts(300, SUGAR=200)),
            serving,
        )
        == ()
    )
