"""A lot that was printed before: another label or another product must be meant, and no file for sale is
replaced.
"""

import pytest

from labelgen.cli import main
from labelgen.ledger.again import free_path
from labelgen.ledger.store import open_ledger, printings
from tests.ledger.test_ledger import kitchen, label, replace  # noqa: F401

LOT = ("--lot", "A1")


def printed(kitchen):  # noqa: F811
    with open_ledger(kitchen) as db:
        return [p.product for p in printings(db)]


def other_butter(kitchen):  # noqa: F811
    replace(kitchen, "ingredients/larder.yaml", "honey: {print: honey,", "honey: {print: heather honey,")


def test_another_declaration_of_a_lot_is_refused_and_the_file_stays(kitchen, capsys):  # noqa: F811
    label(kitchen, "oat-thins", *LOT)
    file = kitchen / "out" / "oat-thins-lot-A1.pdf"
    first = file.read_bytes()
    other_butter(kitchen)
    capsys.readouterr()
    assert label(kitchen, "oat-thins", *LOT) == 1
    said = capsys.readouterr().out
    assert "lot A1 was printed on" in said and "'honey' -> 'heather honey'" in said and "--again" in said
    assert file.read_bytes() == first and printed(kitchen) == ["oat-thins"]


def test_said_to_be_meant_it_gets_a_file_of_its_own(kitchen, capsys):  # noqa: F811
    label(kitchen, "oat-thins", *LOT)
    file = kitchen / "out" / "oat-thins-lot-A1.pdf"
    first = file.read_bytes()
    other_butter(kitchen)
    assert label(kitchen, "oat-thins", *LOT, "--again") == 0
    assert "oat-thins-lot-A1-2.pdf" in capsys.readouterr().out
    assert file.read_bytes() == first and b"%PDF" in (kitchen / "out" / "oat-thins-lot-A1-2.pdf").read_bytes()
    assert printed(kitchen) == ["oat-thins"] * 2


def test_the_same_label_again_is_the_same_file(kitchen):  # noqa: F811
    for _ in range(2):
        assert label(kitchen, "oat-thins", *LOT) == 0
    assert len(list((kitchen / "out").iterdir())) == 1


def test_the_same_declaration_on_more_sheets_takes_no_files_place(kitchen):  # noqa: F811
    for copies in ("2", "4"):
        assert label(kitchen, "oat-thins", *LOT, "--copies", copies) == 0
    assert len(list((kitchen / "out").iterdir())) == 2


@pytest.mark.parametrize("typed", ["A1", "a1"])
def test_a_lot_of_another_product_must_be_meant(kitchen, capsys, typed):  # noqa: F811
    label(kitchen, "oat-thins", *LOT)
    capsys.readouterr()
    assert label(kitchen, "hill-loaf", "--lot", typed) == 1
    assert "for oat-thins" in capsys.readouterr().out and printed(kitchen) == ["oat-thins"]
    assert label(kitchen, "hill-loaf", "--lot", typed, "--shared-lot") == 0
    assert printed(kitchen) == ["oat-thins", "hill-loaf"]


def test_products_of_one_go_share_their_lot(kitchen):  # noqa: F811
    assert label(kitchen, "oat-thins", "hill-loaf", *LOT) == 0 and printed(kitchen) == [
        "oat-thins",
        "hill-loaf",
    ]


def test_pages_of_several_products_keep_apart(kitchen):  # noqa: F811
    ask = (*LOT, "--together", "--stock", "letter-4", "--shared-lot")
    assert label(kitchen, "oat-thins", "hill-loaf", *ask) == 0
    first = (kitchen / "out" / "labels-lot-A1.pdf").read_bytes()
    assert label(kitchen, "nut-clusters", "hill-loaf", *ask) == 0
    assert (kitchen / "out" / "labels-lot-A1.pdf").read_bytes() == first and len(
        list((kitchen / "out").iterdir())
    ) == 2


def test_a_trial_takes_a_trials_place_and_no_printings(kitchen, tmp_path):  # noqa: F811
    label(kitchen, "oat-thins", *LOT)
    sold = kitchen / "out" / "oat-thins-lot-A1.pdf"
    assert free_path(kitchen, sold, b"a trial", for_sale=False).name == "oat-thins-lot-A1-2.pdf"
    trial = tmp_path / "trial.pdf"
    trial.write_bytes(b"an older trial")
    assert free_path(kitchen, trial, b"a trial", for_sale=False) == trial
    assert free_path(kitchen, trial, b"a printing", for_sale=True) != trial


def test_a_day_lot_of_another_market_is_the_same_lot(kitchen):  # noqa: F811
    assert label(kitchen, "oat-thins", *LOT) == label(kitchen, "oat-thins", *LOT, "--market", "eu") == 0


def test_help_tells_of_both(capsys):
    with pytest.raises(SystemExit):
        main(["label", "--help"])
    assert {"--again", "--shared-lot"} <= set(capsys.readouterr().out.split())
