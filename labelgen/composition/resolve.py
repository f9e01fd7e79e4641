"""Turns ingredient specifications into what 100 g of each contains: dataset food, supplier's figures, or
both.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from labelgen.composition.bounds import limits
from labelgen.composition.ceilings import check_ceilings
from labelgen.composition.dataset import Dataset
from labelgen.composition.ingredient_allergens import (
    allergens_of,
    check_codes,
    declaration_gaps,
    sayings_of,
    spoken_key,
)
from labelgen.composition.ingredient_records import Composition, ResolvedIngredient
from labelgen.composition.listed_nutrients import settle_polyol, without_added_sugars
from labelgen.composition.name_and_food import doubts_of_names
from labelgen.composition.overlay import find_disagreements, lay_over, state_added_sugars
from labelgen.composition.packet import carbohydrate_of, read_panel
from labelgen.composition.plain_foods import plain_food
from labelgen.composition.portions import portions_of
from labelgen.composition.search.food_search import search
from labelgen.composition.sheet_figures import read_sheet
from labelgen.composition.text.lexicon import survey
from labelgen.composition.text.statement import bracket_depth, read_statement
from labelgen.composition.text.understood import NOT_READ, READ
from labelgen.composition.wordings import key_gaps, wording_gaps
from labelgen.errors import CompositionError, Finding, UnitError
from labelgen.findings import find
from labelgen.recipe.models import IngredientSpec, Kitchen


def check_handles(kitchen: Kitchen) -> tuple[Finding, ...]:
    """Faults in the allergens the kitchen says it handles."""
    where = kitchen.places.get("handles", kitchen.where)
    return tuple(check_codes(kitchen.handles, where, "kitchen.handles", "handles", ("handles",)))


def resolve_kitchen(kitchen: Kitchen, dataset: Dataset, on: date) -> dict[str, ResolvedIngredient]:
    """Every specification of the kitchen, resolved by the law of a date; its faults stand in ``findings``."""
    meant = carbohydrate_of(kitchen.markets, on)
    resolved = {
        name: resolve_ingredient(spec, dataset, on, kitchen.country, meant)
        for name, spec in kitchen.ingredients.items()
    }
    for name, doubt in doubts_of_names(kitchen.ingredients.values(), dataset).items():
        resolved[name] = replace(resolved[name], findings=(*resolved[name].findings, doubt))
    return resolved


def resolve_ingredient(
    spec: IngredientSpec, dataset: Dataset, on: date, country: str = "us", carbohydrate: str = "CHOCDF"
) -> ResolvedIngredient:
    """One specification: the dataset food, the supplier's panel over it, figures of a sheet or laboratory
    over both. on: the label's date, by whose rules the panel is read. carbohydrate: as in ``read_sheet``.
    """
    findings: list[Finding] = []

    def fault(key: str, field: str, **told) -> None:
        findings.append(find(key, spec.where, path=spec.path(field), ingredient=spec.name, **told))

    food = None
    composition, source = Composition.unknown(), ""
    taken = "" if spec.food else plain_food(spec)
    if spec.food or taken:
        try:
            food = dataset.food(spec.food or taken)
            composition, source = food.composition, f"{food.release} {food.id}"
            findings += food.findings
        except CompositionError as error:
            hits = [] if "/" in spec.food else search(dataset, spec.food, 3)
            foods = [f"{h.id} ({h.name})" for h in hits]
            if foods:
                fault("food-unknown.named", "food", food=spec.food, foods=foods)
            else:
                fault("food-unknown", "food", reason=str(error))
        if food and taken:
            fault("food-taken", "food", food=food.id, named=food.name)
    weighed = dataset.food(alike) if food is None and (alike := plain_food(spec, "volume")) else food
    portions = portions_of(spec, weighed)
    printed = spec.print_name or spoken_key(spec.name)
    panel = read_panel(spec.name, spec.panel, on, portions, country) if spec.panel else None
    sheet = read_sheet(spec, portions, country, carbohydrate) if spec.nutrients else None
    panel, sheet = (settle_polyol(stated, spec.statement) if stated else None for stated in (panel, sheet))
    for stated in filter(None, (panel, sheet)):
        if stated is sheet and panel:
            findings += find_disagreements(composition, panel, sheet, spec.name)
        impossible = check_ceilings(
            stated, spec.name, (printed, food.name if food else ""), food.group if food else ""
        )
        composition, doubts = lay_over(composition, stated, spec.name)
        findings += impossible
        findings += (
            f
            for f in doubts
            if not (f.code == "figure-impossible" and f.where in {i.where for i in impossible})
        )
        source = stated.source
    if spec.added_sugars:
        try:
            composition = state_added_sugars(composition, spec.added_sugars)
        except UnitError as error:
            fault("figure", "added_sugars", field="added_sugars", reason=str(error))
        if (added := composition.get("SUGAD")[0]) > (sugars := composition.get("SUGAR")[2]) + limits()[
            "difference_slack"
        ]["value"]:
            fault(
                "part-exceeds-whole.added-sugars",
                "added_sugars",
                text=spec.added_sugars,
                added=float(added),
                sugars=float(sugars),
            )
    if not (food or spec.food or spec.panel or spec.nutrients):
        fault("no-composition", "food")
    statement = spec.statement or (food.packet if food else "")
    reading = survey(statement).reading if statement and spec.contains is None else None
    disclosed = (
        (bool(statement) and (reading is None or reading.verdict != NOT_READ))
        or spec.contains is not None
        or (not food.composite if food else _single_substance(spec, dataset))
    )
    if reading is not None and reading.verdict != READ:
        fault(
            "statement-not-read" if reading.verdict == NOT_READ else "statement-read-in-part",
            "statement",
            reading=reading.told,
        )
    elif not disclosed:
        # a manufactured dataset food at least brings what is usual in it; of anything else nothing is known
        fault("make-up-unknown.of-food" if food else "make-up-unknown", "statement")
    holds, may = allergens_of(
        spec.name,
        spec.print_name,
        food.name if food else "",
        statement,
        spec.contains,
        spec.may_contain,
        spec.food,
        sayings_of(spec),
    )
    findings += check_codes(spec.contains or (), spec.where, spec.path("contains"), spec.name)
    findings += check_codes(spec.may_contain or (), spec.where, spec.path("may_contain"), spec.name)
    findings += [
        *declaration_gaps(spec, holds),
        *wording_gaps(spec),
        *key_gaps(spec, food.name if food else "", holds),
    ]
    if depth := bracket_depth(spec.statement):
        fault("statement-brackets" if depth > 0 else "statement-brackets.closed", "statement", count=depth)
    made = ResolvedIngredient(
        contains=holds,
        may_contain=may,
        statement=read_statement(statement) if food and food.packet and not spec.statement else None,
        name=spec.name,
        print_name=printed,
        composition=composition,
        portions=portions,
        food_id=food.id if food else "",
        food_name=food.name if food else "",
        source=source,
        disclosed=disclosed,
        composite=bool(food and food.composite),
        retention=food.retention if food else "",
        findings=tuple(findings),
    )
    return made if spec.added_sugars else without_added_sugars(made, spec.statement)


def _single_substance(spec: IngredientSpec, dataset: Dataset) -> bool:
    """Whether its name is that of a pure substance, such as erythritol, which holds nothing else by
    definition.
    """
    name = spec.print_name or spec.name
    try:
        return dataset.food(f"pure/{name.lower().replace(' ', '-')}").grade == "by definition"
    except CompositionError:
        return False
