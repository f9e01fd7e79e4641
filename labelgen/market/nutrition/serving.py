"""The serving: from the weight of a piece, a cut unit or the pack, and the food's reference amount.

United States: 21 CFR 101.9(b), with ounces for food sold by weight and a second column from two reference
amounts up.
Canada: B.01.002A, with a fraction of the whole for food that is divided. Exactly half-way between two
servings, the larger is taken, 101.9(b)(5)(ix).
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from labelgen.errors import NOT_READY, Finding
from labelgen.findings import find
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.law.figure_tables import PanelText, ReferenceAmount, ServingRule
from labelgen.law.pack import Pack
from labelgen.law.rounding import declare_amount
from labelgen.market.declaration_records import Serving
from labelgen.market.net_quantity import metric_quantity
from labelgen.market.nutrition.liquid import asked_volume, household_volume, metric_volume, reference_volume
from labelgen.market.nutrition.measure import fraction, ounces, weighed_measure
from labelgen.market.nutrition.portion import counted, declare_portion
from labelgen.market.nutrition.reference import category_of, place_of
from labelgen.recipe.models import Product

#: Slack when a weight is compared with a share of the reference amount [relative]: binary dust only.
_DUST = 1e-9
#: The most parts a cut unit is divided into: beyond this nobody cuts.
_MOST_PARTS = 72


@dataclass(frozen=True)
class _Chosen:
    """household: "2 cookies". grams: unrounded. why: the rule applied. part_of: grams of the whole unit
    that the serving is a part of, or 0. looks: what so many ounces look like.
    """

    household: str
    grams: float
    why: str
    part_of: float = 0.0
    looks: str = ""


def declare_serving(
    pack: Pack, product: Product, profile: NutrientProfile
) -> tuple[Serving, tuple[Finding, ...]]:
    """The serving and its findings. Without a category the serving is one piece, or the whole pack.

    Markets without reference amounts take the maker's own serving.
    """
    if not pack.has(ReferenceAmount):
        return declare_portion(pack, product, profile)
    found: list[Finding] = []
    total = profile.pack.grams
    category = category_of(pack, product, found)
    reference = float(category.amount) if category and category.unit == "g" else None
    if product.density:
        by_volume = reference_volume(pack, category)
        reference = by_volume * product.density if by_volume else None
    piece = total / profile.pieces if profile.pieces else total if product.cut else None
    single = _is_single(pack, product, profile, reference)
    if single:
        word = product.unit if profile.pieces == 1 else pack.text(ServingRule, "container")
        why = (
            f"the pack of {total:.1f} g is one serving"
            if reference is None
            else (
                f"the pack of {total:.1f} g is below {_share(pack, 'single_below'):g} reference amounts of"
                f" {reference:g} g: one serving, {_locator(pack, 'single_below')}"
            )
        )
        chosen = _Chosen(f"1 {word}", total, why)
    elif product.density:
        chosen = _by_volume(pack, product, profile, reference, found)
    elif piece is None:
        chosen = _bulk(pack, product, category, total, found)
    elif product.cut:
        chosen = _cut(pack, product, piece, reference or piece, f"a {product.unit} of {piece:.1f} g, cut")
    else:
        chosen = _units(pack, product, piece, reference, found)
    if product.boxed and chosen.grams > total * (1 + _DUST):
        chosen = _Chosen(
            counted(product, profile.pieces) if profile.pieces else chosen.household,
            total,
            "all that the box holds of it",
        )
    dual = not single and reference is not None and pack.find(ServingRule, "dual_from")
    extra = () if not dual else _second_column(pack, product, chosen, total, reference, found)
    count = total / chosen.grams
    as_net = single and pack.find(ServingRule, "single_as_net")
    if product.density:
        metric = metric_volume(pack, chosen.grams / product.density)
    else:
        metric = (
            metric_quantity(pack, total)
            if as_net
            else declare_amount(pack, "serving_metric", chosen.grams).text
        )
    if chosen.looks:
        metric = f"{metric}/{chosen.looks}"
    line = "" if single else _servings_line(pack, count)
    return Serving(
        chosen.household, metric, line, chosen.grams, count, single, chosen.why, extra, reference or 0.0
    ), tuple(found)


def _by_volume(
    pack: Pack, product: Product, profile: NutrientProfile, reference: float | None, found: list[Finding]
) -> _Chosen:
    """A liquid: the household measure nearest to the reference amount, 21 CFR 101.9(b)(2)(iii), (b)(5)(i)."""
    if reference is None:
        by_volume = [e.key for e in pack.entries(ReferenceAmount) if reference_volume(pack, e)]
        found.append(
            find(
                f"{NOT_READY}-serving-category.volume",
                product.where,
                **place_of(pack, product, "category"),
                categories=by_volume,
                market=pack.market,
            )
        )
    target = reference / product.density if reference else asked_volume(product, profile, found)
    household, millilitres = household_volume(pack, target)
    if (
        product.serving
        and reference
        and metric_volume(pack, asked_volume(product, profile, found)) != metric_volume(pack, millilitres)
    ):
        asked = product.serving.text
        found.append(
            find(
                "serving-not-lawful.volume",
                product.where,
                **place_of(pack, product, "serving"),
                asked=asked,
                reference=target,
                household=household,
            )
        )
    return _Chosen(household, millilitres * product.density, f"{household} is nearest to {target:g} mL")


def _servings_line(pack: Pack, count: float) -> str:
    """ "about 6 servings per container"; "" where the market does not ask for it."""
    if not pack.find(PanelText, "servings"):
        return ""
    servings = declare_amount(pack, "servings_per_container", count).text
    return pack.text(PanelText, "servings_one" if servings.split()[-1] == "1" else "servings").replace(
        "{count}", servings
    )


def _locator(pack: Pack, key: str) -> str:
    return pack.entry(ServingRule, key).locator


def cut_parts(pack: Pack) -> tuple[int, ...]:
    """The numbers of parts a large unit may be cut into: 2, 3, 4, 5, 6, 8, 9, 10, 12, 15, 16, 18 ..."""
    parts = {int(n) for n in pack.entry(ServingRule, "fractions").values}
    divisors = [int(n) for n in pack.entry(ServingRule, "fraction_divisors").values]
    fresh = set(parts)
    while fresh:
        fresh = {n * d for n in fresh for d in divisors if n * d <= _MOST_PARTS} - parts
        parts |= fresh
    return tuple(sorted(parts))


def _share(pack: Pack, key: str) -> float:
    return float(pack.value(ServingRule, key))


def _is_single(pack: Pack, product: Product, profile: NutrientProfile, reference: float | None) -> bool:
    if product.boxed and profile.pieces:
        return False  # pieces in a box are no package
    if reference is not None:
        return profile.pack.grams < _share(pack, "single_below") * reference * (1 - _DUST)
    return not product.cut and (
        profile.pieces == 1 or (not profile.pieces and product.serving is None and not product.category)
    )


def _units(
    pack: Pack, product: Product, piece: float, reference: float | None, found: list[Finding]
) -> _Chosen:
    """Discrete units, 21 CFR 101.9(b)(2)(i)(A)-(D)."""
    if reference is None:
        return _Chosen(f"1 {product.unit}", piece, "one piece: no reference amount by weight is known")
    ratio = piece / reference
    asked = product.serving.count if product.serving and product.serving.kind == "count" else None
    if ratio >= _share(pack, "cut_from") * (1 - _DUST):
        return _cut(
            pack,
            product,
            piece,
            reference,
            f"a {product.unit} of {piece:.1f} g is {ratio:.2f} reference amounts of {reference:g} g",
        )
    if ratio <= _share(pack, "units_several_at_most") * (1 + _DUST):
        units, rule = _nearest_whole(reference / piece), "units_several_at_most"
    elif ratio < _share(pack, "units_one_from") * (1 - _DUST):
        units, rule = (asked if asked in (1.0, 2.0) else _nearest_whole(reference / piece)), "units_between"
    else:
        units, rule = 1, "units_one_from"
    if asked and asked != units:
        told = {
            "product": product.key,
            "asked": asked,
            "unit": product.unit,
            "piece": piece,
            "reference": reference,
            "units": units,
        }
        found.append(
            find(
                "serving-not-lawful",
                product.where,
                path=product.path("serving"),
                cites=pack.entry(ServingRule, rule).source,
                **told,
            )
        )
    return _Chosen(
        counted(product, units),
        units * piece,
        f"{units:g} of {piece:.1f} g for the reference amount of {reference:g} g, {_locator(pack, rule)}",
    )


def _cut(pack: Pack, product: Product, piece: float, reference: float, because: str) -> _Chosen:
    """One unit, or the part of it nearest to the reference amount, 21 CFR 101.9(b)(2)(ii) and
    (b)(2)(i)(D).
    """
    parts = min((1, *cut_parts(pack)), key=lambda n: (round(abs(piece / n - reference), 9), n))
    share = "1" if parts == 1 else f"1/{parts}"
    return _Chosen(
        f"{share} {product.unit}",
        piece / parts,
        f"{because}; {share} is nearest to the reference amount of {reference:g} g,"
        f" {_locator(pack, 'fractions')}",
        piece,
    )


def _second_column(
    pack: Pack, product: Product, chosen: _Chosen, total: float, reference: float, found: list[Finding]
) -> tuple[tuple[str, float], ...]:
    """The column per container, or per unit, that 200 to 300 percent of the reference amount calls for,
    (b)(12)(i), (b)(2)(i)(D).
    """
    low, high = (
        _share(pack, "dual_from") * reference * (1 - _DUST),
        _share(pack, "dual_at_most") * reference * (1 + _DUST),
    )
    if low <= total <= high and not product.boxed:
        heading, grams, what = pack.text(PanelText, "per_container"), total, "the pack"
    elif low <= chosen.part_of <= high and not product.cut:
        heading, grams, what = (
            pack.text(PanelText, "per_unit").replace("{unit}", product.unit),
            chosen.part_of,
            f"one {product.unit}",
        )
    else:
        return ()
    told = {
        "product": product.key,
        "what": what,
        "grams": grams,
        "times": grams / reference,
        "reference": reference,
        "heading": heading,
    }
    found.append(
        find(
            "dual-column",
            product.where,
            path=product.path(),
            cites=pack.entry(ServingRule, "dual_from").source,
            **told,
        )
    )
    return ((heading, grams),)


def _bulk(
    pack: Pack, product: Product, category: ReferenceAmount | None, total: float, found: list[Finding]
) -> _Chosen:
    """Sold by weight: the measure that the maker weighed, the weight of the reference measure, or else
    ounces; where the market knows no ounces, a fraction of the package.
    """
    if measured := weighed_measure(pack, product, category, found):
        household, grams, why = measured
        return _Chosen(household, grams, why)
    asked = product.serving.grams if product.serving and product.serving.kind == "mass" else None
    amount, unit = (category.amount, category.unit) if category else (None, "")
    if asked and unit not in ("", "g", "mL"):
        measure = f"{fraction(float(amount))} {unit}"
        return _Chosen(measure, asked, f"{measure} weighs {asked:g} g, as given")
    if pack.find(ServingRule, "ounce"):
        return _Chosen(*ounces(pack, product, category, total, found), looks=product.serving_looks)
    return _fraction_of_pack(pack, product, category, total, found)


def _fraction_of_pack(
    pack: Pack, product: Product, category: ReferenceAmount | None, total: float, found: list[Finding]
) -> _Chosen:
    """The part of the package nearest to the reference amount: lawful for a food that is cut."""
    container = pack.text(ServingRule, "container")
    reference = float(category.amount) if category and category.unit == "g" else total
    chosen = _cut(
        pack,
        product.model_copy(update={"unit": container}),
        total,
        reference,
        f"sold by weight, {total:.1f} g",
    )
    told = {"product": product.key, "household": chosen.household, "grams": chosen.grams}
    found.append(
        find(
            f"{NOT_READY}-serving-measure",
            product.where,
            path=product.path("weighs"),
            cites=pack.entry(ServingRule, "measure_cup").source,
            **told,
        )
    )
    return chosen


def _nearest_whole(x: float) -> int:
    return max(1, math.floor(x + 0.5 + _DUST))
