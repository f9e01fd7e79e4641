"""Foods that a packet names and nothing more, such as salt, sugar or honey: they have no ingredients but
themselves, so their make-up is known, and what their packet leaves out is that of the food of the table.
"""

from __future__ import annotations

from functools import cache

from labelgen import paths
from labelgen.composition.text.statement import read_statement
from labelgen.nutrients import plain_words
from labelgen.recipe.models import IngredientSpec


@cache
def _foods() -> dict[str, tuple[str, str]]:
    """Whole names -> (id, what the food gives: all or volume)."""
    rows = paths.read_rows("composition", "plain_foods.csv")
    return {name: (row["id"], row["gives"]) for row in rows for name in row["names"].split(";")}


def plain_food(spec: IngredientSpec, gives: str = "all") -> str:
    """The table's food that an ingredient is by its whole printed name, and by that of each item of its list
    where it has one; "" for any other. gives: ``volume`` for what a millilitre weighs.

    >>> plain_food(IngredientSpec(name="a", print_name="Fine sea salt"))
    'usda/02047'
    >>> plain_food(IngredientSpec(name="a", print_name="sea salt", statement="salt, sugar"))
    ''
    """
    told = spec.statement if gives == "all" else ""
    listed = [i.name for i in read_statement(told).items] if told else []
    names = [part for name in (spec.print_name, *listed) for part in name.split(" / ")]
    found = {_foods().get(plain_words(name), ("", "")) for name in names}
    food, given = found.pop() if len(found) == 1 else ("", "")
    return food if given == gives or gives == "volume" else ""
