"""The frozen records of the roll-up room."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np

from labelgen.composition.ingredient_records import ResolvedIngredient
from labelgen.errors import Finding, Where
from labelgen.nutrients import INDEX, KEYS

_WATER = INDEX["WATER"]


class Amounts(NamedTuple):
    """Nutrients in a stated mass of food: low, value, high in each nutrient's own unit, in the order of KEYS.

    ``covered`` is the fraction (0..1) of the mass whose figure is known. ``value`` sums the known part
    and is NaN where nothing is known; ``low`` counts the unknown part as nothing, ``high`` as the most
    it could physically be (inf if there is no bound).
    """

    grams: float
    low: np.ndarray
    value: np.ndarray
    high: np.ndarray
    covered: np.ndarray

    def get(self, key: str) -> tuple[float, float, float]:
        i = INDEX[key]
        return float(self.low[i]), float(self.value[i]), float(self.high[i])

    def coverage(self, key: str) -> float:
        return float(self.covered[INDEX[key]])

    def per(self, grams: float) -> Amounts:
        """The same food in another mass [g]."""
        k = grams / self.grams
        return Amounts(grams, self.low * k, self.value * k, self.high * k, self.covered)

    def as_dict(self) -> dict[str, dict]:
        """tagname -> low, value, high, unit, covered; None for unknown or unbounded."""
        from labelgen.nutrients import NUTRIENTS

        def number(x):
            return float(x) if np.isfinite(x) else None

        return {
            n.key: {
                "low": number(self.low[i]),
                "value": number(self.value[i]),
                "high": number(self.high[i]),
                "unit": n.unit,
                "covered": round(float(self.covered[i]), 6),
            }
            for i, n in enumerate(NUTRIENTS)
        }


@dataclass(frozen=True)
class Stage:
    """The mass balance of one formulation's batch, all in grams: inputs - losses = output.

    inputs: (name, grams). left: scraped or left on utensils, or lost with everything in it. water_loss and
    alcohol_loss: driven off by heat or drying. fat_change: gained (+) or drained (-). how: weighed, estimated
    or none.
    """

    formulation: str
    inputs: tuple[tuple[str, float], ...]
    left: float
    method: str
    water_loss: float
    alcohol_loss: float
    fat_change: float
    output: float
    how: str
    where: Where

    @property
    def input(self) -> float:
        return sum(g for _, g in self.inputs)


@dataclass(frozen=True, eq=False)
class Ingoing:
    """One ingredient as it went into the finished pack.

    grams: ingoing mass (raw, as weighed, after what was left on utensils is taken off) per pack.
    path: the formulations it came through, outermost first, e.g. ("finished", "lantern", "dough").
    amounts: what this ingredient brings to the finished pack, after retention [nutrient units].
    retained: text of the retention factors applied, or "". post_bake: added after the last heating.
    """

    ingredient: ResolvedIngredient
    grams: float
    path: tuple[str, ...]
    amounts: Amounts
    retained: str = ""
    post_bake: bool = False


class Later(Sequence):
    """A sequence made by ``make(*given)`` when somebody first looks into it: thousands of foods are rolled
    up, few explained.
    """

    __slots__ = ("_given", "_made", "_make")

    def __init__(self, make: Callable[..., Iterable], *given):
        self._make, self._given, self._made = make, given, None

    def _all(self) -> tuple:
        if self._made is None:
            self._made = tuple(self._make(*self._given))
        return self._made

    def __len__(self) -> int:
        return len(self._all())

    def __getitem__(self, i):
        return self._all()[i]

    def __iter__(self):
        return iter(self._all())


def by_weight(
    low: np.ndarray, high: np.ndarray, lighter: float, heavier: float
) -> tuple[np.ndarray, np.ndarray]:
    """(low, high) of a weighed amount of food that came out ``lighter`` to ``heavier`` times as heavy as
    counted: it holds more the lighter it came out, but for its water, of which it then holds less.
    """
    low, water = low / heavier, (low[_WATER] / lighter, high[_WATER] / heavier)
    high = high / lighter
    low[_WATER], high[_WATER] = water
    return low, high


class NutrientProfile(NamedTuple):
    """A product's finished pack, rolled up.

    pack: nutrients in the whole pack (net mass in pack.grams). pieces: pieces per pack, or None for a
    product sold by mass. ingoing: every ingredient line with its mass. per_100g, per_piece: the same food in
    100 g as sold and in one piece. weight: least and most of what pieces whose loss is estimated weigh, over
    ``pack.grams``; (1, 1) for a product sold by mass, whose pack has the doubt in it already.
    """

    product: str
    pack: Amounts
    pieces: float | None
    stages: Sequence[Stage]
    ingoing: Sequence[Ingoing]
    components: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = ()
    weight: tuple[float, float] = (1.0, 1.0)

    def weighed(self, grams: float) -> Amounts:
        """What is in so many grams on a scale. Pieces hold what went into them, however much water the
        oven took; a gram of them holds more the lighter they came out. (``pack.per`` is for servings of
        pieces.)
        """
        amounts = self.pack.per(grams)
        least, most = self.weight
        if least == most:
            return amounts
        low, high = by_weight(amounts.low, amounts.high, least, most)
        return amounts._replace(low=low, high=high)

    @property
    def per_100g(self) -> Amounts:
        return self.weighed(100.0)

    @property
    def per_piece(self) -> Amounts | None:
        return self.pack.per(self.pack.grams / self.pieces) if self.pieces else None

    @property
    def ingoing_g(self) -> float:
        return sum(i.grams for i in self.ingoing)


assert len(KEYS) == len(INDEX)
