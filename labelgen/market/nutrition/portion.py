"""The serving of a market without reference amounts: the maker's own, or one piece."""

from __future__ import annotations

from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.law.figure_tables import PanelText
from labelgen.law.pack import Pack
from labelgen.law.rounding import declare_amount, with_decimal_mark
from labelgen.market.declaration_records import Serving
from labelgen.market.nutrition.liquid import asked_volume, metric_volume
from labelgen.recipe.models import Product

#: A pack that holds less than this of a serving is smaller than it; the rest is binary dust.
_WHOLE = 1 - 1e-9
#: The amount figures are given per when nobody says what is eaten at once [g].
_UNIT_AMOUNT = 100.0


def declare_portion(
    pack: Pack, product: Product, profile: NutrientProfile
) -> tuple[Serving, tuple[Finding, ...]]:
    """The serving as the maker gives it, else one piece, else 100 g or a smaller pack; and its findings."""
    total, asked = profile.pack.grams, product.serving
    piece = total / profile.pieces if profile.pieces else None
    found: list[Finding] = []
    if asked and asked.kind == "count" and piece is None:
        found.append(
            find(
                "serving-pieces",
                product.where,
                path=product.path("serving"),
                product=product.key,
                text=asked.text,
            )
        )
        asked = None
    if product.density:
        millilitres = asked_volume(product, profile, found)
        grams, household, why = (
            millilitres * product.density,
            "",
            "the serving as given" if asked else "no serving is given",
        )
    elif asked and asked.kind == "count":
        grams, household, why = asked.count * piece, counted(product, asked.count), "the serving as given"
    elif asked and asked.kind == "mass":
        grams, household, why = asked.grams, "", "the serving as given"
    elif piece is not None:
        grams, household, why = piece, counted(product, 1), "one piece: no serving is given"
    else:
        grams, household, why = min(_UNIT_AMOUNT, total), "", "no serving is given"
    count = total / grams
    if asked and count < _WHOLE:
        found.append(
            find(
                "serving-too-large",
                product.where,
                path=product.path("serving"),
                product=product.key,
                text=asked.text,
                grams=grams,
                total=total,
            )
        )
    metric = (
        metric_volume(pack, grams / product.density)
        if product.density
        else with_decimal_mark(pack, declare_amount(pack, "serving_metric", grams).text)
    )
    servings = with_decimal_mark(pack, declare_amount(pack, "servings_per_container", count).text)
    line = pack.text(PanelText, "servings_one" if servings == "1" else "servings").replace(
        "{count}", servings
    )
    return Serving(household, metric, line, grams, count, count <= 1, why), tuple(found)


def counted(product: Product, count: float) -> str:
    """ "2 cookies", with the plural the product gives."""
    unit = product.unit if count <= 1 else product.unit_plural or f"{product.unit}s"
    return f"{count:g} {unit}"
