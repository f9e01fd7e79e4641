"""Whatever is declared and whatever the space: a panel that is given fits it, nothing overlaps, touches a
line, is cut off or falls below the law's size; a panel that is refused names a space in which it is given.

Glyph heights come from the font's outlines, not from the lay-out's own metrics.
"""

from dataclasses import replace
from datetime import date
from functools import cache

import pytest
from fontTools.pens.boundsPen import BoundsPen
from fontTools.ttLib import TTFont
from hypothesis import given, settings
from hypothesis import strategies as st

from labelgen.errors import NoRoomError
from labelgen.layout.boxes import FillBox, PageLayout, RuleBox, TextBox
from labelgen.layout.fit import Package, fit_panel
from labelgen.layout.metrics import face, font_path
from labelgen.market.declaration_records import Column, Serving
from labelgen.pdf.check_label import check_label
from labelgen.pdf.draw import draw_label
from tests.layout.samples import (
    anz_panel,
    assortment,
    ca_panel,
    dual_panel,
    eu_panel,
    fortified,
    german_panel,
    panel,
)

ON = date(2026, 11, 25)
MM = 72 / 25.4
START = {
    "us": [panel(), panel(single=True), dual_panel(), assortment(3), fortified()],
    "eu": [eu_panel(), eu_panel(True, True), german_panel()],
    "uk": [eu_panel(True)],
    "au": [anz_panel(), anz_panel(True)],
    "nz": [anz_panel()],
    "ca": [ca_panel(), ca_panel(False)],
}
AMOUNTS = [
    "0 g",
    "1g",
    "2.5 g",
    "less than 1g",
    "<0.5 g",
    "0.42 g",
    "1 250 mg",
    "38mg",
    "100 g",
    "LESS THAN 5 mg",
    "12 345 kJ",
    "9mcg",
]
PERCENTS = ["", "0%", "9 %", "18%", "120%"]
WORDS = st.lists(
    st.sampled_from(["biscuits", "of a", "1/12", "cake", "2", "smørkage", "tartlet-halves", "package"]),
    min_size=1,
    max_size=5,
).map(" ".join)


@st.composite
def panels(draw, start):
    """The panel with figures, serving and foot drawn at random, rows left out at random."""
    kept = [draw(st.booleans()) or row.group == "head" or row.joined for row in start.columns[0].rows]
    # a row of a percentage alone stands or goes with the rows it is of
    for n, row in enumerate(start.columns[0].rows):
        if row.spans:
            kept[n - row.spans : n + 1] = [True] * (row.spans + 1)
    if not any(k for k, row in zip(kept, start.columns[0].rows) if row.group == "main"):
        kept = [True] * len(kept)

    def column(given: Column) -> Column:
        rows = []
        for keep, row in zip(kept, given.rows):
            if keep and row.group != "head" and not row.spans:
                row = replace(
                    row,
                    declared=draw(st.sampled_from(AMOUNTS)),
                    percent=draw(st.sampled_from(PERCENTS)) if row.percent else "",
                )
            if keep:
                rows.append(row)
        return replace(given, rows=tuple(rows))

    serving = Serving(
        draw(WORDS),
        draw(st.sampled_from(["", "30g", "1250 g"])),
        draw(st.sampled_from(["", "about 12.5 servings per container"])),
        30.0,
        4.0,
        False,
        "test",
    )
    foot = draw(
        st.sampled_from(
            [(), ("Not a significant source of saturated fat, trans fat, cholesterol and vitamin D.",)]
        )
    )
    made = replace(start, columns=tuple(column(c) for c in start.columns), serving=serving, foot=foot)
    if start.second:
        same = {row.key: row for row in made.columns[0].rows}
        rows = tuple(
            replace(r, declared=same[r.key].declared, percent=same[r.key].percent)
            for r in start.second.columns[0].rows
            if r.key in same
        )
        made = replace(
            made,
            second=replace(
                start.second, columns=(replace(start.second.columns[0], rows=rows),), serving=serving
            ),
        )
    return made


SIZES = st.floats(15, 220).map(lambda x: round(x, 1))
PACKAGES = st.sampled_from(
    [
        Package(),
        Package(total=7_000, largest=2_500, display=6_000),
        Package(total=25_000, largest=7_900, display=20_000),
        Package(total=200_000, largest=60_000, display=150_000),
    ]
)


@cache
def outlines(name):
    """Character -> (lowest, highest point) of its outline, in ems."""
    with TTFont(font_path(name)) as font:
        glyphs, units, found = font.getGlyphSet(), font["head"].unitsPerEm, {}
        for code, glyph in font.getBestCmap().items():
            if code < 0x2200:
                pen = BoundsPen(glyphs)
                glyphs[glyph].draw(pen)
                found[chr(code)] = (
                    (pen.bounds[1] / units, pen.bounds[3] / units) if pen.bounds else (0.0, 0.0)
                )
        return found


def ink(box):
    """(left, bottom, right, top) of what a text box blackens, by advance width and glyph outline."""
    heights = [outlines(box.face)[char] for char in box.text]
    return (
        box.x,
        box.y + min(h[0] for h in heights) * box.size_pt,
        box.x + box.width,
        box.y + max(h[1] for h in heights) * box.size_pt,
    )


def area(box):
    if isinstance(box, FillBox):
        return box.x, box.y, box.x + box.width, box.y + box.height
    half = box.thickness / 2
    return (
        min(box.x1, box.x2) - half * (box.x1 == box.x2),
        min(box.y1, box.y2) - half * (box.y1 == box.y2),
        max(box.x1, box.x2) + half * (box.x1 == box.x2),
        max(box.y1, box.y2) + half * (box.y1 == box.y2),
    )


def touch(a, b, slack=0.05):
    return a[0] < b[2] - slack and b[0] < a[2] - slack and a[1] < b[3] - slack and b[1] < a[3] - slack


def faults(block):
    rules = {s.part: s.rule for s in block.statements}
    texts = [b for b in block.boxes if isinstance(b, TextBox)]
    inks = [ink(b) for b in texts]
    lines = [area(b) for b in block.boxes if isinstance(b, (RuleBox, FillBox))]
    found = [
        f"{s.part} is said twice"
        for n, s in enumerate(block.statements)
        if any(s.part == t.part for t in block.statements[:n])
    ]
    for n, (box, mine) in enumerate(zip(texts, inks)):
        if (
            mine[0] < -0.01
            or mine[1] < -0.01
            or mine[2] > block.width + 0.01
            or mine[3] > block.height + 0.01
        ):
            found.append(f"{box.text!r} is cut off")
        if box.size_pt < rules[box.part].least_size(face(box.face)) - 1e-6:
            found.append(f"{box.text!r} is too small")
        found += [f"{box.text!r} overlaps {texts[m].text!r}" for m in range(n) if touch(mine, inks[m], 0.3)]
        found += [f"{box.text!r} touches a line" for line in lines if touch(mine, line)]
    return found


@pytest.mark.parametrize(
    "market, start", [(market, n) for market, all_of in START.items() for n in range(len(all_of))]
)
@settings(max_examples=12, deadline=None)
@given(data=st.data(), width=SIZES, height=SIZES, package=PACKAGES)
def test_fits_or_says_what_would(market, start, data, width, height, package):
    sample = data.draw(panels(START[market][start]))
    try:
        block, why = fit_panel(sample, market, ON, width * MM, height * MM, package)
    except NoRoomError as refused:
        assert refused.least is not None
        wide, high = (max(a, b * MM) for a, b in zip(refused.least, (width, height)))
        assert wide > width * MM or high > height * MM
        block, why = fit_panel(sample, market, ON, wide, high, package)
        width, height = wide / MM, high / MM
    assert block.width <= width * MM + 1e-5 and block.height <= height * MM + 1e-5 and why
    assert faults(block) == []


@pytest.mark.parametrize("market", START)
@settings(max_examples=12, deadline=None)
@given(data=st.data(), width=st.floats(80, 250), package=PACKAGES)
def test_the_drawn_file_reads_back(market, data, width, package):
    sample = data.draw(st.sampled_from(START[market]).flatmap(panels))
    try:
        block, _ = fit_panel(sample, market, ON, width * MM, 400 * MM, package)
    except NoRoomError as refused:
        block, _ = fit_panel(sample, market, ON, *refused.least, package)
    layout = PageLayout(block.width, block.height, block.boxes, block.statements, "panel")
    assert check_label(draw_label(layout), layout) == ()
