"""The names bakers give their foods (``reference/composition/search_foods.csv``): ``ids`` in order of
preference, ``names``, ``kind`` = ``same``, or ``near`` where the thing itself is not in the data. Spelt once,
then kept in the user's cache folder.
"""

from __future__ import annotations

import csv
from collections.abc import Iterable
from functools import cache
from pathlib import Path
from typing import NamedTuple

from labelgen import paths
from labelgen.composition.search.search_words import TABLES, spell


class Alias(NamedTuple):
    """A row. spelt: the settled words of each name."""

    ids: tuple[str, ...]
    names: tuple[str, ...]
    spelt: tuple[tuple[str, ...], ...]
    near: bool
    note: str


@cache
def _compiled() -> dict:
    return paths.made_once("search", (*sources(), *Path(__file__).parent.glob("*.py")), _compile)


def sources() -> list[Path]:
    """The files that what bakers call their foods is read from."""
    return [paths.reference("composition", name) for name in ("search_foods.csv", *TABLES)]


def _compile() -> dict:
    """rows: as in the file, spelt. starts: the first three and the first four letters of a word -> (row,
    name) that hold it.
    """
    rows, starts = [], {}
    with open(paths.reference("composition", "search_foods.csv"), encoding="utf-8", newline="") as f:
        for n, row in enumerate(csv.DictReader(f)):
            names = row["names"].split(";")
            spelt = [spell(name) for name in names]
            rows.append(
                [
                    [i if "/" in i else f"usda/{i}" for i in row["ids"].split()],
                    names,
                    spelt,
                    row["kind"] == "near",
                    row["note"],
                ]
            )
            for place, tokens in enumerate(spelt):
                for start in {t[:k] for t in tokens for k in (3, 4)}:
                    starts.setdefault(start, []).append([n, place])
    return {"rows": rows, "starts": starts}


@cache
def kitchen_names() -> tuple[Alias, ...]:
    """The rows of ``search_foods.csv``."""
    return tuple(
        Alias(tuple(ids), tuple(names), tuple(map(tuple, spelt)), near, note)
        for ids, names, spelt, near, note in _compiled()["rows"]
    )


def with_a_word(forms: Iterable[str]) -> dict[int, list[int]]:
    """Rows one of whose names has a word that starts like one of ``forms``: row -> places of those names."""
    starts = _compiled()["starts"]
    out: dict[int, set[int]] = {}
    for start in {f[:4] for f in forms}:
        for row, place in starts.get(start, ()):
            out.setdefault(row, set()).add(place)
    return {row: sorted(places) for row, places in sorted(out.items())}
