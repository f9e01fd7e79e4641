"""Foods made up by hand for the declare room: amounts are given for the whole pack, everything else is a
known zero.
"""

from __future__ import annotations

import numpy as np

from labelgen.composition.bounds import AVAILABLE, fill_available
from labelgen.composition.ingredient_records import AllergenHit, Composition, ResolvedIngredient
from labelgen.errors import Where
from labelgen.formulation.batch_records import Amounts, Ingoing, NutrientProfile
from labelgen.nutrients import INDEX, KEYS
from labelgen.recipe.models import Formulation, IngredientSpec, Kitchen, Producer, Product

KITCHEN = Kitchen(
    folder="k", producer=Producer(name="Example Hill Bakes", address="1 Example Hill, Sampleton")
)


def amounts(grams, unknown=(), **figures) -> Amounts:
    """figures: key -> amount, or (low, value, high). unknown: keys with no figure at all (high unbounded)."""
    low, value, high = np.zeros(len(KEYS)), np.zeros(len(KEYS)), np.zeros(len(KEYS))
    covered = np.ones(len(KEYS))
    for key, figure in figures.items():
        i = INDEX[key]
        low[i], value[i], high[i] = figure if isinstance(figure, tuple) else (figure,) * 3
    for key in unknown:
        i = INDEX[key]
        value[i], high[i], covered[i] = np.nan, np.inf, 0.0
    return _with_available(
        Amounts(float(grams), low, value, high, covered), AVAILABLE in (*figures, *unknown)
    )


def partly(food: Amounts, key: str, covered: float, high: float) -> Amounts:
    """The same food with one figure known for a part of its mass only, and a bound on the whole."""
    i = INDEX[key]
    share, top = food.covered.copy(), food.high.copy()
    share[i], top[i] = covered, high
    return _with_available(Amounts(food.grams, food.low, food.value, top, share), key == AVAILABLE)


def _with_available(food: Amounts, stated: bool) -> Amounts:
    """Available carbohydrate from the total and the fibre, unless the test states it."""
    if not stated:
        fill_available(food.low, food.value, food.high)
        food.covered[INDEX[AVAILABLE]] = min(food.coverage("CHOCDF"), food.coverage("FIBTG"))
    return food


def ingredient(name, print_name="", contains=(), water=0.0) -> ResolvedIngredient:
    composition = Composition.unknown()
    composition.value[INDEX["WATER"]] = water
    hits = tuple(AllergenHit(code, f"{code} in {name}", name) for code in contains)
    return ResolvedIngredient(name, print_name or name, composition, (), contains=hits)


def line(name, grams, path=("whole",), food=None, **more) -> Ingoing:
    return Ingoing(ingredient(name, **more), float(grams), tuple(path), food or amounts(grams))


def profile(pack: Amounts, pieces=None, lines=()) -> NutrientProfile:
    return NutrientProfile("thing", pack, pieces, (), tuple(lines) or (line("dough", pack.grams),))


def product(**more) -> Product:
    return Product(
        **{
            "key": "thing",
            "name": "Thing",
            "of": "whole",
            "unit": "cookie",
            "where": Where("recipes/all.yaml", 3),
            **more,
        }
    )


def kitchen(specs=(), compounds=()) -> Kitchen:
    """specs: (name, statement). compounds: (formulation, print name)."""
    return KITCHEN.model_copy(
        update={
            "ingredients": {n: IngredientSpec(name=n, statement=s) for n, s in specs},
            "formulations": {n: Formulation(name=n, lines=(), print_name=p) for n, p in compounds},
        }
    )
