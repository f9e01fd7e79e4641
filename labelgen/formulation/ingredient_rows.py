"""Ingredients as heat left them, and the one product that turns grams of them into nutrients for many
foods at once.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import chain
from operator import mul

import numpy as np

from labelgen.composition.ingredient_records import ResolvedIngredient
from labelgen.formulation.batch_records import Amounts
from labelgen.formulation.retention import factors
from labelgen.nutrients import INDEX, KEYS

_WATER, _ALC, _FAT, _ENERC = (INDEX[k] for k in ("WATER", "ALC", "FAT", "ENERC"))
_FATS = [INDEX[k] for k in ("FAT", "FASAT", "FAMS", "FAPU", "FATRN", "SALATRIM")]
#: Stands for "no upper bound" inside a product, where infinity times nothing would not be a number.
_ENDLESS = 1e200
#: A share known so nearly whole is whole: the rest is binary dust.
_DUST = 1e-12
#: Foods multiplied at a time: their gathered rows stay in the processor's cache.
_CHUNK = 128


class Rows:
    """One row for each ingredient and each way it was heated. ``index``: ingredient name -> its row as it
    came.

    Parallel lists, by row: ``ingredient``; ``methods``, the heating it went through; ``kept``, the share of
    each nutrient it kept (None: all); ``water`` (the most it may hold), ``alcohol`` and ``fat`` in g per g.
    """

    def __init__(self, resolved: dict[str, ResolvedIngredient], retention: bool):
        self.retention = retention
        self.ingredient: list[ResolvedIngredient] = []
        self.methods: list[tuple[str, ...]] = []
        self.kept: list[np.ndarray | None] = []
        self.water: list[float] = []
        self.alcohol: list[float] = []
        self.fat: list[float] = []
        self.index = {name: self._add(r, (), None) for name, r in resolved.items()}
        #: Whether any ingredient holds alcohol at all.
        self.spirited = any(self.alcohol)
        self._heated: dict[str, dict[int, int]] = {}

    def _add(self, ingredient: ResolvedIngredient, methods: tuple[str, ...], kept: np.ndarray | None) -> int:
        self.ingredient.append(ingredient)
        self.methods.append(methods)
        self.kept.append(kept)
        c = ingredient.composition
        for column, figures, i in (
            (self.water, c.high, _WATER),
            (self.alcohol, c.value, _ALC),
            (self.fat, c.value, _FAT),
        ):
            figure = float(figures[i])
            column.append(
                0.0 if figure != figure else figure / 100 if kept is None else figure * float(kept[i]) / 100
            )
        return len(self.ingredient) - 1

    def heated(self, rows: Sequence[int], method: str) -> list[int]:
        """The same ingredients after one heating."""
        known = self._heated.setdefault(method, {})
        try:
            return [known[r] for r in rows]
        except KeyError:
            for r in rows:
                if r not in known:
                    kept = self.kept[r]
                    if self.retention and (more := factors(self.ingredient[r].retention, method))[1]:
                        kept = more[0] if kept is None else kept * more[0]
                    known[r] = self._add(self.ingredient[r], (*self.methods[r], method), kept)
            return [known[r] for r in rows]

    def drained(self, rows: Sequence[int], share: float, fat_energy: float) -> list[int]:
        """The same ingredients with a share (0..1) of their fat gone, and its energy [kcal/g]."""
        made = []
        for r in rows:
            kept = np.ones(len(KEYS)) if self.kept[r] is None else self.kept[r].copy()
            value = self.ingredient[r].composition.value
            if value[_ENERC] > 0:
                kept[_ENERC] *= max(
                    0.0, 1 - np.nan_to_num(value[_FAT] * kept[_FAT]) * share * fat_energy / value[_ENERC]
                )
            kept[_FATS] *= 1 - share
            made.append(self._add(self.ingredient[r], self.methods[r], kept))
        return made

    def retained(self, row: int) -> str:
        """Text of the retention factors applied, or ""."""
        food_class = self.ingredient[row].retention
        texts = (factors(food_class, m)[1] for m in self.methods[row]) if self.retention else ()
        return "; ".join(dict.fromkeys(t for t in texts if t))

    def amounts(self, row: int, grams: float) -> Amounts:
        """Nutrients of so many grams of one row."""
        c = self.ingredient[row].composition
        k = np.full(len(KEYS), grams / 100) if self.kept[row] is None else grams / 100 * self.kept[row]
        with np.errstate(invalid="ignore"):
            high = np.where(k > 0, c.high * k, 0.0)
        return Amounts(grams, c.low * k, c.value * k, high, (~np.isnan(c.value)).astype(float))

    def table(self) -> np.ndarray:
        """(rows, 4, nutrients): low, value, high and 1 where known, per gram of each row."""
        table = np.empty((len(self.ingredient), 4, len(KEYS)))
        for row, (ingredient, kept) in enumerate(zip(self.ingredient, self.kept)):
            c = ingredient.composition
            table[row, 0], table[row, 1], table[row, 2], table[row, 3] = (
                c.low,
                c.value,
                c.high,
                ~np.isnan(c.value),
            )
            if kept is not None:
                table[row, :3] *= kept
        # infinite bounds of what heat took away whole are NaN here, and nothing
        np.nan_to_num(table, copy=False, nan=0.0, posinf=_ENDLESS)
        table[:, :3] /= 100
        return table

    def brought(self, rows: Sequence[int], grams: Sequence[float], nutrient: int) -> list[tuple[str, float]]:
        """Ingredient and what it brings of a nutrient, in the nutrient's unit; 0 where its figure is not
        known.
        """
        return [
            (
                self.ingredient[r].name,
                g / 100 * float(np.nan_to_num(self.ingredient[r].composition.value[nutrient])),
            )
            for r, g in zip(rows, grams)
        ]

    def total(self, rows: Sequence[int], grams: Sequence[float], column: list[float]) -> float:
        """Sum of ``water``, ``alcohol`` or ``fat`` over some grams of some rows [g]."""
        return sum(map(mul, grams, map(column.__getitem__, rows)))

    def multiply(
        self, rows: Sequence[Sequence[int]], grams: Sequence[Sequence[float]]
    ) -> tuple[np.ndarray, np.ndarray, np.ndarray, np.ndarray]:
        """(low, value, high, covered) of many foods, each (foods, nutrients): value NaN where nothing is
        known, covered the share (0..1) of the mass whose figure is known. rows, grams: of each food.
        """
        table = self.table().reshape(len(self.ingredient), -1)
        out = np.empty((len(rows), 4, len(KEYS)))
        gathered = np.empty((_CHUNK, max(map(len, rows)), table.shape[1]))
        for start in range(0, len(rows), _CHUNK):
            which, weights = _padded(rows[start : start + _CHUNK], grams[start : start + _CHUNK])
            here, made = gathered[: len(which), : which.shape[1]], out[start : start + _CHUNK]
            np.take(table, which, axis=0, out=here, mode="clip")
            np.matmul(weights[:, None, :], here, out=made.reshape(len(which), 1, -1))
            _, value, high, covered = made.transpose(1, 0, 2)
            covered /= weights.sum(axis=1, keepdims=True)
            covered[covered > 1 - _DUST] = 1.0
            value[covered <= 0] = np.nan
            high[high > _ENDLESS * 1e-50] = np.inf
        low, value, high, covered = out.transpose(1, 0, 2)
        return low, value, high, covered


def _padded(rows: Sequence[Sequence[int]], grams: Sequence[Sequence[float]]) -> tuple[np.ndarray, np.ndarray]:
    """Rows and grams as rectangles, filled up with nothing of the first row."""
    lengths = np.array([len(r) for r in rows])
    inside = np.arange(lengths.max()) < lengths[:, None]
    which, weights = np.zeros(inside.shape, int), np.zeros(inside.shape)
    count = int(lengths.sum())
    which[inside] = np.fromiter(chain.from_iterable(rows), int, count)
    weights[inside] = np.fromiter(chain.from_iterable(grams), float, count)
    return which, weights
