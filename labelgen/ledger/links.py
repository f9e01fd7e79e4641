"""The chain through the ledger: each printing's link is the hash of the link before it and of all that was
recorded of the printing, so that a row changed, taken out or put in later is seen.

Whoever rewrites every link after a change, or cuts off the end, is not seen by this alone: a copy kept
elsewhere (``labelgen ledger copy``) is what a ledger is held against then.
"""

from __future__ import annotations

import hashlib
import sqlite3
from dataclasses import dataclass

#: All of a printing but the PDF itself, for which its hash stands.
_PRINTING = (
    "SELECT number, same, printed_at, product, name, market, law_date, lot, made_on, best_before, packs,"
    " declaration, made_with, label_sha256, pdf_sha256, version FROM printing WHERE number = ?"
)
_INPUTS = "SELECT kind, name, sha256 FROM input WHERE printing = ? ORDER BY rowid"
_USED = (
    "SELECT ingredient, print_name, food, supplier, supplier_lot, grams_per_pack FROM used"
    " WHERE printing = ? ORDER BY rowid"
)


@dataclass(frozen=True)
class Checked:
    """What a ledger's file is found to be. printings: how many it holds. faults: what does not hold, each a
    sentence with the printing's number; () of a ledger that is whole.
    """

    printings: int
    faults: tuple[str, ...]


def add_link(db: sqlite3.Connection, number: int) -> None:
    """Links a printing just recorded to the one before it."""
    before = db.execute("SELECT max(number) FROM printing WHERE number < ?", (number,)).fetchone()[0]
    last = db.execute("SELECT sha256 FROM link WHERE printing = ?", (before or 0,)).fetchone()
    db.execute("INSERT INTO link VALUES(?,?)", (number, _link(db, last[0] if last else "", number)))


def link_all(db: sqlite3.Connection) -> None:
    """Links the printings of a ledger that knew no links yet, as they are found."""
    for (number,) in db.execute(
        "SELECT number FROM printing WHERE number NOT IN (SELECT printing FROM link) ORDER BY number"
    ).fetchall():
        add_link(db, number)


def check_ledger(db: sqlite3.Connection) -> Checked:
    """Whether a ledger's file is sound (SQLite's own check), its chain unbroken and every PDF the one it
    was.
    """
    faults = [text for (text,) in db.execute("PRAGMA integrity_check(10)") if text != "ok"]
    links = dict(db.execute("SELECT printing, sha256 FROM link")) if _has_links(db) else {}
    last, numbers = "", [n for (n,) in db.execute("SELECT number FROM printing ORDER BY number")]
    for number in numbers:
        if not links:
            break
        if links.get(number) != _link(db, last, number):
            faults.append(f"printing {number}, or one before it, is not as it was recorded")
        last = links.get(number, "")
    faults += [f"printing {n} is gone" for n in sorted(links.keys() - set(numbers))]
    for number, pdf, digest in db.execute("SELECT number, pdf, pdf_sha256 FROM printing ORDER BY number"):
        if not isinstance(pdf, bytes) or hashlib.sha256(pdf).hexdigest() != digest:
            faults.append(f"the PDF of printing {number} is not the one that was recorded")
    return Checked(len(numbers), tuple(faults))


def _has_links(db: sqlite3.Connection) -> bool:
    return bool(db.execute("SELECT 1 FROM sqlite_master WHERE name = 'link'").fetchone())


def _link(db: sqlite3.Connection, before: str, number: int) -> str:
    rows = [
        before,
        db.execute(_PRINTING, (number,)).fetchone(),
        db.execute(_INPUTS, (number,)).fetchall(),
        db.execute(_USED, (number,)).fetchall(),
    ]
    return hashlib.sha256(repr(rows).encode()).hexdigest()
