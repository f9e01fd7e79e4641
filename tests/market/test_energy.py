"""Calories by the lettered methods of 21 CFR 101.9(c)(1)(i), worked by hand."""

from datetime import date

import pytest

from labelgen.law.pack import read_pack
from labelgen.market.nutrition.energy import count_energy, energy_method
from tests.market.foods import amounts, partly

US = read_pack("us", date(2026, 12, 1))


def kcal(food):
    return count_energy(energy_method(US, food), food)


def test_general_factors():
    """Method B: 4 x 6 + 4 x 60 + 9 x 20 = 444."""
    energy = kcal(amounts(100, PROCNT=6, CHOCDF=60, FAT=20, FIBTG=5))
    assert energy.method.key == "B" and energy.value == pytest.approx(444) and energy.covered == 1


def test_alcohol_counts_seven():
    assert kcal(amounts(100, ALC=5)).value == pytest.approx(35)


@pytest.mark.parametrize(
    "sweetener, grams, value",
    # (F): carbohydrate 50 of which the sweetener; protein 5, fat 10: 110 + 4 x (50 - grams) + factor x grams
    [
        ("ERYTHRITOL", 30, 110 + 80 + 0),
        ("XYLITOL", 30, 110 + 80 + 72),
        ("MALTITOL", 30, 110 + 80 + 63),
        ("SORBITOL", 10, 110 + 160 + 26),
        ("MANNITOL", 10, 110 + 160 + 16),
        ("ISOMALT", 10, 110 + 160 + 20),
        ("LACTITOL", 10, 110 + 160 + 20),
        ("HSH", 10, 110 + 160 + 30),
    ],
)
def test_sugar_alcohol_factors(sweetener, grams, value):
    energy = kcal(amounts(100, PROCNT=5, FAT=10, CHOCDF=50, POLYL=grams, **{sweetener: grams}))
    assert energy.method.key == "C+F" and energy.value == pytest.approx(value)


def test_a_sugar_alcohol_of_unknown_kind_keeps_four():
    assert kcal(amounts(100, CHOCDF=50, POLYL=20)).value == pytest.approx(200)


def test_allulose_counts_two_fifths():
    """FDA guidance of October 2020: 0.4 kcal/g. 4 x (40 - 30) + 0.4 x 30 = 52."""
    assert kcal(amounts(100, CHOCDF=40, ALLULOSE=30)).value == pytest.approx(52)


def test_soluble_fibre_counts_two_and_insoluble_nothing():
    """Method C: 4 x (40 - 12) + 2 x 8 = 128, of 12 g fibre of which 8 soluble."""
    assert kcal(amounts(100, CHOCDF=40, FIBTG=12, FIBSOL=8, FIBINS=4)).value == pytest.approx(128)


def test_polydextrose_counts_one():
    """4 x (40 - 12) + 1 x 10 of polydextrose + 2 x 2 of the other soluble fibre = 126."""
    assert kcal(amounts(100, CHOCDF=40, FIBTG=12, FIBSOL=12, POLYDEXTROSE=10)).value == pytest.approx(126)


def test_fibre_nobody_split_counts_as_soluble():
    """20 g fibre, 8 stated soluble, the other 12 unknown: the cautious side is 2 x 20. 4 x (50 - 20) + 40
    = 160; least 136.
    """
    food = partly(amounts(100, CHOCDF=50, FIBTG=20, FIBSOL=8), "FIBSOL", covered=0.4, high=20)
    energy = kcal(food)
    assert (energy.low, energy.value, energy.high) == (
        pytest.approx(136),
        pytest.approx(160),
        pytest.approx(160),
    )


def test_bounds_follow_the_macronutrients():
    energy = kcal(amounts(100, FAT=(9, 10, 12)))
    assert (energy.low, energy.value, energy.high) == (81, 90, 108)


def test_unknown_macronutrients_are_not_zero():
    energy = kcal(amounts(100, unknown=("FAT",), PROCNT=5))
    assert energy.covered == 0 and energy.value != energy.value
