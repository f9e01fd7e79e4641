"""What a food can hold at most: what a pure substance holds, what the richest foods hold, and what is very
unusual.

The table is ``reference/composition/ceilings.csv``: ``most`` in g (kcal for energy) per 100 g of a pure
``substance``. A row without ``words`` holds for every food; one with words for an ingredient whose whole name
is made of them. What no such name stands for holds no more than some times the richest food of the food
table, or ``richest`` where the table has no figure.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache

from labelgen import paths
from labelgen.composition.bounds import limits
from labelgen.composition.dataset import Highest, open_dataset
from labelgen.composition.ingredient_records import Figure, Stated
from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.nutrients import UNITS

#: Grams of a unit; energy stays as it is.
_GRAMS = {"g": 1.0, "mg": 1e-3, "ug": 1e-6, "kcal": 1.0}
#: A figure typed in one unit, when another was meant: the next smaller one.
_SMALLER = {"g": "mg", "mg": "mcg"}
_UNIT = re.compile(r"[\d½¼¾]\s*(g|mg|kcal)\b")


@dataclass(frozen=True)
class _Substance:
    most: float
    name: str
    words: frozenset[str]
    richest: float


@cache
def _substances() -> dict[str, list[_Substance]]:
    found: dict[str, list[_Substance]] = {}
    with open(paths.reference("composition", "ceilings.csv"), encoding="utf-8", newline="") as f:
        for r in csv.DictReader(f):
            words = frozenset(filter(None, r["words"].split("|")))
            found.setdefault(r["key"], []).append(
                _Substance(float(r["most"] or 0), r["substance"], words, float(r["richest"] or 0))
            )
    return found


@dataclass(frozen=True)
class Ceiling:
    """The most 100 g can hold of a nutrient [its unit], and why."""

    most: float
    because: str


def ceiling(key: str, names: Iterable[str] = ()) -> Ceiling | None:
    """The ceiling of a nutrient in an ingredient of these names (its printed one, its food's); None where
    nothing tells one.
    """
    slack = 1 + limits()["ceiling_slack"]["value"]
    unit = _GRAMS[UNITS[key]]
    rows = _substances().get(key)
    if not rows:
        return None  # bounded by the weight of the food
    pure = [s for s in rows if not s.words or any(_is(s.words, name) for name in names)]
    found = [
        Ceiling(
            s.most / unit * slack, f"pure {s.name.removeprefix('pure ')} gives {amount(key, s.most / unit)}"
        )
        for s in pure
    ]
    if any(s.words for s in pure):
        return max(found, key=lambda c: c.most)
    if richest := _richest(key):
        found.append(
            Ceiling(
                richest.most * limits()["times_richest"]["value"],
                f"the richest food of the table ({richest.food}) holds {amount(key, richest.most)}",
            )
        )
    return min(found, key=lambda c: c.most, default=None)


def check_ceilings(stated: Stated, name: str, names: Iterable[str] = (), group: str = "") -> list[Finding]:
    """Figures that no food can have, which stop a label, and very unusual ones. names: what the ingredient
    is printed as and its food's name; group: its food group in the table, "" where it is not known.
    """
    names, found = tuple(names), []
    for key, figure in stated.figures.items():
        least = figure.low * 100 / stated.grams[2]
        limit = ceiling(key, names) or _weight(key)
        digit = 0.0 if key in _substances() else figure.digit * 100 / stated.grams[2]
        if limit and least - digit > limit.most:
            found.append(_impossible(stated, key, figure, limit, name))
        elif not (limit and _named(key, names)) and (highest := _unusual(key, least, group)):
            slip = _slip(stated, key, figure, highest.most)
            among = {
                "count": highest.count,
                "group": highest.group,
                "most": amount(key, highest.most),
                "food": highest.food,
                "slip": slip,
            }
            alone, in_group = (
                ("figure-unusual.slip", "figure-unusual.slip-in-group")
                if slip
                else ("figure-unusual", "figure-unusual.in-group")
            )
            wording = in_group if highest.group else alone
            found.append(
                find(wording, figure.where, path=figure.path, **_given(stated, key, figure, name), **among)
            )
    return found


def _weight(key: str) -> Ceiling:
    """What nothing else bounds weighs no more than its food. Asked of the figure as it is typed, for what is
    laid over a food is first cut to what fits into it.
    """
    most = (100.0 + limits()["sum_slack"]["value"]) / _GRAMS[UNITS[key]]
    return Ceiling(most, "100 g of a food weigh 100 g")


def _given(stated: Stated, key: str, figure: Figure, name: str) -> dict[str, object]:
    return {
        "ingredient": name,
        "figure": figure.shown,
        "grams": stated.grams[1],
        "given": amount(key, figure.value * 100 / stated.grams[1]),
    }


def _impossible(stated: Stated, key: str, figure: Figure, limit: Ceiling, name: str) -> Finding:
    richest = _richest(key)
    slip = _slip(stated, key, figure, richest.most if richest else limit.most)
    rows = [s for s in _substances().get(key, []) if s.words]
    pure = rows and figure.value * 100 / stated.grams[1] <= max(s.most for s in rows) / _GRAMS[UNITS[key]]
    alone, or_pure = (
        ("figure-impossible.slip", "figure-impossible.slip-or-pure")
        if slip
        else ("figure-impossible", "figure-impossible.pure")
    )
    wording = or_pure if pure else alone
    told = {"because": limit.because, "slip": slip, "example": rows[0].name if rows else ""}
    return find(wording, figure.where, path=figure.path, **_given(stated, key, figure, name), **told)


def _slip(stated: Stated, key: str, figure: Figure, usual: float) -> str:
    """The likeliest slip that brings a figure down to what is usual, or ""."""
    given = figure.value * 100 / stated.grams[1]
    unit = _UNIT.search(figure.shown.lower())
    if key == "ENERC":
        return "kJ typed as kcal" if given / limits()["kilojoules"]["value"] <= usual else ""
    if stated.grams[1] < 100 and figure.value <= usual:
        return f"a figure for 100 g typed for {stated.grams[1]:g} g"
    if unit and unit[1] in _SMALLER and given / 1000 <= usual:
        return f"{_SMALLER[unit[1]]} typed as {unit[1]}"
    return "mg/kg typed as mg per 100 g" if stated.grams[1] == 100 and given / 10 <= usual else ""


def _unusual(key: str, given: float, group: str) -> Highest | None:
    """The highest figure of the food's group, or of all foods, where a figure lies far above it."""
    of_group, of_all = (open_dataset().highest(key, g) for g in (group, ""))
    if (
        group
        and of_group
        and of_group.count >= limits()["least_group"]["value"]
        and given > max(of_group.most * limits()["times_group"]["value"], _least(key))
    ):
        return of_group
    return (
        of_all
        if of_all and given > max(of_all.most * (1 + limits()["ceiling_slack"]["value"]), _least(key))
        else None
    )


def _least(key: str) -> float:
    """Figures below this are never unusual: a thousandth of the richest food's."""
    richest = _richest(key)
    return richest.most / 1000 if richest else 0.0


def _richest(key: str) -> Highest | None:
    given = max((s.richest for s in _substances().get(key, [])), default=0.0)
    if given:
        return Highest(given / _GRAMS[UNITS[key]], "from memory", "", 0)
    return open_dataset().highest(key, "")


def _named(key: str, names: Iterable[str]) -> bool:
    return any(s.words and _is(s.words, name) for s in _substances().get(key, []) for name in names)


def _is(words: frozenset[str], name: str) -> bool:
    """Whether a name is made of a substance's words and nothing that names a food."""
    premix, beside = (s.words for s in _substances()["*"])
    said = set(re.findall(r"[^\W\d_]+\d*", name.lower()))
    return bool(said & (words | premix)) and said <= words | premix | beside


def amount(key: str, value: float) -> str:
    """An amount in the key's unit as a maker reads it: "123.6 mg", "1.2 g"."""
    unit = UNITS[key]
    while unit in ("mg", "ug") and value >= 1000:
        unit, value = {"mg": "g", "ug": "mg"}[unit], value / 1000
    return f"{value:.4g} {unit.replace('ug', 'mcg')}" if value < 10000 else f"{value:.0f} {unit}"
