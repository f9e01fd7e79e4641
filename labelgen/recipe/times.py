"""Shelf lives as makers write them, in any label language -> ``14 days``."""

from __future__ import annotations

import re
from functools import cache

from labelgen import paths
from labelgen.nutrients import plain_words
from labelgen.recipe.values import text
from labelgen.recipe.yamlfile import Source


def shelf_life(source: Source, path: tuple, raw, country: str) -> str:
    """How long a food keeps, in plain words."""
    return spelt(text(source, path, raw, country))


def spelt(said: str) -> str:
    """The span of time that a text says; any other text stays, for who declares the date to tell of.

    >>> spelt("15 jours"), spelt("zwei Wochen"), spelt("3-month"), spelt("until Easter")
    ('15 days', '2 weeks', '3 months', 'until Easter')
    """
    found = re.fullmatch(r"(\d+|[^\W\d]+) ?([^\W\d]+)", plain_words(said))
    number = found and (found[1] if found[1].isdigit() else _words("number").get(found[1]))
    unit = found and _words("unit").get(found[2])
    return f"{number} {unit}" if number and unit else said


@cache
def _words(kind: str) -> dict[str, str]:
    rows = [row for row in paths.read_rows("words", "times.csv") if row["kind"] == kind]
    return {name: row["means"] for row in rows for name in row["names"].split(";")}
