"""The serving of a liquid sold by volume: its millilitres, and the household measure nearest to the reference
amount.

A density turns millilitres into the grams that the roll-up counts in: the weight and the volume of the pack
as measured.
"""

from __future__ import annotations

from fractions import Fraction

from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.law.figure_tables import ReferenceAmount, ServingRule
from labelgen.law.pack import Pack
from labelgen.law.rounding import declare_amount
from labelgen.recipe.models import Product

#: The amount figures are given per when nobody says what is taken at once [mL].
_UNIT_AMOUNT = 100.0
#: The finest part of a measure, a pinch apart: tables write thirds as 0.3333.
_FINEST = 8
_MEASURES = ("measure_cup", "measure_tablespoon", "measure_teaspoon")


def metric_volume(pack: Pack, millilitres: float) -> str:
    """The metric words of a serving by volume: "30 mL"."""
    return declare_amount(pack, "serving_metric_ml", millilitres).text


def reference_volume(pack: Pack, category: ReferenceAmount | None) -> float | None:
    """Millilitres of a reference amount in mL or in a household measure; None for one by weight, or for
    none.
    """
    if category is None or category.unit == "g":
        return None
    amount, unit = float(category.amount), category.unit
    if unit == "mL":
        return amount
    measure = next((m for m in _measures(pack) if m.unit == unit), None)
    return amount * float(measure.figure) if measure else None


def household_volume(pack: Pack, target: float) -> tuple[str, float]:
    """(household measure, its millilitres) nearest to a target [mL]; of equals the first in the market's
    preference.
    """
    amounts = [(m, Fraction(str(n)).limit_denominator(_FINEST)) for m in _measures(pack) for n in m.values]
    measure, count = min(amounts, key=lambda x: abs(float(x[1] * Fraction(str(x[0].figure))) - target))
    plural = "s" if count > 1 and measure.key == _MEASURES[0] else ""
    return f"{_mixed(count)} {measure.unit}{plural}", float(count * Fraction(str(measure.figure)))


def asked_volume(product: Product, profile: NutrientProfile, found: list[Finding]) -> float:
    """Millilitres of the serving a maker gives, of any kind; 100 mL or a smaller pack where none is given."""
    asked, total = product.serving, float(product.volume or 0)
    if asked and asked.kind == "volume":
        return asked.millilitres
    if asked and asked.kind == "mass":
        return asked.grams / (profile.pack.grams / total)
    if asked:
        found.append(
            find(
                "serving-pieces.liquid",
                product.where,
                path=product.path("serving"),
                product=product.key,
                text=asked.text,
            )
        )
    return min(_UNIT_AMOUNT, total)


def _measures(pack: Pack) -> list[ServingRule]:
    return [entry for key in _MEASURES if (entry := pack.find(ServingRule, key))]


def _mixed(x: Fraction) -> str:
    """3/2 -> 1 1/2, 1/3 -> 1/3, 2 -> 2."""
    whole, rest = divmod(x, 1)
    return " ".join(str(p) for p in (whole, rest) if p)
