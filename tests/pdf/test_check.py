"""The read-back catches what it must: smaller type, lost words, overlap, matter over the edge."""

from dataclasses import replace
from datetime import date

import pytest

from labelgen import paths
from labelgen.chain import roll_up_folder
from labelgen.layout.boxes import TextBox
from labelgen.layout.whole_label import lay_out_label
from labelgen.market.declare_food import declare
from labelgen.order import Order
from labelgen.pdf.check_label import check_label
from labelgen.pdf.draw import draw_label


@pytest.fixture(scope="module")
def layout():
    rolled = roll_up_folder(paths.templates("kitchens", "demo"))
    key = "lantern-biscuits"
    return lay_out_label(
        declare(
            rolled.profiles[key],
            rolled.kitchen.products[key],
            rolled.kitchen,
            Order("us", date(2026, 11, 25)),
        )
    )


def changed(layout, part, **values):
    boxes = [replace(b, **values) if isinstance(b, TextBox) and b.part == part else b for b in layout.boxes]
    return replace(layout, boxes=tuple(boxes))


def test_a_sound_label_has_no_findings(layout):
    assert check_label(draw_label(layout), layout) == ()


def test_every_mandatory_text_is_in_the_file(layout):
    """Read by a library other than the one that drew it."""
    import io

    from pypdf import PdfReader

    text = " ".join(PdfReader(io.BytesIO(draw_label(layout))).pages[0].extract_text().split())
    for words in (
        "Nutrition Facts",
        "Ingredients:",
        "Contains: Milk, Egg, Wheat, Soy, Hazelnut.",
        "Net Wt 6.7 oz (192g)",
        "Example Hill Bakes",
    ):
        assert words in text


def test_missing_words(layout):
    without = replace(
        layout,
        boxes=tuple(b for b in layout.boxes if not (isinstance(b, TextBox) and b.part == "allergens")),
    )
    assert "text-missing" in {f.code for f in check_label(draw_label(without), layout)}
    assert "text-lost" in {f.code for f in check_label(draw_label(without), without)}


def test_type_below_the_legal_size(layout):
    small = changed(layout, "ingredients", size_pt=5.0)
    assert "type-too-small" in {f.code for f in check_label(draw_label(small), small)}
    assert "type-size" in {f.code for f in check_label(draw_label(small), layout)}


def test_over_the_edge(layout):
    off = changed(layout, "net-quantity", x=layout.width_pt - 20)
    assert "clipped" in {f.code for f in check_label(draw_label(off), off)}


def test_overlap(layout):
    lines = [b for b in layout.boxes if isinstance(b, TextBox) and b.part == "ingredients"]
    stacked = changed(layout, "allergens", x=lines[0].x, y=lines[0].y)
    assert "overlap" in {f.code for f in check_label(draw_label(stacked), stacked)}


def test_net_quantity_not_bold(layout):
    light = changed(layout, "net-quantity", face="regular")
    assert "not-bold" in {f.code for f in check_label(draw_label(light), layout)}
