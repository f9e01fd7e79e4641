"""Substances a market wants declared or warned of from some amount on, which an ingredient names without
saying how much.

Where nobody names such a substance it counts as absent: a polyol is in a food because somebody put it there.
"""

from __future__ import annotations

import re

from labelgen.composition.ingredient_records import ResolvedIngredient
from labelgen.composition.text.shares import most_share
from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.formulation.batch_records import Amounts, NutrientProfile
from labelgen.law.figure_tables import Nutrient
from labelgen.law.label_tables import Advisory
from labelgen.law.pack import Pack
from labelgen.market.nutrition.panel_rows import absent_unless_named, claimed, converted
from labelgen.market.statement.additives import names_of
from labelgen.nutrients import NAMES, POLYOLS, UNITS
from labelgen.recipe.models import Kitchen, Product
from labelgen.wordlists import any_of

#: A figure known for this fraction of the mass is known for all of it: the rest is binary dust.
_KNOWN = 1 - 1e-9
#: What makes another substance of a name: glycerol monostearate, glycerol esters of wood rosin.
_OTHER = rf" \w*{any_of('list.other_substance')}\b"


def find_unstated(
    pack: Pack, product: Product, profile: NutrientProfile, kitchen: Kitchen
) -> tuple[Finding, ...]:
    """One finding for each named substance without a figure; it stops the label, which may lack a row or a
    statement.
    """
    rows = [
        e
        for e in pack.entries(Nutrient)
        if absent_unless_named(e) and (e.when or e.status != "voluntary" or claimed(e, product.claims))
    ]
    # a statement called by words is there already, unless it tells the amount; one called by an amount may be
    # missing
    advised = pack.entries(Advisory) if pack.has(Advisory) else ()
    statements = [e for e in advised if "{amount}" in e.text or (e.amount is not None and not e.words)]
    asking: dict[str, Nutrient | Advisory] = {}
    every: list[Nutrient | Advisory] = [*rows, *statements]
    for entry in every:
        for kind in _kinds(entry):
            asking.setdefault(kind, entry)
    found = []
    for kind, entry in asking.items():
        lacking = [
            i
            for i in profile.ingoing
            if i.amounts.coverage(kind) < _KNOWN and _names(i.ingredient, kind, kitchen)
        ]
        most = sum(i.grams * _most(i.ingredient, kind, kitchen) for i in lacking)
        enough = isinstance(entry, Nutrient) or _could_reach(entry, most, profile)
        if lacking and enough:
            names, word = sorted({i.ingredient.name for i in lacking}), NAMES[kind]
            found.append(
                find(
                    "amount-unstated",
                    product.where,
                    path=product.path(),
                    cites=entry.source,
                    product=product.key,
                    ingredients=names,
                    nutrient=word,
                )
            )
    return (*found, *_of_unknown_kind(rows, product, profile))


def _of_unknown_kind(rows: list[Nutrient], product: Product, profile: NutrientProfile) -> list[Finding]:
    """Polyols stated in one sum, where the market wants each kind by itself from an amount per 100 g on."""
    rule = next((e for e in rows if e.when), None)
    if rule is None or rule.when is None:
        return []
    rest = {i.ingredient.name: _unnamed(i.amounts) for i in profile.ingoing}
    if 100 * sum(rest.values()) / profile.pack.grams < float(rule.when.amount):
        return []
    names = sorted(name for name, grams in rest.items() if grams > 0)
    return [
        find(
            "polyol-kind-unknown",
            product.where,
            path=product.path(),
            cites=rule.source,
            product=product.key,
            ingredients=names,
        )
    ]


def _unnamed(amounts: Amounts) -> float:
    """Grams of polyols in an amount of food whose kind nobody tells."""
    total, *kinds = (0.0 if (x := amounts.get(tag)[1]) != x else x for tag in ("POLYL", *POLYOLS))
    return max(0.0, total - sum(kinds))


def _tags(entry: Nutrient | Advisory) -> tuple[str, ...]:
    return (isinstance(entry, Advisory) and entry.tags) or (entry.tag,)


def _kinds(entry: Nutrient | Advisory) -> tuple[str, ...]:
    """The single substances a row or a statement is about."""
    every = dict.fromkeys(k for tag in _tags(entry) for k in (POLYOLS if tag == "POLYL" else (tag,)))
    return tuple(k for k in every if k not in entry.less)


def _could_reach(entry: Advisory, unstated: float, profile: NutrientProfile) -> bool:
    """Whether what is stated and all of what is not [g in the pack] could come to a statement's amount."""
    stated = ((profile.pack.get(tag)[1], UNITS[tag]) for tag in _tags(entry))
    most = unstated + sum(converted(x, unit, "g") for x, unit in stated if x == x)
    if entry.per == "100g":
        most *= 100 / profile.pack.grams
    return most >= converted(float(entry.amount or 0), entry.unit.split()[0], "g")


def _names(ingredient: ResolvedIngredient, kind: str, kitchen: Kitchen) -> bool:
    spec = kitchen.ingredients.get(ingredient.name)
    said = f"{ingredient.print_name} {spec.statement if spec else ''}"
    return bool(_pattern(kind).search(said))


def _pattern(kind: str) -> re.Pattern:
    names = "|".join(
        re.escape(n) for n in sorted((NAMES[kind], *names_of(NAMES[kind])), key=len, reverse=True)
    )
    return re.compile(rf"(?<!\w)(?:{names})(?!\w|{_OTHER})", re.IGNORECASE)


def _most(ingredient: ResolvedIngredient, kind: str, kitchen: Kitchen) -> float:
    """The most of an ingredient that a substance can be, by its place in the packet's list, 0 to 1."""
    spec, named = kitchen.ingredients.get(ingredient.name), _pattern(kind)
    return 1.0 if spec is None or named.search(ingredient.print_name) else most_share(spec.statement, named)
