"""Date and lot lines."""

from __future__ import annotations

import calendar
import re
from datetime import date, timedelta

from labelgen.errors import Finding
from labelgen.market.pack import Pack
from labelgen.recipe.models import Product

_SPAN = re.compile(r"(\d{1,4})\s*(day|week|month|year)s?", re.IGNORECASE)
#: Longest shelf life believed [days]: more is a slip of the finger.
_LONGEST = 3700


def declare_dates(pack: Pack, product: Product, made_on: date | None, lot: str) -> tuple[tuple[str, ...], tuple[Finding, ...]]:
    """(lines, findings). The best-before date needs the day it was made; without it the line is left out."""
    lines, found = [], []
    if product.best_before:
        end = best_before(product.best_before, made_on or date(2000, 1, 1))
        if end is None:
            found.append(Finding("best-before", "warn", product.where, f"{product.key}: best_before {product.best_before!r} is not understood: write for example '14 days', '6 weeks' or '3 months'"))
        elif made_on is None:
            found.append(Finding("date-left-out", "note", product.where, f"{product.key}: no best-before date is printed: give the day it was made with --made-on"))
        else:
            lines.append(_line(pack, "best_before", end))
    elif made_on is not None:
        lines.append(_line(pack, "made_on", made_on))
    if lot:
        lines.append(pack.text("dates", "lot").replace("{lot}", lot))
    return tuple(lines), tuple(found)


def best_before(text: str, made_on: date) -> date | None:
    """The last day of a shelf life such as ``14 days``, ``6 weeks``, ``3 months`` or ``1 year``; None if it is none.

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
