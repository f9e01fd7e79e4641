"""The record of what was printed, and what a change makes of it."""

import dataclasses
import json
import shutil
import sqlite3
import subprocess
import sys
import threading
from datetime import date

import pytest

from labelgen import paths
from labelgen.chain import roll_up_folder
from labelgen.cli import main
from labelgen.errors import LedgerError
from labelgen.ledger.printing import describe_printing, record_labels
from labelgen.ledger.store import (
    FILE,
    VERSION,
    Printing,
    _address,
    _prepare,
    open_ledger,
    printings,
    read_pdf,
    record_printings,
    sha256,
)
from labelgen.order import Order


@pytest.fixture
def kitchen(tmp_path):
    return shutil.copytree(paths.templates("kitchens", "demo"), tmp_path / "kitchen")


def label(kitchen, *args):
    return main(
        [
            "label",
            *args,
            "--kitchen",
            str(kitchen),
            "--out",
            str(kitchen / "out"),
            "--on",
            "2026-11-25",
            "--made-on",
            "2026-11-25",
        ]
    )


def status(kitchen, capsys, *args):
    capsys.readouterr()
    code = main(["status", "--kitchen", str(kitchen), "--on", "2026-11-26", "--json", *args])
    return code, json.loads(capsys.readouterr().out)


def replace(kitchen, file, old, new):
    path = kitchen / file
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")


def test_a_lot_is_recorded_once_with_everything_it_rests_on(kitchen):
    for _ in range(2):
        assert label(kitchen, "oat-thins", "--lot", "A1", "--packs", "24", "--supplier-lot", "oats=B12") == 0
    with open_ledger(kitchen) as db:
        (p,) = printings(db)
        assert read_pdf(db, p.number) == (kitchen / "out" / "oat-thins-lot-A1.pdf").read_bytes()
    assert (p.product, p.lot, p.packs, str(p.best_before)) == ("oat-thins", "A1", 24, "2026-12-25")
    assert {u.ingredient: u.supplier_lot for u in p.used}["oats"] == "B12"
    assert {("kitchen", "kitchen.yaml"), ("law", "us"), ("foods", "")} <= {(k, n) for k, n, _ in p.inputs}


def test_a_label_without_a_lot_is_a_trial_and_not_recorded(kitchen):
    assert label(kitchen, "oat-thins") == 0
    assert not (kitchen / FILE).exists()


def test_what_is_printed_for_sale_stands_in_files_of_its_own(kitchen):
    """Another lot, another market and a trial never take each other's place, whatever signs a lot holds."""
    lots = ["A1", "A2", "A/1", "A%2F1", "../A1", "B 12", "Ä1"]
    for lot in lots:
        assert label(kitchen, "oat-thins", "--lot", lot) == 0
    assert (
        label(kitchen, "oat-thins", "--lot", "A1", "--market", " EU")
        == label(kitchen, "oat-thins", "--lot", "A1", "--market", "US")
        == label(kitchen, "oat-thins")
        == 0
    )
    names = [
        "-lot-A1",
        "-lot-A1-eu",
        "-lot-A2",
        "-lot-A%2F1",
        "-lot-A%252F1",
        "-lot-..%2FA1",
        "-lot-B 12",
        "-lot-Ä1",
        "",
    ]
    assert {p.name for p in (kitchen / "out").iterdir()} == {f"oat-thins{name}.pdf" for name in names}
    with open_ledger(kitchen) as db:
        rows = printings(db)
        assert len(rows) == len(lots) + 1
        assert {p.pdf_sha256 for p in rows} == {
            sha256(p.read_bytes()) for p in (kitchen / "out").glob("*-lot-*.pdf")
        }


@pytest.mark.parametrize("typed", ["EU", " eu "])
def test_a_market_typed_in_capitals_is_the_same_market(kitchen, capsys, typed):
    assert label(kitchen, "oat-thins", "--lot", "A1", "--market", typed) == 0
    assert [v["market"] for v in status(kitchen, capsys, "--market", "eu")[1]] == ["eu"]
    assert [v["market"] for v in status(kitchen, capsys, "--market", typed)[1]] == ["eu"]


def test_the_ledger_only_grows(kitchen):
    label(kitchen, "oat-thins", "--lot", "A1")
    with sqlite3.connect(kitchen / FILE) as db:
        for change in (
            "DELETE FROM printing",
            "UPDATE printing SET lot = 'B'",
            "DELETE FROM used",
            "UPDATE input SET sha256 = ''",
        ):
            with pytest.raises(sqlite3.IntegrityError, match="only grows"):
                db.execute(change)


def test_trace_both_ways_and_reprint(kitchen, capsys):
    label(kitchen, "oat-thins", "--lot", "A1", "--supplier-lot", "oats=B12")
    label(kitchen, "oat-thins", "--lot", "A2", "--supplier-lot", "oats=B13")
    capsys.readouterr()
    ask = ["--kitchen", str(kitchen), "--json"]
    assert main(["ledger", "ingredient", "oats", "--supplier-lot", "B12", *ask]) == 0
    assert [p["lot"] for p in json.loads(capsys.readouterr().out)] == ["A1"]
    assert main(["ledger", "lot", "A2", *ask]) == 0
    (p,) = json.loads(capsys.readouterr().out)
    assert {u["ingredient"]: u["supplier_lot"] for u in p["used"]}["oats"] == "B13"
    assert main(["ledger", "reprint", "2", "--kitchen", str(kitchen), "--out", str(kitchen / "again")]) == 0
    assert (kitchen / "again" / "oat-thins-2.pdf").read_bytes() == (
        kitchen / "out" / "oat-thins-lot-A2.pdf"
    ).read_bytes()
    assert main(["ledger", "lot", "NONE", *ask]) == 2


def test_status_names_exactly_the_labels_a_reformulation_makes_wrong(kitchen, capsys):
    """A supplier's chocolate now holds milk powder: the two products with it are wrong, new allergen
    first; the others hold.
    """
    label(kitchen, "lantern-biscuits", "lantern-biscuits-almond", "oat-thins", "hill-loaf", "--lot", "A1")
    assert status(kitchen, capsys)[0] == 0
    replace(
        kitchen,
        "ingredients/packets.yaml",
        "cocoa butter, emulsifier",
        "cocoa butter, whole milk powder, emulsifier",
    )
    replace(kitchen, "ingredients/packets.yaml", "contains: [soy]", "contains: [soy, milk]")
    replace(
        kitchen,
        "ingredients/larder.yaml",
        "butter: {print: butter, food: usda/01145}",
        "butter: {print: margarine, statement: 'rapeseed oil, water', contains: [], food: usda/04628}",
    )
    code, verdicts = status(kitchen, capsys)
    assert code == 1
    wrong = [v for v in verdicts if not v["holds"]]
    assert {v["product"] for v in wrong} == {"lantern-biscuits", "lantern-biscuits-almond", "oat-thins"}
    assert all(v["changed"] for v in wrong) and verdicts[-1]["product"] == "hill-loaf"


def test_a_new_allergen_comes_first(kitchen, capsys):
    label(kitchen, "oat-thins", "hill-loaf", "--lot", "A1")
    replace(
        kitchen,
        "ingredients/larder.yaml",
        "honey: {print: honey, food: usda/19296}",
        "honey: {print: honey with soya flour, statement: 'honey, soya flour', contains: [soy], food:"
        " usda/19296}",
    )
    replace(kitchen, "ingredients/larder.yaml", "salt: {print: salt,", "salt: {print: sea salt,")
    code, verdicts = status(kitchen, capsys)
    assert code == 1 and verdicts[0]["product"] == "oat-thins"
    assert (
        verdicts[0]["differences"][0]["aspect"] == "allergen"
        and "soy" in verdicts[0]["differences"][0]["message"]
    )
    assert verdicts[1]["product"] == "hill-loaf" and {d["aspect"] for d in verdicts[1]["differences"]} == {
        "statement"
    }
    assert verdicts[1]["changed"] == ["kitchen file ingredients/larder.yaml"]


def test_sold_out_lots_are_left_out_unless_asked_for(kitchen, capsys):
    label(kitchen, "hill-loaf", "--lot", "A1")
    capsys.readouterr()
    late = ["status", "--kitchen", str(kitchen), "--on", "2027-11-26", "--json"]
    assert main(late) == 0 and json.loads(capsys.readouterr().out) == []
    main([*late, "--all"])
    assert len(json.loads(capsys.readouterr().out)) == 1


def test_nothing_printed_yet_is_said(kitchen, capsys):
    assert main(["status", "--kitchen", str(kitchen)]) == 2
    assert "nothing was printed for sale yet" in capsys.readouterr().err


def test_a_ledger_that_is_no_ledger_stops_the_print(kitchen, capsys):
    (kitchen / FILE).write_bytes(b"no database" * 100)
    assert label(kitchen, "oat-thins", "--lot", "A1") == 2
    assert FILE in capsys.readouterr().err and not (kitchen / "out" / "oat-thins-lot-A1.pdf").exists()


def test_two_prints_at_once_lose_nothing(kitchen):
    """Two processes, two lots each, into one ledger."""
    code = (
        "import sys; from labelgen.cli import main; sys.exit(any(main(['label', 'hill-loaf', '--kitchen',"
        " sys.argv[1], '--out', sys.argv[1] + '/out' + sys.argv[2], '--made-on', '2026-11-25', '--lot',"
        " sys.argv[2] + str(i)]) for i in range(2)))"
    )
    workers = [
        subprocess.Popen([sys.executable, "-c", code, str(kitchen), name], stdout=subprocess.DEVNULL)
        for name in "AB"
    ]
    assert [w.wait() for w in workers] == [0] * 2
    with open_ledger(kitchen) as db:
        assert sorted(p.lot for p in printings(db)) == sorted(f"{n}{i}" for n in "AB" for i in range(2))


def test_a_writer_waits_for_another(kitchen, monkeypatch):
    """While one print holds the ledger, another waits, and gives a clear error when it takes too long."""
    monkeypatch.setattr("labelgen.ledger.store.PATIENCE", 0.2)
    label(kitchen, "hill-loaf", "--lot", "A1")
    with open_ledger(kitchen) as db:
        db.execute("BEGIN IMMEDIATE")
        rolled = roll_up_folder(kitchen)
        with pytest.raises(LedgerError, match="another print is writing"):
            record_labels(
                rolled.kitchen,
                [
                    describe_printing(
                        rolled, "hill-loaf", Order("us", date(2026, 11, 25), "A2", None), b"x", b"x"
                    )
                ],
            )
        db.execute("ROLLBACK")


@pytest.mark.parametrize("lot", [[], ["--lot", "A1"]])
def test_a_full_disk_is_said_and_leaves_nothing_half_written(kitchen, lot):
    """The file size limit stands in for a full disk (POSIX setrlimit)."""
    code = (
        "import resource, sys; resource.setrlimit(resource.RLIMIT_FSIZE, (2048, 2048)); from labelgen.cli"
        " import main; sys.exit(main(sys.argv[1:]))"
    )
    words = [
        "label",
        "hill-loaf",
        "--kitchen",
        str(kitchen),
        "--out",
        str(kitchen / "out"),
        "--made-on",
        "2026-11-25",
        *lot,
    ]
    done = subprocess.run([sys.executable, "-c", code, *words], capture_output=True, text=True)
    assert done.returncode == 2 and done.stderr.startswith("labelgen: ") and "Traceback" not in done.stderr
    assert not [p for p in (kitchen / "out").rglob("*") if p.is_file()]


def test_every_label_a_lot_was_printed_with_is_judged(kitchen, capsys):
    """Printed without the soy, put right and printed again: packs of the first printing may still be sold."""
    label(kitchen, "oat-thins", "--lot", "A1")
    replace(
        kitchen,
        "ingredients/larder.yaml",
        "honey, food: usda/19296}",
        "honey with soya flour, statement: 'honey, soya flour', contains: [soy], food: usda/19296}",
    )
    label(kitchen, "oat-thins", "--lot", "A1", "--again")
    code, verdicts = status(kitchen, capsys)
    assert code == 1 and [(v["printing"], v["holds"]) for v in verdicts] == [(1, False), (2, True)]
    assert verdicts[0]["differences"][0]["aspect"] == "allergen"


def test_a_product_taken_out_is_told_as_such(kitchen, capsys):
    label(kitchen, "nut-clusters", "hill-loaf", "--lot", "A1")
    replace(kitchen, "recipes/bread-and-sweets.yaml", "nut-clusters: {name", "nut-heaps: {name")
    _, verdicts = status(kitchen, capsys)
    gone = {v["product"]: v["stops"] for v in verdicts}
    assert not gone["hill-loaf"] and [f["code"] for f in gone["nut-clusters"]] == ["product-gone"]


@pytest.mark.parametrize("ask, code", [(["--market", "zz"], 2), (["--on", "1980-01-01"], 1)])
def test_odd_questions_to_status_are_answered(kitchen, capsys, ask, code):
    label(kitchen, "hill-loaf", "--lot", "A1")
    assert main(["status", "--kitchen", str(kitchen), *ask]) == code
    out = capsys.readouterr()
    assert "zz" in out.err if code == 2 else "give a later date" in out.out


@pytest.mark.parametrize("spoilt", [b"", b"no database at all" * 99])
def test_a_spoilt_ledger_is_told_as_such(kitchen, capsys, spoilt):
    (kitchen / FILE).write_bytes(spoilt)
    assert main(["ledger", "--kitchen", str(kitchen)]) == 2
    assert "damaged or no ledger" in capsys.readouterr().err


@pytest.mark.parametrize("given", [["--lot", " "], ["--lot", "A1", "--supplier-lot", "oats=Q"]])
def test_records_that_would_say_nothing_are_refused(kitchen, given, capsys):
    assert label(kitchen, "hill-loaf", *given) == 2 and not (kitchen / FILE).exists()


def test_lots_of_one_ingredient_are_all_kept_and_found_however_typed(kitchen, capsys):
    """Two bags in one batch; the lot is typed from the bag in other letters, as one does."""
    label(
        kitchen,
        "oat-thins",
        "--lot",
        "Lot Ä/1 '; DROP TABLE used; --",
        "--supplier-lot",
        "oats=B 12",
        "--supplier-lot",
        "oats=B13",
        "--supplier-lot",
        "oats=B13",
    )
    label(kitchen, "oat-thins", "--lot", "A2", "--supplier-lot", "oats=B14")
    ask = ["--kitchen", str(kitchen), "--json"]
    for typed, lots in (
        ("b 12", ["Lot Ä/1 '; DROP TABLE used; --"]),
        ("B13", ["Lot Ä/1 '; DROP TABLE used; --"]),
        ("ｂ１４", ["A2"]),
    ):
        capsys.readouterr()
        assert main(["ledger", "ingredient", "OATS", "--supplier-lot", typed, *ask]) == 0
        assert [p["lot"] for p in json.loads(capsys.readouterr().out)] == lots
    assert main(["ledger", "lot", "lot A\u0308/1  '; drop table used; --", *ask]) == 0
    (p,) = json.loads(capsys.readouterr().out)
    assert {u["ingredient"]: u["supplier_lot"] for u in p["used"]}["oats"] == "B 12 + B13"


def test_a_part_of_a_bought_mix_is_traced_by_the_printed_statement(kitchen, capsys):
    """The demonstration chocolate holds cocoa butter, which is no ingredient of the kitchen."""
    label(kitchen, "lantern-biscuits", "hill-loaf", "--lot", "A1")
    capsys.readouterr()
    assert main(["ledger", "ingredient", "Cocoa  Butter", "--kitchen", str(kitchen), "--json"]) == 0
    said = capsys.readouterr()
    assert [p["product"] for p in json.loads(said.out)] == [
        "lantern-biscuits"
    ] and "printed statements" in said.err
    assert main(["ledger", "ingredient", "saffron", "--kitchen", str(kitchen)]) == 2


def test_a_suppliers_lot_is_found_whatever_it_was_of(kitchen, capsys):
    label(kitchen, "oat-thins", "--lot", "A1", "--supplier-lot", "oats=B12")
    label(kitchen, "oat-thins", "--lot", "A2", "--supplier-lot", "honey=b12")
    label(kitchen, "oat-thins", "--lot", "A3", "--supplier-lot", "honey=C")
    capsys.readouterr()
    assert main(["ledger", "--supplier-lot", "B12", "--kitchen", str(kitchen), "--json"]) == 0
    assert [p["lot"] for p in json.loads(capsys.readouterr().out)] == ["A1", "A2"]


def test_a_lot_nobody_wrote_down_cannot_be_ruled_out(kitchen, capsys):
    label(kitchen, "oat-thins", "--lot", "A1", "--supplier-lot", "oats=B12")
    label(kitchen, "oat-thins", "--lot", "A2")
    capsys.readouterr()
    assert (
        main(["ledger", "ingredient", "oats", "--supplier-lot", "B12", "--kitchen", str(kitchen), "--json"])
        == 0
    )
    said = capsys.readouterr()
    assert (
        [p["lot"] for p in json.loads(said.out)] == ["A1"]
        and "CANNOT BE RULED OUT" in said.err
        and "lot A2" in said.err
    )
    assert main(["ledger", "ingredient", "oats", "--supplier-lot", "ZZ", "--kitchen", str(kitchen)]) == 2
    assert "lot A2" in capsys.readouterr().err


def test_the_same_label_with_other_lots_behind_it_is_another_printing(kitchen):
    """Two ingredients whose lots change places."""
    for lots in (("oats=X", "honey=Y"), ("oats=Y", "honey=X"), ("oats=X", "honey=Y")):
        label(
            kitchen, "oat-thins", "--lot", "A1", *(word for lot in lots for word in ("--supplier-lot", lot))
        )
    with open_ledger(kitchen) as db:
        assert [{u.ingredient: u.supplier_lot for u in p.used}["oats"] for p in printings(db)] == ["X", "Y"]


def test_a_ledger_of_a_later_form_is_left_alone(kitchen, capsys):
    label(kitchen, "hill-loaf", "--lot", "A1")
    with sqlite3.connect(kitchen / FILE) as db:
        db.execute("PRAGMA user_version=99")
    assert label(kitchen, "hill-loaf", "--lot", "A2") == 2
    assert main(["ledger", "--kitchen", str(kitchen)]) == 2
    assert capsys.readouterr().err.count("update labelgen") == 2


def test_eight_prints_into_a_new_ledger_at_once(tmp_path):
    """All begin it at the same moment: each waits for the others."""
    code = (
        "import sys\nfrom datetime import date\nfrom labelgen.ledger.store import Printing, open_ledger,"
        " record_printings\nsys.stdin.readline()\nfor i in range(3):\n    with open_ledger(sys.argv[1]) as"
        " db:\n        record_printings(db, [Printing('p', 'P', 'us', date(2026, 1, 1),"
        " f'{sys.argv[2]}-{i}', None, None, None, {}, 'x', b'x', '0', {})])\n"
    )
    workers = [
        subprocess.Popen([sys.executable, "-c", code, str(tmp_path), str(n)], stdin=subprocess.PIPE)
        for n in range(8)
    ]
    for w in workers:
        w.stdin.write(b"go\n")
        w.stdin.close()
    assert [w.wait() for w in workers] == [0] * 8
    with open_ledger(tmp_path) as db:
        assert len({p.lot for p in printings(db)}) == 24


def test_a_kitchen_that_cannot_be_written_can_still_be_traced(kitchen, capsys, monkeypatch):
    """A copy on a read-only disk (os.access says so): the ledger is read as a file that cannot change."""
    label(kitchen, "hill-loaf", "--lot", "A1")
    monkeypatch.setattr("labelgen.ledger.store.os.access", lambda path, mode: False)
    capsys.readouterr()
    assert main(["ledger", "lot", "A1", "--kitchen", str(kitchen), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)[0]["product"] == "hill-loaf"


@pytest.mark.parametrize(
    "writable, log, opened",
    [
        (True, False, "mode=rw"),
        (False, False, "immutable=1"),
        (False, True, "mode=rw"),
        (True, True, "mode=rw"),
    ],
)
def test_only_what_nobody_can_write_is_read_as_unchanging(tmp_path, monkeypatch, writable, log, opened):
    """A write-ahead log beside the file holds rows that a file taken as unchanging would not show: SQLite,
    immutable=1.
    """
    monkeypatch.setattr("labelgen.ledger.store.os.access", lambda path, mode: writable)
    if log:
        (tmp_path / f"{FILE}-wal").touch()
    assert _address(tmp_path / FILE) == f"{(tmp_path / FILE).as_uri()}?{opened}"


def test_a_new_ledger_is_waited_for_while_another_begins_it(tmp_path):
    """A database that is locked is tried again until it is free."""
    other, db = (
        sqlite3.connect(tmp_path / FILE, timeout=0, isolation_level=None, check_same_thread=False)
        for _ in range(2)
    )
    other.execute("BEGIN EXCLUSIVE")
    threading.Timer(0.2, other.execute, ["COMMIT"]).start()
    _prepare(db)
    assert db.execute("PRAGMA user_version").fetchone() == (VERSION,)


def test_of_several_printings_all_are_recorded_or_none(tmp_path):
    """The second names a day that is none, so that it cannot be written."""
    good = Printing("p", "P", "us", date(2026, 1, 1), "A1", None, None, None, {}, "x", b"x", "0", {})
    with open_ledger(tmp_path) as db:
        with pytest.raises(AttributeError):
            record_printings(db, [good, dataclasses.replace(good, lot="A2", law_date=None)])
        assert printings(db) == [] and not db.in_transaction
        assert record_printings(db, [good]) == [1] == record_printings(db, [good])


@pytest.mark.parametrize(
    "column, value", [("pdf", b"%PDF-1.4 other"), ("declaration", "{not json"), ("made_on", "yesterday")]
)
def test_a_record_that_was_spoilt_is_told(kitchen, capsys, column, value):
    label(kitchen, "hill-loaf", "--lot", "A1")
    with sqlite3.connect(kitchen / FILE) as db:
        db.execute("DROP TRIGGER printing_UPDATE")
        db.execute(f"UPDATE printing SET {column} = ?", (value,))
    assert main(["ledger", "reprint", "1", "--kitchen", str(kitchen), "--out", str(kitchen / "again")]) == 2
    assert "printing 1 is damaged" in capsys.readouterr().err and not (kitchen / "again").exists()


def test_a_spoilt_name_does_not_lead_a_reprint_out_of_its_folder(kitchen):
    label(kitchen, "hill-loaf", "--lot", "A1")
    with sqlite3.connect(kitchen / FILE) as db:
        db.execute("DROP TRIGGER printing_UPDATE")
        db.execute("UPDATE printing SET product = '../../hill'")
    assert (
        main(["ledger", "reprint", "1", "--kitchen", str(kitchen), "--out", str(kitchen / "again" / "deep")])
        == 1
    )
    assert not (kitchen / "again").exists()


@pytest.mark.parametrize("number", ["7", "²", "one", "1.0"])
def test_a_printing_that_is_not_there_is_said(kitchen, capsys, number):
    label(kitchen, "hill-loaf", "--lot", "A1")
    assert main(["ledger", "reprint", number, "--kitchen", str(kitchen)]) == 2
    assert "is recorded: 'labelgen ledger' lists them all" in capsys.readouterr().err


def test_nothing_is_recorded_when_the_file_cannot_be_written(kitchen):
    """The place for the PDF is taken by a file; the ledger must not hold what nobody got."""
    (kitchen / "out").write_text("in the way", encoding="utf-8")
    assert label(kitchen, "hill-loaf", "--lot", "A1") == 2
    assert not (kitchen / FILE).exists()


def test_a_reprint_is_the_same_after_the_kitchen_changed_and_moved(kitchen, capsys, tmp_path):
    label(kitchen, "oat-thins", "--lot", "A1")
    first = (kitchen / "out" / "oat-thins-lot-A1.pdf").read_bytes()
    replace(kitchen, "ingredients/larder.yaml", "honey: {print: honey,", "honey: {print: 'honey',")
    moved = shutil.move(kitchen, tmp_path / "new place")
    code, verdicts = status(moved, capsys)
    assert code == 0 and [v["changed"] for v in verdicts] == [["kitchen file ingredients/larder.yaml"]]
    main(["ledger", "reprint", "1", "--kitchen", str(moved), "--out", str(moved / "again"), "--json"])
    assert (moved / "again" / "oat-thins-1.pdf").read_bytes() == first


def test_a_fault_that_concerns_other_products_does_not_doubt_a_label(kitchen, capsys):
    label(kitchen, "oat-thins", "hill-loaf", "--lot", "A1")
    replace(kitchen, "ingredients/larder.yaml", "honey: {print: honey, food: usda/19296}", "")
    code, verdicts = status(kitchen, capsys)
    assert code == 1 and {v["product"]: v["holds"] for v in verdicts} == {
        "oat-thins": False,
        "hill-loaf": True,
    }


@pytest.mark.parametrize(
    "day, best_before",
    [("2028-02-29", "2028-03-30"), ("1999-12-31", "2000-01-30"), ("2026-12-31", "2027-01-30")],
)
def test_odd_days_of_making(kitchen, day, best_before):
    """30 days on; 29 February is a day."""
    assert (
        main(
            [
                "label",
                "oat-thins",
                "--kitchen",
                str(kitchen),
                "--out",
                str(kitchen / "out"),
                "--on",
                "2026-11-25",
                "--made-on",
                day,
                "--lot",
                "A1",
            ]
        )
        == 0
    )
    with open_ledger(kitchen) as db:
        assert [str(p.best_before) for p in printings(db)] == [best_before]
