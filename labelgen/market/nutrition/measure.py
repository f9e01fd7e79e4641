"""The serving of a food that is sold loose: a cup or spoon of it that the maker weighed, ounces, or a part of
the package.
"""

from __future__ import annotations

import math

from labelgen.errors import NOT_READY, Finding, UnitError
from labelgen.findings import find
from labelgen.law.figure_tables import ReferenceAmount, ServingRule
from labelgen.law.pack import Pack
from labelgen.market.nutrition.liquid import household_volume, reference_volume
from labelgen.market.nutrition.reference import place_of
from labelgen.quantity import read_volume
from labelgen.recipe.models import Product

#: (household measure, grams, why)
Measured = tuple[str, float, str]


def weighed_measure(
    pack: Pack, product: Product, category: ReferenceAmount | None, found: list[Finding]
) -> Measured | None:
    """The cup, tablespoon or teaspoon measure nearest to the reference amount, 21 CFR 101.9(b)(2)(iii),
    (b)(5)(i), by what the maker says a measure of the food weighs (``weighs: {cup: 90 g}``); None where
    nothing is said.
    """
    density = _density(pack, product)
    if not density or category is None:
        return None
    target = reference_volume(pack, category) or float(category.amount) / density
    household, millilitres = household_volume(pack, target)
    asked = product.serving
    if (
        asked
        and not (asked.kind == "volume" and _same(asked.millilitres, millilitres))
        and not (asked.kind == "mass" and _same(asked.grams, millilitres * density))
    ):
        told = {"asked": asked.text, "reference": _said(category), "household": household}
        found.append(
            find("serving-not-lawful.measure", product.where, **place_of(pack, product, "serving"), **told)
        )
    grams = millilitres * density
    why = f"{household} of {grams:.4g} g is nearest to the reference amount of {_said(category)}"
    return household, grams, why


def ounces(
    pack: Pack, product: Product, category: ReferenceAmount | None, total: float, found: list[Finding]
) -> Measured:
    """Ounces nearest to the reference amount, with what so much looks like, 101.9(b)(5)(iii), (viii): lawful
    only where neither a measure nor a unit fits.
    """
    ounce, step = float(pack.value(ServingRule, "ounce")), float(pack.value(ServingRule, "ounce_step"))
    unit = category.unit if category else ""
    asked = product.serving.grams if product.serving and product.serving.kind == "mass" else None
    target = float(category.amount) if category and unit == "g" else asked or ounce
    steps = min(max(1, math.floor(target / ounce / step + 0.5)), max(1, math.floor(total / ounce / step)))
    said, rule = steps * step, pack.entry(ServingRule, "ounce_step")
    place = {"path": product.path("weighs"), "cites": rule.source, "product": product.key, "ounces": said}
    if unit not in ("", "g"):
        wording = f"{NOT_READY}-serving-measure.ounces.household"
        found.append(find(wording, product.where, **place, measure=_said(category)))
    elif not product.serving_looks:
        found.append(find(f"{NOT_READY}-serving-measure.ounces", product.where, **place))
    why = f"sold by weight: ounces in steps of {step:g} nearest to {target:g} g, {rule.locator}"
    return f"{said:g} oz", min(total, said * ounce), why


def _density(pack: Pack, product: Product) -> float:
    """Grams per millilitre of the first measure that the maker weighed and the market knows; 0 for none."""
    cup = pack.find(ServingRule, "measure_cup")
    for words, weight in product.weighs.items():
        text = words if words[:1].isdigit() or words[:1] in "½⅓⅔¼¾⅛" else f"1 {words}"
        try:
            millilitres = read_volume(text, pack.market)
        except UnitError:
            continue
        if cup and millilitres:
            # a label's cup is a round figure, and holds what the kitchen's cup holds: a cup is a cup
            return weight.grams / (millilitres * float(cup.figure) / read_volume("1 cup", pack.market))
    return 0.0


def _same(one: float, other: float) -> bool:
    return abs(one - other) <= 0.02 * other


def _said(entry: ReferenceAmount) -> str:
    return f"{fraction(float(entry.amount))} {entry.unit}"


def fraction(x: float) -> str:
    """0.25 -> 1/4, 0.6667 -> 2/3, 2 -> 2."""
    for parts in (1, 2, 3, 4, 8):
        if abs(x * parts - round(x * parts)) < 0.001 * parts:
            return f"{round(x * parts)}" if parts == 1 else f"{round(x * parts)}/{parts}"
    return f"{x:g}"
