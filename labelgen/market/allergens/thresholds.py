"""Allergens a market counts only from an amount on, judged by actual amounts where every one is known.

Nothing is taken for granted: while one ingredient that brings the substance does not say how much, it is
declared.
"""

from __future__ import annotations

import math
from dataclasses import replace

from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.law.label_tables import AllergenRule, AllergenWording
from labelgen.law.pack import Pack
from labelgen.recipe.models import Product

#: A figure known for this fraction of the mass is known for all of it: the rest is binary dust.
_KNOWN = 1 - 1e-9


def without_small_amounts(
    pack: Pack, product: Product, profile: NutrientProfile
) -> tuple[NutrientProfile, tuple[Finding, ...]]:
    """The food without the allergens that stay below the market's amount, and a note for each.

    Cooking drives off some sulphur dioxide; no loss is assumed.
    """
    found = []
    beside = pack.find(AllergenWording, "beside")
    rules: list[AllergenRule | AllergenWording] = [*pack.entries(AllergenRule), *([beside] if beside else [])]
    for entry in rules:
        limit = entry.from_amount
        if limit is None or (most := _most_per_kg(entry, limit.tag, profile)) is None:
            continue
        # a litre of syrup holds more than a kilogram of it
        most *= max(1.0, product.density)
        bound = float(limit.per_kg)
        if most > bound or (most == bound and not limit.over):
            continue
        codes = set(entry.codes)
        ingoing = tuple(
            replace(
                i,
                ingredient=replace(
                    i.ingredient,
                    contains=tuple(h for h in i.ingredient.contains if h.allergen not in codes),
                ),
            )
            for i in profile.ingoing
        )
        profile = profile._replace(ingoing=ingoing)
        told = {
            "product": product.key,
            "allergen": entry.name if isinstance(entry, AllergenRule) else entry.text,
            "most": most,
            "bound": bound,
        }
        found.append(find("below-threshold", product.where, path=product.path(), cites=entry.source, **told))
    return profile, tuple(found)


def _most_per_kg(entry: AllergenRule | AllergenWording, tag: str, profile: NutrientProfile) -> float | None:
    """The most there can be [mg per kg finished]; None where nothing brings it, or one that does tells no
    amount.
    """
    total = 0.0
    bringing = [i for i in profile.ingoing if any(h.allergen in entry.codes for h in i.ingredient.contains)]
    for line in profile.ingoing:
        _, value, high = line.amounts.get(tag)
        # a table that says there is none does not speak of what the packet says there is
        if line in bringing and (line.amounts.coverage(tag) < _KNOWN or not 0 < high < math.inf):
            return None
        # who brings none by any word counts with what it states
        total += high if line in bringing else 0.0 if math.isnan(value) else value
    return 1000 * total / profile.pack.grams if bringing else None
