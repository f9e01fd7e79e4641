"""The conditions of a nutrient claim, each judged on the worst end of the interval a figure lies in.

A condition is data: ``{tag = "SUGAR", below = 0.5, per = ["reference", "serving"]}``. ``per`` names every
amount of food it must hold for: ``reference`` (the reference amount), ``serving``, ``small`` (the larger
basis that applies when the reference amount is small), ``100 g``, ``100 kcal``, ``pack``. ``unit``: g, mg or
kcal as the tag has it; ``% of energy`` with ``kcal_per_g``; ``% of daily value``. Of a liquid sold by volume
100 g are 100 mL, and ``liquid`` is the limit where the law has another one; ``only = "liquid"``: no other
food can meet it. What is unknown never satisfies a condition.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal

from labelgen.formulation.batch_records import Amounts, NutrientProfile
from labelgen.law.claim_tables import ClaimRule, ClaimTerm, Condition
from labelgen.law.figure_tables import DailyValue, EnergyMethod, Nutrient
from labelgen.law.pack import Pack
from labelgen.law.record import known
from labelgen.law.rounding import clean
from labelgen.market.declaration_records import Serving
from labelgen.market.nutrition.energy import energy_methods, energy_of
from labelgen.market.nutrition.liquid import reference_volume
from labelgen.market.nutrition.reference import reference_of
from labelgen.nutrients import NUTRIENTS, UNITS
from labelgen.recipe.models import Product

NAMES = {n.key: n.name for n in NUTRIENTS}
_KNOWN = 1 - 1e-9
_LIMITS = {"below": "below", "at_most": "at most", "at_least": "at least", "over": "over"}


#: Nutrient, kind of limit, amount, unit, basis.
Bring = tuple[str, str, float, str, str]


@dataclass(frozen=True)
class Judged:
    """One condition on one basis. holds: on the worst end. figure: in words, with its basis. needed: the
    limit in words. remedy: what to type when something is not known. bring: (nutrient, below / at most /
    at least / over, amount in 100 g or mL, unit, basis) that would make it hold, or ().
    """

    holds: bool
    figure: str
    needed: str
    remedy: str = ""
    bring: tuple[()] | Bring = ()


@dataclass(frozen=True)
class Food:
    """What claims are judged on. serving: the market's serving. reference_g: the reference amount, None
    when there is none. small: whether the reference amount counts as small. why_no_reference: what to type
    to get one.
    """

    pack: Pack
    product: Product
    profile: NutrientProfile
    serving: Serving
    reference_g: float | None
    small: bool
    why_no_reference: str = ""

    def amounts(self, per: str) -> tuple[Amounts | None, str]:
        """(amounts, basis in words) of one basis; None with what to type, or with "" where the basis does
        not apply.
        """
        whole = self.profile.pack
        if per == "serving":
            return (
                whole.per(self.serving.grams),
                f"per serving ({self.serving.household}, {self.serving.grams:.4g} g)",
            )
        if per == "reference":
            if self.reference_g is None:
                return None, self.why_no_reference
            return (
                self.profile.weighed(self.reference_g),
                f"per reference amount of {self.reference_g:.4g} g",
            )
        if per == "small":
            grams = float(self.pack.value(ClaimTerm, "small_basis"))
            return (
                (self.profile.weighed(grams), f"per {grams:g} g (the reference amount is small)")
                if self.small
                else (None, "")
            )
        if per == "pack":
            return whole, f"per pack of {whole.grams:.4g} g"
        number, unit = per.split()
        if unit == "g":
            density = self.product.density
            return (
                self.profile.weighed(float(number) * (density or 1.0)),
                f"per {number} {'mL' if density else 'g'}",
            )
        kcal = energy(self.pack, whole.per(100.0))
        if kcal is None or not kcal[0] > 0 or not math.isfinite(kcal[2]):
            return (
                None,
                "its energy is not known well enough: add the missing protein, fat and carbohydrate",
            )
        # each bound by the energy that makes it worst
        scaled = whole.per(100.0)
        low, value, high = (float(number) / k for k in (kcal[2], kcal[1], kcal[0]))
        return (
            Amounts(100 * value, scaled.low * low, scaled.value * value, scaled.high * high, scaled.covered),
            f"per {per}",
        )


def read_food(pack: Pack, product: Product, profile: NutrientProfile, serving: Serving) -> Food:
    """The bases of one product: its reference amount from its category, if the market has such amounts."""
    entry = reference_of(pack, product)
    if entry is None:
        return Food(
            pack,
            product,
            profile,
            serving,
            None,
            False,
            "this claim is judged on the reference amount: write 'category:' and one of the market's"
            " categories",
        )
    grams, amount = (float(entry.amount) if entry.unit == "g" else None), entry.amount
    small = (entry.unit in ("g", "mL") and _at_most(pack, "small_reference", amount)) or (
        entry.unit == "tbsp" and _at_most(pack, "small_tablespoons", amount)
    )
    if product.density and (millilitres := reference_volume(pack, entry)):
        grams = millilitres * product.density
    if grams is None and product.serving and product.serving.kind == "mass":
        grams = product.serving.grams
    return Food(
        pack,
        product,
        profile,
        serving,
        grams,
        bool(small),
        f"the reference amount is {entry.amount} {entry.unit}: weigh that much and write 'serving: ... g'",
    )


def _at_most(pack: Pack, key: str, amount: Decimal) -> bool:
    entry = pack.find(ClaimTerm, key) if pack.has(ClaimTerm) else None
    return entry is not None and amount <= entry.figure


def energy(pack: Pack, amounts: Amounts, unit: str = "kcal") -> tuple[float, float, float] | None:
    """(low, value, high) by the market's method [unit]; None where it has none in that unit or nothing is
    known.
    """
    if not pack.has(EnergyMethod) or not energy_methods(pack, unit):
        return None
    figures = energy_of(pack, amounts, unit)
    return None if math.isnan(figures.value) else figures.figures


def judge(food: Food, conditions: Sequence[Condition], tag: str = "") -> list[Judged]:
    """Every condition on every basis it names. tag: the nutrient that a claim itself names."""
    return [_judge(food, c, per, tag) for c in conditions for per in c.per if per != "small" or food.small]


def holds(food: Food, rule: ClaimRule, tag: str = "") -> tuple[bool, list[Judged]]:
    """Whether a rule's conditions hold, or else its alternative ones; with the ones that decide."""
    first = judge(food, rule.conditions, tag)
    if all(j.holds for j in first):
        return True, first
    second = judge(food, rule.or_conditions, tag)
    if second and all(j.holds for j in second):
        return True, second
    return False, [j for j in (*first, *second) if not j.holds]


def _judge(food: Food, condition: Condition, per: str, tag: str) -> Judged:
    kind, limit = condition.bound
    liquid = bool(food.product.density)
    if liquid and condition.liquid is not None:
        limit = condition.liquid
    tags = condition.tags or (condition.tag or tag,)
    name = " and ".join(NAMES[t] for t in tags)
    amounts, basis = food.amounts(per)
    unit = condition.unit or {"ENERC": "kcal"}.get(tags[0], UNITS[tags[0]])
    needed = f"{_LIMITS[kind]} {limit:f} {unit} needed".replace("ug", "mcg")
    if amounts is None:
        return Judged(False, f"{name} cannot be judged", needed, basis)
    if condition.only == "liquid" and not liquid:
        return Judged(
            False,
            "it is defined for liquids only",
            needed,
            "a liquid is sold by volume: 'net: ... g' and 'volume: ... mL'",
        )
    if condition.corrected and food.product.pdcaas is None:
        return Judged(
            False,
            f"{name} {basis} counts only corrected for its quality",
            needed,
            "write 'pdcaas:' (0 to 1) on the product, from a laboratory or a published table",
        )
    if (
        unit == "% of daily value"
        and not (condition.tags or condition.tag)
        and not _is_micronutrient(food.pack, tag)
    ):
        return Judged(
            False,
            f"{name} is neither a vitamin nor a mineral",
            needed,
            "only those are claimed in these words",
        )
    if unit == "% of daily value" and daily_value(food.pack, tags[0], condition.daily) is None:
        return Judged(False, f"{name} has no daily value in this market", needed, "so it cannot be claimed")
    figures = _figures(food, condition, tags, amounts, unit)
    worst = None if figures is None else figures[2 if kind in ("below", "at_most") else 0]
    if figures is None or worst is None or not math.isfinite(worst):
        return Judged(False, f"{name} {basis} is not known", needed, _missing(food, tags))
    exact = clean(worst)
    fits = {
        "below": exact < limit,
        "at_most": exact <= limit,
        "at_least": exact >= limit,
        "over": exact > limit,
    }[kind]
    missing = "" if fits else _missing(food, tags)
    bring = () if fits or missing else _bring(food, condition, kind, limit, tags, name, unit, amounts.grams)
    return Judged(
        fits, f"{name} {_span(figures)} {unit} {basis}".replace(" ug ", " mcg "), needed, missing, bring
    )


def _bring(
    food: Food,
    condition: Condition,
    kind: str,
    limit: Decimal,
    tags: tuple[str, ...],
    name: str,
    unit: str,
    grams: float,
) -> tuple[()] | Bring:
    """What 100 g of the food, or 100 mL of a liquid, would have to hold; () for a share of the energy or a
    basis by energy.
    """
    most, density = float(limit), food.product.density
    if unit == "% of energy" or any(p.endswith("kcal") for p in condition.per):
        return ()
    if unit == "% of daily value":
        most *= (daily_value(food.pack, tags[0], condition.daily) or 0.0) / 100
        score = min(1.0, food.product.pdcaas or 0.0) if condition.corrected else 1.0
        if not score:
            return ()
        most /= score
        unit = UNITS[tags[0]].replace("ug", "mcg")
    return (
        name,
        _LIMITS[kind],
        most * 100 * (density or 1.0) / grams,
        unit,
        "100 mL" if density else "100 g",
    )


def _figures(
    food: Food, condition: Condition, tags: tuple[str, ...], amounts: Amounts, unit: str
) -> tuple[float, float, float] | None:
    """(low, value, high) in the condition's unit."""
    if tags == ("ENERC",):
        return energy(food.pack, amounts, unit)
    figures = _triple(sum(x) for x in zip(*(amounts.get(t) for t in tags)))
    if condition.corrected:
        figures = _triple(x * min(1.0, food.product.pdcaas or 0.0) for x in figures)
    if unit == "% of energy":
        kcal = energy(food.pack, amounts)
        if kcal is None:
            return None
        factor = 100 * float(known(condition.kcal_per_g, f"a share of the energy from {tags[0]}"))
        return _triple(factor * x for x in _divided(figures, kcal))
    if unit == "% of daily value":
        daily = daily_value(food.pack, tags[0], condition.daily)
        return None if daily is None else _triple(100 * x / daily for x in figures)
    return figures


def _triple(figures: Iterable[float]) -> tuple[float, float, float]:
    low, value, high = figures
    return low, value, high


def _divided(
    figures: tuple[float, float, float], by: tuple[float, float, float]
) -> tuple[float, float, float]:
    """(low, value, high) of one interval divided by another, each end by what makes it worst. What would
    be divided by nothing, or by something unknown, is not known: its value NaN, its highest inf.
    """
    value = figures[1] / by[1] if by[1] > 0 else math.nan
    return figures[0] / by[2] if by[2] > 0 else 0.0, value, figures[2] / by[0] if by[0] > 0 else math.inf


def _is_micronutrient(pack: Pack, tag: str) -> bool:
    return any(e.tag == tag and e.group == "micro" for e in pack.entries(Nutrient))


def daily_value(pack: Pack, tag: str, key: str = "") -> float | None:
    """The market's daily value of a nutrient, in the tag's own unit; None where it has none. key: its name
    in the table where that is not the panel row's.
    """
    row = next((e for e in pack.entries(Nutrient) if e.tag == tag), None)
    key = key or (row.key if row else "")
    entry = pack.find(DailyValue, key) if key else None
    micro = {"g": 1e6, "mg": 1e3, "ug": 1.0, "mcg": 1.0}
    if not entry or entry.unit.split()[0] not in micro or UNITS[tag] not in micro:
        return None
    return float(entry.amount) * micro[entry.unit.split()[0]] / micro[UNITS[tag]]


def _span(figures: tuple[float, float, float]) -> str:
    low, value, high = figures
    if not math.isfinite(high):
        return f"{low:.3g} or more"
    shown = f"{(value if math.isfinite(value) else high):.3g}"
    return shown if f"{low:.3g}" == f"{high:.3g}" else f"{shown} (somewhere from {low:.3g} to {high:.3g})"


def _missing(food: Food, tags: tuple[str, ...]) -> str:
    """Which ingredients lack a figure, and what to type; "" when all is known."""
    if tags == ("ENERC",):
        tags = ("FAT", "CHOCDF", "PROCNT")
    lacking = sorted(
        {i.ingredient.name for i in food.profile.ingoing for t in tags if i.amounts.coverage(t) < _KNOWN}
    )
    return (
        f"add the figure under 'nutrients:' of {', '.join(lacking)}, from the supplier's specification"
        if lacking
        else ""
    )
