"""Four foods of which nearly every claim of absence is untrue, in a real kitchen: texts are put on them
through the whole chain.
"""

from __future__ import annotations

import functools
from dataclasses import replace
from datetime import date

from labelgen.chain import Rolled, declare_product, roll_up_folder
from labelgen.composition.dataset import open_dataset
from labelgen.composition.resolve import resolve_kitchen
from labelgen.formulation.rollup import roll_up_kitchen
from labelgen.order import Order

ON = date(2026, 12, 1)
MARKETS = ("us", "eu", "uk", "ca", "au", "nz")
#: Ingredient -> its packet's list.
PACKETS = {
    "flour": "wheat flour",
    "butter": "butter (milk), salt",
    "sugar": "sugar",
    "egg": "whole egg",
    "almonds": "almonds",
    "mix": (
        "hazelnuts, peanuts, soya flour, sesame seeds, honey, mustard flour, celery seed, lupin flour,"
        " apricots, preservative (sulphur dioxide)"
    ),
    "cream": "fat free sour cream (milk)",
    "fishes": "cod, tuna, potatoes",
    "seafood": "prawns, squid",
    "gelatine": "beef gelatine, colour (carmine)",
    "beef": "beef",
    "lard": "lard",
}


def _figures(name: str) -> str:
    fat, sugars = {"sugar": (0, 99), "cream": (0, 4)}.get(name, (20, 20))
    return f"""per: 100 g, nutrients: {{calories: {9 * fat + 4 * sugars + 20}, fat: {fat} g,
  saturated fat: 0 g, trans fat: 0 g, cholesterol: 40 mg,
  carbohydrate: {sugars} g, fiber: 0 g, sugars: {sugars} g, added sugars: {sugars} g,
  protein: 0 g, sodium: 400 mg,
  vitamin d: 0 mcg, calcium: 20 mg, iron: 1 mg, potassium: 100 mg}}"""


FILES = {
    "kitchen.yaml": 'producer: {name: Example Hill Bakes, address: "1 Example Hill, Sampleton"}\n',
    "ingredients/all.yaml": "".join(
        f'{name}: {{statement: "{said}", {_figures(name)}}}\n' for name, said in PACKETS.items()
    ),
    "recipes/all.yaml": (
        """
formulations:
  dough: {ingredients: [200 g flour, 100 g butter, 100 g sugar, 50 g egg, 50 g almonds, 200 g mix,
      20 g cream], makes: 10}
  mash: {ingredients: [300 g fishes, 50 g seafood], makes: 10}
  gum: {ingredients: [200 g sugar, 20 g gelatine], makes: 10}
  filling: {ingredients: [200 g beef, 50 g lard, 200 g flour], makes: 10}
products:
  cake: {name: Cake, of: dough, pieces: 10, unit: slice}
  fish: {name: Fish cakes, of: mash, pieces: 10, unit: piece}
  gums: {name: Gums, of: gum, pieces: 10, unit: piece}
  pie: {name: Pie, of: filling, pieces: 10, unit: piece}
"""
    ),
}


@functools.cache
def _rolled(folder: str) -> Rolled:
    return roll_up_folder(folder)


def write_kitchen(folder) -> str:
    for name, text in FILES.items():
        (folder / name).parent.mkdir(exist_ok=True)
        (folder / name).write_text(text, encoding="utf-8")
    return str(folder)


def claim_findings(folder: str, food: str, place: str, text: str, market: str) -> list:
    """What is told of claims when the text stands in that place. place: a field of the product, or "print
    flour".
    """
    rolled = _rolled(folder)
    kitchen = rolled.kitchen
    if place.startswith("print "):
        name = place.removeprefix("print ")
        spec = kitchen.ingredients[name].model_copy(update={"print_name": text})
        kitchen = kitchen.model_copy(update={"ingredients": {**kitchen.ingredients, name: spec}})
        resolved = resolve_kitchen(kitchen, open_dataset(), ON)
        profiles, _ = roll_up_kitchen(kitchen, resolved)
        rolled = replace(rolled, kitchen=kitchen, resolved=resolved, profiles=profiles)
    else:
        said = kitchen.products[food].model_copy(update={place: text})
        kitchen = kitchen.model_copy(update={"products": {**kitchen.products, food: said}})
        rolled = replace(rolled, kitchen=kitchen)
    return [
        f for f in declare_product(rolled, food, Order(market, ON)).findings if f.code.startswith("claim")
    ]
