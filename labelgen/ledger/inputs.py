"""What a printing rests on: every kitchen file, every folder of data and of the program, each by the hash of
what is in it.

Nothing is listed here: a folder that is added to ``reference/``, ``templates/`` or the program belongs to
what a printing rests on from then on. Only of the markets the one printed for counts, with the one it starts
from.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path

import labelgen
from labelgen import paths
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.law.registry import starts_from
from labelgen.ledger.store import Used, sha256
from labelgen.recipe.models import Kitchen
from labelgen.recipe.read import kitchen_files

#: Kind of input -> what it is called when it has changed.
CALLED = {
    "kitchen": "kitchen file",
    "foods": "food table",
    "allergens": "allergen word lists",
    "factors": "retention factors",
    "law": "rules of market",
    "claims": "claim words",
    "names": "names in other languages",
    "arrangements": "arrangements of",
    "additives": "names of additives",
    "units": "units",
    "words": "words of languages",
    "code": "labelgen's own code",
}
#: Folders of ``reference/`` that stand in the ledger under another name.
_KINDS = {"composition": "foods"}
_MARKETS = "markets"

#: (kind, name, sha256).
Input = tuple[str, str, str]


def hash_inputs(folder: str | Path, market: str) -> tuple[Input, ...]:
    """(kind, name, sha256) of everything a label of this kitchen and market was made from."""
    kitchen = (("kitchen", name, sha256(data)) for name, data in read_files(folder))
    base, _ = starts_from(market)
    law = (("law", code, _hash(paths.market(code))) for code in (market, base) if code)
    return (*kitchen, *law, *_shipped())


def read_files(folder: str | Path) -> Iterator[tuple[str, bytes]]:
    """The name below its folder and the bytes of every file a kitchen is written in."""
    root = Path(folder)
    return (
        (str(path.relative_to(root)), path.read_bytes()) for path, _ in kitchen_files(root) if path.is_file()
    )


def _shipped() -> Iterator[Input]:
    """All that comes with the program, but the markets: data, arrangements, code."""
    for place in _within(paths.reference()):
        if place.name != _MARKETS:
            yield _KINDS.get(place.name, place.name), "", _hash(place)
    for place in _within(paths.templates()):
        yield "arrangements", place.name, _hash(place)
    for place in _within(Path(labelgen.__file__).parent):
        if place.suffix in ("", ".py"):
            yield "code", place.name, _hash(place)


def _within(folder: Path) -> list[Path]:
    return sorted(p for p in folder.iterdir() if not p.name.startswith(("_data", "__pycache__", ".")))


@cache
def _hash(place: Path) -> str:
    """Of a file, or of a folder: names and bytes of all files in it."""
    if place.is_file():
        return sha256(place.read_bytes())
    files: Iterable[Path] = (p for p in place.rglob("*") if p.is_file() and "__pycache__" not in p.parts)
    return sha256(b"".join(str(p.relative_to(place)).encode() + p.read_bytes() for p in sorted(files)))


def list_used(profile: NutrientProfile, kitchen: Kitchen, supplier_lots: dict[str, str]) -> tuple[Used, ...]:
    """What went into one pack, ingredient by ingredient. ``supplier_lots`` (name -> lot) go before those
    in the files.
    """
    grams: dict[str, float] = {}
    for line in profile.ingoing:
        grams[line.ingredient.name] = grams.get(line.ingredient.name, 0.0) + line.grams
    resolved = {line.ingredient.name: line.ingredient for line in profile.ingoing}
    used = []
    for name, mass in grams.items():
        spec = kitchen.ingredients[name]
        lot = supplier_lots.get(name, spec.supplier_lot)
        used.append(
            Used(name, resolved[name].print_name, resolved[name].food_id, spec.supplier, lot, round(mass, 6))
        )
    return tuple(used)
