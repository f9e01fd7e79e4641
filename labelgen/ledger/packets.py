"""Judges printings by the packets that went into them: what a later packet says is no matter of an earlier
lot.

A printing is held against today's files, but for an ingredient whose supplier's lot was recorded and is
another one than today's file is of: its packet is taken as it was written when the label was printed.
"""

from __future__ import annotations

import sqlite3
import tempfile
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path

from labelgen.chain import Rolled, roll_up
from labelgen.composition.allergen_codes import in_codes
from labelgen.ledger.printing import remake
from labelgen.ledger.stale_labels import Today, Verdict, judge
from labelgen.ledger.store import Printing, lots_in, read_sources
from labelgen.recipe.models import IngredientSpec, Kitchen
from labelgen.recipe.read import read_kitchen


def judge_printings(
    db: sqlite3.Connection, rolled: Rolled, asked: Iterable[Printing], on: date
) -> list[Verdict]:
    """A verdict on each printing as of a day, those with the most dangerous difference first. rolled:
    today's kitchen.
    """
    packets = _Packets(db, rolled)
    return judge(asked, lambda p: _remake(packets, p, on))


def _remake(packets: _Packets, printing: Printing, on: date) -> Today:
    rolled, own = packets.of(printing)
    return replace(remake(rolled, printing, on), own_packets=own, lots_unclear=packets.unclear(printing))


@dataclass
class _Packets:
    """Today's kitchen, and what it was for earlier printings; what was worked out once is kept."""

    db: sqlite3.Connection
    rolled: Rolled
    kitchens: dict[tuple[str, ...], Kitchen | None] = field(default_factory=dict)
    changed: dict[str, Rolled] = field(default_factory=dict)

    def of(self, printing: Printing) -> tuple[Rolled, tuple[str, ...]]:
        """The kitchen with a printing's own packets, and the names of these ingredients."""
        today = self.rolled.kitchen.ingredients
        other = [
            u.ingredient
            for u in printing.used
            if u.ingredient in today
            and u.supplier_lot
            and today[u.ingredient].supplier_lot
            and not lots_in(u.supplier_lot) & lots_in(today[u.ingredient].supplier_lot)
        ]
        then = self._then(printing) if other else None
        own = {
            name: (
                then.ingredients[name].model_copy(
                    update={"where": today[name].where, "supplier_lot": today[name].supplier_lot}
                )
            )
            for name in other
            if then and name in then.ingredients
        }
        own = {name: spec for name, spec in own.items() if not _alike(spec, today[name])}
        if not own:
            return self.rolled, ()
        key = repr(sorted(own.items()))
        if key not in self.changed:
            kitchen = self.rolled.kitchen.model_copy(update={"ingredients": {**today, **own}})
            self.changed[key] = roll_up(kitchen, self.rolled.on, self.rolled.unread)
        return self.changed[key], tuple(own)

    def unclear(self, printing: Printing) -> tuple[str, ...]:
        """Ingredients of a recorded lot whose packet is written otherwise today, and nobody wrote of which
        lot.
        """
        today = self.rolled.kitchen.ingredients
        asked = [
            u.ingredient
            for u in printing.used
            if u.supplier_lot and u.ingredient in today and not today[u.ingredient].supplier_lot
        ]
        then = self._then(printing) if asked else None
        return (
            tuple(
                n
                for n in asked
                if then and n in then.ingredients and not _alike(then.ingredients[n], today[n])
            )
            if then
            else ()
        )

    def _then(self, printing: Printing) -> Kitchen | None:
        """The kitchen's files as they were; None where they were not kept or cannot be read any more."""
        files = tuple(digest for kind, _, digest in printing.inputs if kind == "kitchen")
        if files not in self.kitchens:
            self.kitchens[files] = _read(read_sources(self.db, printing))
        return self.kitchens[files]


def _alike(one: IngredientSpec, other: IngredientSpec) -> bool:
    """Whether two packets say the same, wherever and of whatever lot they are written."""
    said = [_bare(s.model_dump(exclude={"where", "supplier_lot"})) for s in (one, other)]
    return said[0] == said[1]


def _bare(value: object) -> object:
    """Without the places things are written at."""
    if isinstance(value, dict):
        return {k: _bare(v) for k, v in value.items() if k != "where"}
    return [_bare(v) for v in value] if isinstance(value, (list, tuple)) else value


def _read(files: dict[str, bytes]) -> Kitchen | None:
    if not files:
        return None
    with tempfile.TemporaryDirectory(prefix="labelgen-") as folder:
        for name, data in files.items():
            path = Path(folder, *Path(name.replace("\\", "/")).parts)
            # a ledger somebody else spoilt must not lead out of the folder
            if not path.resolve().is_relative_to(Path(folder).resolve()):
                return None
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(data)
        kitchen = read_kitchen(folder)[0]
        return in_codes(kitchen) if kitchen else None
