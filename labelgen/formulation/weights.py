"""Household measures and counts -> grams, only through a weight that has a source."""

from __future__ import annotations

import math
import re

from labelgen.composition.records import Portion, ResolvedIngredient
from labelgen.errors import UnitError
from labelgen.quantity import Quantity, read_quantity

_EACH = ("", "each", "piece", "pieces", "whole", "medium", "unit", "one")
#: How food tables call one piece of some size, but for the medium one.
_SIZES = frozenset(("small", "large", "extra", "jumbo"))
#: Weights of one measure that lie further apart than this are told: a packed cup and a loose one.
_NEAR = 1.1


def grams_of(quantity: Quantity, ingredient: ResolvedIngredient, country: str) -> float:
    """The weight [g] of an amount of an ingredient. Raises UnitError saying exactly what to add.

    A dataset portion's cup is the US cup: it is scaled by volume to the measure asked for. The maker's own weights come
    first, then the portion nearest in volume: of sugar a cup is weighed as a cup, not as 48 teaspoons. Words said with a
    measure ("1 cup packed") choose among its weights.
    """
    return quantity.grams if quantity.kind == "mass" else _choices(quantity, ingredient, country)[0][0]


def weight_doubt(quantity: Quantity, ingredient: ResolvedIngredient, country: str) -> str:
    """What to say where the sources give one measure weights far apart, or one piece weights by its size and none was
    said; "" where they do not. Raises like ``grams_of``."""
    if quantity.kind == "mass":
        return ""
    choices = _choices(quantity, ingredient, country)
    grams = [g for g, _ in choices]
    if not quantity.unit and (sizes := [p for p in ingredient.portions if _words(p.unit) and _words(p.unit) <= _SIZES]) and choices[0][1].unit.lower() == "medium":
        weights = ", ".join(f"{p.amount:g} {p.unit} = {p.grams:g} g" for p in sizes)
        return f"{quantity.text!r} is weighed as medium ones, {grams[0]:.4g} g, but their weight depends on their size ({weights}): write grams, or say the size, for example '{quantity.count:g} {sizes[0].unit} {ingredient.name}'"
    if max(grams) <= _NEAR * min(grams):
        return ""
    weights = ", ".join(dict.fromkeys(f"{p.amount:g} {p.unit} = {p.grams:g} g" for _, p in choices))
    said = " ".join(re.findall(r"[\w.]+", choices[-1][1].unit))
    return f"{quantity.text!r} is weighed as {grams[0]:.4g} g, but its weight depends on how it is filled ({weights}): write grams, weigh yours and add 'weighs:', or say which, for example '1 {said} {ingredient.name}'"


def _choices(quantity: Quantity, ingredient: ResolvedIngredient, country: str) -> list[tuple[float, Portion]]:
    """The weights [g] of a measure or count that fit equally well, the one to take first, each with its source."""
    wanted = _words(quantity.unit)
    if quantity.kind == "volume":
        measures = [(own, volume, p) for p in ingredient.portions if (volume := _volume(p, country if (own := p.source.startswith("weighed")) else "us"))]
        fitting = [m for m in measures if wanted <= _words(m[2].unit)]
        if fitting:
            ranks = [(not own, round(abs(math.log(quantity.millilitres / volume)), 6), len(_words(p.unit)) if wanted else 0) for own, volume, p in fitting]
            return [(quantity.millilitres / volume * p.grams, p) for rank, (_, volume, p) in zip(ranks, fitting) if rank == min(ranks)]
        unit = re.sub(r"^[\d\s./½¼¾⅓⅔⅛-]+", "", quantity.text).split()
        word = " ".join((unit[0] if unit else "cup", *quantity.unit.split()))
        raise UnitError(f"{quantity.text!r}: no weight per {word} is known for {ingredient.name!r}{_known(ingredient)}: weigh one and add 'weighs: {{1 {word}: ... g}}' to it, or write grams")
    fitting = [p for p in ingredient.portions if wanted == _words(p.unit) or (wanted and wanted < _words(p.unit) and not _volume(p, "us"))]
    if fitting:
        least = min(len(_words(p.unit)) for p in fitting)
        return [(quantity.count / p.amount * p.grams, p) for p in fitting if len(_words(p.unit)) == least]
    raise UnitError(
        f"{quantity.text!r}: no weight of one {quantity.unit or 'piece'} is known for {ingredient.name!r}{_known(ingredient)}"
        f": weigh one and add 'weighs: {{{quantity.unit or 'each'}: ... g}}' to it, or write grams"
    )


def _known(ingredient: ResolvedIngredient) -> str:
    known = ", ".join(f"{p.amount:g} {p.unit} = {p.grams:g} g" for p in ingredient.portions[:6])
    return f" (known: {known})" if known else ""


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
