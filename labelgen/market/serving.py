"""Serving size of discrete units from the piece's weight and the reference amount (21 CFR 101.9(b))."""

from __future__ import annotations

import math

from labelgen.errors import Finding
from labelgen.formulation.records import NutrientProfile
from labelgen.market.pack import Pack
from labelgen.market.records import Serving
from labelgen.market.rounding import declare_amount
from labelgen.recipe.models import Product


def declare_serving(pack: Pack, product: Product, profile: NutrientProfile) -> tuple[Serving, tuple[Finding, ...]]:
    """The serving and its findings. Without a category the serving is one piece, or the whole pack."""
    findings = []
    total = profile.pack.grams
    category = pack.find("reference_amounts", product.category) if product.category else None
    if category is None:
        known = ", ".join(e.key for e in pack.entries("reference_amounts"))
        what = f"{product.category!r} is no reference-amount category" if product.category else "no category is given, so the serving is one piece"
        findings.append(Finding("serving-category", "warn", product.where, f"{product.key}: {what}: add 'category:' with one of {known}", "cfr-21-101-12 (b)"))
    reference = float(category["amount"]) if category else None
    share = {k: float(pack.value("serving", k)) for k in ("units_several_at_most", "units_one_from", "single_below", "dual_from", "dual_at_most")}
    units = 1.0
    if reference and total < share["single_below"] * reference:
        units, why = profile.pieces or 1.0, f"pack of {total:.1f} g is below {share['single_below']:g} reference amounts of {reference:g} g: one serving"
        single = True
    else:
        single = reference is None and (profile.pieces == 1.0 or (not profile.pieces and not product.serving))
        why = "one piece"
        if reference and profile.pieces:
            piece = total / profile.pieces
            if piece <= share["units_several_at_most"] * reference:
                units = max(1.0, math.floor(reference / piece + 0.5))
                why = f"whole pieces of {piece:.1f} g nearest to the reference amount of {reference:g} g"
            elif piece < share["dual_from"] * reference:
                why = f"one piece of {piece:.1f} g against the reference amount of {reference:g} g"
            else:
                why = f"one piece of {piece:.1f} g"
                findings.append(Finding("dual-column", "warn", product.where, f"{product.key}: a piece weighs {piece:.1f} g, {piece / reference:.2f} reference amounts: the law asks for a serving near {reference:g} g and a second column per unit between {share['dual_from']:g} and {share['dual_at_most']:g}", "cfr-21-101-9 (b)(12)(i)"))
    if reference and share["dual_from"] * reference <= total <= share["dual_at_most"] * reference:
        findings.append(Finding("dual-column", "warn", product.where, f"{product.key}: the pack of {total:.1f} g holds {total / reference:.2f} reference amounts: a second column per container is required", "cfr-21-101-9 (b)(12)(i)"))
    bulk = not profile.pieces and not single
    if bulk:
        grams = product.serving.grams if product.serving and product.serving.grams else reference or total
        why = f"sold by weight: {grams:g} g, the {'serving given' if product.serving else 'reference amount'}"
        if not product.serving:
            findings.append(Finding("serving-measure", "warn", product.where, f"{product.key}: sold by weight: say what {grams:g} g looks like, for example 'pieces:' for its slices or 'serving: {grams:g} g'", "cfr-21-101-9 (b)(5)"))
    else:
        grams = total if single or not profile.pieces else units * total / profile.pieces
    count = total / grams
    word = product.unit if units == 1 else product.unit_plural or f"{product.unit}s"
    metric = declare_amount(pack, "serving_metric", grams).text
    household = f"{units:g} {word}" if profile.pieces else "1 portion" if bulk else "1 container"
    servings = declare_amount(pack, "servings_per_container", count).text
    line = "" if single else pack.text("panel", "servings").replace("{count}", servings)
    return Serving(household, metric, line, grams, count, single, why), tuple(findings)
