"""Allergens of one ingredient: from its food-table name, its sub-ingredient statement, its names, its own declaration."""

from __future__ import annotations

import csv
from dataclasses import replace
from functools import cache

from labelgen import paths
from labelgen.composition.lexicon import allergens_of_food, find_allergens
from labelgen.composition.records import AllergenHit


@cache
def _groups() -> dict[str, bool]:
    """Allergen groups -> whether kinds may follow a slash (``tree_nut/almond``)."""
    with open(paths.reference("allergens", "codes.csv"), encoding="utf-8", newline="") as f:
        return {r["group"]: r["kinds"] == "any" for r in csv.DictReader(f)}


def code_fault(code: str) -> str:
    """What is wrong with an allergen code a maker typed, and what to type; "" if it is a known one.

    >>> code_fault("tree_nut/almond")
    ''
    """
    group, slash, kind = code.partition("/")
    if group in _groups() and (not slash or (kind and _groups()[group])):
        return ""
    meant = [h.allergen for h in find_allergens(code.replace("_", " ").replace("/", " "), kind="name").contains]
    return f"{code!r} is no allergen code: write {' or '.join(repr(m) for m in meant) or 'one of ' + ', '.join(_groups())}"


def allergens_of(name: str, print_name: str, food_name: str, statement: str, contains, may_contain, food_id: str = "") -> tuple[tuple[AllergenHit, ...], tuple[AllergenHit, ...]]:
    """(contains, may contain) of one ingredient, each hit with the words it rests on.

    ``contains`` and ``may_contain`` are the supplier's own declaration as codes, or None. A word whose source is
    not told (lecithin, vegetable oil) counts as "may contain" until the statement or declaration settles it. A dataset
    food brings what is usual in it as long as the packet's own words are not given.
    """
    told = bool(statement) or contains is not None
    hits: dict[str, AllergenHit] = {}
    doubts: dict[str, AllergenHit] = {}
    for hit in allergens_of_food(food_id, food_name) if food_name else ():
        if hit.words or not told:
            hits[hit.allergen] = replace(hit, ingredient=name, because=f"{hit.because} ({name})" if name else hit.because)
    for hit in find_allergens(food_name, kind="food").may_contain if food_name and not told else ():
        doubts[hit.allergen] = replace(hit, ingredient=name, because=f"{hit.because} of {name}")
    for kind, text in (("statement", statement), ("name", print_name), ("name", name.replace("-", " "))):
        if not text:
            continue
        found = find_allergens(text, kind=kind)
        for kept, several in ((hits, found.contains), (doubts, found.may_contain)):
            for hit in several:
                kept.setdefault(hit.allergen, replace(hit, ingredient=name, because=f"{hit.because} of {name}"))
    for code in contains or ():
        hits.setdefault(code, AllergenHit(code, f"the supplier of {name} declares it", name, code, "declaration"))
    for code in may_contain or ():
        doubts[code] = AllergenHit(code, f"the supplier of {name} says it may be present", name, code, "declaration")
    may = tuple(h for code, h in sorted(doubts.items()) if code not in hits)
    return tuple(h for _, h in sorted(hits.items())), may


def allergen_words(code: str) -> str:
    """An allergen code in plain words: ``tree_nut/hazelnut`` -> hazelnut, ``gluten/rye`` -> rye (gluten)."""
    group, _, kind = code.partition("/")
    kind = kind.replace("_", " ").replace("-", " ")
    if group == "gluten":
        return f"{kind} (gluten)" if kind else "gluten"
    return kind or group.replace("_", " ")
