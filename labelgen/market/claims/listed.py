"""The claims that the names in an ingredient list make: "gluten free flour", "vegan egg", in every language
printed.

Such a name speaks of its own ingredient, and is judged against what that is; a reader may take it for the
whole food.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from labelgen.composition.text.lexicon import spoken
from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.law.claim_tables import ClaimRule
from labelgen.law.pack import Pack
from labelgen.market.claims.claim_words import Asked, read_claim
from labelgen.market.claims.conditions import NAMES
from labelgen.market.claims.free_from import gluten_in, judge_diet, judge_free_from, kind_present
from labelgen.market.claims.in_text import claims_in, read_text
from labelgen.market.claims.make_up import Part, read_make_up, same_allergen
from labelgen.market.claims.places import unclear
from labelgen.market.claims.wording import rule_for
from labelgen.market.declaration_records import Serving, StatementEntry
from labelgen.recipe.models import Kitchen, Product

#: Kinds of rule under which something is said to be absent; only these are judged in a name, and limits of
# what it holds.
_ABSENCE = ("gluten", "diet", "free_from")


def check_list(
    pack: Pack,
    entries: Sequence[StatementEntry],
    product: Product,
    profile: NutrientProfile,
    kitchen: Kitchen,
    serving: Serving,
) -> tuple[Finding, ...]:
    """What the names of a printed ingredient list claim and is untrue, or nobody understands. serving: of the
    product: what a serving may hold at most is asked of as much of the ingredient.
    """
    said = [e for e in _named(entries) if (text := read_text(e.name)).claims or text.unclear]
    parts = read_make_up(profile, kitchen) if said else ()
    return tuple(
        dict.fromkeys(f for entry in said for f in _of_entry(pack, entry, product, kitchen, parts, serving))
    )


def _named(entries: Sequence[StatementEntry]) -> Iterator[StatementEntry]:
    for entry in entries:
        yield entry
        yield from _named(entry.entries)


def _of_entry(
    pack: Pack,
    entry: StatementEntry,
    product: Product,
    kitchen: Kitchen,
    parts: Sequence[Part],
    serving: Serving,
) -> Iterator[Finding]:
    own = tuple(p for p in parts if p.name in entry.ingredients)
    spec = own[0].spec if own else None
    where, path = (spec.where, spec.path()) if spec else (product.where, product.path())
    place = {"product": product.key, "entry": entry.name}
    for text in read_text(entry.name).unclear:
        yield unclear(where, path, f"'{entry.name}' in the ingredient list of {product.key}", text)
    for text in claims_in(entry.name):
        for asked in read_claim(text):
            rule = rule_for(pack, asked)
            if why := _untrue(pack, rule, asked, entry, own, product, kitchen, serving):
                told = {"claim": text, "reasons": "; ".join(dict.fromkeys(why)), "law": rule.text}
                yield find("claim-refused.in-list", where, path=path, cites=rule.source, **place, **told)
            elif rule.kind in _ABSENCE and (others := _elsewhere(pack, rule, asked, parts)):
                yield find(
                    "claim-in-name.in-list",
                    where,
                    path=path,
                    cites=rule.source,
                    **place,
                    claim=text,
                    ingredients=others,
                )


def _untrue(
    pack: Pack,
    rule: ClaimRule,
    asked: Asked,
    entry: StatementEntry,
    own: tuple[Part, ...],
    product: Product,
    kitchen: Kitchen,
    serving: Serving,
) -> list[str]:
    """Why a claim is untrue of an entry; [] where it holds, or speaks of nothing that is known. An entry
    that stands for no ingredient of the kitchen is an item of a supplier's own list.
    """
    if not own:
        return [
            f"it holds {spoken(code)}"
            for code in entry.allergens
            if rule.kind in _ABSENCE
            and asked.key != "lactose_free"
            and any(same_allergen(code, c) for c in _codes(rule, asked))
        ]
    # what the supplier says is about the ingredient alone: neither the kitchen nor a test of the food changes
    # it
    alone = kitchen.model_copy(update={"handles": ()})
    plain = product.model_copy(update={"tested": {}, "may_contain": (), "precaution": ""})
    if rule.kind == "gluten":
        return gluten_in(rule.limit, own)[0]
    if rule.kind == "diet":
        return list(judge_diet(rule, asked.key, alone, own).refused)
    if rule.kind == "free_from":
        vouched = all(
            any(
                a.key == asked.key
                for t in claims_in(p.spec.statement if p.spec else "")
                for a in read_claim(t)
            )
            for p in own
        )
        return (
            []
            if vouched and asked.key == "lactose_free"
            else list(judge_free_from(pack, _codes(rule, asked), plain, alone, own).refused)
        )
    surely = [
        why
        for kind in rule.without
        for why in kind_present(
            kind, tuple(p for p in own if any(h.sure and h.kind == kind for h in p.kinds))
        )
    ]
    return [*surely, *_too_much(rule, own, serving.reference or serving.grams)]


def _codes(rule: ClaimRule, asked: Asked) -> tuple[str, ...]:
    return asked.foods or tuple(rule.without) or (("gluten",) if rule.kind == "gluten" else ())


def _too_much(rule: ClaimRule, own: Sequence[Part], serving: float) -> list[str]:
    """What an ingredient surely holds too much of: more in as many grams as a serving of the product than a
    serving may, or in 100 g than 100 g may.
    """
    found = []
    for condition in rule.conditions:
        limit = condition.at_most if condition.below is None else condition.below
        tag = condition.tag
        if limit is None or not tag or condition.unit:
            continue
        for part in own:
            least = part.ingredient.composition.get(tag)[0]
            grams = max((float(p.split()[0]) for p in condition.per if p.endswith(" g")), default=serving)
            if least * grams / 100 > float(limit):
                found.append(f"{part.name} holds {least:.3g} {NAMES[tag]} in 100 g")
    return found


def _elsewhere(pack: Pack, rule: ClaimRule, asked: Asked, parts: Sequence[Part]) -> list[str]:
    """The ingredients of the food that its claim would be untrue of."""
    found = [
        p.name
        for p in parts
        if any(same_allergen(h.allergen, c) for h in p.ingredient.contains for c in _codes(rule, asked))
        or any(h.sure and h.kind in _codes(rule, asked) for h in p.kinds)
    ]
    return list(dict.fromkeys(found))
