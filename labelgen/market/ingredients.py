"""The ingredient statement: descending ingoing weight, compounds in brackets, the small ones in a tail (21 CFR 101.4).

The weight that counts is the weight as added. The same ingredient in several formulations counts once,
with its whole weight, unless it stands inside a formulation that has a name of its own on the label.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from labelgen.composition.records import ResolvedIngredient, StatementItem
from labelgen.errors import Finding
from labelgen.formulation.records import Ingoing, NutrientProfile
from labelgen.market.grouping import ask_of_sweet, by_weight, first_letters, group_sugars, stand_last
from labelgen.market.pack import Pack
from labelgen.market.records import Run, StatementEntry
from labelgen.recipe.models import Kitchen, Product


@dataclass
class _Gathered:
    """What will become one entry: its lines, and for a named formulation what stands inside it."""

    lines: list[Ingoing] = field(default_factory=list)
    inside: list[tuple[Ingoing, tuple[str, ...]]] = field(default_factory=list)

    @property
    def grams(self) -> float:
        return sum(i.grams for i in self.lines)


def declare_ingredients(
    pack: Pack, profile: NutrientProfile, kitchen: Kitchen, product: Product, serving_g: float
) -> tuple[tuple[Run, ...], tuple[StatementEntry, ...], tuple[Finding, ...]]:
    """(styled runs, entries heaviest first, findings). serving_g: the serving, where a rule is about it [g]."""
    lines = [i for i in profile.ingoing if not _driven_off(pack, i, profile)]
    total = sum(i.grams for i in lines)
    # the product's own formulation is the food itself: only the formulations inside it can be compounds
    entries = _entries([(i, i.path[1:]) for i in lines], kitchen, total)
    found = (*_findings(lines, kitchen, product), *ask_of_sweet(pack, entries, kitchen, profile, product))
    entries = stand_last(pack, group_sugars(pack, entries, kitchen, profile, serving_g), kitchen)
    small = _small(pack, entries, profile)
    text = ", ".join(first_letters(pack, _text(e)) for e in entries if e not in small)
    if small:
        text += f"{pack.text('statement', 'tail_phrase')}{', '.join(_text(e) for e in small)}"
    return (Run(pack.text("statement", "heading"), bold=True), Run(f"{text}.")), entries, found


def _small(pack: Pack, entries: Sequence[StatementEntry], profile: NutrientProfile) -> list[StatementEntry]:
    """The entries for the market's quantifying phrase: small both as added and in the finished food, which weighs less
    after baking."""
    if not pack.find("statement", "tail_share"):
        return []
    limit = float(pack.value("statement", "tail_share"))
    small = [e for e in entries if max(e.share, e.grams / profile.pack.grams) <= limit]
    return small if 2 <= len(small) < len(entries) else []


def _entries(lines: list[tuple[Ingoing, tuple[str, ...]]], kitchen: Kitchen, total: float) -> tuple[StatementEntry, ...]:
    gathered: dict[tuple[str, str], _Gathered] = {}
    for line, path in lines:
        named = next((n for n, f in enumerate(path) if f in kitchen.formulations and kitchen.formulations[f].print_name), None)
        if named is None:
            key = ("ingredient", _leaf_text(line.ingredient, kitchen))
        else:
            key = ("compound", kitchen.formulations[path[named]].print_name)
        group = gathered.setdefault(key, _Gathered())
        group.lines.append(line)
        if named is not None:
            group.inside.append((line, path[named + 1 :]))
    entries = [
        StatementEntry(
            name, group.grams, group.grams / total if total else 0.0,
            _entries(group.inside, kitchen, total) if kind == "compound" else (),
            tuple(sorted({h.allergen for i in group.lines for h in i.ingredient.contains})),
            tuple(dict.fromkeys(i.ingredient.name for i in group.lines)),
        )
        for (kind, name), group in gathered.items()
    ]  # fmt: skip
    return by_weight(entries)


def _text(entry: StatementEntry) -> str:
    return f"{entry.name} ({', '.join(_text(e) for e in entry.entries)})" if entry.entries else entry.name


def _leaf_text(ingredient: ResolvedIngredient, kitchen: Kitchen) -> str:
    """An ingredient's name, with the supplier's own ingredients in brackets unless the name already spells them out."""
    from labelgen.composition.statement import print_statement

    items = _items(ingredient, kitchen)
    name = ingredient.print_name
    if not items or "(" in name or (len(items) == 1 and not items[0].items and items[0].name.casefold() == name.casefold()):
        return name
    return f"{name} ({print_statement(tuple(_for_label(i) for i in items))})"


def _items(ingredient: ResolvedIngredient, kitchen: Kitchen) -> tuple[StatementItem, ...]:
    if ingredient.statement is not None:
        return ingredient.statement.items
    spec = kitchen.ingredients.get(ingredient.name)
    if spec is None or not spec.statement:
        return ()
    from labelgen.composition.statement import read_statement

    return read_statement(spec.statement).items


def _for_label(item: StatementItem) -> StatementItem:
    """The item as a label names it: no percentage of the supplier's and no additive number beside a name."""
    return replace(item, percent=None, e_number="", items=tuple(_for_label(i) for i in item.items))


def _driven_off(pack: Pack, line: Ingoing, profile: NutrientProfile) -> bool:
    """Water, in a food that holds (almost) none any more: it is listed only if some of it stays."""
    if not line.ingredient.composition.get("WATER")[1] >= float(pack.value("statement", "water_from")):
        return False  # no water, or nobody knows
    most = profile.pack.get("WATER")[2]
    return 100 * most / profile.pack.grams < float(pack.value("statement", "water_gone_below"))


def _findings(lines: list[Ingoing], kitchen: Kitchen, product: Product):
    seen = {i.ingredient.name: i.ingredient for i in lines}
    for ingredient in seen.values():
        if "(" not in ingredient.print_name:
            continue
        shown = ingredient.print_name.casefold()
        hidden = [n for n in _leaf_names(_items(ingredient, kitchen)) if not all(w in shown for w in n.casefold().split())]
        if hidden:
            yield Finding("sub-ingredients-hidden", "warn", product.where, f"{product.key}: {ingredient.name} prints as {ingredient.print_name!r}, which does not name {', '.join(hidden)} of its packet's list: complete 'print:', or leave its brackets out so that the list is printed", "cfr-21-101-4 (b)(2)")


def _leaf_names(items: tuple[StatementItem, ...]):
    for item in items:
        if item.items:
            yield from _leaf_names(item.items)
        else:
            yield item.name
