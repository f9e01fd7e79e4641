"""Household measures and counts -> grams, only through a weight that has a source."""

from __future__ import annotations

import re

from labelgen.composition.portions import NEAR, choices, words_of
from labelgen.composition.records import ResolvedIngredient
from labelgen.quantity import Quantity

#: How food tables call one piece of some size, but for the medium one.
_SIZES = frozenset(("small", "large", "extra", "jumbo"))


def grams_of(quantity: Quantity, ingredient: ResolvedIngredient, country: str) -> float:
    """The weight [g] of an amount of an ingredient; see ``portions.choices``. Raises UnitError saying exactly what to add."""
    return quantity.grams if quantity.kind == "mass" else choices(quantity, ingredient.portions, ingredient.name, country)[0][0]


def weight_doubt(quantity: Quantity, ingredient: ResolvedIngredient, country: str) -> str:
    """What to say where the sources give one measure weights far apart, or one piece weights by its size and none was
    said; "" where they do not. Raises like ``grams_of``."""
    if quantity.kind == "mass":
        return ""
    found = choices(quantity, ingredient.portions, ingredient.name, country)
    grams = [g for g, _ in found]
    if not quantity.unit and (sizes := [p for p in ingredient.portions if words_of(p.unit) and words_of(p.unit) <= _SIZES]) and found[0][1].unit.lower() == "medium":
        weights = ", ".join(f"{p.amount:g} {p.unit} = {p.grams:g} g" for p in sizes)
        return f"{quantity.text!r} is weighed as medium ones, {grams[0]:.4g} g, but their weight depends on their size ({weights}): write grams, or say the size, for example '{quantity.count:g} {sizes[0].unit} {ingredient.name}'"
    if max(grams) <= NEAR * min(grams):
        return ""
    weights = ", ".join(dict.fromkeys(f"{p.amount:g} {p.unit} = {p.grams:g} g" for _, p in found))
    said = " ".join(re.findall(r"[\w.]+", found[-1][1].unit))
    return f"{quantity.text!r} is weighed as {grams[0]:.4g} g, but its weight depends on how it is filled ({weights}): write grams, weigh yours and add 'weighs:', or say which, for example '1 {said} {ingredient.name}'"
