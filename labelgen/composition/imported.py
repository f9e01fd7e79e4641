"""An official release of FoodData Central, imported whole into the user's cache folder: its foods are found
without the network and without the folder. A label is made from what is pinned into its kitchen all the same.
"""

from __future__ import annotations

import json
import os
import sqlite3
from contextlib import closing, contextmanager
from dataclasses import asdict
from pathlib import Path

from labelgen import paths
from labelgen.composition.fdc import FetchedFood, read_release
from labelgen.errors import FetchError

#: Kinds of food that are imported (``data_type`` of food.csv). The millions of packaged ones are taken one
# at a time.
KINDS = ("foundation_food", "sr_legacy_food", "survey_fndds_food")

#: What no number of a food reaches (SQLite's largest).
_LARGEST = 2**63


def imported_file() -> Path:
    return paths.cache_dir() / "fdc-release.sqlite"


def import_release(folder: Path) -> int:
    """Puts every food of a release folder in the place of what was imported before; returns how many there
    are.

    Raises FetchError when the folder is no release or holds no food that can be used; then nothing is
    changed.
    """
    new = imported_file().with_suffix(f".{os.getpid()}")
    new.parent.mkdir(parents=True, exist_ok=True)
    try:
        with _named(), closing(sqlite3.connect(new)) as db:
            db.execute(
                "CREATE TABLE food(number INTEGER PRIMARY KEY, name TEXT NOT NULL, kind TEXT NOT NULL, food"
                " TEXT NOT NULL)"
            )
            rows = (
                (int(f.id.removeprefix("fdc/")), f.name, f.kind, json.dumps(asdict(f)))
                for f in read_release(folder, kinds=KINDS)
            )
            count = db.executemany("INSERT OR REPLACE INTO food VALUES(?,?,?,?)", rows).rowcount
            db.commit()
        if count <= 0:
            raise FetchError(
                f"{folder} holds no food of the kinds that are imported: take packaged foods one at a time,"
                f" 'labelgen foods fetch WORDS --release {folder}'"
            )
        os.replace(new, imported_file())
    finally:
        new.unlink(missing_ok=True)
    return count


def find_imported(words: str, most: int = 15) -> list[tuple[str, str, str]]:
    """(id, name, kind) of imported foods whose names hold every word, the shortest names first; [] where
    nothing was imported.
    """
    if not imported_file().is_file():
        return []
    wanted = words.lower().split()
    with _named(), closing(sqlite3.connect(imported_file())) as db:
        found = [
            (f"fdc/{n}", name, kind)
            for n, name, kind in db.execute(
                "SELECT number, name, kind FROM food ORDER BY length(name), number"
            )
            if all(w in name.lower() for w in wanted)
        ]
    return found[:most]


def imported_food(number: int) -> FetchedFood:
    """One imported food. Raises FetchError when there is none of that number."""
    row = None
    if imported_file().is_file() and number < _LARGEST:
        with _named(), closing(sqlite3.connect(imported_file())) as db:
            row = db.execute("SELECT food FROM food WHERE number = ?", (number,)).fetchone()
    if row is None:
        raise FetchError(
            f"no food {number} was imported: 'labelgen foods import FOLDER' imports an unpacked official"
            " CSV release"
        )
    data = json.loads(row[0])
    return FetchedFood(
        **{**data, "portions": tuple(map(tuple, data["portions"])), "doubts": tuple(data["doubts"])}
    )


@contextmanager
def _named():
    """Turns trouble with the imported file into a FetchError."""
    try:
        yield
    except sqlite3.Error as error:
        raise FetchError(
            f"{imported_file()}: {error}: see that its folder can be written and is not full, or remove the"
            " file and import the release again"
        ) from None
