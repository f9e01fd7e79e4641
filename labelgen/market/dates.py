"""Date and lot lines."""

from __future__ import annotations

import calendar
import re
from datetime import date, timedelta

from labelgen.errors import NOT_READY, Finding, RuleError
from labelgen.law.pack import Pack
from labelgen.recipe.models import Product

_SPAN = re.compile(r"(\d{1,4})\s*(day|week|month|year)s?", re.IGNORECASE)
#: Longest shelf life believed [days]: more is a slip of the finger.
_LONGEST = 3700
#: The last year a day of making may lie in, so that every shelf life ends on a day of the calendar.
_LAST_YEAR = 2999
#: Days ahead of the label's date that a day of making is believed (house rule).
_AHEAD = 31


def declare_dates(pack: Pack, product: Product, made_on: date | None, lot: str) -> tuple[tuple[str, ...], tuple[Finding, ...]]:
    """(lines, findings). The date mark needs the day it was made; without it the line is left out."""
    lines, found = [], []
    key = _mark(pack, product, found)
    if product.shelf_life:
        end = best_before(product.shelf_life, made_on or date(2000, 1, 1))
        if end is None:
            field = "use_by" if product.use_by else "best_before"
            found.append(Finding(field.replace("_", "-"), "danger" if product.use_by else "block", product.where, f"{product.key}: {field} {product.shelf_life!r} is not understood, so the label would carry no date: write for example '14 days', '6 weeks' or '3 months'"))
        elif key and made_on is None:
            found.append(_left_out(pack, product, key, lot))
        elif key:
            lines.append(_line(pack, key, {"baked_on": made_on, "baked_for": made_on + timedelta(days=1)}.get(key, end)))
            found += _unlikely(pack, product, key, made_on, end)
    elif made_on is not None:
        lines.append(_line(pack, "made_on", made_on))
    if lot:
        lines.append(pack.text("dates", "lot").replace("{lot}", lot))
    return tuple(lines), tuple(found)


def _left_out(pack: Pack, product: Product, key: str, lot: str) -> Finding:
    """The day of making is not known. With a lot the label is printed for sale: then it is not ready where the law asks for a date."""
    rule = pack.entry("dates", key)
    asked = rule.get("compulsory") and days_kept(product.shelf_life, None) <= rule.get("up_to_days", _LONGEST)
    code, severity = ("date-left-out", "warn" if lot else "note") if not (lot and asked) else (f"{NOT_READY}-date", "warn")
    must = ", and the law of this market asks for one" if asked else ""
    return Finding(code, severity, product.where, f"{product.key}: no {key.replace('_', '-')} date is printed{must}: give the day it was made with --made-on, or write the date on every pack before it is sold", rule.source)


def _unlikely(pack: Pack, product: Product, key: str, made_on: date, end: date) -> list[Finding]:
    """A day of making that is probably a slip: food made long after the label's date, or past its last day on it."""
    if made_on > pack.on + timedelta(days=_AHEAD):
        return [Finding("made-on-ahead", "block" if key == "use_by" else "warn", product.where, f"{product.key}: made on {made_on}, {(made_on - pack.on).days} days after the label's date {pack.on}: check the year in --made-on, or give the label's date with --on")]
    if end < pack.on:
        return [Finding("date-passed", "warn", product.where, f"{product.key}: made on {made_on} it keeps until {end}, which is before the label's date {pack.on}: check the year in --made-on; food past a use-by date may not be sold")]
    return []


def _mark(pack: Pack, product: Product, found: list[Finding]) -> str:
    """The key of the date line: use by, best before, or for short-lived bread the day it was baked (or the day after)."""
    if product.use_by:
        if product.best_before or product.date_mark:
            found.append(Finding("date-twice", "warn", product.where, f"{product.key}: 'use_by:' and another date mark: the use-by date alone is printed; keep it if safety asks for it, otherwise remove it"))
        if pack.find("dates", "use_by") is None:
            found.append(Finding("date-mark", "block", product.where, f"{product.key}: market {pack.market!r} has no words for a use-by date: write 'best_before:' for it, and ask your food authority"))
            return ""
        return "use_by"
    if not product.date_mark:
        return "best_before"
    key = product.date_mark.strip().lower().replace(" ", "_")
    limit = pack.find("dates", "baked_on")
    if key not in ("baked_on", "baked_for") or limit is None:
        where = "is none of this market" if key in ("baked_on", "baked_for") else "is not known: write 'baked on' or 'baked for'"
        found.append(Finding("date-mark", "warn", product.where, f"{product.key}: date_mark {product.date_mark!r} {where}; a best-before date is printed"))
        return "best_before"
    start = date(2000, 1, 1)
    end = best_before(product.best_before, start) if product.best_before else None
    if end is None or (end - start).days >= limit["value"]:
        found.append(Finding("date-mark", "warn", product.where, f"{product.key}: only bread that keeps less than {limit['value']} days may carry the day it was baked: give its shelf life under 'best_before:', or remove 'date_mark:'; a best-before date is printed", limit.source))
        return "best_before"
    return key


def days_kept(shelf_life: str, made_on: date | None) -> int | None:
    """How many days a shelf life lasts from the day of making; None when it is none."""
    start = made_on or date(2000, 1, 1)
    end = best_before(shelf_life, start) if shelf_life else None
    return None if end is None else (end - start).days


def best_before(text: str, made_on: date) -> date | None:
    """The last day of a shelf life such as ``14 days``, ``6 weeks``, ``3 months`` or ``1 year``; None if it is none.

    A month later is the same day of the month, or its last day.

    >>> best_before("1 month", date(2027, 1, 31))
    datetime.date(2027, 2, 28)
    """
    match = _SPAN.fullmatch(text.strip())
    if not match:
        return None
    if made_on.year > _LAST_YEAR:
        raise RuleError(f"{made_on} is no day anybody made food on: check its year")
    count, unit = int(match[1]), match[2].lower()
    days = count * {"day": 1, "week": 7, "month": 31, "year": 366}[unit]
    if not 0 < days <= _LONGEST:
        return None
    if unit in ("day", "week"):
        return made_on + timedelta(days=days)
    months = made_on.month - 1 + count * (12 if unit == "year" else 1)
    year, month = made_on.year + months // 12, months % 12 + 1
    return date(year, month, min(made_on.day, calendar.monthrange(year, month)[1]))


def _line(pack: Pack, key: str, day: date) -> str:
    """The market's words with the date in them. {day} {month} {year}: 28 Nov 2026, the month in letters, so that nobody
    reads it the other way round, or as the market's own ``months`` write it; {iso}: 2026-11-28; {month_number},
    {day_number}: two digits."""
    own = pack.find("dates", "months")
    words = {
        "day": f"{day.day}", "month": own["values"][day.month - 1] if own else calendar.month_abbr[day.month], "year": f"{day.year}", "iso": day.isoformat(),
        "month_number": f"{day.month:02}", "day_number": f"{day.day:02}",
    }  # fmt: skip
    text = pack.text("dates", key)
    for word, value in words.items():
        text = text.replace(f"{{{word}}}", value)
    return text
