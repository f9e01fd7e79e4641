"""The ledger file: ``ledger.sqlite`` in the kitchen folder. Rows are added, never changed or deleted.

Safe when two prints run at once (write-ahead log, one writer at a time) and when the machine dies: a printing is
recorded, with the PDF itself, before the PDF is put where the maker finds it. Recording the same printing again
finds the row that is there.
"""

from __future__ import annotations

import hashlib
import json
import sqlite3
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from labelgen.errors import LedgerError

FILE = "ledger.sqlite"
#: How long one print waits for another to finish writing [s].
PATIENCE = 60.0
_TABLES = """
CREATE TABLE IF NOT EXISTS printing(
  number INTEGER PRIMARY KEY, same TEXT NOT NULL UNIQUE, printed_at TEXT NOT NULL, product TEXT NOT NULL, name TEXT NOT NULL,
  market TEXT NOT NULL, law_date TEXT NOT NULL, lot TEXT NOT NULL, made_on TEXT, best_before TEXT, packs INTEGER,
  declaration TEXT NOT NULL, made_with TEXT NOT NULL, label_sha256 TEXT NOT NULL, pdf_sha256 TEXT NOT NULL, pdf BLOB NOT NULL, version TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS input(printing INTEGER NOT NULL REFERENCES printing(number), kind TEXT NOT NULL, name TEXT NOT NULL, sha256 TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS used(
  printing INTEGER NOT NULL REFERENCES printing(number), ingredient TEXT NOT NULL, print_name TEXT NOT NULL, food TEXT NOT NULL,
  supplier TEXT NOT NULL, supplier_lot TEXT NOT NULL, grams_per_pack REAL NOT NULL);
CREATE INDEX IF NOT EXISTS printing_lot ON printing(lot);
CREATE INDEX IF NOT EXISTS used_ingredient ON used(ingredient, supplier_lot);
"""
_NEVER = "CREATE TRIGGER IF NOT EXISTS {table}_{verb} BEFORE {verb} ON {table} BEGIN SELECT RAISE(ABORT, 'the ledger only grows'); END;"


@dataclass(frozen=True)
class Used:
    """One ingredient of a printing. grams_per_pack: as it went in. supplier_lot: "" when the maker gave none."""

    ingredient: str
    print_name: str
    food: str
    supplier: str
    supplier_lot: str
    grams_per_pack: float


@dataclass(frozen=True)
class Printing:
    """One label printed for sale. declaration: ``declaration_as_dict``. made_with: the stock and size
    asked for, so that it can be made again. label_sha256: of the single label's PDF;
    pdf: the file as handed over (one label or sheets). packs: how many were made, or None."""

    product: str
    name: str
    market: str
    law_date: date
    lot: str
    made_on: date | None
    best_before: date | None
    packs: int | None
    declaration: dict
    label_sha256: str
    pdf: bytes
    version: str
    made_with: dict
    inputs: tuple[tuple[str, str, str], ...] = ()
    used: tuple[Used, ...] = ()
    number: int = 0
    printed_at: str = ""


def sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


@contextmanager
def open_ledger(kitchen: str | Path, must_exist: bool = False):
    """A connection to a kitchen's ledger, made if need be. Raises LedgerError when it cannot be read or written."""
    path = Path(kitchen) / FILE
    if must_exist and not path.is_file():
        raise LedgerError(f"{path}: nothing was printed for sale yet: 'labelgen label PRODUCT --lot LOT' records what it prints")
    try:
        db = sqlite3.connect(path, timeout=PATIENCE, isolation_level=None)
    except sqlite3.Error as error:
        raise LedgerError(f"{path}: {error}: check the folder's permissions") from None
    try:
        db.execute("PRAGMA foreign_keys=ON")
        if not must_exist:
            db.execute("PRAGMA journal_mode=WAL")
            db.execute("PRAGMA synchronous=FULL")
            db.executescript(_TABLES + "".join(_NEVER.format(table=t, verb=v) for t in ("printing", "input", "used") for v in ("UPDATE", "DELETE")))
        yield db
    except sqlite3.Error as error:
        spoilt = not isinstance(error, sqlite3.OperationalError) or "no such" in str(error)
        what = "the file is damaged or no ledger: put a copy of it back, or move it away to begin a new one" if spoilt else "check that the folder can be written and the disk is not full"
        raise LedgerError(f"{path}: {error}: {what}; nothing was recorded or printed") from None
    finally:
        db.close()


def record_printing(db: sqlite3.Connection, printing: Printing) -> int:
    """Adds a printing whole or not at all. Returns its number; the same printing keeps the number it has."""
    p = printing
    same = sha256(repr((p.product, p.market, p.law_date, p.lot, p.made_on, p.packs, sha256(p.pdf), sorted(u.supplier_lot for u in p.used))).encode())
    db.execute("BEGIN IMMEDIATE")
    try:
        found = db.execute("SELECT number FROM printing WHERE same = ?", (same,)).fetchone()
        if found is None:
            row = (
                same, datetime.now(UTC).isoformat(timespec="seconds"), p.product, p.name, p.market, p.law_date.isoformat(), p.lot,
                p.made_on and p.made_on.isoformat(), p.best_before and p.best_before.isoformat(), p.packs,
                json.dumps(p.declaration, ensure_ascii=False, sort_keys=True), json.dumps(p.made_with, sort_keys=True), p.label_sha256, sha256(p.pdf), p.pdf, p.version,
            )  # fmt: skip
            number = db.execute(f"INSERT INTO printing VALUES(NULL{',?' * len(row)})", row).lastrowid
            db.executemany("INSERT INTO input VALUES(?,?,?,?)", ((number, *i) for i in p.inputs))
            db.executemany("INSERT INTO used VALUES(?,?,?,?,?,?,?)", ((number, u.ingredient, u.print_name, u.food, u.supplier, u.supplier_lot, u.grams_per_pack) for u in p.used))
        else:
            number = found[0]
        db.execute("COMMIT")
    except BaseException:
        if db.in_transaction:
            db.execute("ROLLBACK")
        raise
    return number


def printings(db: sqlite3.Connection, where: str = "1", values: tuple = ()) -> list[Printing]:
    """Printings in the order they were made. ``where`` is SQL over the printing table, named ``p``."""
    found = []
    for r in db.execute(
        "SELECT p.number, p.printed_at, p.product, p.name, p.market, p.law_date, p.lot, p.made_on, p.best_before, p.packs, p.declaration, p.made_with, p.label_sha256, p.pdf, p.version"
        f" FROM printing p WHERE {where} ORDER BY p.number",
        values,
    ).fetchall():
        inputs = tuple(db.execute("SELECT kind, name, sha256 FROM input WHERE printing = ? ORDER BY rowid", (r[0],)))
        used = tuple(Used(*u) for u in db.execute("SELECT ingredient, print_name, food, supplier, supplier_lot, grams_per_pack FROM used WHERE printing = ? ORDER BY rowid", (r[0],)))
        days = [x and date.fromisoformat(x) for x in (r[5], r[7], r[8])]
        found.append(Printing(r[2], r[3], r[4], days[0], r[6], days[1], days[2], r[9], json.loads(r[10]), r[12], r[13], r[14], json.loads(r[11]), inputs, used, r[0], r[1]))
    return found
