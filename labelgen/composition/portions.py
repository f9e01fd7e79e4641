"""Household measures of one ingredient, and amounts turned to grams by them: only through a weight that
has a source.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterator, Mapping, Sequence

from labelgen.composition.ingredient_records import Food, Portion
from labelgen.errors import UnitError
from labelgen.quantity import Quantity, read_number, read_quantity
from labelgen.recipe.models import IngredientSpec

_EACH = ("", "each", "piece", "pieces", "whole", "medium", "unit", "one")
#: Weights of one measure that lie further apart than this are told: a packed cup and a loose one.
NEAR = 1.1


def read_portions(weighs: Mapping[str, Quantity], source: str) -> Iterator[Portion]:
    """``1/2 cup: 60 g`` ... as portions; a measure without a number is one of it."""
    for words, weight in weighs.items():
        try:
            amount, unit = read_number(words)
        except UnitError:
            amount, unit = 1.0, words
        yield Portion(amount, unit.strip(), weight.grams, source)


def portions_of(spec: IngredientSpec, food: Food | None) -> tuple[Portion, ...]:
    """What measures of an ingredient weigh: the maker's own weights and density, then those of its food."""
    source = f"weighed by the maker ({spec.name})"
    dense = (Portion(1.0, "ml", spec.density, source),) if spec.density else ()
    return (*read_portions(spec.weighs, source), *dense, *(food.portions if food else ()))


def grams_in(quantity: Quantity, portions: Sequence[Portion], name: str, country: str) -> float:
    """The weight [g] of the food that figures are given for: ``100 g``, ``100 ml``, ``1 cup``. Raises
    UnitError where the amount is nothing, or nobody says what the measure weighs, or says it differently.
    """
    if quantity.kind == "mass":
        if not quantity.grams:
            raise UnitError(
                f"{quantity.text!r} is nothing: write the amount the figures are for, for example '100 g'"
            )
        return quantity.grams
    try:
        grams = [g for g, _ in choices(quantity, portions, name, country)]
    except UnitError:
        raise UnitError(_unweighed(quantity)) from None
    if max(grams) > NEAR * min(grams) or not min(grams):
        raise UnitError(
            f"{_unweighed(quantity)} (the food table gives it {min(grams):.4g} to {max(grams):.4g} g)"
        )
    return grams[0]


def _unweighed(quantity: Quantity) -> str:
    measure = quantity.text if quantity.kind == "volume" else f"{quantity.count:g} {quantity.unit or 'piece'}"
    density = ", or 'density: ... g/ml' from the supplier's sheet" if quantity.kind == "volume" else ""
    return (
        f"{quantity.text!r} is no weight, and nothing tells what it weighs: weigh it and add 'weighs:"
        f" {{{measure}: ... g}}'{density}"
    )


def choices(
    quantity: Quantity, portions: Sequence[Portion], name: str, country: str
) -> list[tuple[float, Portion]]:
    """The weights [g] of a measure or count that fit equally well, the one to take first, each with its
    source.

    A dataset portion's cup is the US cup: it is scaled by volume to the measure asked for. The maker's own
    weights come first, then the portion nearest in volume: of sugar a cup is weighed as a cup, not as 48
    teaspoons. Words said with a measure ("1 cup packed") choose among its weights. Raises UnitError saying
    exactly what to add.
    """
    wanted = words_of(quantity.unit)
    if quantity.kind == "volume":
        measures = [
            (own, volume, p)
            for p in portions
            if (volume := _volume(p, country if (own := p.source.startswith("weighed")) else "us"))
        ]
        fitting = [m for m in measures if wanted <= words_of(m[2].unit)]
        if fitting:
            ranks = [
                (
                    not own,
                    round(abs(math.log(quantity.millilitres / volume)), 6),
                    len(words_of(p.unit)) if wanted else 0,
                )
                for own, volume, p in fitting
            ]
            return [
                (quantity.millilitres / volume * p.grams, p)
                for rank, (_, volume, p) in zip(ranks, fitting)
                if rank == min(ranks)
            ]
        unit = re.sub(r"^[\d\s./½¼¾⅓⅔⅛-]+", "", quantity.text).split()
        word = " ".join((unit[0] if unit else "cup", *quantity.unit.split()))
        raise UnitError(
            f"{quantity.text!r}: no weight per {word} is known for {name!r}{_known(portions)}: weigh one"
            f" and add 'weighs: {{1 {word}: ... g}}' to it, or write grams"
        )
    fitting = [
        p
        for p in portions
        if wanted == words_of(p.unit) or (wanted and wanted < words_of(p.unit) and not _volume(p, "us"))
    ]
    if fitting:
        least = min(len(words_of(p.unit)) for p in fitting)
        return [(quantity.count / p.amount * p.grams, p) for p in fitting if len(words_of(p.unit)) == least]
    raise UnitError(
        f"{quantity.text!r}: no weight of one {quantity.unit or 'piece'} is known for"
        f" {name!r}{_known(portions)}: weigh one and add 'weighs: {{{quantity.unit or 'each'}: ... g}}' to"
        " it, or write grams"
    )


def words_of(unit: str) -> frozenset[str]:
    """The words of a measure in one form; none for a plain piece."""
    words = {w.rstrip("s") for w in re.findall(r"[a-z]+", unit.lower())}
    return frozenset() if unit.lower() in _EACH else frozenset(words)


def _known(portions: Sequence[Portion]) -> str:
    known = ", ".join(f"{p.amount:g} {p.unit} = {p.grams:g} g" for p in portions[:6])
    return f" (known: {known})" if known else ""


def _volume(portion: Portion, country: str) -> float | None:
    """Millilitres of a portion whose unit is a volume (``cup``, ``tbsp, packed``), else None."""
    try:
        quantity, _ = read_quantity(
            f"{portion.amount:g} {portion.unit.split(',')[0].split('(')[0].strip()}", country
        )
    except UnitError:
        return None
    return quantity.millilitres if quantity.kind == "volume" else None
