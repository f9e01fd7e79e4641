"""Labels for the packs inside a box."""

import pytest
from pypdf import PdfReader

from labelgen import paths
from labelgen.cli import main

WORDS = "This Unit Not Labeled For Retail Sale"
BOX = [
    "label",
    "harvest-box",
    "--inner",
    "--kitchen",
    str(paths.templates("kitchens", "demo")),
    "--on",
    "2026-11-25",
    "--made-on",
    "2026-11-25",
]


def printed(folder):
    return {
        p.name: " ".join(PdfReader(p).pages[0].extract_text().split()) for p in sorted(folder.glob("*.pdf"))
    }


def test_units_inside_a_box_say_that_they_are_not_labelled_for_sale(tmp_path):
    """21 CFR 101.9(j)(15): the panel stands outside; the unit carries these words in letters of at least
    1/16 inch.
    """
    assert main([*BOX, "--market", "us", "--out", str(tmp_path)]) == 0
    texts = printed(tmp_path)
    assert list(texts) == [
        f"harvest-box-{p}-inner.pdf" for p in ("almond-pebbles", "lantern-biscuits", "oat-thins")
    ]
    assert all(WORDS in t and "Nutrition Facts" not in t and "Contains:" in t for t in texts.values())
    # four of the six biscuits of a pack: 4 x 16 g
    assert "64g" in texts["harvest-box-lantern-biscuits-inner.pdf"].replace(" ", "")


@pytest.mark.parametrize("market, panel", [("eu", False), ("uk", False), ("au", True)])
def test_other_markets_have_no_such_words(tmp_path, market, panel):
    """Commission notice 2018/C 196/01 lets inner units go without the particulars; a market without a rule
    keeps everything.
    """
    assert main([*BOX, "--market", market, "--out", str(tmp_path)]) == 0
    assert all(
        WORDS not in t
        and ("NUTRITION INFORMATION" in t.upper()) == panel
        and "NUTRITION DECLARATION" not in t.upper()
        for t in printed(tmp_path).values()
    )


@pytest.mark.parametrize("more", [["--lot", "A1"], ["--workers", "2"]])
def test_inner_labels_are_of_boxes_and_are_not_sold(capsys, more):
    assert main([*BOX, *more]) == 2 and "--inner is for boxes" in capsys.readouterr().err
    assert main(["label", "oat-thins", *BOX[2:]]) == 2
