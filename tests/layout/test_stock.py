"""Label stock and sheets: sizes as makers write them, slots that stay on the page, every copy once."""

from dataclasses import replace

import pytest

from labelgen.errors import LayoutError
from labelgen.law.registry import markets
from labelgen.layout.boxes import PageLayout, RuleBox, TextBox
from labelgen.layout.calibrate import lay_out_calibration
from labelgen.layout.label_stock import (
    every_stock,
    pages,
    read_length,
    read_nudge,
    read_size,
    single_stock,
    stock_named,
    tiled_stock,
    usual_page,
)
from labelgen.layout.sheets import copies_of, impose
from labelgen.order import Job

MM = 72 / 25.4


def blank(stock, name="x"):
    return PageLayout(stock.width, stock.face_height, (), (), name)


def test_lengths():
    """1 in = 25.4 mm exactly (international inch, 1959)."""
    assert read_length("25.4 mm") == pytest.approx(read_length("1 in")) == pytest.approx(72)
    assert read_size("100x150mm") == pytest.approx((100 * MM, 150 * MM))
    assert read_size("4 x 6 in") == pytest.approx((288, 432))
    assert read_nudge("0.5,-1 mm") == pytest.approx((0.5 * MM, -MM))


@pytest.mark.parametrize("text", ["", "100", "100x150", "0x50mm", "axb mm", "5000x5000mm", "-4x6in"])
def test_sizes_that_are_none(text):
    with pytest.raises(LayoutError, match="mm"):
        read_size(text)


@pytest.mark.parametrize("text", ["nan,1", "1,nan", "", "1", "1,2,3", "a,b", "100,0"])
def test_nudges_that_are_none(text):
    with pytest.raises(LayoutError):
        read_nudge(text)


def test_pages_are_the_standard_ones():
    """ANSI Y14.1 size A (letter) and ISO 216 A4."""
    assert pages()["letter"] == pytest.approx((8.5 * 72, 11 * 72))
    assert pages()["a4"] == pytest.approx((210 * MM, 297 * MM))
    assert all(usual_page(m.code) == ("letter" if m.code in ("us", "ca") else "a4") for m in markets())


@pytest.mark.parametrize("stock", every_stock(), ids=lambda s: s.name)
def test_labels_stay_on_the_page_and_apart(stock):
    places = [stock.place(n) for n in range(stock.slots)]
    for x, y in places:
        assert x >= -0.01 and x + stock.width <= stock.page_width + 0.01
        assert y >= -0.01 and y + stock.height <= stock.page_height + 0.01
    for n, (x, y) in enumerate(places):
        for u, v in places[n + 1 :]:
            assert abs(u - x) >= stock.width - 0.02 or abs(v - y) >= stock.height - 0.02
    assert places[0][1] == max(y for _, y in places)


def test_every_kind_of_stock_is_there():
    kinds = {(s.kind, s.page) for s in every_stock()}
    assert kinds >= {
        ("sheet", "letter"),
        ("sheet", "a4"),
        ("roll", "label"),
        ("tag", "letter"),
        ("tag", "a4"),
        ("fold", "letter"),
        ("fold", "a4"),
    }
    for page in ("letter", "a4"):
        sheets = [s for s in every_stock() if s.page == page and s.kind == "sheet"]
        assert (
            {s.slots == 1 for s in sheets}
            == {s.round for s in sheets}
            == {s.width == s.height for s in sheets}
            == {True, False}
        )


def test_unknown_stock_names_near_ones():
    with pytest.raises(LayoutError, match="letter-6"):
        stock_named("letter-66")


def test_a_part_used_sheet_is_used_up():
    stock = stock_named("letter-6")
    one = blank(stock)
    sheets = list(impose(stock, [((one,), 8)], start=5))
    assert [len(s.placements) for s in sheets] == [2, 6]
    assert [(p.x, p.y) for p in sheets[0].placements] == [stock.place(4), stock.place(5)]
    assert (
        copies_of(Job(start=5), stock, 1) == 2
        and copies_of(Job(start=5), stock, 2) == 1
        and copies_of(Job(copies=40), stock, 1) == 40
    )


def test_start_beyond_the_sheet():
    with pytest.raises(LayoutError, match="1 to 6"):
        list(impose(stock_named("letter-6"), [((blank(stock_named("letter-6")),), 1)], start=7))


def test_front_and_back_labels_stand_next_to_each_other():
    stock = stock_named("a4-4")
    front, back = blank(stock, "front"), blank(stock, "back")
    (sheet,) = impose(stock, [((front, back), 2)])
    assert [p.layout.product for p in sheet.placements] == ["front", "back"] * 2


def test_several_products_go_on_one_sheet():
    stock = stock_named("a4-4")
    a, b = blank(stock, "a"), blank(stock, "b")
    sheets = list(impose(stock, [((a,), 3), ((b,), 3)]))
    assert [[p.layout.product for p in s.placements] for s in sheets] == [["a", "a", "a", "b"], ["b", "b"]]


def test_backs_of_tags_meet_their_fronts():
    """Turned over the long edge, the left of the page becomes the right."""
    stock = stock_named("tag-55x90mm")
    front, back = blank(stock, "front"), blank(stock, "back")
    fronts, backs = impose(stock, [((front, back), 4)])
    for a, b in zip(fronts.placements, backs.placements, strict=True):
        assert a.y == b.y and a.x + b.x + stock.width == pytest.approx(stock.page_width)


def test_a_folded_piece_carries_its_back_upside_down():
    stock = stock_named("fold-4x5in")
    (sheet,) = impose(stock, [((blank(stock, "front"), blank(stock, "back")), 1)])
    front, back = sheet.placements
    assert not front.turned and back.turned and back.y - front.y == pytest.approx(stock.height / 2)


def test_nudge_moves_labels_and_marks_alike():
    stock = tiled_stock(100 * MM, 100 * MM, "a4")
    plain, moved = (
        next(impose(stock, [((blank(stock),), 1)], cut_marks=True, nudge=n)) for n in ((0, 0), (3, -2))
    )
    assert (moved.placements[0].x, moved.placements[0].y) == (
        plain.placements[0].x + 3,
        plain.placements[0].y - 2,
    )
    assert moved.marks[0] == plain.marks[0].shifted(3, -2)


def test_cut_marks_touch_no_label():
    for stock in (tiled_stock(90 * MM, 60 * MM, "a4"), *every_stock()):
        if not stock.height:
            continue
        sheet, *_ = impose(stock, [((blank(stock),), stock.slots)], cut_marks=True)
        for mark in sheet.marks:
            for slot in range(stock.slots):
                x, y = stock.place(slot)
                assert not (
                    x < (mark.x1 + mark.x2) / 2 < x + stock.width
                    and y < (mark.y1 + mark.y2) / 2 < y + stock.height
                )


def test_tiling_says_when_a_label_is_larger_than_the_page():
    assert tiled_stock(100 * MM, 70 * MM, "a4").slots == 8
    with pytest.raises(LayoutError, match="smaller"):
        tiled_stock(220 * MM, 50 * MM, "a4")


def test_a_roll_is_one_label_a_page():
    stock = single_stock(288, 432)
    sheets = list(impose(stock, [((blank(stock),), 3)]))
    assert [(s.width, s.height, len(s.placements)) for s in sheets] == [(288, 432, 1)] * 3


def test_calibration_outlines_every_label_and_follows_the_nudge():
    stock = stock_named("letter-6")
    plain, moved = lay_out_calibration(stock), lay_out_calibration(stock, (5, 7))
    assert (plain.width_pt, plain.height_pt) == (612, 792)
    first = plain.boxes[0]
    assert (
        replace(first, x1=first.x1 + 5, x2=first.x2 + 5, y1=first.y1 + 7, y2=first.y2 + 7) == moved.boxes[0]
    )
    assert sum(b.text.isdigit() and b.size_pt == 9 for b in plain.boxes if hasattr(b, "text")) == 6


@pytest.mark.parametrize("name", [s.name for s in every_stock() if s.page_height and s.slots > 1])
def test_no_number_stands_on_the_words_or_rulers_of_a_calibration_page(name):
    every = lay_out_calibration(stock_named(name)).boxes
    texts = [b for b in every if isinstance(b, TextBox)]
    lengths = (100 * 72 / 25.4, 4 * 72)
    rulers = [
        b
        for b in every
        if isinstance(b, RuleBox)
        and b.y1 == b.y2
        and any(abs(b.x2 - b.x1 - length) < 0.01 for length in lengths)
    ]
    assert len(rulers) >= 2
    for number in (b for b in texts if b.part == "number"):
        assert not [
            r for r in rulers if r.x1 < number.x < r.x2 and number.y - 1 < r.y1 < number.y + number.size_pt
        ], number.text
    for number in (b for b in texts if b.part == "number"):
        for other in (b for b in texts if b is not number):
            beside = number.x + number.width <= other.x or other.x + other.width <= number.x
            assert beside or abs(number.y - other.y) > number.size_pt


def test_stock_command_lists_finds_and_calibrates(tmp_path, capsys):
    import json

    from labelgen.cli import main
    from labelgen.paths import templates

    assert main(["stock", "--json"]) == 0
    listed = {s["name"]: s for s in json.loads(capsys.readouterr().out)}
    assert set(listed) == {s.name for s in every_stock()} and listed["letter-30"][
        "width_mm"
    ] == pytest.approx(2.625 * 25.4, abs=0.01)
    assert (
        main(["stock", "--holds", "oat-thins", "--kitchen", str(templates("kitchens", "demo")), "--json"])
        == 0
    )
    able = {s["name"] for s in json.loads(capsys.readouterr().out)}
    assert {"letter-1", "a4-1", "roll-4in"} <= able and not {"letter-30", "a4-24-round"} & able
    assert main(["stock", "a4-21", "--calibrate", "--out", str(tmp_path)]) == 0
    assert (tmp_path / "calibrate-a4-21.pdf").read_bytes().startswith(b"%PDF")
    assert main(["stock", "roll-62mm", "--calibrate", "--out", str(tmp_path)]) == 2
