"""Sheets as files: every label on every page as laid out, seen by both readers; spoilt sheets are caught."""

import io
from dataclasses import replace
from datetime import date

import pytest
from pypdf import PdfReader

from labelgen.chain import declare_product, roll_up_folder
from labelgen.cli import main
from labelgen.errors import Where
from labelgen.layout.boxes import TextBox
from labelgen.layout.label_stock import every_stock, stock_named
from labelgen.layout.sheets import Placement, impose
from labelgen.layout.whole_label import find_fit, fit_label, stock_that_holds
from labelgen.order import Order
from labelgen.paths import templates
from labelgen.pdf.agree import check_sheets, disagreements
from labelgen.pdf.check_label import check_label
from labelgen.pdf.draw import draw_pages, draw_sheets
from labelgen.pdf.second import read_glyphs

KITCHEN = str(templates("kitchens", "demo"))


@pytest.fixture(scope="module")
def declared():
    rolled = roll_up_folder(KITCHEN)
    return {
        key: declare_product(rolled, key, Order("us", date(2026, 11, 25), "L1"))
        for key in ("lantern-biscuits", "oat-thins")
    }


def sheets_of(declaration, name, copies=3, start=1):
    stock = stock_named(name)
    return tuple(
        impose(stock, [(fit_label(declaration, stock).faces, copies)], start, cut_marks=True, nudge=(2, 1))
    )


def moved(face, part, **change):
    boxes = tuple(
        replace(b, **change) if isinstance(b, TextBox) and b.part == part else b for b in face.boxes
    )
    return replace(face, boxes=boxes)


@pytest.mark.parametrize("name", ["letter-4", "a4-4", "roll-4x6in", "fold-6x8in", "tag-80x130mm", "letter-1"])
def test_sheets_read_back(declared, name):
    sheets = sheets_of(declared["lantern-biscuits"], name)
    pdf = draw_sheets(sheets)
    assert check_sheets(pdf, sheets) == ()
    assert pdf == draw_sheets(sheets)


def test_true_scale_is_asked_of_the_print_dialogue(declared):
    reader = PdfReader(io.BytesIO(draw_sheets(sheets_of(declared["oat-thins"], "letter-4"))))
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"


def test_a_sheet_that_lacks_a_label(declared):
    sheets = sheets_of(declared["oat-thins"], "letter-4", 4)
    lacking = (replace(sheets[0], placements=sheets[0].placements[:-1]), *sheets[1:])
    assert "text-missing" in {f.code for f in check_sheets(draw_sheets(lacking), sheets)}
    assert {f.code for f in check_sheets(draw_sheets(sheets), lacking)} == {"text-missing", "text-added"}


def test_a_label_off_the_page_or_elsewhere(declared):
    sheets = sheets_of(declared["oat-thins"], "letter-4", 1)
    first = sheets[0].placements[0]
    off = (replace(sheets[0], placements=(Placement(first.layout, first.x - 40, first.y),)),)
    assert "off-the-page" in {f.code for f in check_sheets(draw_sheets(off), off)}
    assert "text-missing" in {f.code for f in check_sheets(draw_sheets(off), sheets)}


def test_pages_missing(declared):
    sheets = sheets_of(declared["oat-thins"], "roll-4x6in", 3)
    assert {f.code for f in check_sheets(draw_sheets(sheets[:2]), sheets)} == {"pages"}


def test_every_page_that_is_drawn_differently_is_read(declared):
    """A slip on the last page alone is seen, however many pages before it are alike."""
    sheets = sheets_of(declared["oat-thins"], "roll-4x6in", 6)
    face = sheets[-1].placements[0].layout
    spoilt = replace(
        sheets[-1], placements=(Placement(moved(face, "allergens", text="Contains: Milk."), 2, 1),)
    )
    found = check_sheets(draw_sheets((*sheets[:-1], spoilt)), sheets)
    assert found and all("page 6" in f.message for f in found)


def test_the_second_reader_sees_size_and_place(declared):
    face = fit_label(declared["oat-thins"], stock_named("letter-1")).faces[0]
    for change, code in (
        ({"size_pt": 5.0}, "type-size"),
        ({"x": 200.0}, "text-missing"),
        ({"text": "honey"}, "text-missing"),
    ):
        (page,) = read_glyphs(draw_pages([moved(face, "storage", **change)]))
        assert code in {
            f.code for f in disagreements(page, [Placement(face, 0, 0)], Where("label"), "the label")
        }


def test_whatever_fits_any_stock_reads_back(declared):
    """Every listed stock either holds the label, clean, or not at all; the list of what holds it says the
    same.
    """
    held, listed = 0, {s.name for s in stock_that_holds(declared["lantern-biscuits"])}
    for stock in (s for s in every_stock() if s.height):
        fitted = find_fit(declared["lantern-biscuits"], stock)
        assert (stock.name in listed) == (fitted is not None)
        if fitted:
            held += 1
            assert check_label(draw_pages(fitted.faces), *fitted.faces) == ()
            assert all(f.width_pt == pytest.approx(stock.width) for f in fitted.faces)
    assert held > 10


def test_same_bytes_from_one_process_and_two(tmp_path, capsys):
    for workers in ("1", "2"):
        assert (
            main(
                [
                    "label",
                    "oat-thins",
                    "nut-clusters",
                    "hill-loaf",
                    "almond-pebbles",
                    "--kitchen",
                    KITCHEN,
                    "--on",
                    "2026-11-25",
                    "--stock",
                    "letter-4",
                    "--copies",
                    "5",
                    "--workers",
                    workers,
                    "--out",
                    str(tmp_path / workers),
                    "--json",
                ]
            )
            == 0
        )
    first, second = (sorted((tmp_path / w).glob("*.pdf")) for w in ("1", "2"))
    assert [p.name for p in first] == [p.name for p in second] and len(first) == 4
    assert [p.read_bytes() for p in first] == [p.read_bytes() for p in second]
    # of the reports, not of their findings
    assert capsys.readouterr().out.count('\n    "product"') == 2 * len(first)


def test_together_on_one_part_used_sheet(tmp_path, capsys):
    assert (
        main(
            [
                "label",
                "oat-thins",
                "nut-clusters",
                "--together",
                "--start",
                "3",
                "--copies",
                "2",
                "--stock",
                "letter-4",
                "--kitchen",
                KITCHEN,
                "--out",
                str(tmp_path),
            ]
        )
        == 0
    )
    texts = [p.extract_text() for p in PdfReader(tmp_path / "labels.pdf").pages]
    assert [(t.count("Honey oat crackers"), t.count("Almonds in dark chocolate")) for t in texts] == [
        (2, 0),
        (0, 2),
    ]


def test_proof_has_pictures_and_called_out_sizes(tmp_path, capsys):
    assert (
        main(
            [
                "label",
                "oat-thins",
                "--proof",
                "--stock",
                "letter-4",
                "--kitchen",
                KITCHEN,
                "--out",
                str(tmp_path),
            ]
        )
        == 0
    )
    assert {p.name for p in tmp_path.iterdir()} >= {
        "oat-thins.pdf",
        "oat-thins-proof.pdf",
        "contact-sheet.png",
    }
    assert all(p.read_bytes()[:8] == b"\x89PNG\r\n\x1a\n" for p in tmp_path.glob("*.png"))
    text = " ".join(PdfReader(tmp_path / "oat-thins-proof.pdf").pages[0].extract_text().split())
    assert "101.6 mm (4.00 in)" in text and "least 16 pt, bold (cfr-21-101-9 (d)(2))" in text
    assert len(PdfReader(tmp_path / "oat-thins.pdf").pages) == 1


@pytest.mark.parametrize(
    "options",
    [
        ["--copies", "-1"],
        ["--page", "folio"],
        ["--stock", "letter-7x"],
        ["--stock", "letter-6", "--start", "9"],
        ["--stock", "letter-6", "--page", "a4"],
        ["--label-size", "4 by 6"],
        ["--nudge", "9"],
        ["--together"],
    ],
)
def test_options_that_cannot_be(options, tmp_path, capsys):
    assert main(["label", "oat-thins", "--kitchen", KITCHEN, "--out", str(tmp_path), *options]) == 2
    assert not list(tmp_path.iterdir()) and "labelgen: " in capsys.readouterr().err


@pytest.mark.parametrize(
    "option",
    [
        "--copies=-1",
        "--copies=1000000000",
        "--start=0",
        "--packs=-3",
        "--workers=0",
        "--made-on=9999-12-31",
        "--nudge=nan,1",
    ],
)
def test_options_out_of_range_are_refused(tmp_path, capsys, option):
    assert main(["label", "oat-thins", "--kitchen", KITCHEN, "--out", str(tmp_path), option]) == 2
    assert "labelgen: " in capsys.readouterr().err and not list(tmp_path.iterdir())
