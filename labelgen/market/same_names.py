"""Products and boxes that print the same name and hold other allergens: nobody at a stall could tell them
apart.
"""

from __future__ import annotations

from collections.abc import Mapping

from labelgen.composition.ingredient_allergens import allergen_words, told_once
from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.market.allergens.called import in_order
from labelgen.recipe.models import Kitchen


def same_names(kitchen: Kitchen, profiles: Mapping[str, NutrientProfile]) -> tuple[Finding, ...]:
    """A finding at every product or box whose printed name another one prints too, with other allergens in
    it.
    """
    inside = {key: (key,) for key in kitchen.products} | {
        key: tuple(box.holds) for key, box in kitchen.boxes.items()
    }
    named: dict[str, list[str]] = {}
    for key, held in inside.items():
        if all(name in profiles for name in held):
            thing = kitchen.products.get(key) or kitchen.boxes[key]
            for name in dict.fromkeys((thing.name, *(said.get("name", "") for said in thing.also.values()))):
                named.setdefault(" ".join(name.casefold().split()), []).append(key)
    found = []
    for name, keys in named.items():
        for key in dict.fromkeys(keys if name else ()):
            mine = _codes(kitchen, profiles, inside[key])
            for other in dict.fromkeys(keys):
                if (differ := _codes(kitchen, profiles, inside[other]) ^ mine) and other != key:
                    thing = kitchen.products.get(key) or kitchen.boxes[key]
                    told = [allergen_words(code) for code in told_once(in_order(differ))]
                    found.append(
                        find(
                            "same-name",
                            thing.where,
                            path=thing.path("name"),
                            product=key,
                            name=thing.name,
                            other=other,
                            allergens=told,
                        )
                    )
    return tuple(dict.fromkeys(found))


def _codes(kitchen: Kitchen, profiles: Mapping[str, NutrientProfile], products: tuple[str, ...]) -> set[str]:
    """What they hold or may, by their ingredients and the maker's own warnings."""
    hits = (
        h
        for name in products
        for i in profiles[name].ingoing
        for h in (*i.ingredient.contains, *i.ingredient.may_contain)
    )
    return {h.allergen for h in hits} | {
        code for name in products for code in kitchen.products[name].may_contain
    }
