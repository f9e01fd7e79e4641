"""Any wording of the lists, on any food, against any other food, in any market: judged with a finding,
never an exception.
"""

import random
from datetime import date

import pytest

from labelgen import paths
from labelgen.composition.text.terms import expand
from labelgen.market.declare_food import declare
from labelgen.nutrients import KEYS
from labelgen.order import Order
from labelgen.quantity import read_quantity
from labelgen.recipe.models import Printed, ReferenceFood
from tests.market.foods import KITCHEN, amounts, line, product, profile

MARKETS = ["us", "eu", "uk", "ca", "au", "nz"]
FILLED = {
    "NUMBER": ["3", "25", "97", "0", "1000000"],
    "NUTRIENT": ["fat", "sugar", "fibre", "protein", "iron", "salt", "energy", "caffeine"],
    "FOOD": ["gluten", "milk", "nuts", "palm oil"],
    "BASIS": ["serving", "bar", "100 g", "100 mL", "0 g", "year"],
    "BODY": ["heart", "immunity"],
}
PHRASES = [
    words
    for name in ("words.csv", "words_other.csv")
    for r in paths.read_rows("claims", name)
    if r["claim"].islower() or ":" in r["claim"]
    for phrase in r["words"].split(";")
    for words in expand(phrase)
]
FIGURES = ["20 g", "0 g", "<1 g", "lots", "5 mg", "400 kcal", "1-2 g"]


def phrase(rng):
    text = rng.choice(PHRASES)
    for slot, words in FILLED.items():
        text = text.replace(slot, rng.choice(words))
    return text


@pytest.mark.parametrize("seed", range(60))
def test_any_claim_is_judged(seed):
    rng = random.Random(seed)
    for market in MARKETS:
        figures = {k: rng.choice([0, 0.1, 1, 10, (0, 1, 5)]) for k in rng.sample(KEYS, 12) if k != "ENERC"}
        unknown = [k for k in rng.sample(KEYS, 3) if k not in figures]
        liquid = rng.random() < 0.2
        food = profile(
            amounts(100, unknown, **figures),
            None if liquid else 10,
            [
                line(
                    rng.choice(["rice", "butter", "syrup"]),
                    100,
                    contains=rng.choice([[], ["milk"], ["wheat"]]),
                )
            ],
        )
        other = ReferenceFood(
            name="our bar",
            per=read_quantity(rng.choice(["100 g", "100 mL", "1 cookie"]))[0],
            figures={k: Printed(name=k, text=rng.choice(FIGURES)) for k in rng.sample(KEYS, 20)},
        )
        claims = [phrase(rng) for _ in range(3)]
        size = {"net": 100.0, "volume": 90.0} if liquid else {}
        said = product(
            name=f"Bar, {phrase(rng)}",
            unit="bar",
            category=rng.choice(["", "cookies", "bars", "beverages"]),
            claims=claims,
            compared_with=rng.choice([None, other]),
            pdcaas=rng.choice([None, 0.0, 0.5]),
            **size,
        )
        told = [
            f.code
            for f in declare(food, said, KITCHEN, Order(market, date(2026, 12, 1))).findings
            if f.code.startswith("claim-")
        ]
        assert told
