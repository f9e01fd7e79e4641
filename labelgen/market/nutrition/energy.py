"""The energy of a food by a market's named lawful methods, from the unrounded macronutrients of the finished
food.

Each unit (kcal, kJ) has factors of its own, unless the market works one unit out from the other.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from labelgen.composition.bounds import AVAILABLE, BOUNDED
from labelgen.formulation.batch_records import Amounts
from labelgen.law.figure_tables import EnergyMethod
from labelgen.law.pack import Pack

#: Below this nothing is present [g in the amounts looked at]: less than any balance shows.
_NOTHING = 1e-9
#: Keys whose lack leaves the energy unknown, where the method has a factor for them.
_NEEDED = ("FAT", "CHOCDF", "CHOAVLDF", "PROCNT", "FIBTG")


@dataclass(frozen=True)
class Energy:
    """The energy of an amount of food by one method [unit of the method], its bounds, and the fraction of
    the mass whose macronutrients are known.
    """

    low: float
    value: float
    high: float
    covered: float
    method: EnergyMethod

    @property
    def figures(self) -> tuple[float, float, float]:
        return self.low, self.value, self.high


def energy_methods(pack: Pack, unit: str = "") -> list[EnergyMethod]:
    """The methods of a unit, the default first; of the table's first unit where none is given."""
    every = pack.entries(EnergyMethod)
    return [m for m in every if m.unit == (unit or every[0].unit)]


def energy_method(pack: Pack, amounts: Amounts, unit: str = "") -> EnergyMethod:
    """The default method, or a later one of the unit that the food's special carbohydrates call for."""
    default, *others = energy_methods(pack, unit)
    return next((m for m in others if any(amounts.get(k)[1] > _NOTHING for k in m.when_present)), default)


def energy_of(pack: Pack, amounts: Amounts, unit: str = "") -> Energy:
    """The energy of an amount of food in a unit, by the method the food calls for."""
    method = energy_method(pack, amounts, unit)
    if not method.of:
        return count_energy(method, amounts)
    other = energy_of(pack, amounts, method.of)
    k = float(method.times) / float(method.divided_by)
    return Energy(other.low * k, other.value * k, other.high * k, other.covered, method)


def count_energy(method: EnergyMethod, amounts: Amounts) -> Energy:
    """Energy of ``amounts`` by a method of factors. Each bound takes the worst of every figure it rests
    on.
    """
    low, value, high = (_count(method, amounts, end) for end in (0, 1, 2))
    factors = method.factors
    # beside a carbohydrate that leaves the fibre out, fibre that nobody states adds its doubt and hides no
    # energy
    covered = min(
        amounts.coverage(k) for k in _NEEDED if k in factors and not (k == "FIBTG" and AVAILABLE in factors)
    )
    return Energy(low, value if covered > 0 else math.nan, high, covered, method)


def _count(method: EnergyMethod, amounts: Amounts, end: int) -> float:
    """end: 0 the least, 1 the best, 2 the most energy."""
    less = method.less
    total = 0.0
    for key, factor in method.factors.items():
        if factor:
            # what is taken off must be as large as possible for the least energy, and the other way round
            off = sum(_amount(method, amounts, part, 2 - end) for part in less.get(key, ()))
            total += float(factor) * max(0.0, _amount(method, amounts, key, end) - off)
    return total


def _amount(method: EnergyMethod, amounts: Amounts, key: str, end: int) -> float:
    figure = amounts.get(key)[end if key in BOUNDED else 1]
    whole = method.cautious.get(key)
    if whole and end == 1 and amounts.coverage(key) < 1:
        figure = min(amounts.get(key)[2], amounts.get(whole)[1])
    return 0.0 if math.isnan(figure) else figure
