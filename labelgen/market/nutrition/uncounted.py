"""Ingredients whose stated amount of a nutrient a market does not count: a fibre its law does not accept
as one.
"""

from __future__ import annotations

import re

from labelgen.composition.text.shares import most_share
from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.formulation.batch_records import Ingoing, NutrientProfile
from labelgen.law.figure_tables import Nutrient, Uncounted
from labelgen.law.pack import Pack
from labelgen.law.rounding import declare_amount, declare_percent
from labelgen.nutrients import NAMES, UNITS
from labelgen.recipe.models import Kitchen, Product


def find_uncounted(
    pack: Pack, product: Product, profile: NutrientProfile, kitchen: Kitchen, grams: float
) -> tuple[Finding, ...]:
    """One finding for each entry of ``uncounted`` that makes ``grams`` of the food [g] declare more than
    it may.
    """
    found = []
    for entry in pack.entries(Uncounted) if pack.has(Uncounted) else ():
        tag, lines = entry.tag, [i for i in profile.ingoing if _named(entry, i, kitchen)]
        whole = profile.pack.get(tag)[1] * grams / profile.pack.grams
        part = (
            sum(_most(entry, i, kitchen) for i in lines if i.amounts.coverage(tag))
            * grams
            / profile.pack.grams
        )
        if not part or _declared(pack, tag, whole) == _declared(pack, tag, max(0.0, whole - part)):
            continue
        names, word = ", ".join(sorted({i.ingredient.name for i in lines})), NAMES[tag]
        told = {
            "part": part,
            "whole": whole,
            "nutrient": word,
            "grams": grams,
            "ingredients": names,
            "text": entry.text,
        }
        found.append(
            find(
                "amount-not-counted",
                product.where,
                path=product.path(),
                cites=entry.source,
                product=product.key,
                **told,
            )
        )
    return tuple(found)


def _named(entry: Uncounted, line: Ingoing, kitchen: Kitchen) -> bool:
    spec = kitchen.ingredients.get(line.ingredient.name)
    said = f"{line.ingredient.print_name} {line.ingredient.food_name} {spec.statement if spec else ''}"
    return bool(_pattern(entry).search(said))


def _pattern(entry: Uncounted) -> re.Pattern:
    words = "|".join(re.escape(w) for w in sorted(entry.words, key=len, reverse=True))
    return re.compile(rf"(?<!\w)(?:{words})s?(?!\w)", re.IGNORECASE)


def _most(entry: Uncounted, line: Ingoing, kitchen: Kitchen) -> float:
    """The most of an ingredient's nutrient [g] that what is not counted can be: all of it, or as much as its
    place in the packet's list leaves for it.
    """
    amount, named = line.amounts.get(entry.tag)[1], _pattern(entry)
    spec = kitchen.ingredients.get(line.ingredient.name)
    if spec is None or UNITS[entry.tag] != "g":
        return amount
    if named.search(f"{line.ingredient.print_name} {line.ingredient.food_name}"):
        return amount
    return min(amount, line.grams * most_share(spec.statement, named))


def _declared(pack: Pack, tag: str, amount: float) -> tuple[str, ...]:
    """What each row of a tag prints for an amount, its percentage included."""
    rows = [e for e in pack.entries(Nutrient) if e.tag == tag]
    return tuple(
        x
        for e in rows
        for x in (
            declare_amount(pack, e.rule, amount).text,
            declare_percent(pack, e.key, amount).text if e.percent else "",
        )
    )
