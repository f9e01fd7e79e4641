"""Net quantity in ounces and grams, never above what is in the pack (21 CFR 101.7)."""

from __future__ import annotations

import math

from labelgen.market.pack import Pack


def declare_net_quantity(pack: Pack, grams: float) -> str:
    """``Net Wt 6.3 oz (180g)``; from a pound up ``Net Wt 24 oz (1 lb 8 oz) 680g``. Both figures are rounded down."""
    ounces = _down(grams / float(pack.value("net_quantity", "ounce")), 1)
    limit = float(pack.value("net_quantity", "pound_from"))
    metric = f"{_down(grams, 0):g}g" if grams >= 100 else f"{_down(grams, 1):g}g"
    words = pack.text("net_quantity", "words")
    if ounces < limit:
        return f"{words} {ounces:g} oz ({metric})"
    pounds = int(ounces // limit)
    rest = _down(ounces - pounds * limit, 1)
    return f"{words} {ounces:g} oz ({pounds} lb{f' {rest:g} oz' if rest else ''}) {metric}"


def _down(x: float, places: int) -> float:
    k = 10**places
    return math.floor(x * k + 1e-9) / k
