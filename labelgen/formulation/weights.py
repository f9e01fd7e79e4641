"""Household measures and counts -> grams, only through a weight that has a source."""

from __future__ import annotations

import re
from collections.abc import Iterable

from labelgen.composition.ingredient_records import Portion, ResolvedIngredient
from labelgen.composition.portions import NEAR, choices, words_of
from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.quantity import Quantity
from labelgen.recipe.models import Line

#: How food tables call one piece of some size, but for the medium one.
_SIZES = frozenset(("small", "large", "extra", "jumbo"))


def grams_of(quantity: Quantity, ingredient: ResolvedIngredient, country: str) -> float:
    """The weight [g] of an amount of an ingredient; see ``portions.choices``. Raises UnitError saying
    exactly what to add.
    """
    return (
        quantity.grams
        if quantity.kind == "mass"
        else choices(quantity, ingredient.portions, ingredient.name, country)[0][0]
    )


def weight_doubts(line: Line, ingredient: ResolvedIngredient, country: str, path: str) -> tuple[Finding, ...]:
    """What to say of a recipe line where the sources give one measure weights far apart, or one piece
    weights by its size and none was said. path: where the line stands. Raises like ``grams_of``.
    """
    quantity = line.amount
    if quantity.kind == "mass":
        return ()
    found = choices(quantity, ingredient.portions, ingredient.name, country)
    grams = [g for g, _ in found]
    told = {
        "where": line.where,
        "path": path,
        "text": quantity.text,
        "grams": grams[0],
        "ingredient": ingredient.name,
    }
    sizes = (
        []
        if quantity.unit
        else [p for p in ingredient.portions if words_of(p.unit) and words_of(p.unit) <= _SIZES]
    )
    if sizes and found[0][1].unit.lower() == "medium":
        return (
            find(
                "measure-unsure.size",
                count=quantity.count,
                size=sizes[0].unit,
                weights=_listed(sizes),
                **told,
            ),
        )
    if max(grams) <= NEAR * min(grams):
        return ()
    said = " ".join(re.findall(r"[\w.]+", found[-1][1].unit))
    return (find("measure-unsure", measure=said, weights=_listed(p for _, p in found), **told),)


def _listed(portions: Iterable[Portion]) -> list[str]:
    return list(dict.fromkeys(f"{p.amount:g} {p.unit} = {p.grams:g} g" for p in portions))
