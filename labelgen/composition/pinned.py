"""Foods fetched once and pinned into the kitchen as small readable files, so that a label can be made
again offline.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import numpy as np

from labelgen.composition.bounds import limits, upper_bounds
from labelgen.composition.ceilings import check_ceilings
from labelgen.composition.fdc import FetchedFood
from labelgen.composition.ingredient_records import Composition, Food
from labelgen.composition.overlay import lay_over
from labelgen.composition.portions import read_portions
from labelgen.composition.sheet_figures import read_sheet
from labelgen.errors import CompositionError
from labelgen.nutrients import INDEX, KEYS, UNITS
from labelgen.recipe.models import IngredientSpec, PinnedFood


class WithPins:
    """A dataset with a kitchen's pinned foods before it."""

    def __init__(self, dataset, pins: dict[str, PinnedFood]):
        self.dataset, self.pins, self.connection = dataset, pins, dataset.connection

    def food(self, food_id: str) -> Food:
        """A pinned food, else the dataset's. Raises CompositionError like the dataset."""
        return food_of(self.pins[food_id]) if food_id in self.pins else self.dataset.food(food_id)


def food_of(pin: PinnedFood) -> Food:
    """A pinned food as a food of a dataset. What it does not tell is unknown, not zero; figures that
    cannot all be true stand in its findings. Raises CompositionError for a figure that cannot be read.
    """
    kind = f", {pin.kind}" if pin.kind else ""
    published = f" of {pin.published}" if pin.published else ""
    release = f"{pin.database}{kind}{published}, fetched {pin.fetched}"
    portions = tuple(read_portions(pin.weighs, release))
    stated = read_sheet(
        IngredientSpec(name=pin.id, per=pin.per, nutrients=pin.nutrients, source=release, where=pin.where),
        portions,
        section="foods",
    )
    if stated.findings:
        raise CompositionError("; ".join(f"{f.where}: {f.message}" for f in stated.findings))
    value, low, high = np.full(len(KEYS), np.nan), np.zeros(len(KEYS)), np.full(len(KEYS), np.nan)
    for key, figure in stated.figures.items():
        low[INDEX[key]], value[INDEX[key]], high[INDEX[key]] = (
            x * 100.0 / stated.grams[1] for x in (figure.low, figure.value, figure.high)
        )
    known = ~np.isnan(value)
    composition = Composition(
        low,
        value,
        upper_bounds(low, value, high),
        np.zeros(len(KEYS), bool),
        tuple(release if k else "" for k in known),
    )
    # a database's figures come from different samples: only what that cannot explain is a fault
    slack = limits()["samples_slack"]["value"] * stated.grams[1] / 100.0
    spread = {
        k: replace(f, low=max(0.0, f.low - slack), high=f.high + slack) if UNITS[k] == "g" else f
        for k, f in stated.figures.items()
    }
    _, clashes = lay_over(Composition.unknown(), replace(stated, figures=spread), pin.id)
    findings = (*check_ceilings(stated, pin.id, (pin.name,)), *clashes)
    return Food(
        pin.id,
        pin.name,
        "",
        composition,
        portions,
        "read",
        release,
        "",
        pin.composite,
        packet=pin.packet,
        findings=findings,
    )


def pin_text(food: FetchedFood, fetched: date) -> str:
    """The file's text. A packaged or mixed food, or one of no known group, is marked composite: its own
    make-up is not told by its figures. Added sugars, which no database measures, are filled in where name
    and group tell them.
    """
    import yaml

    from labelgen.composition.compile import added_sugars_of, is_composite

    composite = food.kind.lower().startswith(("branded", "survey")) or is_composite(food.name, food.group)
    values, doubts = dict(food.values), food.doubts
    kind, reason = ("mixed", "") if composite or "SUGAD" in values else added_sugars_of(food.name, food.group)
    if kind == "none" or (kind == "all" and "SUGAR" in values):
        values["SUGAD"] = 0.0 if kind == "none" else values["SUGAR"]
        doubts = (
            *doubts,
            (
                f"SUGAD is no figure of the database, but read from the food's name and group ({reason}):"
                " correct it if your packet says otherwise"
            ),
        )
    figures = {k: f"{values[k]:.10g} {UNITS[k].replace('ug', 'mcg')}" for k in KEYS if k in values}
    weighs = {words: f"{grams:.10g} g" for words, grams in food.portions}
    entry = {
        "name": _Text(food.name),
        "database": "USDA FoodData Central",
        "kind": _Text(food.kind),
        "published": _Text(food.published),
        "fetched": _Text(fetched),
        **({"composite": True} if composite else {}),
        **({"packet": _Text(food.ingredients)} if food.ingredients else {}),
        "per": "100 g",
        "nutrients": figures,
        **({"weighs": weighs} if weighs else {}),
    }
    head = (
        f"# {food.name}: pinned from USDA FoodData Central. Labels are made from this file; nothing is"
        " asked of the network again.\n"
    )
    notes = "".join(f"# {doubt}\n" for doubt in doubts)
    return (
        head
        + notes
        + yaml.dump({food.id: entry}, Dumper=_quoting(yaml), allow_unicode=True, sort_keys=False, width=110)
    )


class _Text(str):
    """A text that stands in quotes: YAML writers and readers differ in which bare words are numbers."""


def _quoting(yaml) -> type:
    """A writer that quotes every ``_Text``."""

    class Dumper(yaml.SafeDumper):
        pass

    Dumper.add_representer(
        _Text, lambda dumper, text: dumper.represent_scalar("tag:yaml.org,2002:str", str(text), style="'")
    )
    return Dumper
