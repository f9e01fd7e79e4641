"""The ingredient statement of any market: descending weight, compounds in brackets, additives as the market
names them, allergens made plain inside the list where it wants that, quantities, and a tail for the small
ones where it lets them stand last.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from labelgen.composition.ingredient_records import StatementItem
from labelgen.composition.text.classes import CLASS_OF
from labelgen.composition.text.folded_words import read_words
from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.law.label_tables import Statement
from labelgen.law.pack import Pack
from labelgen.market.allergens.declaration import is_plain_in, name_in_list
from labelgen.market.declaration_records import Run, StatementEntry
from labelgen.market.statement.additives import Additive, additive_of, function_words, opens_with_class
from labelgen.market.statement.alternatives import check_alternatives
from labelgen.market.statement.entries import Part, by_weight, gather_parts, own_items, together
from labelgen.market.statement.grouping import ask_of_sweet, group_sugars, stand_last
from labelgen.market.statement.quantities import with_quantities
from labelgen.recipe.models import Kitchen, Product

#: What a maker writes under ``show:`` to have allergens in bold capitals instead of bold letters.
CAPITALS = "allergens in capitals"
#: What a maker writes under ``compounds:`` to have the small ones listed with allergens and additives only.
SHORT = "short"


def declare_ingredients(
    pack: Pack, profile: NutrientProfile, kitchen: Kitchen, product: Product, serving_g: float
) -> tuple[tuple[Run, ...], tuple[StatementEntry, ...], tuple[Finding, ...]]:
    """(styled runs, entries heaviest first, findings). serving_g: the serving, where a rule is about it
    [g].
    """
    gathered = _shortened(
        pack,
        _merged_alike(pack, gather_parts(pack, profile, kitchen, product)),
        profile.pack.grams,
        product,
    )
    parts, quantified = with_quantities(pack, gathered, profile, product)
    sweet = ask_of_sweet(pack, parts, kitchen, profile, product)
    parts = stand_last(
        pack, group_sugars(pack, parts, kitchen, profile, serving_g, bool(product.density)), kitchen
    )
    parts = tuple(_as_market_names(pack, p) for p in parts)
    small = _small(pack, parts, profile)
    runs = _listed(pack, [p for p in parts if p not in small], bool(pack.find(Statement, "first_letter")))
    if small:
        runs = [*runs, Run(pack.text(Statement, "tail_phrase")), *_listed(pack, small)]
    runs = _merged([Run(pack.text(Statement, "heading"), bold=True), *runs, Run(".")])
    if CAPITALS in product.show:
        runs = [runs[0], *(replace(r, text=r.text.upper()) if r.bold else r for r in runs[1:])]
    findings = (
        *quantified,
        *sweet,
        *check_alternatives(pack, gathered, profile.pack.grams, product),
        *_hidden(pack, profile, kitchen, product),
        *_numbers_left(pack, runs, product),
    )
    return tuple(runs), tuple(_entry(p) for p in parts), findings


def _merged_alike(pack: Pack, parts: Sequence[Part]) -> tuple[Part, ...]:
    """Plain entries that print alike as one, heaviest first, all the way down: the market calls both
    "sodium carbonates".
    """
    kept: dict[tuple[str, ...], Part] = {}
    for number, part in enumerate(parts):
        part = replace(part, parts=_merged_alike(pack, part.parts))
        shown = _as_market_names(pack, part)
        key = (str(number),) if part.parts else (shown.function, *(w.key for w in read_words(shown.name)))
        kept[key] = together(kept[key], part) if key in kept else part
    return by_weight(tuple(kept.values()))


def _small(pack: Pack, parts: Sequence[Part], profile: NutrientProfile) -> list[Part]:
    """The entries for the market's quantifying phrase: small both as added and in the finished food, which
    weighs less after baking.
    """
    limit = pack.find(Statement, "tail_share")
    if limit is None:
        return []
    small = [p for p in parts if max(p.share, (p.grams or 0.0) / profile.pack.grams) <= float(limit.figure)]
    return small if 2 <= len(small) < len(parts) else []


def _entry(part: Part) -> StatementEntry:
    return StatementEntry(
        part.name,
        part.grams,
        part.share,
        tuple(_entry(p) for p in part.parts),
        part.allergens,
        part.ingredients,
        part.function,
        part.quantity,
    )


def _as_market_names(pack: Pack, part: Part) -> Part:
    """Additives under the market's names and with their function, all the way down; in a further language
    as they are worded.
    """
    if pack.language:
        return _as_worded(pack, part)
    rule = pack.find(Statement, "additives")
    noted = _has_note(part)
    inside = part.parts if noted else tuple(_as_market_names(pack, p) for p in part.parts)
    additive = additive_of(part.number or part.name) if rule and (noted or not inside) else None
    if additive is None:
        # "color (beet juice)": a class written as a name stands in the market's own word
        known = CLASS_OF.get(part.name.lower()) if inside else None
        return replace(
            part, name=function_words(pack, known, len(inside) > 1) if known else part.name, parts=inside
        )
    function = part.function or (additive.function if rule.text == "class" else "")
    name, renamed, written = part.name, rule.values, additive_of(part.name)
    if rule.unit == "code":
        # a name that tells the source ("soy lecithin") stays: its number would not
        by_code = (
            function
            and (part.name == part.number or function in renamed)
            and not (written and (written.source or written.origin))
        )
        name = additive.code if by_code else part.name
    elif "numbers" in renamed and _is_number(name):
        pass
    elif _is_number(name) or additive.function in renamed or "all" in renamed:
        name = (written or additive).named(rule.unit)
    if not function:
        name, function = _telling(pack, additive, name or part.name)
    return replace(part, name=name or part.name, function=function, parts=inside)


def _telling(pack: Pack, additive: Additive, name: str) -> tuple[str, str]:
    """(name, function) of an additive whose name alone does not tell what the market wants told: that it
    preserves, that it colours.
    """
    preserving, colouring = (pack.find(Statement, k) for k in ("preservatives", "exempt_colours"))
    if preserving and additive.number in preserving.values and not additive.source:
        return name, preserving.text
    if colouring and additive.number in colouring.values:
        return colouring.text.format(name=name), ""
    return name, ""


def _has_note(part: Part) -> bool:
    """Whether what stands in the brackets of an additive only says what it is or comes from: "sulphur
    dioxide (sulphites)".
    """
    return (
        bool(part.function or part.number)
        and len(part.parts) == 1
        and not part.parts[0].parts
        and not part.parts[0].function
    )


def _as_worded(pack: Pack, part: Part, classed: bool = False) -> Part:
    """A part in a further language: the names are the maker's own ("Säuerungsmittel (E330)"); where the
    market wants the class, it is put before an additive that does not stand behind one yet. classed: it
    stands in a class's brackets.
    """
    rule, known = pack.find(Statement, "additives"), additive_of(part.name)
    named_class = opens_with_class(part.name, pack.language)
    inside = (
        part.parts
        if _has_note(part)
        else tuple(_as_worded(pack, p, classed or named_class) for p in part.parts)
    )
    name = (
        f"{part.name} ({part.number})"
        if part.number and not _is_number(part.name) and known is None
        else part.name
    )
    wanted = rule and rule.text == "class" and known and not inside and not classed and not named_class
    return replace(
        part, name=name, parts=inside, function=part.function or (known.function if wanted else "")
    )


def _is_number(name: str) -> bool:
    return re.fullmatch(r"E\s?\d{3,4}[a-h]?", name, re.IGNORECASE) is not None


def _shortened(pack: Pack, parts: Sequence[Part], finished: float, product: Product) -> tuple[Part, ...]:
    """Compounds below the market's share of the finished food [g] with their allergens and additives only,
    when asked for.
    """
    limit = pack.find(Statement, "compound_share")
    if limit is None or product.compounds != SHORT:
        return tuple(parts)

    def telling(part: Part) -> bool:
        return bool(
            part.hits
            or part.function
            or additive_of(part.number or part.name)
            or any(telling(p) for p in part.parts)
        )

    def short(part: Part) -> Part:
        return replace(part, parts=tuple(short(p) for p in part.parts if telling(p)))

    return tuple(
        short(p) if p.parts and 100 * (p.grams or 0.0) < float(limit.figure) * finished else p for p in parts
    )


def _listed(pack: Pack, parts: Sequence[Part], capital: bool = False, around: str = "") -> list[Run]:
    """Entries in one line; neighbours of one function share its word: "raising agents (diphosphates, sodium
    carbonates)".
    capital: each begins with a capital letter. around: the name in whose brackets they stand.
    """
    runs: list[Run] = []
    at = 0
    while at < len(parts):
        end = at + 1
        if parts[at].function:
            while end < len(parts) and parts[end].function == parts[at].function:
                end += 1
        group = [_one(pack, p, around) for p in parts[at:end]]
        listed = [r for n, one in enumerate(group) for r in (*([Run(", ")] if n else []), *one)]
        if parts[at].function:
            listed = [Run(f"{function_words(pack, parts[at].function, end - at > 1)} ("), *listed, Run(")")]
        if capital:
            listed[0] = replace(listed[0], text=listed[0].text[:1].upper() + listed[0].text[1:])
        runs += [*([Run(", ")] if runs else []), *listed]
        at = end
    return runs


def _one(pack: Pack, part: Part, around: str = "") -> list[Run]:
    """A name with its allergens made plain, its quantity, and what stands inside it. What its brackets or
    the name around it tell is not told again: "cod (fish)", "fish (pollock)".
    """
    inside = tuple(_inside(part))
    explained = {h.allergen for p in inside for h in p.hits}
    named = {h.allergen for p in inside for h in p.hits if is_plain_in(pack, h, p.name)}
    told = explained | {h.allergen for h in part.hits if is_plain_in(pack, h, around)}
    runs = list(
        name_in_list(
            pack.market,
            pack.on,
            part.name,
            [h for h in part.hits if h.allergen not in named],
            pack.language,
            told,
        )
    )
    if part.quantity:
        runs.append(Run(part.quantity))
    if part.parts:
        runs += [Run(" ("), *_listed(pack, part.parts, around=part.name), Run(")")]
    return runs


def _inside(part: Part):
    for inner in part.parts:
        yield inner
        yield from _inside(inner)


def _merged(runs: Sequence[Run]) -> list[Run]:
    merged: list[Run] = []
    for run in runs:
        if merged[1:] and (merged[-1].bold, merged[-1].italic) == (run.bold, run.italic):
            merged[-1] = replace(run, text=merged[-1].text + run.text)
        else:
            merged.append(run)
    return merged


def _numbers_left(pack: Pack, runs: Sequence[Run], product: Product) -> list[Finding]:
    """E-numbers in the statement of a market that knows names only."""
    rule = pack.find(Statement, "no_numbers")
    numbers = (
        dict.fromkeys(re.findall(r"\bE\s?\d{3,4}[a-h]?\b", "".join(r.text for r in runs))) if rule else ()
    )
    if not numbers:
        return []
    said = [
        f"{n} ({a.named(rule.unit)})" if (a := additive_of(n)) and getattr(a, rule.unit) else n
        for n in numbers
    ]
    # a code with an E before it is understood; a number where names are wanted is not
    wording = "additive-number.code" if rule.unit == "code" else "additive-number"
    return [
        find(
            wording,
            product.where,
            path=product.path(),
            cites=rule.source,
            product=product.key,
            numbers=said,
            law=rule.text,
        )
    ]


def _hidden(pack: Pack, profile: NutrientProfile, kitchen: Kitchen, product: Product):
    """Names that spell out a list of their own and leave out something of the packet's."""
    seen = {i.ingredient.name: i.ingredient for i in profile.ingoing}
    for ingredient in seen.values():
        if "(" not in ingredient.print_name:
            continue
        shown = ingredient.print_name.casefold()
        hidden = [
            n
            for n in _leaf_names(own_items(ingredient, kitchen))
            if not all(w in shown for w in n.casefold().split())
        ]
        if hidden:
            told = {
                "product": product.key,
                "ingredient": ingredient.name,
                "text": ingredient.print_name,
                "hidden": hidden,
            }
            source = pack.entry(Statement, "heading").source
            yield find(
                "sub-ingredients-hidden",
                product.where,
                path=f"ingredients.{ingredient.name}.print",
                cites=source,
                **told,
            )


def _leaf_names(items: tuple[StatementItem, ...]):
    for item in items:
        if item.items:
            yield from _leaf_names(item.items)
        else:
            yield item.name
