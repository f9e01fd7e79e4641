"""21 CFR 101.9(c) and (d)(7)(ii) written a second time, in whole numbers, against the rules: every nutrient
of the United States, random amounts and every boundary. The daily values are typed from (c)(8)(iv) and (c)(9)
as reprinted in 2016; the amounts of vitamins follow FDA's guidance on quantities (0.1, 1 or 10 by the size of
the RDI; zero below 1 percent, where 0% stands beside it).
"""

import random
from datetime import date

import pytest

from labelgen.law.by_name import declare_rule
from labelgen.law.figure_tables import Nutrient
from labelgen.law.pack import read_pack

US = read_pack("us", date(2026, 12, 1))
ONE = 10**5  # amounts are whole hundred-thousandths of a unit

RDI = {
    "vitamin_a": 900,
    "vitamin_c": 90,
    "calcium": 1300,
    "iron": 18,
    "vitamin_d": 20,
    "vitamin_e": 15,
    "vitamin_k": 120,
    "thiamin": "1.2",
    "riboflavin": "1.3",
    "niacin": 16,
    "vitamin_b6": "1.7",
    "folate": 400,
    "vitamin_b12": "2.4",
    "biotin": 30,
    "pantothenic_acid": 5,
    "phosphorus": 1250,
    "iodine": 150,
    "magnesium": 420,
    "zinc": 11,
    "selenium": 55,
    "copper": "0.9",
    "manganese": "2.3",
    "chromium": 35,
    "molybdenum": 45,
    "chloride": 2300,
    "potassium": 4700,
    "choline": 550,
}
DRV = {
    "total_fat": 78,
    "saturated_fat": 20,
    "cholesterol": 300,
    "total_carbohydrate": 275,
    "sodium": 2300,
    "dietary_fiber": 28,
    "added_sugars": 50,
}
FATS = ("total_fat", "saturated_fat", "trans_fat", "polyunsaturated_fat", "monounsaturated_fat")
CARBOHYDRATES = (
    "total_carbohydrate",
    "dietary_fiber",
    "soluble_fiber",
    "insoluble_fiber",
    "total_sugars",
    "added_sugars",
    "sugar_alcohol",
    "protein",
)


def units(figure) -> int:
    """A figure as typed, in hundred-thousandths.

    >>> units("0.9"), units(18)
    (90000, 1800000)
    """
    whole, _, part = str(figure).partition(".")
    return int(whole) * ONE + int(part.ljust(5, "0"))


def nearest(amount: int, step: int) -> int:
    """To the nearest step, halves up."""
    return (2 * amount + step) // (2 * step) * step


def shown(amount: int) -> str:
    whole, part = divmod(amount, ONE)
    return f"{whole}.{part:05d}".rstrip("0").rstrip(".")


def amount_text(nutrient: str, x: int) -> str:
    """(c)(1)-(7): the declared amount."""
    if nutrient == "calories":
        return shown(0 if x < 5 * ONE else nearest(x, 5 * ONE) if x <= 50 * ONE else nearest(x, 10 * ONE))
    if nutrient in FATS:
        return shown(0 if 2 * x < ONE else nearest(x, ONE // 2) if x < 5 * ONE else nearest(x, ONE)) + "g"
    if nutrient == "cholesterol":
        return "0mg" if x < 2 * ONE else "less than 5mg" if x < 5 * ONE else shown(nearest(x, 5 * ONE)) + "mg"
    if nutrient == "sodium":
        return (
            shown(0 if x < 5 * ONE else nearest(x, 5 * ONE) if x <= 140 * ONE else nearest(x, 10 * ONE))
            + "mg"
        )
    if nutrient == "fluoride":
        return (
            shown(0 if 10 * x < ONE else nearest(x, ONE // 10) if 10 * x <= 8 * ONE else nearest(x, ONE // 5))
            + "mg"
        )
    assert nutrient in CARBOHYDRATES
    return "0g" if 2 * x < ONE else "less than 1g" if x < ONE else shown(nearest(x, ONE)) + "g"


def vitamin_text(nutrient: str, x: int) -> str:
    """The amount of a vitamin or mineral beside its percentage."""
    rdi = units(RDI[nutrient])
    step = ONE // 10 if rdi < 25 * ONE else ONE if rdi < 250 * ONE else 10 * ONE
    if 100 * x < rdi:
        return "0"
    if 50 * x >= rdi:
        while nearest(x, step) == 0:  # 2 percent of the RDI or more never shows as nothing
            step //= 10
    return shown(nearest(x, step))


def percent_text(nutrient: str, x: int) -> str:
    """(d)(7)(ii) for reference values, (c)(8)(iii) for vitamins and minerals."""
    if nutrient in DRV:
        if amount_text(nutrient, x).rstrip("mg") == "0":
            return "0%"
        drv = units(DRV[nutrient])
        return f"{(200 * x + drv) // (2 * drv)}%"
    rdi = units(RDI[nutrient])
    if 100 * x < rdi:
        return "0%"
    step = 2 if 10 * x <= rdi else 5 if 2 * x <= rdi else 10
    return f"{max(step, (200 * x + step * rdi) // (2 * step * rdi) * step)}%"


def amounts(seed: str, *limits) -> list[int]:
    """Random amounts of every size, and each limit a hair below, at and above."""
    chance = random.Random(seed)
    rows = [chance.randrange(units(top)) for top in (1, 6, 60, 400, 3000) for _ in range(120)]
    rows += [chance.randrange(0, 2000) * ONE // 20 for _ in range(200)]
    return rows + [max(0, limit + d) for limit in limits for d in (-1, 0, 1)]


@pytest.mark.parametrize("nutrient", ["calories", *FATS, "cholesterol", "sodium", "fluoride", *CARBOHYDRATES])
def test_amounts(nutrient):
    limits = [
        units(f)
        for f in (
            "0.1",
            "0.5",
            "0.8",
            "0.9",
            "1",
            "1.5",
            "2",
            "2.5",
            "4.75",
            "5",
            "5.5",
            "7.5",
            "47.5",
            "50",
            "55",
            "95",
            "140",
            "145",
            "1005",
        )
    ]
    for x in amounts(nutrient, *limits):
        assert declare_rule(US, nutrient, shown(x)).text == amount_text(nutrient, x), shown(x)


@pytest.mark.parametrize("nutrient", RDI)
def test_vitamins_and_minerals(nutrient):
    rdi = units(RDI[nutrient])
    limits = [rdi * share // 200 for share in (2, 3, 4, 6, 14, 20, 21, 25, 30, 100, 101, 110, 130, 200, 250)]
    for x in amounts(nutrient, *limits):
        got = declare_rule(US, f"{nutrient}_amount", shown(x)).text
        assert got.rstrip("mcg") == vitamin_text(nutrient, x), shown(x)
        assert declare_rule(US, f"pct_dv_{nutrient}", shown(x)).text == percent_text(nutrient, x), shown(x)


@pytest.mark.parametrize("nutrient", DRV)
def test_percent_of_reference_values(nutrient):
    drv = units(DRV[nutrient])
    for x in amounts(nutrient, *(drv * share // 200 for share in (1, 2, 3, 5, 13, 99, 101, 201))):
        assert declare_rule(US, f"pct_dv_{nutrient}", shown(x)).text == percent_text(nutrient, x), shown(x)


def test_every_nutrient_of_the_panel_is_covered():
    mine = {
        "calories",
        *FATS,
        "cholesterol",
        "sodium",
        "fluoride",
        *CARBOHYDRATES,
        *(f"{n}_amount" for n in RDI),
    }
    assert {row.rule for row in US.entries(Nutrient) if row.rule} <= mine
