"""Substances a market wants declared by themselves from some amount on, which an ingredient names without saying how much.

Where nobody names such a substance it counts as absent: a polyol is in a food because somebody put it there.
"""

from __future__ import annotations

from labelgen.composition.records import ResolvedIngredient
from labelgen.errors import Finding
from labelgen.formulation.records import NutrientProfile
from labelgen.market.law.pack import Pack
from labelgen.recipe.models import Kitchen, Product

#: A figure known for this fraction of the mass is known for all of it: the rest is binary dust.
_KNOWN = 1 - 1e-9


def find_unstated(pack: Pack, product: Product, profile: NutrientProfile, kitchen: Kitchen) -> tuple[Finding, ...]:
    """One finding for each named substance without a figure; it stops the label, for the panel may lack a row."""
    found = []
    for entry in pack.entries("nutrients"):
        if "when" not in entry.values:
            continue
        word = entry["label"].lower()
        lacking = sorted({i.ingredient.name for i in profile.ingoing if i.amounts.coverage(entry["tag"]) < _KNOWN and word in _said(i.ingredient, kitchen)})
        if lacking:
            found.append(Finding("amount-unstated", "block", product.where, f"{product.key}: {', '.join(lacking)} names {word} and nobody says how much; the law asks for it: add '{word}: ... g' per 100 g under 'nutrients:', from the supplier's specification", entry.source))
    return tuple(found)


def _said(ingredient: ResolvedIngredient, kitchen: Kitchen) -> str:
    spec = kitchen.ingredients.get(ingredient.name)
    return f"{ingredient.print_name} {spec.statement if spec else ''}".lower()
