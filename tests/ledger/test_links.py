"""The chain through a ledger shows what was changed, taken out or put in; a copy is checked; what is no
ledger is never written into.
"""

from __future__ import annotations

import dataclasses
import shutil
import sqlite3
from contextlib import closing
from datetime import date

import pytest

from labelgen.cli import main
from labelgen.errors import LedgerError
from labelgen.ledger.links import Checked, check_ledger
from labelgen.ledger.store import FILE, Printing, Used, open_ledger, printings, record_printings

ONE = Printing(
    product="hill-loaf",
    name="Hill loaf",
    market="us",
    law_date=date(2026, 3, 1),
    lot="A1",
    made_on=None,
    best_before=None,
    packs=None,
    declaration={"product": "Hill loaf"},
    label_sha256="x",
    pdf=b"one",
    version="0",
    made_with={},
    inputs=(("kitchen", "kitchen.yaml", "a"), ("units", "", "b")),
    used=(Used("oats", "oats", "usda/20038", "", "B12", 100.0), Used("honey", "honey", "", "", "", 10.0)),
)


@pytest.fixture
def kitchen(tmp_path):
    (tmp_path / "kitchen.yaml").write_text("producer: {name: A, address: 1 B}\n", encoding="utf-8")
    with open_ledger(tmp_path) as db:
        record_printings(
            db, [dataclasses.replace(ONE, lot=lot, pdf=lot.encode()) for lot in ("A1", "A2", "A3")]
        )
    return tmp_path


def change(kitchen, *statements: str) -> None:
    """As somebody would who knows how the ledger is kept from changing."""
    with closing(sqlite3.connect(kitchen / FILE)) as db:
        for (trigger,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            db.execute(f"DROP TRIGGER {trigger}")
        for statement in statements:
            db.execute(statement)
        db.commit()


def test_a_ledger_nobody_touched_is_whole(kitchen, capsys):
    with open_ledger(kitchen, must_exist=True) as db:
        assert check_ledger(db) == Checked(3, ())
    assert main(["ledger", "verify", "--kitchen", str(kitchen)]) == 0
    assert "3 printings, whole" in capsys.readouterr().out


@pytest.mark.parametrize(
    "statement, said",
    [
        ("DELETE FROM used WHERE printing = 2 AND ingredient = 'honey'", "printing 2, or one before it"),
        ("UPDATE used SET supplier_lot = 'B13' WHERE printing = 3", "printing 3, or one before it"),
        ("UPDATE printing SET lot = 'A9' WHERE number = 1", "printing 1, or one before it"),
        (
            "UPDATE input SET sha256 = 'z' WHERE printing = 1 AND kind = 'units'",
            "printing 1, or one before it",
        ),
        ("DELETE FROM printing WHERE number = 2", "printing 2 is gone"),
        ("UPDATE printing SET pdf = x'00' WHERE number = 2", "the PDF of printing 2"),
        # with the hash of the other PDF beside it
        (
            "UPDATE printing SET pdf = x'00', pdf_sha256 ="
            " '6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d' WHERE number = 2",
            "printing 2, or one before it",
        ),
        ("INSERT INTO used VALUES(3, 'rye', 'rye', '', '', '', 1)", "printing 3, or one before it"),
    ],
)
def test_what_was_changed_is_seen(kitchen, capsys, statement, said):
    change(kitchen, statement)
    assert main(["ledger", "verify", "--kitchen", str(kitchen)]) == 1
    told = capsys.readouterr()
    assert said in told.err and "NOT WHOLE" in told.out


def test_a_printing_put_in_later_breaks_the_chain(kitchen):
    change(kitchen, "DELETE FROM link WHERE printing = 3")
    with open_ledger(kitchen, must_exist=True) as db:
        assert check_ledger(db).faults


def test_a_copy_is_whole_and_replaces_nothing(kitchen, tmp_path, capsys):
    copy = tmp_path / "kept.sqlite"
    assert main(["ledger", "copy", str(copy), "--kitchen", str(kitchen)]) == 0
    assert "3 printings, whole" in capsys.readouterr().out
    (tmp_path / "other").mkdir()
    shutil.copy(copy, tmp_path / "other" / FILE)
    with (
        open_ledger(tmp_path / "other", must_exist=True) as db,
        open_ledger(kitchen, must_exist=True) as first,
    ):
        assert printings(db) == printings(first) and len(printings(db)) == 3
    assert main(["ledger", "copy", str(copy), "--kitchen", str(kitchen)]) == 2
    assert "is there already" in capsys.readouterr().err


@pytest.mark.parametrize("content", [b"", b"not a ledger", b"SQLite format 3\x00" + b"\x00" * 200])
def test_what_is_no_ledger_is_not_written_into(tmp_path, content):
    (tmp_path / FILE).write_bytes(content)
    with pytest.raises(LedgerError, match=r"damaged|no ledger"), open_ledger(tmp_path):
        pass
    assert (tmp_path / FILE).read_bytes() == content


def test_another_database_is_not_written_into(tmp_path):
    with closing(sqlite3.connect(tmp_path / FILE)) as db:
        db.execute("CREATE TABLE recipe(name TEXT)")
    with pytest.raises(LedgerError, match="no ledger"), open_ledger(tmp_path):
        pass


@pytest.mark.parametrize("version", [1, 2])
def test_a_ledger_of_an_earlier_form_is_linked_when_it_is_next_printed_into(kitchen, version):
    change(kitchen, "DROP TABLE link", f"PRAGMA user_version={version}", "DROP INDEX used_printing")
    with open_ledger(kitchen, must_exist=True) as db:
        assert check_ledger(db) == Checked(3, ())
    with open_ledger(kitchen) as db:
        record_printings(db, [dataclasses.replace(ONE, lot="A4")])
        assert check_ledger(db) == Checked(4, ())
        assert db.execute("SELECT count(*) FROM link").fetchone() == (4,)


def test_one_spoilt_record_spoils_its_own_answer_alone(kitchen, capsys):
    change(kitchen, "UPDATE printing SET declaration = '{not json' WHERE number = 2")
    assert main(["ledger", "lot", "A2", "--kitchen", str(kitchen)]) == 2
    assert "printing 2" in capsys.readouterr().err
    assert main(["ledger", "ingredient", "oats", "--kitchen", str(kitchen), "--json"]) == 0
    said = capsys.readouterr()
    assert '"A1"' in said.out and '"A3"' in said.out and "NOT READ" in said.err and "printing 2" in said.err
