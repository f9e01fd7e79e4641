"""A food that is printed by one name and pinned to another: the food table is asked what the name usually
means.
"""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable
from pathlib import Path

from labelgen import paths
from labelgen.composition.dataset import Dataset
from labelgen.composition.search.kitchen import sources
from labelgen.errors import CompositionError, Finding
from labelgen.findings import find
from labelgen.recipe.models import IngredientSpec

#: From this score on a name surely means a food; below the other one it does not mean it, nor nearly.
_SURE, _NO_NAME = 85.0, 78.0
_SEEN = 60
_BRACKET = re.compile(r"\([^()]*\)|\[[^\[\]]*\]")


def doubts_of_names(specs: Iterable[IngredientSpec], dataset: Dataset) -> dict[str, Finding]:
    """Ingredient -> the question whether the pinned food is the one printed. None is asked where the name
    may well mean it or means none surely, and of a food pinned by the maker, which no list knows. Answers
    are kept in the user's cache.
    """
    pinned = {}
    for spec in specs:
        food = _food(dataset, spec.food)
        if food and food.group:
            pinned[spec.name] = (spec.print_name or spec.name.replace("-", " "), food.id, food.name)
    if not pinned:
        return {}
    table = dataset.connection.execute("PRAGMA database_list").fetchone()[2]
    asked = sorted(set(pinned.values()))
    kept = f"named-{hashlib.blake2b(repr((table, asked)).encode(), digest_size=8).hexdigest()}"
    likely = paths.made_once(
        kept, (*sources(), Path(__file__)), lambda: [_likely(*one, dataset) for one in asked]
    )
    meant = {one: found for one, found in zip(asked, likely) if found}
    return {
        spec.name: find(
            "slip-food",
            spec.where,
            path=f"ingredients.{spec.name}.food",
            ingredient=spec.name,
            print_name=pinned[spec.name][0],
            likely=meant[pinned[spec.name]][0],
            likely_name=meant[pinned[spec.name]][1],
            food_name=pinned[spec.name][2],
        )
        for spec in specs
        if pinned.get(spec.name) in meant
    }


def _food(dataset: Dataset, food_id: str):
    try:
        return dataset.food(food_id) if food_id else None
    except CompositionError:  # told by who resolves it
        return None


def _likely(printed: str, food_id: str, food_name: str, dataset: Dataset) -> list[str] | None:
    """Id and name of the food a printed name surely means, where that is not the pinned one, nor nearly."""
    from labelgen.composition.search.food_search import search

    name = _BRACKET.sub(" ", printed).partition(":")[0].strip()
    if not name or _says(name, food_name):
        return None
    hits = search(dataset, name, _SEEN)
    own = next((hit.score for hit in hits if hit.id == food_id), 0.0)
    if not hits or hits[0].score < _SURE or hits[0].note or own >= _NO_NAME:
        return None
    return [hits[0].id, hits[0].name]


def _says(name: str, food: str) -> bool:
    """Whether a food's name says the printed one: all its words, and no other before its first comma."""
    from labelgen.composition.search.search_words import spell

    said, whole, head = (set(spell(text)) for text in (name, food, food.partition(",")[0]))
    return head <= said <= whole
