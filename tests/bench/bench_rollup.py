"""Roll-up of 10,000 recipes of 12 ingredients against the bare numpy product, as a ratio in one run. Not a
test.

Both are timed without the collection of garbage, as the timeit module does.
"""

import gc
import random
import time
from datetime import date

import numpy as np

from labelgen.composition.dataset import open_dataset
from labelgen.composition.resolve import resolve_kitchen
from labelgen.errors import Where
from labelgen.formulation.rollup import roll_up_kitchen
from labelgen.quantity import Quantity
from labelgen.recipe.models import Cook, Formulation, IngredientSpec, Kitchen, Line, Producer, Product

RECIPES, LINES, LARDER, ROUNDS = 10_000, 12, 200, 10


def larder(ids: list[str]) -> dict[str, IngredientSpec]:
    """The first foods about which there is nothing to ask, as in a kitchen whose check is clean."""
    specs = {f"i{n}": IngredientSpec(name=f"i{n}", food=food) for n, food in enumerate(ids)}
    kitchen = Kitchen.model_construct(ingredients=specs, formulations={}, products={}, where=Where("k"))
    quiet = [
        name for name, r in resolve_kitchen(kitchen, open_dataset(), date.today()).items() if not r.findings
    ]
    return {name: specs[name] for name in quiet[:LARDER]}


def kitchen_of(recipes: int) -> Kitchen:
    """Recipes of random foods, each baked with a small loss and sold as one piece."""
    chance = random.Random(7)
    ids = [
        i
        for i, _ in open_dataset().names()
        if i.startswith(("usda/18", "usda/20", "usda/12", "usda/09", "usda/01"))
    ]
    names = larder(chance.sample(ids, len(ids)))
    formulations, products = {}, {}
    for n in range(recipes):
        key = f"r{n}"
        lines = []
        for name in chance.sample(list(names), LINES):
            grams = round(chance.uniform(5, 200), 1)
            lines.append(Line(name, Quantity(f"{grams} g", "mass", grams=grams), Where("r", n)))
        raw = sum(x.amount.grams for x in lines)
        cook = Cook.model_construct(
            method="bake",
            before=raw,
            after=raw * 0.995,
            how="weighed",
            fat=0.0,
            fat_from="",
            loses="water",
            loss=None,
            loss_low=None,
            loss_high=None,
            where=Where("r", n),
        )
        formulations[key] = Formulation.model_construct(
            name=key,
            lines=tuple(lines),
            cook=cook,
            where=Where("r", n),
            yields=None,
            makes=None,
            left=None,
            print_name="",
        )
        products[key] = Product(key=key, name=key, of=key, where=Where("r", n))
    return Kitchen.model_construct(
        folder="k",
        producer=Producer(name="", address=""),
        country="us",
        retention=True,
        ingredients=names,
        formulations=formulations,
        products=products,
        where=Where("k"),
    )


def bare_product(kitchen: Kitchen, resolved) -> float:
    """Seconds of the arithmetic alone: for every recipe grams times composition, for the four arrays a
    roll-up gives (low, value, high, known). Gathering the grams and the compositions is not counted.
    """
    order = {name: i for i, name in enumerate(resolved)}
    compositions = [r.composition for r in resolved.values()]
    tables = [
        np.nan_to_num(np.array([getattr(c, end) for c in compositions]), posinf=0.0) / 100
        for end in ("low", "value", "high")
    ]
    tables.append(np.array([~np.isnan(c.value) for c in compositions], float))
    grams = np.array([[x.amount.grams for x in f.lines] for f in kitchen.formulations.values()])
    which = np.array([[order[x.use] for x in f.lines] for f in kitchen.formulations.values()])
    start = time.perf_counter()
    for table in tables:
        np.einsum("rl,rlk->rk", grams, table[which])
    return time.perf_counter() - start


def main() -> None:
    kitchen = kitchen_of(RECIPES)
    resolved = resolve_kitchen(kitchen, open_dataset(), date.today())
    assert len(roll_up_kitchen(kitchen, resolved)[0]) == RECIPES
    bare, spent = [], []
    for _ in range(ROUNDS):
        gc.collect()
        gc.disable()
        bare.append(bare_product(kitchen, resolved))
        start = time.perf_counter()
        profiles = roll_up_kitchen(kitchen, resolved)
        spent.append(time.perf_counter() - start)
        gc.enable()
        del profiles
    print(f"bare numpy product of {RECIPES:,} recipes x {LINES} ingredients: {1000 * min(bare):.0f} ms")
    print(
        f"roll-up with mass balance, retention and trail: {1000 * min(spent):.0f} ms,"
        f" {min(spent) / min(bare):.1f} x (goal 4)"
    )


if __name__ == "__main__":
    main()
