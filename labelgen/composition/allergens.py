"""Allergens of one ingredient: from its food-table name, the words of its statement, its names, its own declaration.

The word list is ``reference/allergens/words.csv``. It is a first net, not proof: a maker checks every packet, and the
competent authority's advice goes first.
"""

from __future__ import annotations

import csv
import re
from functools import cache

from labelgen import paths
from labelgen.composition.records import AllergenHit


@cache
def _words() -> tuple[tuple[re.Pattern, str], re.Pattern]:
    patterns, friends = [], set()
    with open(paths.reference("allergens", "words.csv"), encoding="utf-8", newline="") as f:
        for row in csv.DictReader(f):
            patterns.append((_any(row["words"]), row["allergen"], _any(row["not_in"]) if row["not_in"] else None))
            friends.add(row["not_in"])
    return tuple(patterns)


def _any(words: str) -> re.Pattern:
    ordered = sorted(words.split("|"), key=len, reverse=True)
    return re.compile(r"(?<!\w)(?:" + "|".join(re.escape(w) for w in ordered) + r")(?!\w)")


def plain(text: str) -> str:
    """Lower case, punctuation and hyphens to single spaces.

    >>> plain("Nuts, hazelnuts (FILBERTS)")
    'nuts hazelnuts filberts'
    """
    return " ".join(re.findall(r"[^\W_]+", text.casefold()))


def find_words(text: str) -> list[tuple[str, str]]:
    """(allergen code, words) found in free text; look-alikes such as "cocoa butter" are not reported."""
    found = []
    text = plain(text)
    for pattern, code, friends in _words():
        rest = friends.sub(" ", text) if friends else text
        found += [(code, match) for match in dict.fromkeys(pattern.findall(rest))]
    return found


def allergens_of(name: str, print_name: str, food_name: str, statement: str, contains, may_contain) -> tuple[tuple[AllergenHit, ...], tuple[AllergenHit, ...]]:
    """(contains, may contain) of one ingredient, each hit with the words it rests on."""
    hits: dict[str, AllergenHit] = {}
    places = (("food-table", food_name, "food-table name"), ("statement", statement, "sub-ingredient statement"), ("name", print_name, "printed name"), ("name", name, "name"))
    for how, text, place in places:
        for code, words in find_words(text or ""):
            hits.setdefault(code, AllergenHit(code, f"{words!r} in the {place} of {name}", name, words, how))
    for code in contains or ():
        hits.setdefault(code, AllergenHit(code, f"the supplier of {name} declares it", name, code, "declaration"))
    may = tuple(AllergenHit(code, f"the supplier of {name} says it may be present", name, code, "declaration") for code in may_contain or ())
    return tuple(sorted(hits.values(), key=lambda h: h.allergen)), may
