"""Roll-up of 10,000 recipes of 12 ingredients against the bare numpy product, as a ratio in one run. Not a test."""

import random
import time

import numpy as np

from labelgen.composition.dataset import open_dataset
from labelgen.composition.resolve import resolve_kitchen
from labelgen.errors import Where
from labelgen.formulation.rollup import roll_up_kitchen
from labelgen.quantity import Quantity
from labelgen.recipe.models import Cook, Formulation, IngredientSpec, Kitchen, Line, Producer, Product

RECIPES, LINES, LARDER = 10_000, 12, 200


def kitchen_of(recipes: int) -> Kitchen:
    """Recipes of random foods, each baked with a small loss and sold as one piece."""
    chance = random.Random(7)
    ids = [i for i, _ in open_dataset().names() if i.startswith(("usda/18", "usda/20", "usda/12", "usda/09", "usda/01"))]
    names = {f"i{n}": IngredientSpec(name=f"i{n}", food=food, contains=[]) for n, food in enumerate(chance.sample(ids, LARDER))}
    formulations, products = {}, {}
    for n in range(recipes):
        key = f"r{n}"
        lines = []
        for name in chance.sample(list(names), LINES):
            grams = round(chance.uniform(5, 200), 1)
            lines.append(Line.model_construct(use=name, amount=Quantity(f"{grams} g", "mass", grams=grams), where=Where("r", n)))
        raw = sum(x.amount.grams for x in lines)
        cook = Cook.model_construct(method="bake", before=raw, after=raw * 0.995, how="weighed", fat=0.0, fat_from="", loses="water", loss=None, loss_low=None, loss_high=None, where=Where("r", n))
        formulations[key] = Formulation.model_construct(name=key, lines=tuple(lines), cook=cook, where=Where("r", n), yields=None, makes=None, left=None, print_name="")
        products[key] = Product(key=key, name=key, of=key, where=Where("r", n))
    return Kitchen.model_construct(folder="k", producer=Producer(name="", address=""), country="us", retention=True, ingredients=names, formulations=formulations, products=products, where=Where("k"))


def bare_product(kitchen: Kitchen, resolved) -> tuple[float, np.ndarray]:
    """Seconds of the arithmetic alone: for every recipe grams times composition, for low, value and high."""
    order = {name: i for i, name in enumerate(resolved)}
    tables = [np.nan_to_num(np.array([getattr(r.composition, end) for r in resolved.values()]), posinf=0.0) / 100 for end in ("low", "value", "high")]
    grams = np.array([[x.amount.grams for x in f.lines] for f in kitchen.formulations.values()])
    which = np.array([[order[x.use] for x in f.lines] for f in kitchen.formulations.values()])
    start = time.perf_counter()
    results = [np.einsum("rl,rlk->rk", grams, table[which]) for table in tables]
    return time.perf_counter() - start, results[1]


def main() -> None:
    kitchen = kitchen_of(RECIPES)
    resolved = resolve_kitchen(kitchen, open_dataset(), {})
    bare = min(bare_product(kitchen, resolved)[0] for _ in range(5))
    spent = []
    for _ in range(3):
        start = time.perf_counter()
        profiles, _ = roll_up_kitchen(kitchen, resolved)
        spent.append(time.perf_counter() - start)
    assert len(profiles) == RECIPES
    print(f"bare numpy product of {RECIPES:,} recipes x {LINES} ingredients, three bounds: {bare:.3f} s")
    print(f"roll-up with mass balance, retention, trail: {min(spent):.3f} s, {min(spent) / bare:.1f} x (goal 4)")


if __name__ == "__main__":
    main()
