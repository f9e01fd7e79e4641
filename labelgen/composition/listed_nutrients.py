"""What a packet's list of ingredients tells of figures that its panel leaves open: sugars nobody added, and
which polyol a sum of them is.
"""

from __future__ import annotations

import re
from dataclasses import replace

from labelgen.composition.ingredient_records import ResolvedIngredient, Stated
from labelgen.composition.overlay import state_added_sugars
from labelgen.composition.text.kinds import find_kinds
from labelgen.composition.text.lexicon import survey
from labelgen.composition.text.understood import READ
from labelgen.nutrients import POLYOLS, names_of_key, plain_words

#: A syrup of a polyol holds others beside it.
_SYRUP = re.compile(r"\w*(?:syrup|sirup|sirop|jarabe|sciroppo)")


def settle_polyol(stated: Stated, statement: str) -> Stated:
    """Stated figures with the sum of polyols as the one polyol that a list names; as they are where it names
    several, a syrup of one, or was not understood.
    """
    total = stated.figures.get("POLYL")
    if total is None or not _is_read(statement) or any(k in stated.figures for k in POLYOLS):
        return stated
    said = plain_words(statement)
    places = {key: [m for name in names_of_key(key) for m in _found(name, said)] for key in POLYOLS}
    named = {key: found for key, found in places.items() if found}
    if len(named) != 1 or any(_is_syrup(said, m) for found in named.values() for m in found):
        return stated
    return replace(stated, figures={**stated.figures, next(iter(named)): total})


def _found(name: str, said: str) -> list[re.Match]:
    return list(re.finditer(rf"\b{re.escape(name)}\b", said))


def _is_syrup(said: str, found: re.Match) -> bool:
    """Whether a syrup stands on either side of a name: "maltitol syrup", "sirop de maltitol"."""
    return bool(
        _SYRUP.match(said[found.end() :].strip())
        or _SYRUP.search(said[max(0, found.start() - 12) : found.start()])
    )


def without_added_sugars(ingredient: ResolvedIngredient, statement: str) -> ResolvedIngredient:
    """An ingredient whose added sugars nobody states, with none of them where its whole list was understood
    and names nothing that is or may hold a sugar.
    """
    known = ingredient.composition.get("SUGAD")[1]
    if known == known or not _is_read(statement):
        return ingredient
    if any(hit.kind == "added_sugar" for hit in find_kinds(ingredient, statement)):
        return ingredient
    return replace(ingredient, composition=state_added_sugars(ingredient.composition, "none"))


def _is_read(statement: str) -> bool:
    reading = survey(statement).reading if statement else None
    return reading is not None and reading.verdict == READ and not reading.unread
