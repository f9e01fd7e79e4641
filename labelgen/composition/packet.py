"""A supplier's packet: its panel as printed -> the amounts that may lie behind each figure, by the market it
was made for.

What a market's words mean (its carbohydrate, its folate, its salt) is settled here, from the same table that
prints its rows.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from decimal import Decimal
from functools import cache

from labelgen.composition.basis import half_digit, in_one_column, of_panel, serving_of
from labelgen.composition.bounds import AVAILABLE, BOUNDED, PARTS, exceeds, limits
from labelgen.composition.carbohydrate import is_plain
from labelgen.composition.ingredient_records import Figure, Portion, Stated
from labelgen.composition.overlay import part_exceeds
from labelgen.errors import CompositionError, Finding, RuleError, UnitError
from labelgen.findings import find
from labelgen.law.figure_tables import ColumnRule, DailyValue, Nutrient, OlderDailyValue, Rounding
from labelgen.law.pack import Pack, read_pack
from labelgen.law.rounding import in_unit, interval, percent_interval, row_unit
from labelgen.nutrients import COMPOUNDS, ENERGY, UNITS, compound_of, key_of, plain_name
from labelgen.quantity import read_number
from labelgen.recipe.models import PanelText, Printed
from labelgen.wordlists import any_of

_PERCENT = re.compile(
    rf"\(?\s*((?:<|{any_of('figure.below')})?\s*\d+(?:\.\d+)?)\s*%[^,;/()]*\)?", re.IGNORECASE
)
_INSIGNIFICANT = re.compile(any_of("figure.insignificant"), re.IGNORECASE)
_LESS = re.compile(rf"(?:<=?|≤|{any_of('figure.less_than')})\s*(?=\d)", re.IGNORECASE)
_TRACE = re.compile(any_of("figure.trace"), re.IGNORECASE)
#: The daily values of an older form of the panel, in markets that had one.
OLDER = OlderDailyValue


def carbohydrate_of(markets: Sequence[str], on: date) -> str:
    """What "carbohydrate" means in markets on a date: CHOCDF with the fibre, CHOAVLDF without, "" where
    they differ.
    """
    without = {_leaves_out_fibre(code, on) for code in markets}
    return "" if len(without) > 1 else AVAILABLE if True in without else "CHOCDF"


def _leaves_out_fibre(code: str, on: date) -> bool:
    try:
        return _meaning(read_pack(code, on), "carbohydrate")[0] == "CHOAVLDF"
    except RuleError:  # told elsewhere
        return False


def read_panel(
    name: str, panel: PanelText, on: date, portions: Sequence[Portion] = (), country: str = "us"
) -> Stated:
    """One panel of the ingredient ``name``; what cannot be read stands in ``findings``. portions: what its
    measures weigh.
    """
    try:
        pack = read_pack(panel.market, on)
        for table in (Nutrient, Rounding, ColumnRule):
            pack.entries(table)
    except RuleError as error:
        return Stated(
            findings=(
                find("panel-market", panel.where, **of_panel(name), market=panel.market, fault=str(error)),
            )
        )
    found: list[Finding] = []
    if not panel.figures:
        found.append(find("panel-figure.none", panel.where, **of_panel(name)))
    panel = in_one_column(name, pack, panel, found)
    grams = serving_of(name, pack, panel, portions, country, found)
    figures, off, unread = _figures(name, pack, panel, DailyValue)
    if pack.has(OLDER) and (panel.older or any(f.blocks for f in unread)):
        older = _figures(name, pack, panel, OLDER)
        if panel.older or len(older[2]) < len(unread):
            figures, off, unread = older
    found += unread
    for key, parts in off.items():
        found += _check_within(name, figures, key, parts, grams)
        figures[key] = _with_parts(figures, key, parts)
    return (
        Stated(figures, grams, f"supplier's panel ({pack.market})", tuple(found))
        if grams
        else Stated(findings=tuple(found))
    )


def _figures(
    name: str, pack: Pack, panel: PanelText, values: type[DailyValue]
) -> tuple[dict[str, Figure], dict[str, tuple], list[Finding]]:
    """(figures, those whose row leaves parts out with the parts, faults) of a panel. values: the table of
    daily values its percentages are of.
    """
    found: list[Finding] = []
    figures: dict[str, Figure] = {}
    off: dict[str, tuple] = {}
    for printed in panel.figures.values():
        try:
            key, row = _meaning(pack, printed.name)
        except CompositionError as error:
            found.append(
                find(
                    "nutrient-unknown.of-panel",
                    printed.where,
                    **of_panel(name, printed.name),
                    fault=str(error),
                )
            )
            continue
        alone = values == OLDER and row is not None and _PERCENT.fullmatch(printed.text)
        if alone and not pack.find(values, row.key):
            continue  # of a whole that was in another unit, which tells no amount
        try:
            low, value, high = _amount(name, pack, printed, key, row, values, found)
        except (RuleError, UnitError) as error:
            found.append(
                find(
                    "panel-figure",
                    printed.where,
                    **of_panel(name, printed.name),
                    name=printed.name,
                    fault=str(error),
                )
            )
            continue
        if row is None and (compound := compound_of(printed.name)):
            low, value, high = (x / COMPOUNDS[compound][1] for x in (low, value, high))
        if key in figures:
            low, high = max(low, figures[key].low), min(high, figures[key].high)
            if low > high:
                told = {"figure": f"{printed.name} {printed.text}", "other": figures[key].shown}
                found.append(find("panel-twice", printed.where, **of_panel(name, printed.name), **told))
                continue
            value = min(max(value, low), high)
        figures[key] = Figure(
            low,
            value,
            high,
            f"{printed.name} {printed.text}",
            printed.where,
            path=f"ingredients.{name}.panel.{printed.name}",
        )
        if row is not None and row.less and key == row.tag:
            off[key] = row.less
    return figures, off, found


def _meaning(pack: Pack, word: str) -> tuple[str, Nutrient | None]:
    """(nutrient key, the market's row for it or None) of a panel's word."""
    words, tags = _words(pack)
    row = words.get(plain_name(word)) or words.get(compound_of(word))
    if row is None and is_plain(word):
        row = words.get("carbohydrate") or tags.get("CHOCDF")
    if row is not None:
        return row.tag, row
    key = key_of(word)
    row = tags.get(key)
    # "sodium" on a panel whose row is salt is the metal itself, and salt no figure of a row of sodium
    return key, None if row is not None and (row.times != 1 or compound_of(word)) else row


@cache
def _words(pack: Pack) -> tuple[dict[str, Nutrient], dict[str, Nutrient]]:
    """The market's rows by each word for them, and by each key they may stand for."""
    words: dict[str, Nutrient] = {}
    tags: dict[str, Nutrient] = {}
    for row in pack.entries(Nutrient):
        if row.spans:
            continue
        for label in (
            row.key,
            row.label,
            *(row.worded(language).label for language in row.worded_in),
        ):
            words.setdefault(plain_name(label.replace("{amount}", "")), row)
        for key in (row.tag, *row.single):
            tags.setdefault(key, row)
    return words, tags


def _amount(
    name: str,
    pack: Pack,
    printed: Printed,
    key: str,
    row: Nutrient | None,
    values: type[DailyValue],
    found: list[Finding],
) -> tuple[float, float, float]:
    """(low, value, high) in the key's unit of what is printed: an amount, a percent of the daily value, or
    both.
    """
    spans = []
    percent = _PERCENT.search(printed.text)
    amount = _PERCENT.sub("", printed.text).strip(" ,;")
    of = bool(percent and row is not None and row.percent)
    if of and not (amount and not pack.find(values, row.key)):
        unit = pack.entry(values, row.key).unit
        low, high = (
            _own(x, unit, key, row)
            for x in percent_interval(pack, row.key, row.rule, f"{percent[1].strip()}%", values)
        )
        spans.append((low, None, high))
    elif percent and not of and not amount:
        raise RuleError(
            f"{printed.text!r} is a percentage, but the panel gives none for it: write the amount"
        )
    for text in filter(None, re.split(r"\s*/\s*|\s*\(\s*|\)", amount)):
        spans.append(_span(name, pack, printed, text, key, row, found))
    if not spans:
        raise RuleError("has no figure: write what the packet prints, for example '7 g'")
    low, high = max(s[0] for s in spans), min(s[2] for s in spans)
    # the upper end of a rounded figure is no part of its interval
    if low > high or (low == high and any(s[0] < s[2] for s in spans)):
        raise RuleError(f"{printed.text!r}: its figures cannot all be true: compare them with the packet")
    given = next((s[1] for s in reversed(spans) if s[1] is not None), (low + high) / 2)
    return low, min(max(given, low), high), high


def _span(
    name: str, pack: Pack, printed: Printed, text: str, key: str, row: Nutrient | None, found: list[Finding]
) -> tuple[float, float | None, float]:
    """(low, printed figure or None, high) of one amount, in the key's unit."""
    if key == ENERGY:
        return _energy(pack, text)
    if row is None:
        return _exact(text, _unit(key), key, None)
    unit = row_unit(pack, row)
    if _TRACE.fullmatch(text):
        return 0.0, 0.0, _own(_smallest(pack, row), unit, key, row)
    if _INSIGNIFICANT.match(text):
        return 0.0, 0.0, _insignificant(pack, row, key)
    try:
        low, high = (_own(x, unit, key, row) for x in _hull(pack, _rules(row), text))
    except RuleError:
        less = _LESS.match(text)
        if not less and not text[:1].isdigit():
            raise
        low, value, high = _exact(text[less.end() :] if less else text, unit, key, row)
        exact = (0.0, None, value) if less else (low, value, high)
        if row.group != "micro":
            told = {"name": printed.name, "text": printed.text, "market": pack.market}
            found.append(
                find(
                    "panel-figure.never-printed",
                    printed.where,
                    **of_panel(name, printed.name),
                    cites=row.source,
                    **told,
                )
            )
        return exact
    return (
        low,
        _own(in_unit(*read_number(text), unit), unit, key, row) if text[:1].isdigit() else None,
        high,
    )


def _rules(row: Nutrient) -> list[str]:
    """The rounding rules a row may have been printed by: its own, and the one of foods free of the
    nutrient.
    """
    return [row.rule, *([row.free.rule] if row.free else [])]


def _hull(pack: Pack, rules: list[str], text: str) -> tuple[Decimal, Decimal]:
    """The amounts that any of several rules prints so. Raises RuleError when none does."""
    spans, faults = [], []
    for rule in rules:
        try:
            spans.append(interval(pack, rule, text))
        except RuleError as error:
            faults.append(error)
    if not spans:
        raise faults[0]
    return min(s[0] for s in spans), max(s[1] for s in spans)


def _exact(text: str, unit: str, key: str, row: Nutrient | None) -> tuple[float, float, float]:
    """A figure as exact as its last digit."""
    number, given = read_number(text)
    value, half = (_own(in_unit(x, given, unit), unit, key, row) for x in (number, half_digit(text)))
    return max(0.0, value - half), value, value + half


def _energy(pack: Pack, text: str) -> tuple[float, float | None, float]:
    """Kilocalories behind an energy in either unit. Each unit has factors of its own, so kilojoules say
    less.
    """
    rules = {row_unit(pack, r): _rules(r) for r in pack.entries(Nutrient) if r.tag == ENERGY}
    joules = text.casefold().rstrip(" .").endswith("kj")
    unit = "kJ" if joules else "kcal"
    if text.strip()[-1:].isdigit() and set(rules) != {"kcal"}:
        raise RuleError(f"{text!r}: write its unit, kJ or kcal")
    if unit in rules:
        low, high = _hull(pack, rules[unit], text)
        value = in_unit(*read_number(text), unit) if text[:1].isdigit() else None
    else:
        number, half = Decimal(str(read_number(text)[0])), half_digit(text)
        low, value, high = max(Decimal(0), number - half), number, number + half
    if not joules:
        return float(low), None if value is None else float(value), float(high)
    per = limits()["kilojoules"]
    return (
        float(low) / per["high"],
        None if value is None else float(value) / per["value"],
        float(high) / per["low"],
    )


def _smallest(pack: Pack, row: Nutrient) -> Decimal:
    """The most an amount may be that a panel calls traces: what the rule prints as nothing or as less than
    something.
    """
    bands, most = pack.entry(Rounding, row.rule).bands, None
    for band in bands:
        if band.step is not None or band.figures is not None:
            break
        most = band.limit
    most = most or bands[0].below  # a panel that rounds nothing to nothing: its finest band
    if not most:
        raise RuleError(
            "traces of it cannot be told from the rules of this panel: write the amount from a"
            " specification sheet"
        )
    return most


def _insignificant(pack: Pack, row: Nutrient, key: str) -> float:
    """The most an amount may be that a panel calls not significant."""
    if row.omit_below is not None:
        return _own(row.omit_below, row_unit(pack, row), key, row)
    if row.omit_below_percent is not None:
        whole = pack.entry(DailyValue, row.key)
        return _own(row.omit_below_percent * whole.amount / 100, whole.unit, key, row)
    try:
        return _own(interval(pack, row.rule, "0")[1], row_unit(pack, row), key, row)
    except RuleError:
        raise RuleError("cannot be left out as not significant: write the amount the packet prints") from None


def _check_within(name: str, figures: dict[str, Figure], key: str, left_out, grams) -> list[Finding]:
    """Parts of a row that leaves other parts out, such as sugars of a carbohydrate without fibre, against
    the row as printed.
    """
    whole, found = figures[key], []
    of, left_out = ("CHOCDF", (*left_out, "FIBTG")) if key == AVAILABLE else (key, left_out)
    for part in (p for p, w in PARTS.items() if grams and w == of and p not in left_out and p in figures):
        figure = figures[part]
        sure = exceeds(part, figure.low, figure.value, whole.value, whole.high, grams[2], "unstated_slack")
        if sure is not None:
            fault, severity = (
                part_exceeds(figure.shown, whole.shown, f"{grams[1]:g} g", sure),
                "block" if sure else "warn",
            )
            found.append(
                find(
                    "part-exceeds-whole.of-panel",
                    figure.where,
                    severity=severity,
                    **of_panel(name),
                    fault=fault,
                )
            )
    return found


def _with_parts(figures: dict[str, Figure], key: str, parts) -> Figure:
    """A row that leaves parts out, as the whole with them. An unstated fibre could be anything up to the
    room there is; rare parts are absent unless stated.
    """
    figure = figures[key]
    low, value, high, shown = figure.low, figure.value, figure.high, figure.shown
    for part in parts:
        if part in figures:
            shown += f" with {figures[part].shown}"
            low, value, high = (
                low + figures[part].low,
                value + figures[part].value,
                high + figures[part].high,
            )
        elif part in BOUNDED or PARTS.get(part) == key == "POLYL":
            high = float("inf")
    return Figure(low, value, high, shown, figure.where)


def _unit(key: str) -> str:
    return UNITS[key].replace("ug", "mcg")


def _own(amount, unit: str, key: str, row: Nutrient | None) -> float:
    """An amount of a row (of salt, where the row is sodium times a factor) in the unit of its key."""
    return float(in_unit(amount, unit, _unit(key))) / float(row.times if row else 1)
