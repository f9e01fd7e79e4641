"""What stands in a PDF and cannot be seen on paper is told; what can be seen, on whatever ground, is not
doubted.

The pages are drawn here by plain calls, and each hides its words in another way.
"""

from __future__ import annotations

import io
import json
from datetime import date

import pytest
from PIL import Image
from pypdf import PdfReader, PdfWriter
from pypdf.generic import (
    ArrayObject,
    DecodedStreamObject,
    DictionaryObject,
    NameObject,
    NumberObject,
    RectangleObject,
    TextStringObject,
)
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from labelgen.chain import declare_product, roll_up_folder
from labelgen.cli import main
from labelgen.errors import Where
from labelgen.layout.sheets import Placement
from labelgen.layout.whole_label import lay_out_label
from labelgen.order import Order
from labelgen.paths import templates
from labelgen.pdf.agree import disagreements
from labelgen.pdf.any_label import preflight
from labelgen.pdf.check_label import check_label
from labelgen.pdf.draw import draw_label
from labelgen.pdf.label_words import read_words
from labelgen.pdf.second import read_glyphs

WORDS = "Contains: milk, wheat, egg"


def page(before=None, after=None, size=8.0, y=100, crop=None, annotation=False, layer=False, mode=0):
    """WORDS on a page of 300 x 200 pt, with drawing before and after them."""
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(300, 200))
    if before:
        before(canvas)
    text = canvas.beginText(20, y)
    text.setFont("Helvetica", size)
    text.setTextRenderMode(mode)
    text.textOut(WORDS)
    canvas.drawText(text)
    if after:
        after(canvas)
    canvas.showPage()
    canvas.save()
    writer = PdfWriter(clone_from=out)
    if crop:
        writer.pages[0].cropbox = RectangleObject(crop)
    if annotation:
        cover_with_a_note(writer)
    if layer:
        switch_off(writer)
    kept = io.BytesIO()
    writer.write(kept)
    return kept.getvalue()


def switch_off(writer):
    """Puts the whole page into a layer that is off."""
    name = NameObject
    group = writer._add_object(
        DictionaryObject({name("/Type"): name("/OCG"), name("/Name"): TextStringObject("words")})
    )
    off = DictionaryObject({name("/OFF"): ArrayObject([group])})
    writer._root_object[name("/OCProperties")] = DictionaryObject(
        {name("/OCGs"): ArrayObject([group]), name("/D"): off}
    )
    one = writer.pages[0]
    one["/Resources"][name("/Properties")] = DictionaryObject({name("/Layer"): group})
    drawn = DecodedStreamObject()
    drawn.set_data(b"/OC /Layer BDC\n" + one.get_contents().get_data() + b"\nEMC")
    one[name("/Contents")] = writer._add_object(drawn)


def cover_with_a_note(writer):
    """A white box stuck on the page, which prints."""
    name, at = NameObject, lambda *n: ArrayObject(map(NumberObject, n))
    shape = DecodedStreamObject()
    shape.set_data(b"1 g 0 0 300 60 re f")
    shape.update(
        {name("/Type"): name("/XObject"), name("/Subtype"): name("/Form"), name("/BBox"): at(0, 0, 300, 60)}
    )
    note = {
        "/Type": name("/Annot"),
        "/Subtype": name("/Square"),
        "/F": NumberObject(4),
        "/Rect": at(0, 80, 300, 140),
    }
    note["/AP"] = DictionaryObject({name("/N"): writer._add_object(shape)})
    note = DictionaryObject({name(k): v for k, v in note.items()})
    writer.pages[0][name("/Annots")] = ArrayObject([writer._add_object(note)])


def cover(canvas, low=0, high=200):
    canvas.setFillGray(1)
    canvas.rect(0, low, 300, high - low, stroke=0, fill=1)


def clip(canvas, *box):
    shape = canvas.beginPath()
    shape.rect(*box)
    canvas.clipPath(shape, stroke=0, fill=0)


def picture(canvas, image):
    canvas.drawImage(ImageReader(image), 0, 0, 300, 200)


def on(ground, ink):
    """The words in one colour on a page of another."""

    def draw(canvas):
        canvas.setFillColorRGB(*ground)
        canvas.rect(0, 0, 300, 200, stroke=0, fill=1)
        canvas.setFillColorRGB(*ink)

    return draw


def photo():
    """Half-light noise."""
    noise = Image.effect_noise((300, 200), 60)
    return noise.point(lambda v: 128 + v // 2).convert("RGB")


HIDDEN = {
    "covered by a rectangle": lambda: page(after=cover),
    "covered by a picture": lambda: page(after=lambda c: picture(c, Image.new("RGB", (9, 9), "white"))),
    "covered by a note": lambda: page(annotation=True),
    "upper half covered": lambda: page(after=lambda c: cover(c, 102.5, 120)),
    "not drawn (text mode 3)": lambda: page(mode=3),
    "clipped away": lambda: page(before=lambda c: clip(c, 0, 0, 0.1, 0.1)),
    "clipped to a line": lambda: page(before=lambda c: clip(c, 0, 102, 300, 0.1)),
    "in a layer that is off": lambda: page(layer=True),
    "of no colour": lambda: page(before=lambda c: c.setFillAlpha(0)),
    "of next to no colour": lambda: page(before=lambda c: c.setFillAlpha(0.05)),
    "white on white": lambda: page(before=lambda c: c.setFillGray(1)),
    "black on black": lambda: page(before=on((0, 0, 0), (0, 0, 0))),
    "0.1 pt": lambda: page(size=0.1),
    "off the page": lambda: page(y=-50),
    "outside the cut of the page": lambda: page(crop=(0, 120, 300, 200)),
}
SEEN = {
    "plain": lambda: page(),
    "small": lambda: page(size=4.0),
    "white on black": lambda: page(before=on((0, 0, 0), (1, 1, 1))),
    "yellow on green": lambda: page(before=on((0.1, 0.5, 0.1), (1, 0.9, 0.2))),
    "red on green as dark": lambda: page(before=on((0.2, 0.6, 0.2), (0.8, 0.1, 0.1))),
    "grey": lambda: page(before=lambda c: c.setFillGray(0.45)),
    "underlined": lambda: page(after=lambda c: c.line(20, 98.6, 120, 98.6)),
    "on a photo": lambda: page(before=lambda c: (picture(c, photo()), c.setFillGray(0))),
    "filled and outlined": lambda: page(mode=2),
    "cut close": lambda: page(crop=(10, 90, 290, 190)),
    "shown turned": lambda: turned(page()),
}


def turned(pdf):
    writer = PdfWriter(clone_from=PdfReader(io.BytesIO(pdf)))
    writer.pages[0].rotate(90)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


@pytest.fixture(scope="module")
def label():
    rolled = roll_up_folder(templates("kitchens", "demo"))
    return lay_out_label(declare_product(rolled, "oat-thins", Order("us", date(2026, 11, 25))))


@pytest.mark.parametrize("way", HIDDEN)
def test_hidden_words_are_not_read(way, label):
    pdf = HIDDEN[way]()
    read = read_words(pdf)
    assert "milk" not in read.text and "milk" in read.hidden.replace(" ", "")
    said = [f.message for f in preflight(pdf, "old.pdf", [label])[1] if f.code == "not-visible"]
    assert said and "milk" in said[0]


@pytest.mark.parametrize("way", SEEN)
def test_words_that_are_seen_are_not_doubted(way, label):
    pdf = SEEN[way]()
    read = read_words(pdf)
    assert read.text == WORDS and not read.hidden
    assert not {"not-visible", "clipped"} & {f.code for f in preflight(pdf, "old.pdf", [label])[1]}


@pytest.mark.parametrize("way", HIDDEN)
def test_hidden_words_declare_nothing(way, tmp_path, capsys):
    file = tmp_path / "old.pdf"
    file.write_bytes(HIDDEN[way]())
    assert main(["allergens", "--pdf", str(file), "--market", "us", "--json"]) in (1, 2)
    said = capsys.readouterr()
    assert "cannot be seen on paper" in said.err and "milk" in said.err.replace(" ", "")
    assert not said.out or not json.loads(said.out)["contains"]


SPOILT = {
    "covered": lambda pdf: changed(pdf, after=b"1 g 0 0 2000 2000 re f"),
    "covered in black": lambda pdf: changed(pdf, after=b"0 g 0 0 2000 2000 re f"),
    "not drawn": lambda pdf: changed(pdf, before=b"3 Tr"),
    "clipped": lambda pdf: changed(pdf, before=b"0 0 0.1 0.1 re W n"),
    "white": lambda pdf: changed(pdf, each=(b"BT", b"1 g BT")),
}


def changed(pdf, before=b"", after=b"", each=(b"", b"")):
    writer = PdfWriter(clone_from=PdfReader(io.BytesIO(pdf)))
    one = writer.pages[0]
    inner = one.get_contents().get_data()
    drawn = DecodedStreamObject()
    drawn.set_data(before + b"\nq\n" + (inner.replace(*each) if each[0] else inner) + b"\nQ\n" + after)
    one[NameObject("/Contents")] = writer._add_object(drawn)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


@pytest.mark.parametrize("way", SPOILT)
def test_a_label_of_ours_that_was_spoilt_is_refused(way, label):
    pdf = SPOILT[way](draw_label(label))
    (seen,) = read_glyphs(pdf)
    assert "not-visible" in {
        f.code for f in disagreements(seen, [Placement(label, 0.0, 0.0)], Where("label"), "the label")
    }
    assert "not-visible" in {f.code for f in check_label(pdf, label)}
    assert {"text-missing", "not-visible"} <= {f.code for f in preflight(pdf, "own.pdf", [label])[1]}


@pytest.mark.parametrize("market", ["us", "ca", "uk", "eu", "au", "nz"])
def test_every_label_of_the_demonstration_is_seen(market):
    rolled = roll_up_folder(templates("kitchens", "demo"))
    for key in (*rolled.kitchen.products, *rolled.kitchen.boxes):
        whole = lay_out_label(declare_product(rolled, key, Order(market, date(2026, 11, 25))))
        assert not [g for p in read_glyphs(draw_label(whole)) for g in p.glyphs if not g.seen]


def test_contrast_is_held_against_what_is_under_the_letters(label):
    def pale(pdf):
        return "low-contrast" in {f.code for f in preflight(pdf, "old.pdf", [label])[1]}

    assert not pale(SEEN["white on black"]()) and not pale(page())
    assert pale(page(before=on((0.3, 0.3, 0.3), (0.6, 0.6, 0.6))))
