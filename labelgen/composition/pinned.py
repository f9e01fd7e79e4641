"""Foods fetched once and pinned into the kitchen as small readable files, so that a label can be made again offline."""

from __future__ import annotations

from datetime import date

import numpy as np

from labelgen.composition.bounds import upper_bounds
from labelgen.composition.fdc import FetchedFood
from labelgen.composition.portions import read_portions
from labelgen.composition.records import Composition, Food
from labelgen.errors import CompositionError, UnitError
from labelgen.nutrients import INDEX, KEYS, UNITS
from labelgen.recipe.models import PinnedFood


class WithPins:
    """A dataset with a kitchen's pinned foods before it."""

    def __init__(self, dataset, pins: dict[str, PinnedFood]):
        self.dataset, self.pins = dataset, pins

    def food(self, food_id: str) -> Food:
        """A pinned food, else the dataset's. Raises CompositionError like the dataset."""
        return food_of(self.pins[food_id]) if food_id in self.pins else self.dataset.food(food_id)


def food_of(pin: PinnedFood) -> Food:
    """A pinned food as a food of a dataset. What it does not tell is unknown, not zero. Raises CompositionError for a
    figure that cannot be read."""
    from labelgen.composition.figures import read_figure

    value = np.full(len(KEYS), np.nan)
    if not pin.per.grams:
        raise CompositionError(f"{pin.where}: {pin.per.text!r} is no weight: write 'per: 100 g'")
    low, high = np.zeros(len(KEYS)), np.full(len(KEYS), np.nan)
    for key, printed in pin.nutrients.items():
        try:
            figures = read_figure(printed.text, key)
        except UnitError as error:
            raise CompositionError(f"{printed.where}: {printed.name}: {error}") from None
        low[INDEX[key]], value[INDEX[key]], high[INDEX[key]] = (x * 100.0 / pin.per.grams for x in figures)
    release = f"{pin.database}{', ' + pin.kind if pin.kind else ''}{' of ' + pin.published if pin.published else ''}, fetched {pin.fetched}"
    known = ~np.isnan(value)
    composition = Composition(low, value, upper_bounds(low, value, high), np.zeros(len(KEYS), bool), tuple(release if k else "" for k in known))
    portions = tuple(read_portions(pin.weighs, release))
    return Food(pin.id, pin.name, "", composition, portions, "read", release, "", pin.composite, packet=pin.packet)


def pin_text(food: FetchedFood, fetched: date) -> str:
    """The file's text. A packaged or mixed food, or one of no known group, is marked composite: its own make-up
    is not told by its figures."""
    import yaml

    from labelgen.composition.compile import is_composite

    composite = food.kind.lower().startswith(("branded", "survey")) or is_composite(food.name, food.group)
    figures = {k: f"{food.values[k]:.10g} {UNITS[k].replace('ug', 'mcg')}" for k in KEYS if k in food.values}
    weighs = {words: f"{grams:.10g} g" for words, grams in food.portions}
    entry = {
        "name": food.name, "database": "USDA FoodData Central", "kind": food.kind, "published": food.published, "fetched": fetched.isoformat(),
        **({"composite": True} if composite else {}), **({"packet": food.ingredients} if food.ingredients else {}),
        "per": "100 g", "nutrients": figures, **({"weighs": weighs} if weighs else {}),
    }  # fmt: skip
    head = f"# {food.name}: pinned from USDA FoodData Central. Labels are made from this file; nothing is asked of the network again.\n"
    notes = "".join(f"# {doubt}\n" for doubt in food.doubts)
    return head + notes + yaml.safe_dump({food.id: entry}, allow_unicode=True, sort_keys=False, width=110)
