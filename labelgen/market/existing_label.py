"""Compares what a recipe holds with what an existing label's words declare."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from labelgen.composition.lexicon import survey
from labelgen.composition.records import AllergenHit
from labelgen.market.allergens import declare_allergens


@dataclass(frozen=True)
class Comparison:
    """contains, may_contain: what the words say, by the market's codes. undeclared: present, yet not declared.
    not_found: declared, yet not in the recipe (only when a recipe was given)."""

    contains: tuple[AllergenHit, ...]
    may_contain: tuple[AllergenHit, ...]
    undeclared: tuple[AllergenHit, ...]
    not_found: tuple[AllergenHit, ...]


def compare_label(text: str, market: str, on: date, derived: tuple[AllergenHit, ...] | None = None) -> Comparison:
    """What a label's or packet's text says, against a recipe's hits or against its own ingredient list.

    Without a recipe, an allergen of the list that a "Contains" statement in the same text leaves out is undeclared.
    """
    seen = survey(text)

    def counted(hits) -> dict[str, AllergenHit]:
        kept = {h.allergen: h for h in reversed(declare_allergens(market, on, tuple(hits), ()).contains)}
        return {c: h for c, h in kept.items() if "/" in c or not any(o.startswith(c + "/") for o in kept)}

    listed, declared = counted(seen.listed), counted(seen.declared)
    said = {**declared, **listed}
    may = {c: h for c, h in counted((*seen.precaution, *seen.source_unknown)).items() if c not in said}
    if derived is None:
        missing = {c: h for c, h in listed.items() if c not in declared} if declared else {}
        extra = {}
    else:
        held = counted(derived)
        words = declared or said
        missing = {c: h for c, h in held.items() if c not in words}
        extra = {c: h for c, h in words.items() if c not in held}
    return Comparison(*(tuple(sorted(d.values(), key=lambda h: h.allergen)) for d in (said, may, missing, extra)))
