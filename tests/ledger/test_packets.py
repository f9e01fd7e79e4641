"""Printings are judged by the lots that went in, told apart by what changed, and not printed again once
they are untrue.
"""

import json
import sqlite3
from contextlib import closing
from datetime import date

import pytest

from labelgen.chain import roll_up_folder
from labelgen.cli import main
from labelgen.ledger.printing import describe_printing, record_labels
from labelgen.ledger.stale_labels import latest
from labelgen.ledger.store import FILE, Printing, lots_in, open_ledger, printings, read_sources
from labelgen.order import Order
from tests.ledger.test_ledger import kitchen, label, replace, status  # noqa: F401

PLAIN = "honey: {print: honey, food: usda/19296"
SOYA = "honey: {print: honey, statement: 'honey, soya flour', contains: [soy], food: usda/19296"


def of_lot(text, lot):
    return f"{text}, supplier_lot: '{lot}'}}" if lot else f"{text}}}"


def write(kitchen, before, after):  # noqa: F811
    replace(kitchen, "ingredients/larder.yaml", before, after)


def recorded(kitchen, lots=()):  # noqa: F811
    """A printing of the oat thins in the ledger, its label not drawn."""
    rolled, day = roll_up_folder(kitchen), date(2026, 11, 25)
    made = describe_printing(
        rolled, "oat-thins", Order("us", day, "A1", day), b"label", b"pdf", supplier_lots=dict(lots)
    )
    record_labels(rolled.kitchen, [made])


def aspects(verdict):
    return [d["aspect"] for d in verdict["differences"]]


@pytest.mark.parametrize("new", ["B13", "B13 + B14"])
def test_a_packet_of_a_lot_that_was_never_used_changes_nothing_printed(kitchen, capsys, new):  # noqa: F811
    write(kitchen, of_lot(PLAIN, ""), of_lot(PLAIN, "B12"))
    label(kitchen, "oat-thins", "--lot", "A1")
    write(kitchen, of_lot(PLAIN, "B12"), of_lot(SOYA, new))
    code, (verdict,) = status(kitchen, capsys)
    assert code == 0 and verdict["holds"] and verdict["own_packets"] == ["honey"]
    assert main(["status", "--kitchen", str(kitchen), "--on", "2026-11-26"]) == 0
    assert (
        "the same label today" in (said := capsys.readouterr().out)
        and "honey judged by the packet of its own lot" in said
    )


@pytest.mark.parametrize(
    "then, now",
    [
        ("", ""),
        ("B12", ""),
        ("", "B13"),
        ("B12", "B12"),
        ("B12", " b12"),
        ("B12", "B12 + B13"),
        ("B11 + B12", "B12"),
    ],
    ids=[
        "no lots",
        "today's not written",
        "then not written",
        "same",
        "same, typed otherwise",
        "also today",
        "one of two",
    ],
)
def test_a_changed_packet_counts_where_its_lot_may_have_gone_in(kitchen, capsys, then, now):  # noqa: F811
    write(kitchen, of_lot(PLAIN, ""), of_lot(PLAIN, then))
    recorded(kitchen)
    write(kitchen, of_lot(PLAIN, then), of_lot(SOYA, now))
    code, (verdict,) = status(kitchen, capsys)
    assert code == 1 and aspects(verdict)[:1] == ["allergen"] and not verdict["own_packets"]
    assert verdict["lots_unclear"] == (["honey"] if then and not now else [])


def test_other_changes_are_judged_beside_a_packet_of_its_own(kitchen, capsys):  # noqa: F811
    write(kitchen, of_lot(PLAIN, ""), of_lot(PLAIN, "B12"))
    recorded(kitchen)
    write(kitchen, of_lot(PLAIN, "B12"), of_lot(SOYA, "B13"))
    write(kitchen, "oats: {print: rolled oats,", "oats: {print: large rolled oats,")
    code, (verdict,) = status(kitchen, capsys)
    assert code == 1 and set(aspects(verdict)) == {"statement"}


def test_a_lot_given_with_the_printing_goes_before_the_files(kitchen, capsys):  # noqa: F811
    write(kitchen, of_lot(PLAIN, ""), of_lot(PLAIN, "B12"))
    recorded(kitchen, {"honey": "B13"})
    write(kitchen, of_lot(PLAIN, "B12"), of_lot(SOYA, "B13"))
    code, (verdict,) = status(kitchen, capsys)
    assert code == 1 and aspects(verdict)[:1] == ["allergen"]


def reprint(kitchen, *args):  # noqa: F811
    return main(
        [
            "ledger",
            "reprint",
            "1",
            "--kitchen",
            str(kitchen),
            "--out",
            str(kitchen / "again"),
            "--on",
            "2026-11-26",
            *args,
        ]
    )


def test_a_label_that_lost_an_allergen_is_not_printed_again(kitchen, capsys):  # noqa: F811
    label(kitchen, "oat-thins", "--lot", "A1")
    assert reprint(kitchen) == 0
    write(kitchen, of_lot(PLAIN, ""), of_lot(SOYA, ""))
    (kitchen / "again" / "oat-thins-1.pdf").unlink()
    capsys.readouterr()
    assert reprint(kitchen) == 1
    said = capsys.readouterr().err
    assert (
        "NOT PRINTED AGAIN" in said
        and "contains soy" in said
        and "labelgen label oat-thins" in said
        and "--again --made-on 2026-11-25" in said
    )
    assert not list((kitchen / "again").iterdir())
    assert reprint(kitchen, "--json") == 1
    told = json.loads(capsys.readouterr().out)
    assert told["file"] is None and told["differences"]


def test_what_to_print_instead_prints(kitchen, capsys):  # noqa: F811
    import shlex

    label(kitchen, "oat-thins", "--lot", "A 1", "--stock", "letter-4")
    write(kitchen, of_lot(PLAIN, ""), of_lot(SOYA, ""))
    capsys.readouterr()
    reprint(kitchen, "--json")
    words = shlex.split(json.loads(capsys.readouterr().out)["instead"])
    assert words[0] == "labelgen" and main([*words[1:], "--out", str(kitchen / "out")]) == 0


@pytest.mark.parametrize("spoil", ["gone", "unreadable"])
def test_what_cannot_be_judged_is_not_printed_again(kitchen, spoil, capsys):  # noqa: F811
    label(kitchen, "nut-clusters", "--lot", "A1")
    if spoil == "gone":
        replace(kitchen, "recipes/bread-and-sweets.yaml", "nut-clusters: {name", "nut-heaps: {name")
    else:
        replace(kitchen, "recipes/bread-and-sweets.yaml", "nut-clusters: {name", "nut-clusters: {{{name")
    assert reprint(kitchen) == 1 and not (kitchen / "again").exists()


def test_a_label_only_laid_out_differently_may_be_printed_again(kitchen, capsys, monkeypatch):  # noqa: F811
    label(kitchen, "oat-thins", "--lot", "A1")
    monkeypatch.setattr("labelgen.ledger.printing.sha256", lambda data: "another drawing")
    monkeypatch.setattr("labelgen.ledger.printing.__version__", "99")
    code, (verdict,) = status(kitchen, capsys)
    assert code == 1 and aspects(verdict) == ["layout"] and reprint(kitchen) == 0


def printing(number, best_before, label_sha="x"):
    last = best_before and date.fromisoformat(best_before)
    return Printing(
        "p", "P", "us", date(2026, 1, 1), "A1", None, last, None, {}, label_sha, b"", "0", {}, number=number
    )


@pytest.mark.parametrize(
    "days, on, asked",
    [
        (["2026-03-10"], "2026-03-10", True),
        (["2026-03-10"], "2026-03-11", False),
        (["2026-03-10", "2026-03-20"], "2026-03-15", True),
        (["2026-03-20", "2026-03-10"], "2026-03-15", True),
        (["2026-03-20", "2026-03-10"], "2026-03-21", False),
        (["2026-03-10", None], "2026-03-21", True),
        ([None, "2026-03-10"], "2026-03-21", True),
    ],
)
def test_the_last_day_of_all_packs_with_a_label_counts(days, on, asked):
    """The last day itself belongs to it; of the same label printed twice, whichever order, the later day;
    a pack of no day always.
    """
    found = latest([printing(n, day) for n, day in enumerate(days)], date.fromisoformat(on))
    assert bool(found) == asked and len(found) <= 1


def test_different_labels_have_days_of_their_own():
    every = [printing(1, "2026-03-10", "x"), printing(2, "2026-03-20", "y")]
    assert [p.number for p in latest(every, date(2026, 3, 15))] == [2]


def test_lots_in_a_field():
    assert lots_in("B 12 +  b13 ") == lots_in("B 12 + b13") == {"b 12", "b13"} and lots_in("") == set()


def test_a_ledger_that_kept_no_files_is_read_and_goes_on(kitchen, capsys):  # noqa: F811
    """As the first form of the ledger: its printings are judged by today's packets, the next one keeps its
    files.
    """
    write(kitchen, of_lot(PLAIN, ""), of_lot(PLAIN, "B12"))
    recorded(kitchen)
    with closing(sqlite3.connect(kitchen / FILE)) as db:
        db.executescript("DROP TABLE source; PRAGMA user_version=1")
    write(kitchen, of_lot(PLAIN, "B12"), of_lot(SOYA, "B13"))
    code, (verdict,) = status(kitchen, capsys)
    assert code == 1 and aspects(verdict)[:1] == ["allergen"] and not verdict["own_packets"]
    recorded(kitchen, {"honey": "B13"})
    with open_ledger(kitchen) as db:
        assert [bool(read_sources(db, p)) for p in printings(db)] == [False, True]
