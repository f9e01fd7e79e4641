"""A supplier's panel as printed -> the amounts that may lie behind each figure, by the rules of the market it was made for.

What a market's words mean (its carbohydrate, its folate, its salt) is settled here, from the same table that prints its rows.
"""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal

from labelgen.composition.records import Figure, Stated
from labelgen.errors import CompositionError, Finding, RuleError, UnitError
from labelgen.market.pack import Entry, Pack, read_pack
from labelgen.market.registry import market_named
from labelgen.market.rounding import in_unit, interval, percent_interval
from labelgen.nutrients import UNITS, key_of
from labelgen.quantity import read_number
from labelgen.recipe.models import Kitchen, PanelText, Printed

_PERCENT = re.compile(r"\(?\s*((?:<|less than)?\s*\d+(?:\.\d+)?)\s*%[^,;/()]*\)?", re.IGNORECASE)
_INSIGNIFICANT = re.compile(r"(not (a )?significant|insignificant)", re.IGNORECASE)
_TRACE = re.compile(r"traces?|tr\.?", re.IGNORECASE)


def read_panels(kitchen: Kitchen, on: date | None = None) -> dict[str, Stated]:
    """What each supplier's panel in the kitchen states, by ingredient, read by the rules of a date (default: today)."""
    return {name: read_panel(name, spec.panel, on or date.today()) for name, spec in kitchen.ingredients.items() if spec.panel}


def read_panel(name: str, panel: PanelText, on: date) -> Stated:
    """One panel of the ingredient ``name``; what cannot be read stands in ``findings``."""
    try:
        pack = read_pack(panel.market, on)
        pack.entries("nutrients"), pack.entries("rounding")
    except RuleError as error:
        return Stated(findings=(Finding("panel-market", "block", panel.where, f"{name}: panel: {error}"),))
    found: list[Finding] = []
    grams = _serving(name, pack, panel, found)
    figures: dict[str, Figure] = {}
    off: dict[str, tuple] = {}
    for printed in panel.figures.values():
        try:
            key, row, rule = _meaning(pack, printed.name)
        except CompositionError as error:
            found.append(Finding("nutrient-unknown", "block", printed.where, f"{name}: panel: {error}: remove it or use the panel's own word"))
            continue
        try:
            low, value, high = _amount(name, pack, printed, key, row, rule, found)
        except (RuleError, UnitError) as error:
            found.append(Finding("panel-figure", "block", printed.where, f"{name}: {printed.name}: {error}"))
            continue
        if key in figures:
            low, high = max(low, figures[key].low), min(high, figures[key].high)
            if low > high:
                found.append(Finding("panel-twice", "block", printed.where, f"{name}: {printed.name} {printed.text} and {figures[key].shown} are the same nutrient and cannot both be true: keep the one on the packet"))
                continue
            value = min(max(value, low), high)
        figures[key] = Figure(low, value, high, f"{printed.name} {printed.text}", printed.where)
        if row is not None and row.get("less") and key == row["tag"]:
            off[key] = row["less"]
    for key, parts in off.items():
        figures[key] = _with_parts(figures, key, parts)
    return Stated(figures, grams, f"supplier's panel ({pack.market})", tuple(found)) if grams else Stated(findings=tuple(found))


def _serving(name: str, pack: Pack, panel: PanelText, found: list[Finding]) -> tuple[float, float, float] | None:
    """(least, printed, most) grams the figures are for."""
    whole = market_named(pack.market).basis == "100g"
    if panel.serving is None:
        if whole:
            return 100.0, 100.0, 100.0
        found.append(Finding("panel-serving", "block", panel.where, f"{name}: panel: lacks its serving: add for example 'serving: 30 g' as the packet prints it"))
        return None
    grams = panel.serving.grams
    if whole and grams == 100:
        return 100.0, 100.0, 100.0
    number, unit = read_number(panel.serving.text)
    if unit.split()[:1] == ["g"] and pack.find("rounding", "serving_metric"):
        try:
            low, high = interval(pack, "serving_metric", f"{number:g} g")
            return float(low), grams, float(high)
        except RuleError:
            pass
    half = grams * float(_half_digit(panel.serving.text)) / number if unit.split()[:1] == ["g"] else 0.5
    return max(0.9 * grams, grams - half), grams, min(1.1 * grams, grams + half)


def _meaning(pack: Pack, word: str) -> tuple[str, Entry | None, str]:
    """(nutrient key, the market's row or None, its rounding rule or "") of a panel's word."""
    plain = " ".join(word.replace("_", " ").split()).casefold()
    rows = pack.entries("nutrients")
    for row in rows:
        if plain in (row.key.replace("_", " "), row["label"].replace("{amount} ", "").casefold()):
            return row["tag"], row, row["rule"]
    key = key_of(word)
    for row in rows:
        if row["tag"] == key or key in row.get("single", {}):
            return key, row, row["rule"]
    return key, None, ""


def _amount(name: str, pack: Pack, printed: Printed, key: str, row: Entry | None, rule: str, found: list[Finding]) -> tuple[float, float, float]:
    """(low, value, high) in the key's unit of what is printed: an amount, a percent of the daily value, or both."""
    spans = []
    percent = _PERCENT.search(printed.text)
    amount = _PERCENT.sub("", printed.text).strip(" ,;")
    if percent and row is not None and row.get("percent"):
        unit = pack.entry("daily_values", row.key)["unit"]
        low, high = percent_interval(pack, row.key, rule, f"{percent[1].strip()}%")
        spans.append(tuple(float(in_unit(x, unit, _unit(key))) for x in (low, high)))
    elif percent and not amount:
        raise RuleError(f"{printed.text!r} is a percentage, but the panel gives none for it: write the amount")
    for text in filter(None, re.split(r"\s*/\s*|\s*\(\s*|\)", amount)):
        spans.append(_span(name, pack, printed, text, key, row, rule, found))
    low, high = max(s[0] for s in spans), min(s[1] for s in spans)
    if low > high:
        raise RuleError(f"{printed.text!r}: its amount and its percentage cannot both be true: compare them with the packet")
    given = next((s[2] for s in reversed(spans) if len(s) == 3 and s[2] is not None), (low + high) / 2)
    return low, min(max(given, low), high), high


def _span(name: str, pack: Pack, printed: Printed, text: str, key: str, row: Entry | None, rule: str, found: list[Finding]) -> tuple[float, float, float | None]:
    """(low, high, printed figure or None) of one amount, in the key's unit."""
    if not row:
        number, unit = read_number(text)
        value, half = (float(in_unit(x, unit, _unit(key))) for x in (number, _half_digit(text)))
        return max(0.0, value - half), value + half, value
    unit = pack.entry("rounding", rule)["unit"]
    if _TRACE.fullmatch(text):
        return 0.0, _own(pack.entry("rounding", rule)["bands"][0].get("below", 0), unit, key), 0.0
    if _INSIGNIFICANT.match(text):
        return 0.0, _insignificant(pack, row, rule, key), 0.0
    if UNITS[key] == "kcal" and text.lower().rstrip(" .").endswith("kj"):
        number, half = read_number(text)[0], _half_digit(text)
        return (number - float(half)) / 4.184, (number + float(half)) / 4.184, number / 4.184
    try:
        low, high = (_own(x, unit, key) for x in interval(pack, rule, text))
    except RuleError:
        if not text[:1].isdigit():
            raise
        number, given = read_number(text)
        value, half = (_own(in_unit(x, given, unit), unit, key) for x in (number, _half_digit(text)))
        low, high = max(0.0, value - half), value + half
        if row["group"] != "micro":
            found.append(Finding("panel-figure", "warn", printed.where, f"{name}: {printed.name} {printed.text}: a panel of market {pack.market!r} never prints this figure, so it is taken as exact to its last digit: compare it with the packet; a figure from a specification sheet belongs under 'nutrients:'", row.source))
        return low, high, value
    return low, high, _own(in_unit(*read_number(text), unit), unit, key) if text[:1].isdigit() else None


def _insignificant(pack: Pack, row: Entry, rule: str, key: str) -> float:
    """The most an amount may be that a panel calls not significant."""
    if "omit_below" in row.values:
        return _own(row["omit_below"], pack.entry("rounding", rule)["unit"], key)
    if "omit_below_percent" in row.values:
        whole = pack.entry("daily_values", row.key)
        return _own(row["omit_below_percent"] * whole["amount"] / 100, whole["unit"], key)
    raise RuleError("cannot be left out as not significant: write the amount the packet prints")


def _with_parts(figures: dict[str, Figure], key: str, parts) -> Figure:
    """A row that leaves parts out, as the whole with them: an unstated part could be anything up to the room there is."""
    figure = figures[key]
    low, value, high = figure.low, figure.value, figure.high
    for part in parts:
        if part in figures:
            low, value, high = low + figures[part].low, value + figures[part].value, high + figures[part].high
        else:
            high = float("inf")
    return Figure(low, value, high, figure.shown, figure.where)


def _half_digit(text: str) -> Decimal:
    """Half of the last digit of the number a text starts with."""
    digits = re.match(r"\d+(?:\.(\d+))?", text.strip())
    return Decimal(5).scaleb(-len(digits[1] or "") - 1) if digits else Decimal(0)


def _unit(key: str) -> str:
    return UNITS[key].replace("ug", "mcg")


def _own(amount, unit: str, key: str) -> float:
    return float(in_unit(amount, unit, _unit(key)))
