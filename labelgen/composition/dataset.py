"""The food-composition dataset: committed text, compiled once into SQLite in the user's cache folder.

USDA SR24 with USDA's later revisions, FoodData Central Foundation rows as supplements, and a short table of
pure or typical substances; see ``reference/composition/SOURCE.toml``. All values per 100 g edible portion.
"""

from __future__ import annotations

import difflib
import hashlib
import os
import sqlite3
import tempfile
from contextlib import closing
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import numpy as np

from labelgen import paths
from labelgen.composition.ingredient_records import Composition, Food, Portion
from labelgen.errors import CompositionError
from labelgen.nutrients import KEYS

TEXTS = (
    "nutrients.csv",
    "foods.csv",
    "portions.csv",
    "revisions.csv",
    "supplements.csv",
    "substances.csv",
    "presumed.csv",
    "added_sugars.csv",
    "composite.csv",
    "food_groups.csv",
)
_FORMAT = b"7"


@dataclass(frozen=True)
class Highest:
    """The highest figure of a nutrient [its unit] per 100 g, whose it is, in which food group ("" for
    all), of how many foods.
    """

    most: float
    food: str
    group: str
    count: int


def _digest() -> str:
    digest = hashlib.blake2b(_FORMAT, digest_size=12)
    for path in (
        *(paths.reference("composition", name) for name in TEXTS),
        paths.reference("factors", "figures.toml"),
    ):
        digest.update(path.read_bytes())
    return digest.hexdigest()


@cache
def open_dataset() -> Dataset:
    """The dataset, compiled on first use, and again when the compiled file is spoilt. Where the cache
    folder cannot be written or is full, it is compiled into memory.
    """
    target = paths.cache_dir() / f"foods-{_digest()}.sqlite"
    try:
        return Dataset(_opened(target))
    except sqlite3.DatabaseError:
        pass  # not there yet, or spoilt
    try:
        _compile_into(target)
        return Dataset(_opened(target))
    except (OSError, sqlite3.DatabaseError):
        from labelgen.composition.compile import compile_dataset

        connection = sqlite3.connect(":memory:")
        compile_dataset(connection)
        return Dataset(connection)


def _opened(target: Path) -> sqlite3.Connection:
    connection = sqlite3.connect(
        f"{target.absolute().as_uri()}?mode=ro&immutable=1", uri=True, check_same_thread=False
    )
    connection.execute("SELECT id FROM food LIMIT 1").fetchone()
    return connection


def _compile_into(target: Path) -> None:
    """Safe when several processes start at once: each writes a file of its own and renames it into place."""
    from labelgen.composition.compile import compile_dataset

    target.parent.mkdir(parents=True, exist_ok=True)
    handle, name = tempfile.mkstemp(dir=target.parent, suffix=".part")
    os.close(handle)
    try:
        with closing(sqlite3.connect(name)) as connection:
            compile_dataset(connection)
        with open(name, "rb+") as f:
            os.fsync(f.fileno())
        os.replace(name, target)
    except BaseException:
        Path(name).unlink(missing_ok=True)
        raise


class Dataset:
    """Read access to the compiled dataset. ``connection`` carries the full-text table ``food_fts``."""

    def __init__(self, connection: sqlite3.Connection):
        self.connection = connection

    def names(self) -> list[tuple[str, str]]:
        return self.connection.execute("SELECT id, name FROM food ORDER BY id").fetchall()

    def portions(self, food_id: str) -> tuple[Portion, ...]:
        rows = self.connection.execute(
            "SELECT amount, unit, grams FROM portion WHERE id = ? ORDER BY rowid", (food_id,)
        )
        return tuple(Portion(a, u, g, f"USDA portion of {food_id}") for a, u, g in rows)

    def food(self, food_id: str) -> Food:
        """One food by its id (``usda/20081``, ``pure/erythritol``). Raises CompositionError naming near
        ids.
        """
        row = self.connection.execute(
            "SELECT id, name, grp, grade, release, note, composite, retention, added, vals, lows, highs,"
            " codes FROM food WHERE id = ?",
            (food_id,),
        ).fetchone()
        if row is None:
            near = difflib.get_close_matches(food_id, [i for i, _ in self.names()], n=3)
            raise CompositionError(
                f"{food_id!r} is not in the food table; near: {', '.join(near) or 'none'}: find it with"
                " 'labelgen foods search NAME'"
            )
        fid, name, group, grade, release, note, composite, retention, added, vals, lows, highs, codes = row
        sources = self._sources()
        composition = Composition(
            np.frombuffer(lows),
            np.frombuffer(vals),
            np.frombuffer(highs),
            np.zeros(len(KEYS), bool),
            tuple(sources[c] for c in codes),
        )
        return Food(
            fid,
            name,
            group,
            composition,
            self.portions(fid),
            grade,
            release,
            note,
            bool(composite),
            retention,
            added,
        )

    def highest(self, key: str, group: str = "") -> Highest | None:
        """The highest figure of a nutrient among the food table's foods, or those of one food group
        ("18"); None where the table has none.
        """
        return self._highest().get((key, group))

    @cache  # noqa: B019 - one dataset per process
    def _highest(self) -> dict[tuple[str, str], Highest]:
        rows = self.connection.execute("SELECT key, grp, most, food, named, count FROM highest")
        return {
            (key, group): Highest(most, food, named, count) for key, group, most, food, named, count in rows
        }

    @cache  # noqa: B019 - one dataset per process
    def _sources(self) -> dict[int, str]:
        return dict(self.connection.execute("SELECT code, text FROM source"))
