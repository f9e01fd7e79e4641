"""The frozen records of the resolve room."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np

from labelgen.errors import Finding, Where
from labelgen.nutrients import INDEX, KEYS


@dataclass(frozen=True, eq=False)
class Composition:
    """Nutrients in 100 g of edible food, float64 arrays in the order of ``nutrients.KEYS``.

    ``value`` is NaN where unknown; ``low``/``high`` are the bounds within which the truth is believed
    to lie (unknown: 0 and the physical bound, else inf). ``trace`` marks values that were reported as
    trace: present, below quantification (value 0, high = the limit). Zero, trace and unknown stay apart.
    ``source`` names, per nutrient, where the figure is from ("" = unknown).
    """

    low: np.ndarray
    value: np.ndarray
    high: np.ndarray
    trace: np.ndarray
    source: tuple[str, ...] = field(default=("",) * len(KEYS))

    @staticmethod
    def unknown() -> Composition:
        n = len(KEYS)
        return Composition(np.zeros(n), np.full(n, np.nan), np.full(n, np.inf), np.zeros(n, bool))

    def get(self, key: str) -> tuple[float, float, float]:
        """(low, value, high) of one nutrient per 100 g; value NaN if unknown."""
        i = INDEX[key]
        return float(self.low[i]), float(self.value[i]), float(self.high[i])


@dataclass(frozen=True)
class Figure:
    """One stated amount in the key's own unit: the truth lies in low..high. shown: as its supplier wrote it,
    with its name ("saturated fat 7 g"). where: its place. digit: half of the last digit of a figure taken
    as exact, by which it may still be off when it is held against others. path: the field it is typed in,
    ``ingredients.butter.panel.fat``.
    """

    low: float
    value: float
    high: float
    shown: str
    where: Where
    digit: float = 0.0
    path: str = ""


@dataclass(frozen=True)
class Stated:
    """What a supplier states of one ingredient. figures: nutrient key -> Figure, in ``grams`` of food
    (low, value, high: a printed serving is rounded too). source: whose figures. findings: what could not
    be read.
    """

    figures: Mapping[str, Figure] = field(default_factory=dict)
    grams: tuple[float, float, float] = (100.0, 100.0, 100.0)
    source: str = ""
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class Portion:
    """A household measure with a sourced weight: ``amount`` of ``unit`` weighs ``grams``."""

    amount: float
    unit: str
    grams: float
    source: str


@dataclass(frozen=True)
class AllergenHit:
    """An allergen found, and because of what. allergen: a code such as ``milk``, ``tree_nut/almond``,
    ``gluten/barley``. because: the words and the ingredient they stand in. ingredient: the
    specification's name, or "". words: just the matching words. how: food-table, name, statement,
    declaration or kitchen. denied: the supplier's own declaration leaves it out. derived: what some market
    exempts, as ``soy-oil``, where the words name it; state: what is told of it, as "fully refined".
    """

    allergen: str
    because: str
    ingredient: str = ""
    words: str = ""
    how: str = ""
    denied: bool = False
    derived: str = ""
    state: str = ""


@dataclass(frozen=True, eq=False)
class Food:
    """One food of the dataset. id: ``usda/NNNNN`` or ``pure/name``. composite: a manufactured food
    whose own make-up the table does not tell, so it can never support a "free from". packet: a packaged
    food's ingredient list as its source gives it, or "". findings: what is wrong with figures a kitchen
    holds of its own.
    """

    id: str
    name: str
    group: str
    composition: Composition
    portions: tuple[Portion, ...]
    grade: str
    release: str
    note: str = ""
    composite: bool = False
    retention: str = ""
    added_sugars: str = ""
    packet: str = ""
    findings: tuple[Finding, ...] = ()


@dataclass(frozen=True)
class StatementItem:
    """One item of a parsed sub-ingredient statement.

    name: as written, cleaned. items: its own sub-ingredients. percent: stated percentage or None.
    function: a function class such as "emulsifier" when the item was written as ``class: name`` or
    ``class (name)``. e_number: such as "E322" or "". minor: stands behind "contains 2% or less of".
    """

    name: str
    items: tuple[StatementItem, ...] = ()
    percent: float | None = None
    function: str = ""
    e_number: str = ""
    minor: bool = False


@dataclass(frozen=True)
class SupplierStatement:
    """A supplier's whole statement: its items in order, and what it declares in words of its own."""

    items: tuple[StatementItem, ...]
    contains: tuple[AllergenHit, ...] = ()
    may_contain: tuple[AllergenHit, ...] = ()
    text: str = ""


@dataclass(frozen=True, eq=False)
class ResolvedIngredient:
    """One ingredient specification, resolved.

    print_name: how the label names it. food_id: pinned dataset food or "". contains/may_contain:
    allergens with their reasons. disclosed: False when neither statement nor declaration tells the
    make-up (then it blocks any "free from"). statement: the supplier's, parsed, or None.
    retention: retention-factor food group for this food, or "". portions: household measures.
    """

    name: str
    print_name: str
    composition: Composition
    portions: tuple[Portion, ...]
    food_id: str = ""
    food_name: str = ""
    source: str = ""
    contains: tuple[AllergenHit, ...] = ()
    may_contain: tuple[AllergenHit, ...] = ()
    disclosed: bool = True
    composite: bool = False
    statement: SupplierStatement | None = None
    retention: str = ""
    findings: tuple[Finding, ...] = ()
