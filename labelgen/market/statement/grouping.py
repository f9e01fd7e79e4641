"""Ingredients that a market gathers under one name, or lets stand last, whatever they weigh (Canada,
B.01.008.2 and .3).

An ingredient is known by the words of its first-language name, so that every language of a label has the same
order.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.law.label_tables import Statement
from labelgen.law.pack import Pack
from labelgen.market.statement.entries import Part, by_weight
from labelgen.recipe.models import Kitchen, Product


def group_sugars(
    pack: Pack,
    entries: Sequence[Part],
    kitchen: Kitchen,
    profile: NutrientProfile,
    serving_g: float,
    drink: bool = False,
) -> tuple[Part, ...]:
    """The entries, heaviest first, with the sugars-based ones gathered; as they were where the market has
    no such group, the food is a sweetening agent itself, a serving holds next to no sugars, or the only
    one is called sugar already. drink: a drink that only juice concentrates make sweet is juice itself.
    """
    rule = pack.find(Statement, "sugars_group")
    if rule is None or len(entries) <= 1:
        return tuple(entries)
    sugars = [e for e in entries if _is_sugar(pack, e, kitchen)]
    most = profile.pack.per(serving_g).get("SUGAR")[2]
    named = set(pack.entry(Statement, "sugars_group_named").values)
    alone = len(sugars) == 1 and named & set(_words(sugars[0], kitchen))
    alone = alone or (drink and all(_is_juice(pack, e, kitchen) for e in sugars))
    if not sugars or alone or most < float(pack.value(Statement, "sugars_group_from")):
        return tuple(entries)
    group = Part(
        rule.text,
        sum(e.grams for e in sugars),
        sum(e.share for e in sugars),
        tuple(sugars),
        tuple(dict.fromkeys(h for e in sugars for h in e.hits)),
        tuple(n for e in sugars for n in e.ingredients),
    )
    return by_weight((*(e for e in entries if e not in sugars), group))


def stand_last(pack: Pack, entries: Sequence[Part], kitchen: Kitchen) -> tuple[Part, ...]:
    """The entries with flavours, additives, vitamins, and seasonings that together weigh little enough, at
    the end.
    """
    if not pack.find(Statement, "last_others"):
        return tuple(entries)
    seasonings = [e for e in entries if _has(pack, "last_seasonings", e, kitchen)]
    if sum(e.share for e in seasonings) > float(pack.value(Statement, "last_seasonings")):
        seasonings = []
    last = [e for e in entries if not e.parts and (e in seasonings or _has(pack, "last_others", e, kitchen))]
    return (*(e for e in entries if e not in last), *last)


def ask_of_sweet(
    pack: Pack, entries: Sequence[Part], kitchen: Kitchen, profile: NutrientProfile, product: Product
) -> tuple[Finding, ...]:
    """Sweet ingredients that are in no group, though they may have been added to sweeten."""
    rule = pack.find(Statement, "sugars_group_ask_from")
    if rule is None:
        return ()
    sweet = {
        i.ingredient.name
        for i in profile.ingoing
        if i.ingredient.composition.get("SUGAR")[1] >= float(rule.figure)
    }
    open_ones = sorted(
        n
        for e in entries
        if not e.parts and not _is_sugar(pack, e, kitchen)
        for n in e.ingredients
        if n in sweet
    )
    if not open_ones:
        return ()
    told = {
        "product": product.key,
        "ingredients": open_ones,
        "group": pack.text(Statement, "sugars_group"),
    }
    return (find("sugars-group", product.where, path=product.path(), cites=rule.source, **told),)


def _is_sugar(pack: Pack, entry: Part, kitchen: Kitchen) -> bool:
    own = all((spec := kitchen.ingredients.get(n)) and spec.statement for n in entry.ingredients)
    sweet = _ends(pack, "sugars_group", entry, kitchen) or _is_juice(pack, entry, kitchen)
    # a supplier's list makes icing sugar no other thing; a formulation of that name is a food of its own
    return (not entry.parts or own) and sweet and not _has(pack, "sugars_group_not", entry, kitchen)


def _is_juice(pack: Pack, entry: Part, kitchen: Kitchen) -> bool:
    """Whether a name ends as that of a juice concentrate that sweetens."""
    return _ends(pack, "sugars_group_juice", entry, kitchen) and not _has(
        pack, "sugars_group_juice_not", entry, kitchen
    )


def _ends(pack: Pack, key: str, entry: Part, kitchen: Kitchen) -> bool:
    said = f" {' '.join(_words(entry, kitchen))}"
    return said.endswith(tuple(f" {word}" for word in pack.entry(Statement, key).values))


def _has(pack: Pack, key: str, entry: Part, kitchen: Kitchen) -> bool:
    said = f" {' '.join(_words(entry, kitchen))} "
    return any(f" {word} " in said for word in pack.entry(Statement, key).values)


def _words(entry: Part, kitchen: Kitchen) -> list[str]:
    """The words of an ingredient's own name, without what stands in brackets; [] for several
    specifications of two names.
    """
    specs = [kitchen.ingredients.get(n) for n in entry.ingredients]
    names = {
        (s.print_name or s.name.replace("-", " ")).partition("(")[0].strip().casefold() for s in specs if s
    }
    return re.findall(r"[^\W\d_]+", names.pop()) if len(names) == 1 else []
