"""Household measures against the weights USDA publishes for them (SR24, WEIGHT table: a measure is weighed as itself)."""

import pytest

from labelgen.composition.dataset import open_dataset
from labelgen.composition.resolve import resolve_ingredient
from labelgen.formulation.weights import grams_of
from labelgen.quantity import read_quantity
from labelgen.recipe.models import IngredientSpec


@pytest.mark.parametrize(
    "food, amount, grams",
    [
        ("usda/19335", "1 cup", 200), ("usda/19335", "3/4 cup", 150), ("usda/19335", "1 tsp", 4.2), ("usda/02047", "1 tsp", 6),
        ("usda/02047", "1 tbsp", 18), ("usda/02047", "1 cup", 292), ("usda/20081", "3 cup", 375), ("usda/19304", "1/2 cup", 168.5),
        ("usda/01001", "1 tbsp", 14.2), ("usda/01001", "1 cup", 227),
    ],
)  # fmt: skip
def test_a_measure_is_weighed_as_itself(food, amount, grams):
    ingredient = resolve_ingredient(IngredientSpec(name="a", food=food), open_dataset())
    assert grams_of(read_quantity(amount, "us")[0], ingredient, "us") == pytest.approx(grams, rel=1e-3)


def test_the_makers_own_weight_comes_first():
    own = {"cup": read_quantity("190 g", "us")[0]}
    ingredient = resolve_ingredient(IngredientSpec(name="a", food="usda/19335", weighs=own), open_dataset())
    assert grams_of(read_quantity("1 tsp", "us")[0], ingredient, "us") == pytest.approx(190 / 48)
