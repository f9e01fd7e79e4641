"""When a food counts as free of a nutrient, so that its row may be declared as 0 where it would not round to
it.

An entry's ``free``: ``rule`` (the rounding rule then), ``below`` (key -> the figure its amount stays below)
and ``low_saturates`` (saturated and trans fat together: at most ``grams``, and at most ``energy_share`` of
the energy at ``kcal_per_gram``). The amount looked at is the serving or the reference amount, whichever is
larger.
"""

from __future__ import annotations

from labelgen.formulation.batch_records import Amounts
from labelgen.law.figure_tables import Free, Nutrient
from labelgen.law.pack import Pack
from labelgen.market.nutrition.energy import energy_of


def rule_of(pack: Pack, entry: Nutrient, judged: Amounts) -> str:
    """The rounding rule of a row: its own, or the one of a food that is free of the nutrient. Unknown is
    not free.
    """
    free = entry.free
    return free.rule if free and _is_free(pack, free, judged) else entry.rule


def _is_free(pack: Pack, free: Free, judged: Amounts) -> bool:
    for key, limit in free.below.items():
        most = energy_of(pack, judged, "kcal").high if key == "ENERC" else judged.get(key)[2]
        if not most < float(limit):
            return False
    low = free.low_saturates
    if not low:
        return True
    most, energy = judged.get("FASAT")[2] + judged.get("FATRN")[2], energy_of(pack, judged, "kcal").low
    return most <= float(low.grams) and most * float(low.kcal_per_gram) <= float(low.energy_share) * energy
