"""Judges the claims a maker asks for, by the market's data, on the worst end of what is known.

A refused claim stops the label and says what would have to change; an accepted one says what it rests on, and
what else it puts on the label. Rules: ``reference/markets/<code>/claims.toml``; the competent authority has
the last word.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Mapping
from dataclasses import replace

from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.law.claim_tables import ClaimRule, ClaimTerm, Condition
from labelgen.law.figure_tables import SymbolRule
from labelgen.law.label_tables import Exemption
from labelgen.law.pack import Pack
from labelgen.law.transition import meanwhile
from labelgen.market.claims import amounts, conditions
from labelgen.market.claims.claim_words import Asked, read_claim
from labelgen.market.claims.companions import Companions, bring_companions, spelled
from labelgen.market.claims.comparative import judge_comparison
from labelgen.market.claims.conditions import Food, Judged
from labelgen.market.claims.free_from import (
    Verdict,
    judge_diet,
    judge_free_from,
    judge_gluten_free,
    kind_present,
)
from labelgen.market.claims.make_up import Part, read_make_up
from labelgen.market.claims.wording import (
    check_permitted,
    is_nutrition,
    loose_word,
    printed_words,
    rule_for,
)
from labelgen.market.declaration_records import Claim, Serving
from labelgen.market.nutrition.symbol import shown_nutrients
from labelgen.recipe.models import Kitchen, Product


def judge_claims(
    pack: Pack,
    product: Product,
    profile: NutrientProfile,
    kitchen: Kitchen,
    serving: Serving,
    places: Mapping[str, str] = {},
) -> tuple[tuple[Claim, ...], tuple[Finding, ...]]:
    """Every claim of a product, in its order, and what to tell the maker about each. places: in which text
    of the label a claim stands that was not asked for.
    """
    if not product.claims:
        return (), ()
    if not pack.has(ClaimRule):
        return (), (
            find(
                "claim-not-judged",
                product.where,
                path=product.path("claims"),
                product=product.key,
                market=pack.market,
            ),
        )
    food = conditions.read_food(pack, product, profile, serving)
    parts = read_make_up(profile, kitchen)
    claimed = {spelled(a) for text in product.claims for a in read_claim(text)}
    claims, findings, ends = [], [], []
    for text in product.claims:
        asked = read_claim(text)
        if not asked:
            told = {"product": product.key, "claim": text, "unit": product.unit}
            findings.append(find("claim-unknown", product.where, path=product.path("claims"), **told))
            continue
        rules = [rule_for(pack, a) for a in asked]
        judged = [_judge(food, a, rule, kitchen, parts, claimed) for a, rule in zip(asked, rules)]
        claim = _joined(text, printed_words(pack, text, rules), judged, rules[0].source)
        if claim.allowed and any(map(is_nutrition, rules)):
            disclosed = () if ends else _disclosure(food)
            ends.append(text)
            claim = replace(claim, companions=(*claim.companions, *disclosed))
        claims.append(claim)
        findings += [
            _finding(product, claim, rule, verdict, places.get(text, ""))
            for rule, (verdict, _) in zip(rules, judged)
        ]
        findings += check_permitted(pack, product, claim, places.get(text, ""))
        findings += _in_transition(pack, product, text, rules)
    if ends:
        findings += _exemptions_lost(pack, product, list(dict.fromkeys(ends)))
    return tuple(claims), tuple(findings)


def _judge(
    food: Food,
    asked: Asked,
    rule: ClaimRule,
    kitchen: Kitchen,
    parts: tuple[Part, ...],
    claimed: Collection[str],
) -> tuple[Verdict, Companions]:
    """(verdict, what the claim brings along). claimed: every claim of the label."""
    judges: dict[str, Callable[[], Verdict]] = {
        "content": lambda: _content(food, asked, rule, parts),
        "caution": lambda: _content(food, asked, rule, parts),
        "comparative": lambda: judge_comparison(food, asked, rule),
        "amount": lambda: amounts.judge_amount(food, asked, rule),
        "gluten": lambda: judge_gluten_free(rule, food.product, kitchen, parts),
        "free_from": lambda: judge_free_from(
            food.pack,
            asked.foods or tuple(rule.without),
            food.product,
            kitchen,
            parts,
            "lactose" if asked.key == "lactose_free" else "",
        ),
        "diet": lambda: judge_diet(rule, asked.key, kitchen, parts),
        "plain": lambda: Verdict((), (rule.text,)),
        "refused": lambda: Verdict((amounts.filled(food, rule.text),), ()),
    }
    loose = loose_word(food.pack, asked, rule)
    verdict = Verdict((loose,), ()) if loose else judges[rule.kind]()
    return verdict, (
        Companions()
        if verdict.refused
        else bring_companions(food, asked, rule, parts, verdict.present, claimed)
    )


def _content(food: Food, asked: Asked, rule: ClaimRule, parts: tuple[Part, ...]) -> Verdict:
    """Judged on figures, and on the kinds of ingredient that must be absent or present."""
    good, judged = conditions.holds(food, rule, asked.nutrient)
    refused = (
        []
        if good
        else [
            *(f"{j.figure}, {j.needed}" + (f": {j.remedy}" if j.remedy else "") for j in judged),
            *_changes(judged),
        ]
    )
    if asked.number is not None and rule.most:
        refused += amounts.too_much(food, asked)
    refused += dict.fromkeys(why for kind in rule.without for why in kind_present(kind, parts))
    barred = set(rule.barred_by_symbol)
    if barred and barred & shown_nutrients(food.pack, food.product, food.profile, food.serving):
        refused.append(food.pack.text(SymbolRule, "claims_barred"))
    for kind in rule.needs:
        share = sum(p.share for p in parts if any(h.kind == kind and h.sure for h in p.kinds))
        if not share:
            refused.append(f"no ingredient is {kind.replace('_', ' ')}")
        judged.append(
            Judged(True, f"{100 * share:.0f} % of the ingoing weight is {kind.replace('_', ' ')}", "")
        )
    because = [f"{j.figure}{f', {j.needed}' if j.needed else ''}" for j in judged]
    if rule.without:
        because.append(
            f"no {' or '.join(k.replace('_', ' ') for k in rule.without)} among {len(parts)} ingredients"
        )
    return Verdict(tuple(refused), tuple(because))


def _changes(judged: list[Judged]) -> list[str]:
    """What 100 g or mL of the food would have to hold, once per nutrient: the strictest of its bases."""
    strictest: dict[tuple[str, str], tuple[float, str, str]] = {}
    for name, limit, amount, unit, per in (j.bring for j in judged if j.bring):
        kept = strictest.get((name, limit))
        if kept is None or (amount < kept[0]) == (limit in ("below", "at most")):
            strictest[name, limit] = (amount, unit, per)
    return [
        f"bring {name} to {limit} {amount:.3g} {unit} per {per}"
        for (name, limit), (amount, unit, per) in strictest.items()
    ]


def _joined(text: str, printed: str, judged: list[tuple[Verdict, Companions]], source: str) -> Claim:
    refused = [why for verdict, _ in judged for why in verdict.refused]
    because = [why for verdict, _ in judged for why in verdict.because]
    beside, under, marked = (
        tuple(dict.fromkeys(x for _, c in judged for x in getattr(c, field)))
        for field in ("beside", "under", "marked")
    )
    return Claim(
        text, not refused, printed, "; ".join(because), beside, "; ".join(refused), source, under, marked
    )


def _disclosure(food: Food) -> tuple[str, ...]:
    """What the market wants beside the first nutrient claim when the food exceeds a level; () where
    nothing.
    """
    rules = [r for r in food.pack.entries(ClaimRule) if r.kind == "disclosure"]
    names = [r.name for r in rules if any(_exceeds(food, c) for c in r.conditions)]
    if not names:
        return ()
    listed = names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"
    return (f"{food.pack.text(ClaimTerm, 'disclosure').replace('{names}', listed)}.",)


def _exceeds(food: Food, condition: Condition) -> bool:
    """Whether a level may be exceeded: an unknown figure is disclosed too."""
    level = condition if condition.over is None else condition.replace(over=None, at_most=condition.over)
    return any(not j.holds for j in conditions.judge(food, (level,)))


def _finding(product: Product, claim: Claim, rule: ClaimRule, verdict: Verdict, place: str) -> Finding:
    about = {
        "path": product.path("claims"),
        "cites": rule.source,
        "product": product.key,
        "claim": claim.asked,
        "place": place,
    }
    if verdict.refused:
        wording, reasons = "claim-refused.in-text" if place else "claim-refused", "; ".join(verdict.refused)
        return find(wording, product.where, **about, reasons=reasons, law=rule.text)
    careful = rule.kind == "caution" or bool(verdict.cautions)
    because = [*((rule.text,) if rule.kind == "caution" else ()), *verdict.because]
    if claim.allowed and (brought := (*claim.companions, *claim.under)):
        because.append("it brings along: " + " ".join(brought).rstrip("."))
    if rule.asks:
        because.append(f"only you can confirm that {rule.asks}")
    wording = (
        ("claim-caution.in-text" if place else "claim-caution")
        if careful
        else "claim-holds.in-text"
        if place
        else "claim-holds"
    )
    return find(wording, product.where, **about, because="; ".join((*because, *verdict.cautions)))


def _in_transition(pack: Pack, product: Product, text: str, rules: list[ClaimRule]) -> list[Finding]:
    """That a claim is judged by a rule which is not yet compulsory."""
    place = {"path": product.path("claims"), "product": product.key, "claim": text}
    waiting = [(rule, said) for rule in rules if (said := meanwhile(rule, pack.on))]
    return [
        find("law-in-transition.of-claim", product.where, cites=r.source, meanwhile=said, **place)
        for r, said in waiting
    ]


def _exemptions_lost(pack: Pack, product: Product, claims: list[str]) -> list[Finding]:
    if not pack.has(Exemption):
        return []
    lost = [e for e in pack.entries(Exemption) if "claim" in e.lost_by]
    if not lost:
        return []
    told = {
        "product": product.key,
        "claims": [f"'{c}'" for c in claims],
        "exemptions": [f"{e.key.replace('_', ' ')} ({e.locator})" for e in lost],
    }
    return [
        find("panel-exemption-lost", product.where, path=product.path("claims"), cites=lost[0].source, **told)
    ]
