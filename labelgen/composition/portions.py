"""Household measures of one ingredient, as ``weighs:`` gives them."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from labelgen.composition.records import Portion
from labelgen.errors import UnitError
from labelgen.quantity import Quantity, read_number


def read_portions(weighs: Mapping[str, Quantity], source: str) -> Iterator[Portion]:
    """``1/2 cup: 60 g`` ... as portions; a measure without a number is one of it."""
    for words, weight in weighs.items():
        try:
            amount, unit = read_number(words)
        except UnitError:
            amount, unit = 1.0, words
        yield Portion(amount, unit.strip(), weight.grams, source)
