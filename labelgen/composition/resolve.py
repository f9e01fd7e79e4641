"""Turns ingredient specifications into what 100 g of each contains: dataset food, supplier's figures, or both."""

from __future__ import annotations

import re

import numpy as np

from labelgen.composition.allergens import allergens_of, code_fault
from labelgen.composition.bounds import upper_bounds
from labelgen.composition.dataset import Dataset
from labelgen.composition.records import Composition, Portion, ResolvedIngredient
from labelgen.errors import CompositionError, Finding, UnitError
from labelgen.nutrients import INDEX, KEYS, POLYOLS, UNITS
from labelgen.quantity import read_number
from labelgen.recipe.models import IngredientSpec, Kitchen

#: Factors between the units a packet may print and the key's own unit.
_TO = {
    ("kcal", "kcal"): 1.0, ("cal", "kcal"): 1.0, ("calories", "kcal"): 1.0, ("kj", "kcal"): 1 / 4.184, ("", "kcal"): 1.0,
    **{(a, b): x / y for a, x in (("g", 1e6), ("mg", 1e3), ("mcg", 1.0), ("ug", 1.0), ("µg", 1.0)) for b, y in (("g", 1e6), ("mg", 1e3), ("ug", 1.0))},
}  # fmt: skip
_SPREAD = re.compile(r"(?:\+/-|\+-|±)")


def read_figure(text: str, key: str) -> tuple[float, float, float]:
    """(low, value, high) of a printed figure in the key's own unit: ``7 g``, ``<0.5 g``, ``12 +/- 1 g``, ``trace``.

    >>> read_figure("<0.5 g", "FAT")
    (0.0, 0.25, 0.5)

    Raises UnitError with what to type.
    """
    plain = text.strip().lower()
    if plain in ("trace", "tr"):
        return 0.0, 0.0, 0.5
    below = plain.startswith(("<", "less than"))
    number, rest = read_number(plain.removeprefix("<").removeprefix("less than"))
    spread = 0.0
    if _SPREAD.match(rest):
        spread, rest = read_number(_SPREAD.sub("", rest, count=1))
    factor = _TO.get((rest.strip(), UNITS[key]))
    if factor is None:
        raise UnitError(f"{text!r}: write it in {UNITS[key].replace('ug', 'mcg')}, for example '12 {UNITS[key].replace('ug', 'mcg')}'")
    number, spread = number * factor, spread * factor
    if below:
        return 0.0, number / 2, number
    return max(0.0, number - spread), number, number + spread


def check_handles(kitchen: Kitchen) -> tuple[Finding, ...]:
    """Faults in the allergens the kitchen says it handles."""
    return tuple(Finding("allergen-code", "danger", kitchen.where, f"handles: {w}") for c in kitchen.handles if (w := code_fault(c)))


def resolve_kitchen(kitchen: Kitchen, dataset: Dataset) -> dict[str, ResolvedIngredient]:
    """Every specification of the kitchen, resolved; its faults stand in ``findings``."""
    return {name: resolve_ingredient(spec, dataset) for name, spec in kitchen.ingredients.items()}


def resolve_ingredient(spec: IngredientSpec, dataset: Dataset) -> ResolvedIngredient:
    findings: list[Finding] = []

    def fault(code: str, message: str, severity: str = "block") -> None:
        findings.append(Finding(code, severity, spec.where, f"{spec.name}: {message}"))

    food = None
    composition, source = Composition.unknown(), ""
    portions = tuple(_own_portions(spec))
    if spec.food:
        try:
            food = dataset.food(spec.food)
            composition, source = food.composition, f"{food.release} {food.id}"
            portions += food.portions
        except CompositionError as error:
            fault("food-unknown", str(error))
    figures, base = (spec.nutrients, spec.per) if spec.nutrients else (spec.panel.figures, spec.panel.serving) if spec.panel else ({}, None)
    if figures:
        grams = 100.0 if base is None else base.grams
        if grams is None:
            fault("per-not-mass", f"{base.text!r} is a volume: write the weight it has, for example '30 g'")
        else:
            if spec.panel and not spec.nutrients:
                fault("panel-as-printed", "the packet's panel is taken at its printed, rounded figures: a specification sheet per 100 g is more exact", "note")
            composition = _overlay(composition, figures, grams, spec.source or "supplier's figures", fault)
            source = spec.source or "supplier's figures"
    if not spec.food and not figures:
        fault("no-composition", f"nothing says what it contains: add 'food: usda/...' (labelgen foods search \"{spec.name}\") or the packet's panel")
    disclosed = bool(spec.statement) or spec.contains is not None or (not food.composite if food else _single_substance(spec, dataset))
    if not disclosed:
        # a manufactured dataset food at least brings what is usual in it; of anything else nothing is known
        fault("make-up-unknown", "neither sub-ingredients nor an allergen declaration is given: copy the packet's ingredient list into 'statement:' and what it declares into 'contains:' ('contains: []' if it declares none)", "warn" if food else "danger")
    holds, may = allergens_of(spec.name, spec.print_name, food.name if food else "", spec.statement, spec.contains, spec.may_contain, spec.food)
    for code in (*(spec.contains or ()), *(spec.may_contain or ())):
        if wrong := code_fault(code):
            fault("allergen-code", wrong, "danger")
    if spec.contains is not None:
        for hit in holds:
            if hit.how == "statement" and not any(c.split("/")[0] == hit.allergen.split("/")[0] for c in spec.contains):
                fault("declaration-misses", f"its declaration does not name {hit.allergen}, but {hit.because}: correct 'contains:' from the packet or ask the supplier", "danger")
    return ResolvedIngredient(
        contains=holds, may_contain=may, name=spec.name, print_name=spec.print_name or spec.name.replace("-", " "), composition=composition, portions=portions,
        food_id=food.id if food else "", food_name=food.name if food else "", source=source, disclosed=disclosed,
        composite=bool(food and food.composite), retention=food.retention if food else "", findings=tuple(findings),
    )  # fmt: skip


def _single_substance(spec: IngredientSpec, dataset: Dataset) -> bool:
    """Whether its name is that of a pure substance, such as erythritol, which holds nothing else by definition."""
    for name in (spec.print_name, spec.name):
        try:
            return dataset.food(f"pure/{name.lower().replace(' ', '-')}").grade == "by definition"
        except CompositionError:
            continue
    return False


def _own_portions(spec: IngredientSpec):
    for words, weight in spec.weighs.items():
        try:
            amount, unit = read_number(words)
        except UnitError:
            amount, unit = 1.0, words
        yield Portion(amount, unit.strip(), weight.grams, f"weighed by the maker ({spec.name})")


def _overlay(base: Composition, figures: dict[str, str], grams: float, source: str, fault) -> Composition:
    """Stated figures laid over a composition; what they imply (a sum of polyols, no sugars) is filled in."""
    low, value, high, trace = base.low.copy(), base.value.copy(), base.high.copy(), base.trace.copy()
    sources = list(base.source)
    for key, text in figures.items():
        try:
            a, b, c = read_figure(text, key)
        except UnitError as error:
            fault("figure", f"{key}: {error}")
            continue
        i, k = INDEX[key], 100.0 / grams
        low[i], value[i], high[i], sources[i] = a * k, b * k, c * k, source
        if UNITS[key] == "g" and a * k > 100.5:
            fault("figure-impossible", f"{key} {text} in {grams:g} g is {a * k:.1f} g per 100 g, more than there is: check the figure or its basis")
        trace[i] = text.strip().lower() in ("trace", "tr")
    parts = [k for k in POLYOLS if k in figures]
    if "POLYL" not in figures and parts:
        i = INDEX["POLYL"]
        for array in (low, value, high):
            array[i] = sum(array[INDEX[k]] for k in parts)
        sources[i] = f"sum of the polyols stated: {source}"
    for part, whole in (("FASAT", "FAT"), ("SUGAR", "CHOCDF"), ("FIBTG", "CHOCDF"), ("SUGAD", "SUGAR"), ("POLYL", "CHOCDF")):
        p, w = INDEX[part], INDEX[whole]
        if low[p] > high[w] + 0.05:
            fault("part-exceeds-whole", f"{part} {low[p]:.2f} g is more than {whole} {high[w]:.2f} g per 100 g: one of the two is wrong")
    bound = upper_bounds(value)
    return Composition(low, value, np.where(np.isnan(value), bound, high), trace, tuple(sources))


assert len(KEYS) == len(UNITS)
