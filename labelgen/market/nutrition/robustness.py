"""Whether a declared figure would stand wherever the truth lies in its interval, and what to measure if
not.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from labelgen.formulation.batch_records import Amounts, NutrientProfile
from labelgen.law.figure_tables import Nutrient
from labelgen.law.pack import Pack
from labelgen.law.rounding import declare_amount, row_unit
from labelgen.market.declaration_records import Column, Row
from labelgen.market.nutrition.energy import count_energy, energy_method
from labelgen.market.nutrition.panel_rows import declare_rows, row_figures
from labelgen.nutrients import ENERGY

#: An interval narrower than this share of the widest one settles nothing.
_WORTH_MEASURING = 0.005


@dataclass(frozen=True)
class Doubt:
    """One row that could print differently. least, most: what it would print at the ends of its interval,
    "" where there is no end. measure: (ingredient, share 0..1 of the doubt), the largest share first, as
    many as would settle the row if each measured as it is taken now. weigh: formulations whose loss is
    estimated and adds to the doubt.
    """

    row: Row
    least: str
    most: str
    measure: tuple[tuple[str, float], ...]
    weigh: tuple[str, ...]


def find_doubts(pack: Pack, column: Column, profile: NutrientProfile) -> tuple[Doubt, ...]:
    """Every row of a panel's column whose declared text could be another one."""
    return tuple(_doubt(pack, row, column, profile) for row in column.rows if not row.robust)


def _doubt(pack: Pack, row: Row, column: Column, profile: NutrientProfile) -> Doubt:
    entry = pack.entry(Nutrient, row.key)
    widths: dict[str, float] = {}
    endless: dict[str, float] = {}
    for item in profile.ingoing:
        low, high = _ends(pack, entry, item.amounts, profile.pack)
        name = item.ingredient.name
        if math.isfinite(high):
            widths[name] = widths.get(name, 0.0) + max(0.0, high - low)
        else:
            endless[name] = endless.get(name, 0.0) + item.grams
    shares = endless or widths
    total = sum(shares.values())
    ranked = sorted(
        ((n, w / total) for n, w in shares.items() if total and w >= _WORTH_MEASURING * total),
        key=lambda pair: (-pair[1], pair[0]),
    )
    measure = _enough(pack, entry, column.grams, profile, ranked)
    whole = profile.weighed(profile.pack.grams) if column.per == "100g" else profile.pack
    low, high = _ends(pack, entry, whole, profile.pack)
    by_weight = (
        not endless and math.isfinite(high) and high - low > (1 + _WORTH_MEASURING) * sum(widths.values())
    )
    weigh = tuple(s.formulation for s in profile.stages if s.how == "estimated") if by_weight else ()
    ends = ("" if x is None else declare_amount(pack, entry.rule, x).text for x in (row.low, row.high))
    return Doubt(row, *ends, measure, weigh)


def _ends(pack: Pack, entry: Nutrient, amounts: Amounts, whole: Amounts) -> tuple[float, float]:
    """The least and the most of a row in some amounts, energy by the method that the whole food calls for."""
    if entry.tag != ENERGY:
        low, _, high = row_figures(pack, entry, amounts)[0]
        return low, high
    method = energy_method(pack, whole, row_unit(pack, entry))
    while method.of:
        method = energy_method(pack, whole, method.of)
    energy = count_energy(method, amounts)
    return energy.low, energy.high


def _enough(
    pack: Pack, entry: Nutrient, grams: float, profile: NutrientProfile, ranked: list[tuple[str, float]]
) -> tuple[tuple[str, float], ...]:
    """The first of the ingredients that settle the row together; all of them if not even those do."""
    low, high, covered = (a.copy() for a in (profile.pack.low, profile.pack.high, profile.pack.covered))
    for count, (name, _) in enumerate(ranked, 1):
        for item in profile.ingoing:
            if item.ingredient.name == name:
                known = np.nan_to_num(item.amounts.value)
                with np.errstate(invalid="ignore"):
                    low, high = (
                        low - item.amounts.low + known,
                        np.where(np.isinf(item.amounts.high), np.inf, high - item.amounts.high + known),
                    )
        # an unknown that is measured counts as the nothing it is taken as now
        value = np.nan_to_num(profile.pack.value)
        amounts = Amounts(
            profile.pack.grams,
            np.minimum(low, value),
            value,
            np.where(np.isinf(high), value, np.maximum(high, value)),
            covered,
        )
        if declare_rows(pack, (entry,), amounts.per(grams))[0].robust:
            return tuple(ranked[:count])
    return tuple(ranked)
