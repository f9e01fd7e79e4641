"""Household measures against the weights USDA publishes for them (SR24, WEIGHT table: a measure is weighed
as itself).
"""

from dataclasses import replace
from datetime import date

import pytest

from labelgen.chain import roll_up_folder
from labelgen.composition.dataset import open_dataset
from labelgen.composition.resolve import resolve_ingredient
from labelgen.errors import UnitError
from labelgen.formulation.weights import grams_of, weight_doubts
from labelgen.quantity import read_quantity
from labelgen.recipe.models import IngredientSpec, Line
from tests.kitchens import write

ON = date(2026, 11, 25)


@pytest.mark.parametrize(
    "food, amount, grams",
    [
        ("usda/19335", "1 cup", 200),
        ("usda/19335", "3/4 cup", 150),
        ("usda/19335", "1 tsp", 4.2),
        ("usda/02047", "1 tsp", 6),
        ("usda/02047", "1 tbsp", 18),
        ("usda/02047", "1 cup", 292),
        ("usda/20081", "3 cup", 375),
        ("usda/19304", "1/2 cup", 168.5),
        ("usda/01001", "1 tbsp", 14.2),
        ("usda/01001", "1 cup", 227),
    ],
)
def test_a_measure_is_weighed_as_itself(food, amount, grams):
    ingredient = resolve_ingredient(IngredientSpec(name="a", food=food), open_dataset(), ON)
    assert grams_of(read_quantity(amount, "us")[0], ingredient, "us") == pytest.approx(grams, rel=1e-3)


def test_the_makers_own_weight_comes_first():
    own = {"cup": read_quantity("190 g", "us")[0]}
    ingredient = resolve_ingredient(
        IngredientSpec(name="a", food="usda/19335", weighs=own), open_dataset(), ON
    )
    assert grams_of(read_quantity("1 tsp", "us")[0], ingredient, "us") == pytest.approx(190 / 48)


def choose(text, unit=""):
    ingredient = resolve_ingredient(IngredientSpec(name="brown", food="usda/19334"), open_dataset(), ON)
    quantity = replace(read_quantity(text, "us")[0], unit=unit)
    return grams_of(quantity, ingredient, "us"), doubt_of(quantity, ingredient)


def doubt_of(quantity, ingredient) -> str:
    """What is told of a line with that amount, or ""."""
    return "; ".join(
        f.message
        for f in weight_doubts(
            Line(ingredient.name, quantity), ingredient, "us", "formulations.d.ingredients.0"
        )
    )


def test_words_choose_how_a_measure_is_filled():
    """Brown sugar, USDA SR24: a cup packed 220 g, unpacked 145 g."""
    assert choose("1 cup", "packed") == (220, "") and choose("1 cup", "unpacked") == (145, "")
    grams, doubt = choose("1 cup")
    assert grams == 220 and "145 g" in doubt and "1 cup unpacked brown" in doubt
    with pytest.raises(UnitError, match="cup sifted"):
        choose("1 cup", "sifted")


@pytest.mark.parametrize(
    "size, grams",
    [("small", 38), ("medium", 44), ("large", 50), ("extra large", 56), ("jumbo", 63), ("", 44)],
)
def test_a_count_without_a_size_is_told_where_the_size_tells_the_weight(size, grams):
    """USDA SR24, 01123, raw egg: the weights by size; a bare count is taken as medium ones."""
    ingredient = resolve_ingredient(IngredientSpec(name="egg", food="usda/01123"), open_dataset(), ON)
    quantity = replace(read_quantity("3", "us")[0], unit=size)
    assert grams_of(quantity, ingredient, "us") == 3 * grams
    doubt = doubt_of(quantity, ingredient)
    assert (
        ("132 g" in doubt and "1 large = 50 g" in doubt and "'3 extra large egg'" in doubt)
        if not size
        else not doubt
    )


def test_words_before_an_ingredient_reach_its_weight(tmp_path, capsys):
    kitchen = write(
        tmp_path,
        "brown: {food: usda/19334}\n",
        "formulations:\n  d: {ingredients: [1 cup unpacked brown, 1 cup of packed brown]}\nproducts:\n  p:"
        " {of: d}\n",
    )
    rolled = roll_up_folder(kitchen)
    assert rolled.profiles["p"].pack.grams == 365 and not [
        f for f in rolled.findings if f.code == "measure-unsure"
    ]
