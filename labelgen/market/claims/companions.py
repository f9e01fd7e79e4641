"""What an accepted claim puts on the label besides itself: statements beside it, and marks in the ingredient
list.

A companion is data: ``text``; ``unless`` / ``only_if``: another rule whose figures the food meets;
``unless_claimed``: claims of the same label that spare it, such as ``low_calorie`` or ``reduced:ENERC``;
``with``: kinds of ingredient or allergens present; ``for``: the nutrients it is about; ``mark``: the
ingredients that ``with`` finds are marked in the list, and the text stands under it.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Sequence
from dataclasses import dataclass, replace

from labelgen.law.claim_tables import ClaimRule
from labelgen.market.claims import amounts, conditions
from labelgen.market.claims.claim_words import Asked
from labelgen.market.claims.conditions import Food
from labelgen.market.claims.make_up import Part, same_allergen
from labelgen.market.declaration_records import Claim, Run


@dataclass(frozen=True)
class Companions:
    """beside: statements next to the claim. under: statements under the ingredient list. marked: words of
    the list that they refer to.
    """

    beside: tuple[str, ...] = ()
    under: tuple[str, ...] = ()
    marked: tuple[str, ...] = ()


def bring_companions(
    food: Food,
    asked: Asked,
    rule: ClaimRule,
    parts: Sequence[Part],
    present: Collection[str],
    claimed: Collection[str],
) -> Companions:
    """present: what the verdict says is there besides the parts' kinds. claimed: every claim of the label
    as ``spelled``.
    """
    beside, under, marked = [], [], []
    for companion in rule.companions:
        if companion.for_ and asked.nutrient not in companion.for_:
            continue
        if _holds(food, companion.unless) or (companion.only_if and not _holds(food, companion.only_if)):
            continue
        if set(companion.unless_claimed) & set(claimed):
            continue
        words = [w for word in companion.with_ for w in _found(word, parts, present)]
        if companion.with_ and not words:
            continue
        text = amounts.filled(food, companion.text, asked, rule)
        (under if companion.mark else beside).append(text)
        marked += words if companion.mark else ()
    return Companions(tuple(beside), tuple(under), tuple(dict.fromkeys(marked)))


def spelled(asked: Asked) -> str:
    """A claim as ``unless_claimed`` names it: ``low_calorie``, ``reduced:ENERC``."""
    return f"{asked.key}:{asked.nutrient}" if asked.nutrient else asked.key


def _holds(food: Food, key: str | None) -> bool:
    return bool(key) and conditions.holds(food, food.pack.entry(ClaimRule, key))[0]


def _found(word: str, parts: Sequence[Part], present: Collection[str]) -> list[str]:
    """The words that name a kind of ingredient or an allergen, each followed by the name of its
    ingredient.
    """
    if word in present:
        return [word.rpartition("_")[2]]
    hits = [(h.words, p) for p in parts for h in p.kinds if h.kind == word and h.sure]
    hits += [(h.words, p) for p in parts for h in p.ingredient.contains if same_allergen(h.allergen, word)]
    return [
        w for words, part in hits for w in (words or part.ingredient.print_name, part.ingredient.print_name)
    ]


def mark_list(runs: Sequence[Run], claims: Sequence[Claim]) -> tuple[Run, ...]:
    """The ingredient list, or the allergen statement, with a mark behind each word that a statement under
    it refers to.
    """
    marked = [w for c in claims for w in c.marked]
    if not marked:
        return tuple(runs)
    words = "|".join(re.escape(w) for w in sorted(set(marked), key=len, reverse=True))
    return tuple(
        replace(r, text=re.sub(rf"(?<!\w)(?:{words})(?!\w|\*)", r"\g<0>*", r.text, flags=re.IGNORECASE))
        for r in runs
    )
