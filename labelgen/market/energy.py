"""A label's calories by a named lawful method, from the macronutrients of the finished food."""

from __future__ import annotations

import math

from labelgen.formulation.records import Amounts
from labelgen.market.pack import Entry, Pack

#: Presence of any of these makes the method that takes non-digestible carbohydrate off the better one.
_SPECIAL = ("POLYL", "ALLULOSE", "POLYDEXTROSE", "FIBSOL")


def energy_method(pack: Pack, amounts: Amounts) -> Entry:
    """Method B, or C with F when polyols, allulose or stated soluble fibre are in the food."""
    special = any(amounts.get(k)[1] > 1e-9 for k in _SPECIAL)
    return pack.entry("energy", "C" if special else "B")


def energy(entry: Entry, amounts: Amounts) -> tuple[float, float, float]:
    """(low, value, high) kcal in ``amounts``. Soluble fibre that nobody stated counts from nothing to all of the
    fibre; the value takes it as all of the fibre, the cautious reading."""
    factors = {k: float(v) for k, v in entry["factors"].items()}
    less = {k: float(v) for k, v in (entry.get("less") or {}).items()}
    fibre = amounts.get("FIBTG")
    figures = []
    for end in (0, 1, 2):
        def of(key: str) -> float:
            x = amounts.get(key)[end]
            if key == "FIBSOL" and (math.isnan(x) or amounts.coverage(key) < 1):
                return 0.0 if end == 0 else fibre[end]
            return x

        total = 0.0
        for key, factor in factors.items():
            if not factor:
                continue
            x = of(key)
            if key == "CHOCDF":
                x = max(0.0, x - sum(k * amounts.get(part)[2 - end] for part, k in less.items() if not math.isnan(amounts.get(part)[2 - end]) and math.isfinite(amounts.get(part)[2 - end])))
            total += factor * (0.0 if math.isnan(x) else x)
        figures.append(total)
    return figures[0], figures[1], figures[2]
