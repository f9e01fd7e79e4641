"""The ruled panel of the European Union, the United Kingdom, Australia and New Zealand.

Regulation (EU) No 1169/2011 Article 13(2)-(3) and Annex IV: x-height 1.2 mm, 0.9 mm on small packages;
Article 34(2): a table with the numbers aligned. Food Standards Code, Schedule 12, S12-2 and S12-4: rows,
columns, daily intake between the two quantities.
"""

from datetime import date

import pytest
from fontTools.ttLib import TTFont

from labelgen.errors import LayoutError
from labelgen.law.pack import Pack
from labelgen.layout.boxes import PageLayout, TextBox
from labelgen.layout.metrics import font_path
from labelgen.layout.panels.formats import comfortable_width, lay_out_panel, least_width
from labelgen.layout.rules import LabelRules
from labelgen.pdf.check_label import check_label
from labelgen.pdf.draw import draw_label
from tests.layout.samples import anz_panel, eu_panel

ON = date(2026, 11, 25)
PANELS = {
    "eu": (eu_panel(), eu_panel(True), eu_panel(True, True)),
    "uk": (eu_panel(True, True),),
    "au": (anz_panel(), anz_panel(True)),
    "nz": (anz_panel(),),
}
CASES = [(market, panel) for market, panels in PANELS.items() for panel in panels]


def rules(market, key="table", base=0.0):
    return LabelRules(market, Pack(market, ON)).panel(key, base)


def texts(block):
    return [b for b in block.boxes if isinstance(b, TextBox)]


def whole(block):
    return PageLayout(block.width, block.height, block.boxes, block.statements, "panel")


@pytest.mark.parametrize("market, panel", CASES)
@pytest.mark.parametrize("widen", [0, 7, 40, 200])
def test_reads_back_clean_at_any_width(market, panel, widen):
    least = least_width(panel, rules(market, base=7))
    block = lay_out_panel(panel, least + widen, rules(market, base=7))
    assert check_label(draw_label(whole(block)), whole(block)) == ()


@pytest.mark.parametrize("market, panel", CASES)
def test_says_every_row_and_figure(market, panel):
    said = {"".join(s.text.split()) for s in lay_out_panel(panel, 300.0, rules(market, base=7)).statements}
    for column in panel.columns:
        assert "".join(column.heading.split()) in said
        for row in column.rows:
            assert {"".join(t.split()) for t in (row.label, row.percent) if t} <= said
            assert any("".join(row.declared.split()) in text for text in said)


@pytest.mark.parametrize("key, least_mm", [("table", 1.2), ("small_table", 0.9)])
def test_letters_are_as_high_as_the_law_asks(key, least_mm):
    """The height of the drawn letter x itself, from its outline, at the smallest size the format allows."""
    block = lay_out_panel(eu_panel(True, True), 220.0, rules("eu", key))
    smallest = min(b.size_pt for b in texts(block))
    with TTFont(font_path("regular")) as font:
        height = font["glyf"]["x"].yMax / font["head"].unitsPerEm
    assert least_mm <= smallest * height * 25.4 / 72 < least_mm * 1.02


def test_numbers_are_aligned():
    """Every figure of a column has the end of its whole number at the same place, single-unit figures
    only.
    """
    panel = eu_panel()
    block = lay_out_panel(panel, 200.0, rules("eu", base=7))
    from labelgen.layout.metrics import face

    ends = set()
    for row in panel.columns[0].rows[2:]:
        box = next(b for b in texts(block) if b.part == f"panel.{row.key}.0.amount")
        before = row.declared.partition(".")[0].partition(" ")[0].lstrip("<")
        lead = "<" if row.declared.startswith("<") else ""
        ends.add(round(box.x + face("regular").width(lead + before, box.size_pt), 3))
    assert len(ends) == 1


def test_daily_intake_stands_between_the_quantities():
    """S12-4: quantity per serving, percentage daily intake, quantity per 100 g."""
    block = lay_out_panel(anz_panel(True), 260.0, rules("au", base=7))
    at = {b.part: b.x for b in texts(block)}
    assert at["panel.protein.0.amount"] < at["panel.protein.0.percent"] < at["panel.protein.1.amount"]


def test_rows_keep_their_order_down_the_page():
    for market, panel in CASES:
        block = lay_out_panel(panel, comfortable_width(panel, rules(market, base=7)), rules(market, base=7))
        places = [
            next(b.y for b in texts(block) if b.part == f"panel.{r.key}")
            for r in panel.columns[0].rows
            if not r.joined
        ]
        assert places == sorted(places, reverse=True) and len(set(places)) == len(places)


def test_too_narrow_says_the_least_width():
    least = least_width(eu_panel(True, True), rules("eu"))
    with pytest.raises(LayoutError, match=f"{least:.1f} pt"):
        lay_out_panel(eu_panel(True, True), least - 1, rules("eu"))
