"""Allergens of one ingredient: from its food-table name, its sub-ingredient statement, its names, its own declaration."""

from __future__ import annotations

from dataclasses import replace

from labelgen.composition.lexicon import find_allergens
from labelgen.composition.records import AllergenHit


def allergens_of(name: str, print_name: str, food_name: str, statement: str, contains, may_contain) -> tuple[tuple[AllergenHit, ...], tuple[AllergenHit, ...]]:
    """(contains, may contain) of one ingredient, each hit with the words it rests on.

    ``contains`` and ``may_contain`` are the supplier's own declaration as codes, or None. A word whose source is
    not told (lecithin, vegetable oil) counts as "may contain" until the statement or declaration settles it.
    """
    hits: dict[str, AllergenHit] = {}
    doubts: dict[str, AllergenHit] = {}
    for kind, text in (("food", food_name), ("statement", statement), ("name", print_name), ("name", name.replace("-", " "))):
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
