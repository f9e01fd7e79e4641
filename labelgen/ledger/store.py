"""The ledger file: ``ledger.sqlite`` in the kitchen folder. Rows are added, never changed or deleted; each
printing holds the hash of all that was recorded before it (``ledger/links.py``).

Safe when two prints run at once (write-ahead log, one writer at a time) and when the machine dies: a printing
is recorded, with the PDF itself, before the PDF is put where the maker finds it. Recording the same printing
again finds the row that is there.
"""

from __future__ import annotations

import hashlib
import json
import os
import sqlite3
import tempfile
import time
import unicodedata
from collections.abc import Sequence
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import UTC, date, datetime
from pathlib import Path

from labelgen.errors import LedgerError
from labelgen.ledger.links import Checked, add_link, check_ledger, link_all

FILE = "ledger.sqlite"
#: The form of the file, kept in it; raised by one when a table changes.
VERSION = 3
#: Between several lots of one ingredient.
JOINT = " + "
#: How long one print waits for another to finish writing [s].
PATIENCE = 60.0
DAMAGED = "the file is damaged or no ledger: put a copy of it back, or move it away to begin a new one"
_TABLES = """
CREATE TABLE IF NOT EXISTS printing(
  number INTEGER PRIMARY KEY, same TEXT NOT NULL UNIQUE, printed_at TEXT NOT NULL,
  product TEXT NOT NULL, name TEXT NOT NULL, market TEXT NOT NULL, law_date TEXT NOT NULL,
  lot TEXT NOT NULL, made_on TEXT, best_before TEXT, packs INTEGER,
  declaration TEXT NOT NULL, made_with TEXT NOT NULL, label_sha256 TEXT NOT NULL,
  pdf_sha256 TEXT NOT NULL, pdf BLOB NOT NULL, version TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS input(
  printing INTEGER NOT NULL REFERENCES printing(number),
  kind TEXT NOT NULL, name TEXT NOT NULL, sha256 TEXT NOT NULL);
CREATE TABLE IF NOT EXISTS used(
  printing INTEGER NOT NULL REFERENCES printing(number), ingredient TEXT NOT NULL,
  print_name TEXT NOT NULL, food TEXT NOT NULL,
  supplier TEXT NOT NULL, supplier_lot TEXT NOT NULL, grams_per_pack REAL NOT NULL);
CREATE TABLE IF NOT EXISTS source(sha256 TEXT PRIMARY KEY, data BLOB NOT NULL);
CREATE INDEX IF NOT EXISTS printing_lot ON printing(lot);
CREATE INDEX IF NOT EXISTS printing_pdf ON printing(pdf_sha256);
CREATE INDEX IF NOT EXISTS used_ingredient ON used(ingredient, supplier_lot);
CREATE INDEX IF NOT EXISTS used_printing ON used(printing);
CREATE INDEX IF NOT EXISTS input_printing ON input(printing);
CREATE TABLE IF NOT EXISTS link(
  printing INTEGER PRIMARY KEY REFERENCES printing(number), sha256 TEXT NOT NULL);
"""
_NEVER = (
    "CREATE TRIGGER IF NOT EXISTS {table}_{verb} BEFORE {verb} ON {table}"
    " BEGIN SELECT RAISE(ABORT, 'the ledger only grows'); END"
)


@dataclass(frozen=True)
class Used:
    """One ingredient of a printing. grams_per_pack: as it went in. supplier_lot: "" when the maker gave
    none.
    """

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
    pdf: the file as handed over (one label or sheets), b"" when read back (``read_pdf``). packs: how many
    were made, or None.
    sources: the kitchen's files, word for word, empty when read back (``read_sources``).
    """

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
    pdf_sha256: str = ""
    sources: tuple[bytes, ...] = ()


def sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()


@contextmanager
def open_ledger(kitchen: str | Path, must_exist: bool = False):
    """A connection to a kitchen's ledger, made if need be; ``must_exist``: to read it only, also where
    nothing can be written. Raises LedgerError when it cannot be read or written, or is of a later
    labelgen.
    """
    path = Path(kitchen) / FILE
    if must_exist and not path.is_file():
        if not (path.parent / "kitchen.yaml").is_file():
            raise LedgerError(f"{kitchen} is no kitchen: name the folder of its kitchen.yaml with --kitchen")
        raise LedgerError(
            f"{path}: nothing was printed for sale yet: 'labelgen label PRODUCT --lot LOT' records what it"
            " prints"
        )
    if not must_exist:
        _begin(path)
    try:
        db = sqlite3.connect(
            _address(path) if must_exist else path, timeout=PATIENCE, isolation_level=None, uri=must_exist
        )
    except sqlite3.Error as error:
        raise LedgerError(f"{path}: {error}: check the folder's permissions") from None
    try:
        db.create_function("as_read", 1, as_read, deterministic=True)
        db.create_function("holds_lot", 2, holds_lot, deterministic=True)
        db.execute("PRAGMA foreign_keys=ON")
        if (version := db.execute("PRAGMA user_version").fetchone()[0]) > VERSION:
            raise LedgerError(
                f"{path}: written by a later labelgen (form {version}, this one knows {VERSION}): update"
                " labelgen"
            )
        if not must_exist:
            if version == 0 or db.execute("PRAGMA quick_check(1)").fetchone()[0] != "ok":
                raise LedgerError(f"{path}: {DAMAGED}; nothing was recorded or printed")
            if version < VERSION:
                _prepare(db)
            db.execute("PRAGMA synchronous=FULL")
        yield db
    except sqlite3.Error as error:
        raise LedgerError(
            f"{path}: {error}:"
            f" {_what_to_do(error)}{'' if must_exist else '; nothing was recorded or printed'}"
        ) from None
    finally:
        db.close()


def _begin(path: Path) -> None:
    """Makes a ledger where there is none, whole or not at all. Raises LedgerError for an empty file: what
    it held is lost, and a new history in its place would hide that.
    """
    if path.exists():
        if not path.stat().st_size:
            raise LedgerError(f"{path}: {DAMAGED}; nothing was recorded or printed")
        return
    try:
        with tempfile.TemporaryDirectory(prefix=f".{FILE}-", dir=path.parent) as folder:
            new = Path(folder, FILE)
            with closing(sqlite3.connect(new, timeout=PATIENCE, isolation_level=None)) as db:
                _prepare(db)
            try:
                os.link(new, path)
            except FileExistsError:
                return  # another print was faster
            except OSError:  # a disk that knows no second names
                new.rename(path)
    except (OSError, sqlite3.Error) as error:
        raise LedgerError(f"{path}: {error}: check the folder's permissions") from None


def _address(path: Path) -> str:
    """The file to be read; where its folder takes no write-ahead log and none is open, as a file that
    cannot change.
    """
    still = not os.access(path.parent, os.W_OK) and not path.with_name(f"{FILE}-wal").exists()
    return f"{path.resolve().as_uri()}?{'immutable=1' if still else 'mode=rw'}"


def _prepare(db: sqlite3.Connection) -> None:
    """Tables, and the triggers that let them only grow. Another print may be doing the same: then it is
    waited for.
    """
    kept = ("printing", "input", "used", "source", "link")
    never = [_NEVER.format(table=t, verb=v) for t in kept for v in ("UPDATE", "DELETE")]
    end = time.monotonic() + PATIENCE
    while True:
        try:
            db.execute("PRAGMA journal_mode=WAL")
            db.execute("BEGIN IMMEDIATE")
            for statement in (*_TABLES.split(";\n"), *never):
                db.execute(statement)
            link_all(db)
            db.execute(f"PRAGMA user_version={VERSION}")
            db.execute("COMMIT")
            return
        except sqlite3.OperationalError as error:
            db.rollback()
            if "locked" not in str(error) or time.monotonic() > end:
                raise
            time.sleep(0.05)


def _what_to_do(error: sqlite3.Error) -> str:
    if "locked" in str(error):
        return "another print is writing to it: wait for it to end, then print again"
    if not isinstance(error, sqlite3.OperationalError) or "no such" in str(error):
        return DAMAGED
    return "check that the folder can be written and the disk is not full"


def as_read(text: str) -> str:
    """A lot or name as two people would type it: capitals, spaces and forms of the same letter do not
    count.
    """
    return " ".join(unicodedata.normalize("NFKC", text or "").casefold().split())


def lots_in(text: str) -> set[str]:
    """The lots in a field, as they are read: one, or several joined by " + "."""
    return {as_read(part) for part in (text or "").split(JOINT) if as_read(part)}


def holds_lot(stored: str, asked: str) -> bool:
    """Whether the lot asked for is the one stored, or one of several joined by " + "."""
    return as_read(asked) in (as_read(stored), *lots_in(stored))


def record_printings(db: sqlite3.Connection, every: Sequence[Printing]) -> list[int]:
    """Adds printings, all of them or none. Returns their numbers; the same printing keeps the number it
    has.
    """
    db.execute("BEGIN IMMEDIATE")
    try:
        numbers = [_record(db, p) for p in every]
        db.execute("COMMIT")
    except BaseException:
        db.rollback()
        raise
    return numbers


def _record(db: sqlite3.Connection, p: Printing) -> int:
    used = sorted((u.ingredient, u.supplier, u.supplier_lot, u.grams_per_pack) for u in p.used)
    same = sha256(
        repr((p.product, p.market, p.law_date, p.lot, p.made_on, p.packs, sha256(p.pdf), used)).encode()
    )
    if found := db.execute("SELECT number FROM printing WHERE same = ?", (same,)).fetchone():
        return found[0]
    row = (
        same,
        datetime.now(UTC).isoformat(timespec="seconds"),
        p.product,
        p.name,
        p.market,
        p.law_date.isoformat(),
        p.lot,
        p.made_on and p.made_on.isoformat(),
        p.best_before and p.best_before.isoformat(),
        p.packs,
        json.dumps(p.declaration, ensure_ascii=False, sort_keys=True),
        json.dumps(p.made_with, sort_keys=True),
        p.label_sha256,
        sha256(p.pdf),
        p.pdf,
        p.version,
    )
    number = db.execute(f"INSERT INTO printing VALUES(NULL{',?' * len(row)})", row).lastrowid
    db.executemany("INSERT INTO input VALUES(?,?,?,?)", ((number, *i) for i in p.inputs))
    db.executemany("INSERT OR IGNORE INTO source VALUES(?,?)", ((sha256(data), data) for data in p.sources))
    db.executemany(
        "INSERT INTO used VALUES(?,?,?,?,?,?,?)",
        (
            (number, u.ingredient, u.print_name, u.food, u.supplier, u.supplier_lot, u.grams_per_pack)
            for u in p.used
        ),
    )
    add_link(db, number)
    return number


def printings(
    db: sqlite3.Connection, where: str = "1", values: tuple = (), spoilt: list[int] | None = None
) -> list[Printing]:
    """Printings in the order they were made, without their PDFs. ``where`` is SQL over the printing table,
    named ``p``. spoilt: takes the numbers of printings whose record cannot be read; without it, the first
    of them raises LedgerError.
    """
    found = []
    for r in db.execute(
        "SELECT p.number, p.printed_at, p.product, p.name, p.market, p.law_date, p.lot, p.made_on,"
        " p.best_before, p.packs, p.declaration, p.made_with, p.label_sha256, p.pdf_sha256, p.version FROM"
        f" printing p WHERE {where} ORDER BY p.number",
        values,
    ).fetchall():
        inputs = tuple(
            db.execute("SELECT kind, name, sha256 FROM input WHERE printing = ? ORDER BY rowid", (r[0],))
        )
        used = tuple(
            Used(*u)
            for u in db.execute(
                "SELECT ingredient, print_name, food, supplier, supplier_lot, grams_per_pack FROM used"
                " WHERE printing = ? ORDER BY rowid",
                (r[0],),
            )
        )
        try:
            law_date, made_on, best_before = (x and date.fromisoformat(x) for x in (r[5], r[7], r[8]))
            declaration, made_with = json.loads(r[10]), json.loads(r[11])
        except (ValueError, TypeError):
            if spoilt is None:
                raise _damaged(r[0]) from None
            spoilt.append(r[0])
            continue
        found.append(
            Printing(
                r[2],
                r[3],
                r[4],
                law_date,
                r[6],
                made_on,
                best_before,
                r[9],
                declaration,
                r[12],
                b"",
                r[14],
                made_with,
                inputs,
                used,
                r[0],
                r[1],
                r[13],
            )
        )
    return found


def list_printings(db: sqlite3.Connection) -> list[tuple[str, ...]]:
    """(number, day printed, product, market, lot, made on, best before, packs) of all, as texts."""
    columns = "number, substr(printed_at, 1, 10), product, market, lot, made_on, best_before, packs"
    rows = db.execute(f"SELECT {columns} FROM printing ORDER BY number")
    return [tuple("" if x is None else str(x) for x in row) for row in rows]


def copy_ledger(db: sqlite3.Connection, path: Path) -> Checked:
    """Copies a ledger whole to a new file, also while prints go on, and checks the copy.

    Raises LedgerError when a file of that name is there, or none can be written.
    """
    if path.exists():
        raise LedgerError(f"{path}: is there already: name a new file, so that no earlier copy is lost")
    part = path.with_name(f".{path.name}.part")
    part.unlink(missing_ok=True)
    try:
        with closing(sqlite3.connect(part)) as copy:
            db.backup(copy)
            copy.execute("PRAGMA journal_mode=DELETE")
            checked = check_ledger(copy)
        part.rename(path)
    except sqlite3.Error as error:
        raise LedgerError(f"{path}: {error}: check the folder and the room on its disk") from None
    finally:
        part.unlink(missing_ok=True)
    return checked


def read_pdf(db: sqlite3.Connection, number: int) -> bytes:
    """The PDF of a printing, as it was handed over. Raises LedgerError when it is not what was recorded."""
    pdf, digest = db.execute("SELECT pdf, pdf_sha256 FROM printing WHERE number = ?", (number,)).fetchone()
    if not isinstance(pdf, bytes) or sha256(pdf) != digest:
        raise _damaged(number)
    return pdf


def read_sources(db: sqlite3.Connection, printing: Printing) -> dict[str, bytes]:
    """The kitchen's files as they were when a printing was made, by name; {} of a printing that did not
    keep them all.
    """
    if not db.execute("SELECT 1 FROM sqlite_master WHERE name = 'source'").fetchone():
        return {}
    found = {}
    for _, name, digest in (i for i in printing.inputs if i[0] == "kitchen"):
        row = db.execute("SELECT data FROM source WHERE sha256 = ?", (digest,)).fetchone()
        if row is None or sha256(row[0]) != digest:
            return {}
        found[name] = row[0]
    return found


def _damaged(number: int) -> LedgerError:
    return LedgerError(f"the record of printing {number} is damaged: put a copy of {FILE} back")
