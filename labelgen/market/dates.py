"""Date and lot lines."""

from __future__ import annotations

import calendar
import re
from datetime import date, timedelta

from labelgen.errors import NOT_READY, Finding
from labelgen.findings import find
from labelgen.formulation.slips import limit
from labelgen.law.label_tables import DateRule
from labelgen.law.pack import Pack
from labelgen.recipe.models import Product
from labelgen.recipe.reach import plain

_SPAN = re.compile(r"(\d{1,4})\s*(day|week|month|year)s?", re.IGNORECASE)
#: Longest shelf life believed [days]: more is a slip of the finger.
_LONGEST = 3700
#: Days ahead of the label's date that a day of making is believed (house rule).
_AHEAD = 31


def declare_dates(
    pack: Pack, product: Product, made_on: date | None, lot: str
) -> tuple[tuple[str, ...], tuple[Finding, ...]]:
    """(lines, findings). The date mark needs the day it was made; without it the line is left out."""
    lines, found = [], []
    key = _mark(pack, product, found)
    if product.shelf_life:
        end = best_before(product.shelf_life, made_on or date(2000, 1, 1))
        if end is None:
            code, field = ("use-by", "use_by") if product.use_by else ("best-before", "best_before")
            found.append(
                find(
                    code,
                    product.where,
                    path=product.path(field),
                    product=product.key,
                    text=product.shelf_life,
                )
            )

        elif key and made_on is None:
            found.append(_left_out(pack, product, key, lot))
        elif key:
            lines.append(
                _line(
                    pack, key, {"baked_on": made_on, "baked_for": made_on + timedelta(days=1)}.get(key, end)
                )
            )
            found += _unlikely(pack, product, key, made_on, end)
    elif made_on is not None:
        lines.append(_line(pack, "made_on", made_on))
    if limit("longest_shelf_life") < (days_kept(product.shelf_life, None) or 0):
        found.append(
            find(
                "slip-shelf-life",
                product.where,
                product=product.key,
                text=product.shelf_life,
                most=limit("longest_shelf_life"),
            )
        )
    if lot:
        if plain(lot) in (plain(product.key), plain(product.name)):
            found.append(find("slip-lot", product.where, product=product.key, lot=lot))
        lines.append(pack.text(DateRule, "lot").replace("{lot}", lot))
    return tuple(lines), tuple(found)


def _left_out(pack: Pack, product: Product, key: str, lot: str) -> Finding:
    """The day of making is not known. With a lot the label is printed for sale: then it is not ready where
    the law asks for a date.
    """
    rule = pack.entry(DateRule, key)
    asked = rule.compulsory and days_kept(product.shelf_life, None) <= (rule.up_to_days or _LONGEST)
    told = {"cites": rule.source, "product": product.key, "mark": key.replace("_", "-")}
    if lot and asked:
        return find(f"{NOT_READY}-date", product.where, **told)
    return find(
        "date-left-out.asked" if asked else "date-left-out",
        product.where,
        severity="warn" if lot else "note",
        **told,
    )


def _unlikely(pack: Pack, product: Product, key: str, made_on: date, end: date) -> list[Finding]:
    """A day of making that is probably a slip: food made long after the label's date, or past its last day
    on it.
    """
    if made_on > pack.on + timedelta(days=_AHEAD):
        severity = "block" if key == "use_by" else "warn"
        return [
            find(
                "made-on-ahead",
                product.where,
                severity=severity,
                product=product.key,
                made_on=made_on,
                days=(made_on - pack.on).days,
                on=pack.on,
            )
        ]
    if end < pack.on:
        severity = "block" if key == "use_by" else "warn"
        return [
            find(
                "date-passed",
                product.where,
                severity=severity,
                product=product.key,
                made_on=made_on,
                end=end,
                on=pack.on,
            )
        ]
    return []


def _mark(pack: Pack, product: Product, found: list[Finding]) -> str:
    """The key of the date line: use by, best before, or for short-lived bread the day it was baked (or the
    day after).
    """
    if product.use_by:
        if product.best_before or product.date_mark:
            found.append(find("date-twice", product.where, path=product.path("use_by"), product=product.key))
        if pack.find(DateRule, "use_by") is None:
            found.append(
                find(
                    "date-mark.no-use-by",
                    product.where,
                    path=product.path("use_by"),
                    product=product.key,
                    market=pack.market,
                )
            )
            return ""
        return "use_by"
    if not product.date_mark:
        return "best_before"
    key = product.date_mark.strip().lower().replace(" ", "_")
    limit = pack.find(DateRule, "baked_on")
    if key not in ("baked_on", "baked_for") or limit is None:
        wording = "date-mark.elsewhere" if key in ("baked_on", "baked_for") else "date-mark.unknown"
        found.append(
            find(
                wording,
                product.where,
                path=product.path("date_mark"),
                product=product.key,
                text=product.date_mark,
            )
        )
        return "best_before"
    start = date(2000, 1, 1)
    end = best_before(product.best_before, start) if product.best_before else None
    if end is None or (end - start).days >= limit.figure:
        found.append(
            find(
                "date-mark.too-long",
                product.where,
                path=product.path("date_mark"),
                cites=limit.source,
                product=product.key,
                days=limit.value,
            )
        )
        return "best_before"
    return key


def days_kept(shelf_life: str, made_on: date | None) -> int | None:
    """How many days a shelf life lasts from the day of making; None when it is none."""
    start = made_on or date(2000, 1, 1)
    end = best_before(shelf_life, start) if shelf_life else None
    return None if end is None else (end - start).days


def best_before(text: str, made_on: date) -> date | None:
    """The last day of a shelf life such as ``14 days``, ``6 weeks``, ``3 months`` or ``1 year``; None if it
    is none.

    A month later is the same day of the month, or its last day.

    >>> best_before("1 month", date(2027, 1, 31))
    datetime.date(2027, 2, 28)
    """
    match = _SPAN.fullmatch(text.strip())
    if not match:
        return None
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
    """The market's words with the date in them. {day} {month} {year}: 28 Nov 2026, the month in letters,
    so that nobody reads it the other way round, or as the market's own ``months`` write it; {iso}:
    2026-11-28; {month_number}, {day_number}: two digits.
    """
    own = pack.find(DateRule, "months")
    words = {
        "day": f"{day.day}",
        "month": own.values[day.month - 1] if own else calendar.month_abbr[day.month],
        "year": f"{day.year}",
        "iso": day.isoformat(),
        "month_number": f"{day.month:02}",
        "day_number": f"{day.day:02}",
    }
    text = pack.text(DateRule, key)
    for word, value in words.items():
        text = text.replace(f"{{{word}}}", value)
    return text
