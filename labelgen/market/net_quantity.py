"""Net quantity, never above what is in the pack: metric, or customary and metric where the market wants
both.
"""

from __future__ import annotations

from decimal import ROUND_FLOOR, Decimal

from labelgen.law.label_tables import NetQuantity
from labelgen.law.pack import Pack
from labelgen.law.rounding import clean, plain, with_decimal_mark


def declare_net_quantity(pack: Pack, grams: float) -> str:
    """``180 g``. United States (21 CFR 101.7, 15 USC 1453): ``Net Wt 6.3 oz (180g)``; from a pound up ``Net
    Wt 24 oz (1 lb 8 oz) 680g``; from four pounds ``Net Wt 4 lb 6.5 oz (2kg)``.

    grams: contents without wrapping. Every figure is rounded down, the metric one to three significant
    digits.
    """
    words, metric = _words(pack, "words", ""), metric_quantity(pack, grams)
    if not pack.find(NetQuantity, "ounce"):
        return f"{words} {metric}".strip()
    exact = clean(grams) / pack.value(NetQuantity, "ounce")
    ounces = _down(exact, _ounce_decimals(pack, exact))
    pound = pack.value(NetQuantity, "pound")
    if ounces < pound:
        return f"{words} {plain(ounces)} oz ({metric})"
    pounds, rest = divmod(ounces, pound)
    in_pounds = f"{plain(pounds)} lb" + (f" {plain(rest)} oz" if rest else "")
    if pounds < pack.value(NetQuantity, "pounds_first_from"):
        return f"{words} {plain(ounces)} oz ({in_pounds}) {metric}"
    return f"{words} {in_pounds} ({metric})"


def declare_volume(pack: Pack, millilitres: float) -> str:
    """``250 ml``. United States (21 CFR 101.7(j)): ``Net 8.4 fl oz (250 mL)``; from a pint up ``Net 24 fl
    oz (1 pt 8 fl oz) 709 mL``; from a gallon the largest whole units first. millilitres: contents at the
    temperature they are sold at.
    """
    metric = _metric(pack, clean(millilitres), "millilitre", "litre", "litre_from")
    words = _words(pack, "words_volume", _words(pack, "words", ""))
    if not pack.find(NetQuantity, "fluid_ounce"):
        return f"{words} {metric}".strip()
    exact = clean(millilitres) / pack.value(NetQuantity, "fluid_ounce")
    ounces = _down(exact, _ounce_decimals(pack, exact))
    if ounces < pack.value(NetQuantity, "pint"):
        return f"{words} {plain(ounces)} fl oz ({metric})"
    large, rest = [], ounces
    for unit in ("gallon", "quart", "pint"):
        count, rest = divmod(rest, pack.value(NetQuantity, unit))
        large += [f"{plain(count)} {pack.text(NetQuantity, unit)}"] if count else []
    in_large = " ".join((*large, *([f"{plain(rest)} fl oz"] if rest else [])))
    if ounces < pack.value(NetQuantity, "gallon"):
        return f"{words} {plain(ounces)} fl oz ({in_large}) {metric}"
    return f"{words} {in_large} ({metric})"


def metric_quantity(pack: Pack, grams: float) -> str:
    """``45.6g``, ``180g``, ``1.2kg``: rounded down to the market's significant digits, with the market's
    unit words and the language's decimal mark.
    """
    return _metric(pack, clean(grams), "gram", "kilogram", "kilogram_from")


def _metric(pack: Pack, exact: Decimal, small: str, large: str, from_here: str) -> str:
    unit = _words(pack, small, "g")
    if exact <= 0:
        return f"0{unit}"
    digits, decimals = (
        int(pack.value(NetQuantity, "metric_digits")),
        int(pack.value(NetQuantity, "metric_decimals")),
    )
    if exact >= pack.value(NetQuantity, from_here):
        exact, unit, decimals = exact / 1000, _words(pack, large, "kg"), digits
    figure = plain(_down(exact, min(digits - 1 - exact.adjusted(), decimals)))
    return f"{with_decimal_mark(pack, figure)}{unit}"


def _ounce_decimals(pack: Pack, ounces: Decimal) -> int:
    return int(pack.value(NetQuantity, "ounce_decimals" if ounces >= 1 else "ounce_decimals_below_one"))


def _words(pack: Pack, key: str, otherwise: str) -> str:
    found = pack.find(NetQuantity, key)
    return found.text if found else otherwise


def _down(x: Decimal, places: int) -> Decimal:
    return x.quantize(Decimal(1).scaleb(-places), ROUND_FLOOR)
