"""Whether the front of the pack must carry the market's nutrition symbol, with the figures behind the answer.

The artwork is not drawn: a label that needs it is not ready to sell without it, and the finding says so.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from labelgen.errors import NOT_READY, Finding
from labelgen.findings import find
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.law.figure_tables import DailyValue, ReferenceAmount, SymbolRule
from labelgen.law.pack import Pack
from labelgen.law.registry import market_named
from labelgen.market.declaration_records import Serving
from labelgen.market.nutrition.reference import reference_of
from labelgen.nutrients import UNITS
from labelgen.recipe.models import IngredientSpec, Kitchen, Product

_DUST = 1e-9


@dataclass(frozen=True)
class _Judged:
    """One nutrient: percent of the daily value, NaN where unknown, in ``grams`` of food, against ``limit``
    percent.
    """

    entry: SymbolRule
    amount: float
    percent: float
    most: float
    limit: float

    @property
    def reached(self) -> bool:
        return self.percent >= self.limit - _DUST


def check_symbol(
    pack: Pack, product: Product, kitchen: Kitchen, profile: NutrientProfile, serving: Serving
) -> tuple[Finding, ...]:
    """The findings on the symbol; () where the market, on this date, has none or the food never carries
    it.
    """
    if not pack.has(SymbolRule) or not pack.find(SymbolRule, "high_in"):
        return ()
    category = reference_of(pack, product)
    if category is not None and category.key in pack.entry(SymbolRule, "never").values:
        return ()
    grams = max(serving.grams, serving.reference)
    judged = [_judge(pack, e, profile, grams, category) for e in pack.entries(SymbolRule) if e.tag]
    found = [
        _near(pack, product, j, grams)
        for j in judged
        if abs(j.percent - j.limit) <= float(pack.value(SymbolRule, "near"))
    ]
    reached = [j for j in judged if j.reached]
    unknown = [j for j in judged if not j.reached and not j.most < j.limit]
    if category is None and len(reached) < len(judged):
        found.append(
            find(
                f"{NOT_READY}-symbol-undecided.no-category",
                product.where,
                path=product.path("category"),
                cites=pack.entry(SymbolRule, "high_in").source,
                product=product.key,
            )
        )
    if unknown:
        names = [j.entry.text for j in unknown]
        found.append(
            find(
                f"{NOT_READY}-symbol-undecided",
                product.where,
                path=product.path(),
                cites=unknown[0].entry.source,
                product=product.key,
                nutrients=names,
            )
        )
    found += _barred(pack, product, reached)
    return (*found, *([_needed(pack, product, kitchen, profile, reached, grams)] if reached else ()))


def shown_nutrients(
    pack: Pack, product: Product, profile: NutrientProfile, serving: Serving
) -> frozenset[str]:
    """The tags of the nutrients that the symbol shows on this food."""
    if not pack.has(SymbolRule) or not pack.find(SymbolRule, "high_in"):
        return frozenset()
    category = reference_of(pack, product)
    if category is not None and category.key in pack.entry(SymbolRule, "never").values:
        return frozenset()
    judged = [
        _judge(pack, e, profile, max(serving.grams, serving.reference), category)
        for e in pack.entries(SymbolRule)
        if e.tag
    ]
    return frozenset(j.entry.tag for j in judged if j.reached)


def _judge(
    pack: Pack, entry: SymbolRule, profile: NutrientProfile, grams: float, category: ReferenceAmount | None
) -> _Judged:
    _, value, most = profile.pack.per(grams).get(entry.tag)
    whole = float(pack.entry(DailyValue, entry.daily_value).amount)
    return _Judged(
        entry, value, 100 * value / whole, 100 * most / whole, float(entry.shares[_size(pack, category)])
    )


def _size(pack: Pack, category: ReferenceAmount | None) -> str:
    """Which limits hold. Without a reference amount the ordinary ones, which are reached last."""
    if category is None:
        return "ordinary"
    if category.amount <= pack.value(SymbolRule, "small_reference"):
        return "small"
    return "main" if category.amount >= pack.value(SymbolRule, "main_dish_from") else "ordinary"


def _near(pack: Pack, product: Product, judged: _Judged, grams: float) -> Finding:
    entry = pack.entry(SymbolRule, "near")
    return find(
        "symbol-near",
        product.where,
        path=product.path(),
        cites=entry.source,
        product=product.key,
        figure=_figure(pack, judged),
        grams=grams,
        points=entry.value,
        text=entry.text,
    )


def _figure(pack: Pack, judged: _Judged) -> str:
    unit = UNITS[judged.entry.tag]
    whole = pack.entry(DailyValue, judged.entry.daily_value)
    # beside the limit one digit more tells which side it is
    close = f"{judged.percent:.1f}" == f"{judged.limit:.1f}"
    amount, percent = (
        (f"{judged.amount:.4g}", f"{judged.percent:.2f}")
        if close
        else (f"{judged.amount:.3g}", f"{judged.percent:.1f}")
    )
    return (
        f"{judged.entry.text} {amount} {unit}, {percent} % of {whole.amount} {whole.unit} (limit"
        f" {judged.limit:g} %)"
    )


def _needed(
    pack: Pack,
    product: Product,
    kitchen: Kitchen,
    profile: NutrientProfile,
    reached: list[_Judged],
    grams: float,
) -> Finding:
    first = reached[0].entry
    told = {
        "product": product.key,
        "grams": grams,
        "figures": "; ".join(_figure(pack, j) for j in reached),
        "words": _words(pack, reached),
    }
    place = {"path": product.path("nutrition_symbol"), "cites": first.source}
    if first.mandatory and pack.on < first.mandatory:
        return find("symbol-coming", product.where, **place, **told, mandatory=first.mandatory)
    if product.nutrition_symbol:
        return find("symbol-on-pack", product.where, **place, **told)
    relieved = all(_only_from(j.entry, kitchen, profile) for j in reached)
    if relieved:
        return find(
            "symbol-relief",
            product.where,
            **place,
            **told,
            sources=_sources(first, profile),
            note=first.note,
        )
    where_to_get_it = pack.text(SymbolRule, "where_to_get_it")
    return find(
        f"{NOT_READY}-nutrition-symbol", product.where, **place, **told, where_to_get_it=where_to_get_it
    )


def _barred(pack: Pack, product: Product, reached: list[_Judged]) -> list[Finding]:
    """Claims that may not stand beside the symbol, from the day it is compulsory."""
    rule = pack.entry(SymbolRule, "claims_barred")
    if rule.mandatory and pack.on < rule.mandatory:
        return []
    words = {word for judged in reached for word in judged.entry.claim_words}
    said = {claim: set(re.findall(r"\w+", claim.lower())) for claim in product.claims}
    barred = [claim for claim, own in said.items() if own & words and not own & set(rule.values)]
    return [
        find(
            "symbol-bars-claim",
            product.where,
            path=product.path("claims"),
            cites=rule.source,
            product=product.key,
            claim=claim,
            text=rule.text,
        )
        for claim in barred
    ]


def _words(pack: Pack, reached: list[_Judged]) -> str:
    """What the symbol says, in every language of the market: 'High in: Sat fat / Élevé en: Gras sat.'"""
    said = []
    for language in ("", *market_named(pack.market).also_in):
        own = replace(pack, language=language)
        said.append(
            f"{own.text(SymbolRule, 'high_in')}:"
            f" {', '.join(own.text(SymbolRule, j.entry.key) for j in reached)}"
        )
    return f"'{' / '.join(said)}'"


def _sources(entry: SymbolRule, profile: NutrientProfile) -> list[str]:
    """The ingredients that bring the nutrient, or may."""
    return sorted({i.ingredient.name for i in profile.ingoing if not i.amounts.get(entry.tag)[2] <= 0})


def _only_from(entry: SymbolRule, kitchen: Kitchen, profile: NutrientProfile) -> bool:
    """Whether there are sources, and every one is a food that does not count. A compound with a list of
    its own is none.
    """
    sources = _sources(entry, profile)
    return bool(sources) and all(_does_not_count(entry, kitchen.ingredients.get(name)) for name in sources)


def _does_not_count(entry: SymbolRule, spec: IngredientSpec | None) -> bool:
    if spec is None or spec.statement:
        return False
    said = f"{spec.print_name} {spec.name}".replace("-", " ")
    return any(re.search(rf"\b{re.escape(word)}\b", said, re.IGNORECASE) for word in entry.unless)
