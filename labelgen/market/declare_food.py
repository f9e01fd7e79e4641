"""Declares one product for one market on one date: everything its label says, as text."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from labelgen.errors import Finding
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.law.claim_tables import ClaimRule
from labelgen.law.pack import Pack, read_pack
from labelgen.law.transition import list_transitions
from labelgen.market.advisories import check_allowed, declare_advisories
from labelgen.market.allergens.called import language_of
from labelgen.market.allergens.cross_contact import decide_cross_contact, open_questions
from labelgen.market.allergens.declaration import declare_allergens
from labelgen.market.allergens.thresholds import without_small_amounts
from labelgen.market.allergens_in_names import check_names
from labelgen.market.claims.places import (
    check_wordings,
    find_stated,
    find_unclear,
    in_plain_words,
    warn_of_names,
    with_stated_claims,
    without_stated,
)
from labelgen.market.claims.wording import check_language, word_claims
from labelgen.market.dates import declare_dates
from labelgen.market.declaration_records import Claim, Declaration, Run
from labelgen.market.exemption import take_exemptions
from labelgen.market.net_quantity import declare_net_quantity, declare_volume
from labelgen.market.nutrition.front_of_pack import declare_front
from labelgen.market.nutrition.nutrition_panel import declare_panel, states_serving
from labelgen.market.nutrition.symbol import check_symbol
from labelgen.market.nutrition.uncounted import find_uncounted
from labelgen.market.nutrition.unstated import find_unstated
from labelgen.market.particulars import declare_particulars
from labelgen.market.producer import check_producer, name_producer
from labelgen.market.second_language import check_languages, in_language, label_languages
from labelgen.market.statement.ingredients import declare_ingredients
from labelgen.order import Order
from labelgen.recipe.models import Kitchen, Product

#: Findings that each language of a label answers for itself.
_OF_WORDING = ("wording-missing", "additive-number")


def declare(profile: NutrientProfile, product: Product, kitchen: Kitchen, order: Order) -> Declaration:
    """The declaration, with every finding of this room. Nothing is decided to the right of it.

    A market of several languages has its declaration in the first, and in ``second`` the same in the next.
    """
    pack = read_pack(order.market, order.on)
    product = product.in_market(pack.market)
    stated = find_stated(product, kitchen)
    product = with_stated_claims(product, kitchen)
    first, *others = label_languages(pack, kitchen)
    base = _declare(pack, profile, product, kitchen, order)
    told = "".join(r.text for r in base.ingredients)
    declaration, unworded = (
        _declare_in(first, pack, profile, product, kitchen, order, told) if first else (base, ())
    )
    claims, doubts = _judged(pack, product, profile, kitchen, declaration, {s.text: s.place for s in stated})
    allowed = tuple(c for c in claims if c.allowed)
    only_names = tuple(s for s in stated if s.naming)
    named, _ = _judged(
        pack,
        product.model_copy(update={"claims": tuple(s.text for s in only_names)}),
        profile,
        kitchen,
        declaration,
    )
    doubts = (*doubts, *warn_of_names(product, named, only_names), *check_wordings(product))
    declaration, unclaimed = _claiming(
        declaration, without_stated(allowed, stated, first), pack, product, first
    )
    found = [
        *declaration.findings,
        *unworded,
        *doubts,
        *find_unclear(product),
        *_list_claims(pack, declaration, product, profile, kitchen),
        *unclaimed,
        *check_languages(pack, kitchen),
        *check_names(product, kitchen, profile),
    ]
    for language in others:
        # what is in doubt is told once, with the first language; the second has only its wording to answer
        # for
        second, unworded = _declare_in(language, pack, profile, product, kitchen, order, told)
        second, unclaimed = _claiming(
            second, without_stated(allowed, stated, language), pack, product, language
        )
        declaration = replace(
            declaration, second=second, panel=replace(declaration.panel, second=second.panel)
        )
        found += [
            *unworded,
            *unclaimed,
            *_list_claims(pack, second, product, profile, kitchen),
            *(f for f in second.findings if f.code in _OF_WORDING),
        ]
    return replace(declaration, findings=tuple(dict.fromkeys(found)))


def _list_claims(
    pack: Pack, declaration: Declaration, product: Product, profile: NutrientProfile, kitchen: Kitchen
) -> tuple[Finding, ...]:
    if not pack.has(ClaimRule):
        return ()
    from labelgen.market.claims.listed import check_list

    return check_list(pack, declaration.entries, product, profile, kitchen, declaration.panel.serving)


def _judged(
    pack: Pack,
    product: Product,
    profile: NutrientProfile,
    kitchen: Kitchen,
    declaration: Declaration,
    places: Mapping[str, str] = {},
) -> tuple[tuple[Claim, ...], tuple[Finding, ...]]:
    """The product's claims, judged; what judges them is loaded for a product that makes any."""
    if not product.claims:
        return (), ()
    from labelgen.market.claims.judge import judge_claims

    return judge_claims(pack, product, profile, kitchen, declaration.panel.serving, places)


def _claiming(
    declaration: Declaration, allowed: tuple[Claim, ...], pack: Pack, product: Product, language: str
) -> tuple[Declaration, tuple[Finding, ...]]:
    """The declaration with its claims, in its language, and what could not be worded."""
    if not allowed:
        return declaration, ()
    from labelgen.market.claims.companions import mark_list

    claims, unworded = (
        word_claims(allowed, pack, product, language)
        if language
        else (allowed, check_language(allowed, pack, product))
    )
    under = tuple(dict.fromkeys(text for c in claims for text in c.under))
    declaration = replace(
        declaration,
        claims=tuple(c for c in claims if c.said),
        advisories=(*under, *declaration.advisories),
        ingredients=mark_list(declaration.ingredients, claims),
        allergens=mark_list(declaration.allergens, claims),
    )
    return declaration, unworded


def _declare_in(
    language: str,
    pack: Pack,
    profile: NutrientProfile,
    product: Product,
    kitchen: Kitchen,
    order: Order,
    told: str,
) -> tuple[Declaration, tuple[Finding, ...]]:
    """The declaration in a further language of the market, and what could not be worded in it. told: the
    ingredient statement in the first one.
    """
    spoken = in_language(language, product, kitchen, profile, states_serving(pack, product))
    return (
        _declare(
            replace(pack, language=language), spoken.profile, spoken.product, spoken.kitchen, order, told
        ),
        spoken.findings,
    )


def _declare(
    pack: Pack, profile: NutrientProfile, product: Product, kitchen: Kitchen, order: Order, told: str = ""
) -> Declaration:
    """told: the ingredient statement in the market's first language, whose words call for warnings as
    well.
    """
    left_out, added, exemptions = take_exemptions(pack, product)
    plain = in_plain_words(product)
    panel, panel_doubts = declare_panel(pack, plain, profile)
    front, front_doubts = declare_front(pack, product, profile, panel)
    counted, small = without_small_amounts(pack, product, profile)
    runs, entries, statement_doubts = declare_ingredients(
        pack, counted, kitchen, product, panel.serving.grams
    )
    contains = tuple(dict.fromkeys(h for i in counted.ingoing for h in i.ingredient.contains))
    may = tuple(dict.fromkeys(h for i in profile.ingoing for h in i.ingredient.may_contain))
    warned, cross_contact = decide_cross_contact(pack, product, kitchen, contains, may)
    allergens = declare_allergens(pack.market, pack.on, contains, warned, pack.language)
    called = {i.ingredient.name: i.ingredient.print_name for i in profile.ingoing}
    dates, date_doubts = declare_dates(pack, product, order.made_on, order.lot)
    statement = "\n".join(filter(None, ("".join(r.text for r in runs), told)))
    advised = declare_advisories(
        pack,
        profile,
        panel.serving.grams,
        statement,
        "panel" in left_out,
        product.density,
        f"{product.name} {product.identity}",
    )
    particulars, unsaid = declare_particulars(pack, product, profile, statement)
    behind_name = (*advised.with_name, *particulars)
    found = [
        *profile.findings,
        *statement_doubts,
        *unsaid,
        *_placed(allergens.findings, kitchen),
        *check_allowed(pack, product, statement),
        *exemptions,
        *(() if "panel" in left_out else panel_doubts),
        *(() if "dates" in left_out else date_doubts),
        *(() if "business" in left_out else check_producer(pack, kitchen, order.lot)),
        *cross_contact,
        *list_transitions(pack),
        *front_doubts,
        *(() if "panel" in left_out else check_symbol(pack, plain, kitchen, profile, panel.serving)),
        *find_unstated(pack, plain, profile, kitchen),
        *find_uncounted(pack, product, profile, kitchen, panel.serving.grams),
        *small,
    ]
    return Declaration(
        market=pack.market,
        on=pack.on,
        product=product.name,
        identity=" ".join((product.identity or product.name, *behind_name)),
        behind_name=behind_name,
        panel=panel,
        ingredients=(*runs, *(Run(f" {t}.", bold=True) for t in advised.with_list)),
        entries=entries,
        allergens=allergens.runs,
        contains=contains,
        may_contain=warned,
        # the maker's own precaution never replaces what a supplier warns of
        advisories=tuple(
            t
            for t in (*advised.texts, allergens.precaution, product.precaution, product.directions, *added)
            if t
        ),
        precaution=allergens.precaution,
        net_quantity="" if "net_quantity" in left_out else _net_quantity(pack, product, profile),
        net_grams=profile.pack.grams,
        volume=product.volume or 0.0,
        business=() if "business" in left_out else name_producer(kitchen.producer, product),
        storage="" if "storage" in left_out else product.storage,
        dates=() if "dates" in left_out else dates,
        without_panel="panel" in left_out,
        front=front,
        warnings=advised.warnings,
        language=language_of(pack),
        questions=open_questions(product, kitchen, contains, warned, allergens.asked),
        called=tuple(called.items()),
        untold=tuple(
            dict.fromkeys(i.ingredient.print_name for i in profile.ingoing if not i.ingredient.disclosed)
        ),
        package=product.package,
        gtin=product.gtin,
        qr=product.qr,
        findings=tuple(dict.fromkeys(found)),
    )


def _net_quantity(pack: Pack, product: Product, profile: NutrientProfile) -> str:
    return (
        declare_volume(pack, product.volume)
        if product.volume
        else declare_net_quantity(pack, profile.pack.grams)
    )


def _placed(findings: tuple[Finding, ...], kitchen: Kitchen) -> list[Finding]:
    """Findings that name an ingredient, at its place in the maker's files."""
    specs = kitchen.ingredients
    return [replace(f, where=specs[f.where.file].where) if f.where.file in specs else f for f in findings]
