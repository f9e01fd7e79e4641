"""What stands in an ingredient statement and how heavy it is: a product's ingoing lines gathered into
entries.

The weight that counts is the weight as added. The same ingredient in several formulations counts once, with
its whole weight, unless it stands inside a formulation that has a name of its own on the label.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace

from labelgen.composition.ingredient_records import AllergenHit, ResolvedIngredient, StatementItem
from labelgen.composition.text.classes import CLASS_OF
from labelgen.formulation.batch_records import Ingoing, NutrientProfile
from labelgen.law.label_tables import Statement
from labelgen.law.pack import Pack
from labelgen.market.statement.additives import additive_of
from labelgen.recipe.models import Kitchen, Product

#: What a maker writes under ``compounds:`` to have them dissolved into the list.
DISSOLVED = "dissolved"


@dataclass(frozen=True)
class Part:
    """One entry to be printed. grams: ingoing per pack, None where a supplier's list does not tell. share:
    of the ingoing mass, 0..1. parts: what stands inside it. hits: its allergens. function: of an additive,
    or "". number: such as E322.
    """

    name: str
    grams: float | None = None
    share: float = 0.0
    parts: tuple[Part, ...] = ()
    hits: tuple[AllergenHit, ...] = ()
    ingredients: tuple[str, ...] = ()
    function: str = ""
    number: str = ""
    water: bool = False
    quantity: str = ""

    @property
    def allergens(self) -> tuple[str, ...]:
        return tuple(sorted({h.allergen for h in self.hits}))


@dataclass
class _Gathered:
    """What will become one entry: its lines, and for a named formulation what stands inside it."""

    lines: list[Ingoing] = field(default_factory=list)
    inside: list[tuple[Ingoing, tuple[str, ...]]] = field(default_factory=list)

    @property
    def grams(self) -> float:
        return sum(i.grams for i in self.lines)


def gather_parts(
    pack: Pack, profile: NutrientProfile, kitchen: Kitchen, product: Product
) -> tuple[Part, ...]:
    """The product's entries, heaviest first, compounds with their own inside them."""
    lines = [i for i in profile.ingoing if not _driven_off(pack, i, profile)]
    total = sum(i.grams for i in lines)
    nested = product.compounds != DISSOLVED
    # the product's own formulation is the food itself: only the formulations inside it can be compounds
    parts = _parts(pack, [(i, i.path[1:]) for i in lines], kitchen, total, nested)
    return by_weight(_with_added_water(pack, parts, profile.pack.grams))


def by_weight(parts: Sequence[Part]) -> tuple[Part, ...]:
    """Heaviest first; equal weights by the names of the specifications, which no language changes."""
    return tuple(sorted(parts, key=lambda p: (-round(p.grams or 0.0, 9), p.ingredients)))


def _parts(
    pack: Pack, lines: list[tuple[Ingoing, tuple[str, ...]]], kitchen: Kitchen, total: float, nested: bool
) -> tuple[Part, ...]:
    gathered: dict[tuple[str, str], _Gathered] = {}
    for line, path in lines:
        named = next(
            (
                n
                for n, f in enumerate(path)
                if nested and f in kitchen.formulations and kitchen.formulations[f].print_name
            ),
            None,
        )
        if named is None:
            key = ("ingredient", _merge_key(line.ingredient, kitchen))
        else:
            key = ("compound", kitchen.formulations[path[named]].print_name)
        group = gathered.setdefault(key, _Gathered())
        group.lines.append(line)
        if named is not None:
            group.inside.append((line, path[named + 1 :]))
    parts: list[Part] = []
    for (kind, name), group in gathered.items():
        first = group.lines[0].ingredient
        part = Part(
            name if kind == "compound" else first.print_name,
            group.grams,
            group.grams / total if total else 0.0,
            hits=tuple(dict.fromkeys(h for i in group.lines for h in i.ingredient.contains)),
            ingredients=tuple(dict.fromkeys(i.ingredient.name for i in group.lines)),
            water=_is_water(pack, first),
        )
        if kind == "compound":
            parts.append(replace(part, parts=_parts(pack, group.inside, kitchen, total, nested)))
        else:
            parts += _with_own(part, first, kitchen, nested)
    return by_weight(_once(parts))


def _once(parts: list[Part]) -> list[Part]:
    """Plain entries of one name as one: the sugar of a dissolved compound joins the sugar of the dough."""
    kept: dict[str, Part] = {}
    for number, part in enumerate(parts):
        key = part.name if not part.parts else f"{part.name}/{number}"
        before = kept.get(key)
        kept[key] = part if before is None else together(before, part)
    return list(kept.values())


def together(one: Part, other: Part) -> Part:
    """Two entries as one, under the first one's name, with both weights where any is told."""
    grams = None if one.grams is None and other.grams is None else (one.grams or 0.0) + (other.grams or 0.0)
    return replace(
        one,
        grams=grams,
        share=one.share + other.share,
        hits=tuple(dict.fromkeys((*one.hits, *other.hits))),
        ingredients=tuple(dict.fromkeys((*one.ingredients, *other.ingredients))),
    )


def _with_own(part: Part, ingredient: ResolvedIngredient, kitchen: Kitchen, nested: bool) -> list[Part]:
    """An ingredient with its supplier's own list inside it, or dissolved where every percentage is told."""
    items = own_items(ingredient, kitchen)
    name = ingredient.print_name
    if not items or "(" in name:
        return [part]
    inside = _items_of(items, part.hits)
    if len(items) == 1:
        own, (item,) = items[0].name.casefold(), inside
        if own in name.casefold():
            return [replace(part, parts=item.parts)]
        if _is_the_same(kitchen, ingredient, item, own):
            return [
                replace(
                    item,
                    grams=part.grams,
                    share=part.share,
                    hits=part.hits,
                    ingredients=part.ingredients,
                    water=part.water,
                )
            ]
    if not nested and all(i.percent is not None for i in items):
        return [
            replace(
                p,
                grams=part.grams * i.percent / 100,
                share=part.share * i.percent / 100,
                ingredients=part.ingredients,
            )
            for p, i in zip(inside, items)
        ]
    return [replace(part, parts=inside)]


def _is_the_same(kitchen: Kitchen, ingredient: ResolvedIngredient, item: Part, own: str) -> bool:
    """Whether the one item of a packet's list is the ingredient itself: it is an additive ("red colour:
    E129"), the item says more ("sweet whey powder" of whey powder), or the maker gave no name for the
    label. A class stays before a member that tells none: "colour (beet juice)".
    """
    if not item.parts and additive_of(item.number or item.name):
        return True
    name, spec = ingredient.print_name.casefold(), kitchen.ingredients.get(ingredient.name)
    return (name in own or not (spec and spec.print_name)) and (item.function != "" or name not in CLASS_OF)


def _items_of(items: Sequence[StatementItem], hits: Sequence[AllergenHit]) -> tuple[Part, ...]:
    """A supplier's items as parts, each with those of the ingredient's allergens that its own words
    explain: for sure, or (lecithin whose kind only the declaration tells) where no other item does.
    """
    from labelgen.composition.text.lexicon import find_allergens

    told = {h.allergen: h for h in hits}
    sure = {h.allergen for item in _every(items) for h in find_allergens(item.name, kind="name").contains}

    def part(item: StatementItem) -> Part:
        found = find_allergens(item.name, kind="name")
        own = (*found.contains, *(h for h in found.may_contain if h.allergen not in sure))
        explained = tuple(replace(told[h.allergen], words=h.words) for h in own if h.allergen in told)
        # "cod (fish)": the group's word stands for the kind that the rest of the list tells
        explained += tuple(
            replace(hit, words=h.words)
            for h in own
            if h.allergen not in told
            for code, hit in told.items()
            if code.startswith(f"{h.allergen}/")
        )
        return Part(
            item.name,
            parts=tuple(part(i) for i in item.items),
            hits=explained,
            function=item.function,
            number=item.e_number,
        )

    return tuple(part(item) for item in items)


def _every(items: Sequence[StatementItem]):
    for item in items:
        yield item
        yield from _every(item.items)


def _merge_key(ingredient: ResolvedIngredient, kitchen: Kitchen) -> str:
    """Ingredients of one name and one list of their own are one entry."""
    from labelgen.composition.text.statement import print_statement

    items = own_items(ingredient, kitchen)
    return f"{ingredient.print_name} ({print_statement(items)})" if items else ingredient.print_name


def own_items(ingredient: ResolvedIngredient, kitchen: Kitchen) -> tuple[StatementItem, ...]:
    """The supplier's own list of an ingredient, read; () where there is none."""
    if ingredient.statement is not None:
        return ingredient.statement.items
    spec = kitchen.ingredients.get(ingredient.name)
    if spec is None or not spec.statement:
        return ()
    from labelgen.composition.text.statement import read_statement

    return read_statement(spec.statement).items


def _is_water(pack: Pack, ingredient: ResolvedIngredient) -> bool:
    return ingredient.composition.get("WATER")[1] >= float(pack.value(Statement, "water_from"))


def _driven_off(pack: Pack, line: Ingoing, profile: NutrientProfile) -> bool:
    """Water, in a food that holds (almost) none any more: where the market lists it only if some of it
    stays.
    """
    limit = pack.find(Statement, "water_gone_below")
    if limit is None or not _is_water(pack, line.ingredient):
        return False
    most = profile.pack.get("WATER")[2]
    return 100 * most / profile.pack.grams < float(limit.figure)


def _with_added_water(pack: Pack, parts: Sequence[Part], finished: float) -> list[Part]:
    """Where the market counts added water by what is left of it: finished weight less all other
    ingredients as added. Up to the market's share of the finished food it is not listed.
    """
    limit = pack.find(Statement, "added_water_above")
    if limit is None:
        return list(parts)
    water = sum(p.grams or 0.0 for p in parts if p.water)
    left = finished - sum(p.grams or 0.0 for p in parts if not p.water)
    if 100 * left <= float(limit.figure) * finished:
        return [p for p in parts if not p.water]
    return [replace(p, grams=p.grams * left / water) if p.water else p for p in parts]
