"""A label that does not say all that was declared is not written, whatever went wrong while it was laid
out.
"""

from dataclasses import replace
from datetime import date

import pytest
from reportlab.pdfgen.canvas import Canvas

from labelgen import paths
from labelgen.chain import declare_product, make_label, roll_up_folder
from labelgen.layout import label_parts, linebreak
from labelgen.layout.boxes import Block, CodeBox, TextBox
from labelgen.layout.stack import Stack
from labelgen.layout.whole_label import lay_out_label
from labelgen.market.declaration_records import Run
from labelgen.order import Order
from labelgen.pdf.complete import check_complete

DAY = date(2026, 11, 25)


@pytest.fixture(scope="module")
def rolled():
    return roll_up_folder(paths.templates("kitchens", "demo"))


def declared(rolled, key, market):
    return declare_product(rolled, key, Order(market, DAY, "L1", DAY))


@pytest.mark.parametrize("market", ["us", "eu", "ca", "au"])
@pytest.mark.parametrize("key", ["lantern-biscuits", "lemon-tartlets", "harvest-box"])
def test_sound_labels_are_complete(rolled, market, key):
    said = declared(rolled, key, market)
    assert check_complete(said, [lay_out_label(said)]) == ()


@pytest.mark.parametrize(
    "key, part",
    [
        *(
            ("lantern-biscuits", part)
            for part in (
                "name",
                "identity",
                "ingredients",
                "allergens",
                "advisory",
                "storage",
                "date",
                "business",
                "net-quantity",
                "panel",
            )
        ),
        *(
            ("harvest-box", part)
            for part in (
                "name",
                "identity",
                "ingredients-of-1",
                "allergens",
                "storage",
                "date",
                "business",
                "net-quantity",
                "panel",
            )
        ),
    ],
)
def test_whatever_is_left_out_is_seen(rolled, key, part):
    said = declared(rolled, key, "us")
    page = lay_out_label(said)
    left = replace(
        page, boxes=tuple(b for b in page.boxes if not (isinstance(b, TextBox) and b.part.startswith(part)))
    )
    assert len(left.boxes) < len(page.boxes)
    assert {f.code for f in check_complete(said, [left])} == {"not-on-label"}


def test_one_figure_of_the_panel_left_out_is_seen(rolled):
    said = declared(rolled, "lantern-biscuits", "us")
    page = lay_out_label(said)
    left = replace(
        page,
        boxes=tuple(b for b in page.boxes if not (isinstance(b, TextBox) and b.part == "panel.calories.0")),
    )
    (found,) = check_complete(said, [left])
    assert "Calories" in found.message and found.blocks


@pytest.mark.parametrize("field, value", [("gtin", "012345678905"), ("qr", "https://example.org")])
def test_a_code_left_out_is_seen(rolled, field, value):
    said = replace(declared(rolled, "oat-thins", "us"), **{field: value})
    page = lay_out_label(said)
    assert check_complete(said, [page]) == ()
    assert check_complete(
        said, [replace(page, boxes=tuple(b for b in page.boxes if not isinstance(b, CodeBox)))]
    )


def test_an_allergen_that_lost_its_emphasis_is_seen(rolled):
    """Regulation (EU) No 1169/2011, Article 21(1)(b)."""
    said = declared(rolled, "lantern-biscuits", "eu")
    page = lay_out_label(said)
    milk = next(
        b
        for b in page.boxes
        if isinstance(b, TextBox) and b.part == "ingredients" and b.text.strip("(), ") == "milk"
    )
    assert milk.face == "bold"
    plain = replace(page, boxes=tuple(replace(b, face="regular") if b is milk else b for b in page.boxes))
    assert {f.code for f in check_complete(said, [plain])} == {"not-emphasised"}


def shrunk(monkeypatch):
    """Small text set at nine tenths of what the law wants."""
    monkeypatch.setattr(
        label_parts.Parts,
        "least",
        property(lambda self: 0.9 * self.small.least_size(label_parts.face("regular"))),
    )
    monkeypatch.setattr(
        label_parts.Parts,
        "at_usual_sizes",
        lambda self: replace(self, spacing={**self.spacing, "text.scales": [1.0]}),
    )


def moved(monkeypatch):
    """The allergens a line too high."""
    whole = Stack.paragraph

    def paragraph(self, runs, size, pitch, part, *more, **named):
        before = len(self.boxes)
        whole(self, runs, size, pitch, part, *more, **named)
        self.boxes[before:] = [
            b.shifted(0.0, pitch if part == "allergens" else 0.0) for b in self.boxes[before:]
        ]

    monkeypatch.setattr(Stack, "paragraph", paragraph)


def unbold(monkeypatch):
    """Every run in plain type."""
    monkeypatch.setattr(linebreak, "face_of", lambda run: "regular")
    linebreak.measure_words.cache_clear()


def unweighed(monkeypatch):
    """No net quantity."""
    monkeypatch.setattr(label_parts.Parts, "net", lambda self, width, align="left": Block(width, 0.0, ()))


def unlisted(monkeypatch):
    """A list of ingredients that breaks off."""
    whole = label_parts.lay_out_text
    monkeypatch.setattr(
        label_parts,
        "lay_out_text",
        lambda runs, *more: whole(
            (Run(runs[0].text), Run("...")) if more[3] == "ingredients" else runs, *more
        ),
    )


def grey(monkeypatch):
    """Letters in light grey."""
    whole = Canvas.drawString

    def pale(self, *args, **more):
        self.setFillGray(0.8)
        whole(self, *args, **more)

    monkeypatch.setattr(Canvas, "drawString", pale)


@pytest.mark.parametrize(
    "slip, market, codes",
    [
        (shrunk, "us", {"type-too-small"}),
        (moved, "us", {"overlap", "clipped"}),
        (unbold, "eu", {"not-emphasised"}),
        (unbold, "us", {"not-bold", "not-emphasised"}),
        (unweighed, "us", {"not-on-label"}),
        (unweighed, "eu", {"not-on-label"}),
        (unlisted, "us", {"not-on-label"}),
        (grey, "us", {"low-contrast"}),
    ],
)
def test_a_slip_in_the_program_stops_the_label(rolled, monkeypatch, slip, market, codes):
    sound, _ = make_label(rolled, "lantern-biscuits", Order(market, DAY, "L1", DAY))
    assert sound
    slip(monkeypatch)
    try:
        label, findings = make_label(rolled, "lantern-biscuits", Order(market, DAY, "L1", DAY))
    finally:
        linebreak.measure_words.cache_clear()
    assert label is None and codes & {f.code for f in findings if f.blocks}, [
        f.code for f in findings if f.blocks
    ]
