"""Household measures and counts -> grams, only through a weight that has a source."""

from __future__ import annotations

import math
import re

from labelgen.composition.records import Portion, ResolvedIngredient
from labelgen.errors import UnitError
from labelgen.quantity import Quantity, read_quantity

_EACH = ("", "each", "piece", "pieces", "whole", "medium", "unit", "one")


def grams_of(quantity: Quantity, ingredient: ResolvedIngredient, country: str) -> float:
    """The weight [g] of an amount of an ingredient. Raises UnitError saying exactly what to add.

    A dataset portion's cup is the US cup: it is scaled by volume to the measure asked for. The maker's own weights come
    first, then the portion nearest in volume: of sugar a cup is weighed as a cup, not as 48 teaspoons.
    """
    if quantity.kind == "mass":
        return quantity.grams
    if quantity.kind == "volume":
        measures = [(own, volume, p.grams) for p in ingredient.portions if (volume := _volume(p, country if (own := p.source.startswith("weighed")) else "us"))]
        if measures:
            _, volume, grams = min(measures, key=lambda m: (not m[0], abs(math.log(quantity.millilitres / m[1]))))
            return quantity.millilitres / volume * grams
        unit = re.sub(r"^[\d\s./½¼¾⅓⅔⅛-]+", "", quantity.text).split()
        word = unit[0] if unit else "cup"
        raise UnitError(f"{quantity.text!r}: no weight per {word} is known for {ingredient.name!r}: weigh one and add 'weighs: {{1 {word}: ... g}}' to it, or write grams")
    wanted = _words(quantity.unit)
    fitting = [p for p in ingredient.portions if wanted == _words(p.unit) or (wanted and wanted < _words(p.unit) and not _volume(p, "us"))]
    if fitting:
        nearest = min(fitting, key=lambda p: len(_words(p.unit)))
        return quantity.count / nearest.amount * nearest.grams
    known = ", ".join(f"{p.amount:g} {p.unit} = {p.grams:g} g" for p in ingredient.portions[:6])
    raise UnitError(
        f"{quantity.text!r}: no weight of one {quantity.unit or 'piece'} is known for {ingredient.name!r}"
        + (f" (known: {known})" if known else "")
        + f": weigh one and add 'weighs: {{{quantity.unit or 'each'}: ... g}}' to it, or write grams"
    )


def _volume(portion: Portion, country: str) -> float | None:
    """Millilitres of a portion whose unit is a volume (``cup``, ``tbsp, packed``), else None."""
    try:
        quantity, _ = read_quantity(f"{portion.amount:g} {portion.unit.split(',')[0].split('(')[0].strip()}", country)
    except UnitError:
        return None
    return quantity.millilitres if quantity.kind == "volume" else None


def _words(unit: str) -> frozenset[str]:
    words = {w.rstrip("s") for w in re.findall(r"[a-z]+", unit.lower())}
    return frozenset() if unit.lower() in _EACH else frozenset(words)
