"""Claims of a liquid sold by volume: Annex to Regulation (EC) No 1924/2006 and Schedule 4 of the Food
Standards Code per 100 mL, the United States per reference amount by volume. A drink of 1.25 g per mL: 100
mL weigh 125 g.
"""

from datetime import date

import pytest

from labelgen.law.pack import Pack
from labelgen.market.claims.judge import judge_claims
from labelgen.market.nutrition.serving import declare_serving
from tests.market.foods import KITCHEN, amounts, line, product, profile

ON = date(2026, 12, 1)


def judged(market, claim, volume=100.0, category="", **per_100_ml):
    """(allowed, message) of a claim on a bottle of 1000 mL of density 1.25."""
    food = profile(
        amounts(1250, **{k: v * 10 for k, v in per_100_ml.items()}), None, [line("rice drink", 1250)]
    )
    liquid = product(unit="bottle", net=1250.0, volume=1000.0, claims=[claim], category=category)
    pack = Pack(market, ON)
    claims, findings = judge_claims(pack, liquid, food, KITCHEN, declare_serving(pack, liquid, food)[0])
    return claims[0].allowed, findings[0].message


@pytest.mark.parametrize(
    "market, claim, holds, fails",
    [
        ("eu", "low sugar", {"SUGAR": 2.5}, {"SUGAR": 2.6}),
        ("eu", "low fat", {"FAT": 1.5}, {"FAT": 1.6}),
        ("eu", "low energy", {"PROCNT": 5}, {"PROCNT": 5.1}),
        ("eu", "energy-free", {"PROCNT": 1}, {"PROCNT": 1.1}),
        ("eu", "sugar free", {"SUGAR": 0.5}, {"SUGAR": 0.6}),
        (
            "eu",
            "low saturated fat",
            {"FASAT": 0.75, "FAT": 1, "PROCNT": 20},
            {"FASAT": 0.76, "FAT": 1, "PROCNT": 20},
        ),
        ("eu", "source of calcium", {"CA": 60}, {"CA": 59}),
        ("eu", "high in iron", {"FE": 2.1}, {"FE": 2.0}),
        ("uk", "low sugar", {"SUGAR": 2.5}, {"SUGAR": 2.6}),
        ("uk", "energy-free", {"PROCNT": 1}, {"PROCNT": 1.1}),
        ("au", "low sugar", {"SUGAR": 2.5}, {"SUGAR": 2.6}),
        ("au", "low fat", {"FAT": 1.5}, {"FAT": 1.6}),
        ("au", "low joule", {"PROCNT": 4.7}, {"PROCNT": 4.8}),
        ("au", "low cholesterol", {"CHOLE": 10}, {"CHOLE": 10.5}),
        ("au", "low saturated fat", {"FASAT": 0.75}, {"FASAT": 0.76}),
        ("au", "no added sugar", {"SUGAR": 7.5}, {"SUGAR": 7.6}),
        ("nz", "low fat", {"FAT": 1.5}, {"FAT": 1.6}),
        ("nz", "low sugar", {"SUGAR": 2.5}, {"SUGAR": 2.6}),
    ],
)
def test_limits_per_100_ml(market, claim, holds, fails):
    """4.7 x 17 = 79.9 kJ and 4.8 x 17 = 81.6 kJ; 60 mg calcium are 7.5 % of 800 mg, 2.1 mg iron 15 % of 14
    mg.
    """
    assert judged(market, claim, **holds)[0]
    allowed, message = judged(market, claim, **fails)
    assert not allowed and ("per 100 mL" in message)


def test_a_solid_is_never_energy_free_in_europe():
    food = profile(amounts(100), 10)
    solid = product(claims=["energy-free"])
    claims, findings = judge_claims(
        Pack("eu", ON), solid, food, KITCHEN, declare_serving(Pack("eu", ON), solid, food)[0]
    )
    assert not claims[0].allowed and "liquids only" in findings[0].message


@pytest.mark.parametrize("sugar, holds", [(0.13, True), (0.14, False)])
def test_the_reference_amount_by_volume(sugar, holds):
    """21 CFR 101.12(b): 360 mL of a beverage; 0.13 x 3.6 = 0.468 g, 0.14 x 3.6 = 0.504 g of sugars,
    101.60(c)(1): below 0.5 g.
    """
    assert judged("us", "sugar free", category="beverages", SUGAR=sugar)[0] == holds


def test_an_amount_per_100_ml():
    assert judged("us", "5 g fiber per 100 mL", category="beverages", FIBTG=5, CHOCDF=6)[0]
    assert not judged("us", "4 g fiber per 100 mL", category="beverages", FIBTG=5, CHOCDF=6)[0]
