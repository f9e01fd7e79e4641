"""Declares one product for one market on one date: everything its label says, as text."""

from __future__ import annotations

import re
from datetime import date, timedelta

from labelgen.errors import Finding
from labelgen.formulation.records import NutrientProfile
from labelgen.market.allergens import declare_allergens
from labelgen.market.ingredients import declare_ingredients
from labelgen.market.net_quantity import declare_net_quantity
from labelgen.market.nutrition import declare_panel
from labelgen.market.pack import read_pack
from labelgen.market.records import Declaration
from labelgen.recipe.models import Kitchen, Product


def declare(profile: NutrientProfile, product: Product, kitchen: Kitchen, market: str, on: date, lot: str = "", made_on: date | None = None) -> Declaration:
    """The declaration, with every finding of this room. Nothing is decided to the right of it."""
    pack = read_pack(market, on)
    panel, findings = declare_panel(pack, product, profile)
    found = [*profile.findings, *findings]
    runs, entries = declare_ingredients(pack, profile, kitchen)
    contains = tuple(dict.fromkeys(h for i in profile.ingoing for h in i.ingredient.contains))
    may = tuple(dict.fromkeys(h for i in profile.ingoing for h in i.ingredient.may_contain))
    allergens = declare_allergens(market, on, contains, may)
    found += allergens.findings
    declared = {h.allergen for h in contains}
    for code in kitchen.handles:
        if code not in declared and not product.precaution:
            found.append(Finding("cross-contact", "warn", product.where, f"{product.key}: {code} is handled in the same kitchen: decide on a precaution ('precaution:') after looking at how it is kept apart"))
    for claim in product.claims:
        found.append(Finding("claim-not-judged", "block", product.where, f"{product.key}: the claim {claim!r} is not judged by this version: take it off the product"))
    if not kitchen.producer.name or not kitchen.producer.address:
        found.append(Finding("no-producer", "block", kitchen.where, "kitchen.yaml lacks the producer's name and address: add 'producer: {name: ..., address: ...}'"))
    advisories = tuple(t for t in (product.precaution or allergens.precaution,) if t)
    dates = _dates(product, made_on, lot, found)
    producer = kitchen.producer
    business = tuple(t for t in (" ".join(x for x in (producer.role, producer.name) if x), producer.address, producer.phone) if t)
    return Declaration(
        market=market, on=on, product=product.name, identity=product.identity or product.name, panel=panel, ingredients=runs,
        entries=entries, allergens=allergens.runs, contains=contains, may_contain=may, advisories=advisories,
        net_quantity=declare_net_quantity(pack, profile.pack.grams), net_grams=profile.pack.grams, business=business,
        storage=product.storage, dates=dates, findings=tuple(dict.fromkeys(found)),
    )  # fmt: skip


def _dates(product: Product, made_on: date | None, lot: str, found: list[Finding]) -> tuple[str, ...]:
    lines = []
    match = re.fullmatch(r"(\d+)\s*(days?|weeks?)", product.best_before)
    if product.best_before and not match:
        found.append(Finding("best-before", "warn", product.where, f"{product.key}: best_before {product.best_before!r} is not understood: write for example '14 days' or '6 weeks'"))
    if match and made_on:
        span = timedelta(days=int(match[1]) * (7 if match[2].startswith("week") else 1))
        lines.append(f"Best before {(made_on + span).strftime('%d %b %Y')}")
    if lot:
        lines.append(f"Lot {lot}")
    return tuple(lines)
