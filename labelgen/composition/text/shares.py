"""How much of a food an item of its packet's list can be at most, by its place in it.

A list runs from the most to the least, so that the k-th item is at most a k-th of what the stated percentages
leave. What is small may stand in any order at the end: it is never bounded below that.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from labelgen.composition.ingredient_records import StatementItem
from labelgen.composition.text.statement import read_statement

#: Below this share items may stand in any order behind the others (Regulation (EU) No 1169/2011, Annex VII,
#: part A, point 6; 21 CFR 101.4(a)(2)), and a tail called "2 % or less" is no more than it.
_ANY_ORDER = 0.02
_SMALL = re.compile(r"(?<![\d.,])(\d(?:[.,]\d+)?)\s*(?:%|per\s?cent)", re.IGNORECASE)
#: The most of a tail whose percentage is written in letters.
_ANY_TAIL = 0.1
#: A stated percentage is rounded to a whole one.
_ROUNDED = 0.005


def most_share(statement: str, named: re.Pattern) -> float:
    """The largest share of a food, 0 to 1, that the items a pattern finds in its list can be together; 1
    where the list does not show it as an item.

    >>> most_share("cream, milk, sugar, xanthan gum", re.compile("xanthan"))
    0.25
    >>> most_share("sugar, flour, contains 2% or less of: salt, xanthan gum", re.compile("xanthan"))
    0.02
    >>> most_share("water (90%), salt, gums (guar, xanthan)", re.compile("xanthan")) < 0.03
    True
    """
    items = read_statement(statement).items if statement else ()
    whole = len(named.findall(statement))
    # what a tail says it is at most: the largest small percentage of the text
    tails = [float(x.replace(",", ".")) / 100 for x in _SMALL.findall(statement)]
    found, share = _share_in(items, named, max(tails, default=_ANY_TAIL))
    return min(1.0, share) if found and found >= whole else 1.0


def _share_in(items: Sequence[StatementItem], named: re.Pattern, tail: float) -> tuple[int, float]:
    """(how often the pattern is found in items, their largest share of what the items are all of). tail: the
    most that an item of a tail can be.
    """
    count, share, open_ones, left = 0, 0.0, 0, 1.0
    left -= sum(max(0.0, (i.percent or 0.0) / 100 - _ROUNDED) for i in items)
    for item in items:
        open_ones += item.percent is None
        if item.percent is not None:
            most = item.percent / 100 + _ROUNDED
        elif item.minor:
            most = tail
        else:
            most = max(left / open_ones, _ANY_ORDER)
        inner, part = _share_in(item.items, named, tail)
        own = len(named.findall(item.name))
        count, share = count + own + inner, share + (most if own else most * part)
    return count, share
