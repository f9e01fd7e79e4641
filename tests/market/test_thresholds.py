"""Sulphites from actual amounts: 10 mg/kg or more in Australia, New Zealand and Canada, more than 10 mg/kg
in the European Union.
"""

from datetime import date

import pytest

from labelgen.market.declare_food import declare
from labelgen.order import Order
from tests.market.foods import KITCHEN, amounts, line, partly, product, profile

ON = date(2026, 12, 1)


def said(market, mg_per_kg, apricots=None, other=None, **more):
    """A pack of 250 g finished with apricots that bring so many mg of SO2 per kg of it."""
    fruit = apricots or amounts(50, SO2=mg_per_kg / 4)
    lines = [
        line("apricots", 50, food=fruit, contains=["sulphite"]),
        line("oats", 220, food=other or amounts(220, unknown=["SO2"])),
    ]
    made = declare(
        profile(amounts(250, CHOCDF=150, PROCNT=20), 10, lines),
        product(pieces=10, category="cookies", **more),
        KITCHEN,
        Order(market, ON),
    )
    words = "".join(r.text for r in (*made.ingredients, *made.allergens)).lower()
    return "sulphi" in words, "below-threshold" in {f.code for f in made.findings}


@pytest.mark.parametrize(
    "market, mg, declared",
    [
        ("au", 9.99, False),
        ("au", 10, True),
        ("nz", 9.99, False),
        ("nz", 10, True),
        ("ca", 9.99, False),
        ("ca", 10, True),
        ("eu", 10, False),
        ("eu", 10.01, True),
        ("uk", 10, False),
        ("uk", 10.01, True),
    ],
)
def test_on_both_sides_of_ten_milligrams(market, mg, declared):
    assert said(market, mg) == (declared, not declared)


def test_an_amount_nobody_told_is_declared():
    assert said("au", 0, apricots=amounts(50, unknown=["SO2"])) == (True, False)
    assert said("au", 0, apricots=partly(amounts(50, SO2=0.1), "SO2", covered=0.5, high=50)) == (
        True,
        False,
    )


def test_the_upper_bound_is_judged():
    assert said("au", 0, apricots=amounts(50, SO2=(1.0, 2.0, 2.5))) == (True, False)
    assert said("au", 0, apricots=amounts(50, SO2=(1.0, 2.0, 2.49))) == (False, True)


def test_what_other_ingredients_state_is_added():
    """2 mg from apricots and 0.5 mg from what carries no word of it: 2.5 mg in 250 g is 10 mg/kg."""
    assert said("au", 8, other=amounts(220, SO2=0.5)) == (True, False) and said(
        "au", 8, other=amounts(220, SO2=0.49)
    ) == (False, True)


@pytest.mark.parametrize(
    "market, mg, declared", [("eu", 8, True), ("eu", 7.5, False), ("au", 7.7, True), ("ca", 7.6, False)]
)
def test_a_litre_of_a_heavy_syrup_holds_more_than_a_kilogram(market, mg, declared):
    """1.3 kg a litre: 8 mg in a kilogram are 10.4 mg in a litre, 7.7 mg are 10.01 mg, 7.6 mg are 9.88 mg."""
    assert said(market, mg, net=1300, volume=1000)[0] == declared


def test_a_litre_of_something_light_counts_by_the_kilogram():
    assert said("au", 10, net=800, volume=1000)[0]
