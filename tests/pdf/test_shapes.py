"""A PDF whose code map tells other letters than it draws is not read, whatever words it seems to say."""

from __future__ import annotations

import io
import re
from datetime import date

import pytest
from pypdf import PdfReader, PdfWriter
from pypdf.generic import NameObject, StreamObject
from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from labelgen.chain import declare_product, roll_up_folder
from labelgen.cli import main
from labelgen.layout.metrics import face
from labelgen.layout.whole_label import lay_out_label
from labelgen.order import Order
from labelgen.paths import templates
from labelgen.pdf.any_label import preflight
from labelgen.pdf.draw import draw_label
from labelgen.pdf.label_words import read_words
from labelgen.pdf.second import read_unlike

LINES = (
    "Ingredients: wheat flour, butter (milk), sugar,",
    "hazelnuts, dark chocolate (soy lecithin), eggs.",
)


def page(font="Helvetica", size=9, turn=0, mapped=None):
    """LINES in a face. mapped: letter -> what the file says it is."""
    if font not in pdfmetrics.standardFonts:
        pdfmetrics.registerFont(TTFont(font, face(font).path))
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(300, 300))
    canvas.translate(150, 150)
    canvas.rotate(turn)
    canvas.setFont(font, size)
    for n, line in enumerate(LINES):
        canvas.drawString(-140, -12 * n, line)
    canvas.save()
    return out.getvalue() if mapped is None else remapped(out.getvalue(), mapped)


def remapped(pdf, mapped):
    """The same file with other meanings in the code maps of its fonts."""
    writer = PdfWriter(clone_from=PdfReader(io.BytesIO(pdf)))
    for font in writer.pages[0]["/Resources"]["/Font"].values():
        font = font.get_object()
        if "/ToUnicode" in font:
            said = font["/ToUnicode"].get_object().get_data().decode("latin-1")
            meaning = re.compile(r"(<[0-9A-F]+>\s*)<([0-9A-F]{4})>\s*$", re.MULTILINE)
            told = meaning.sub(lambda m: f"{m[1]}<{ord(mapped(chr(int(m[2], 16)))):04X}>", whole(said))
            assert told != said
            stream = StreamObject()
            stream.set_data(told.encode("latin-1"))
            font[NameObject("/ToUnicode")] = writer._add_object(stream)
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def whole(cmap):
    """A code map with a meaning a line: of ``<00> <7F> [<0041> <0042> ...]`` each code by itself."""

    def spread(found):
        first, meanings = int(found[1], 16), re.findall("<([0-9A-Fa-f]{4})>", found[2])
        codes = "\n".join(f"<{first + n:02X}> <{code.upper()}>" for n, code in enumerate(meanings))
        return f"{len(meanings)} beginbfchar\n{codes}\nendbfchar"

    ranges = r"\d+ beginbfrange\s*<([0-9A-Fa-f]+)>\s*<[0-9A-Fa-f]+>\s*\[(.*?)\]\s*endbfrange"
    return re.sub(ranges, spread, cmap, flags=re.DOTALL)


def shifted(letter, by=7):
    return chr((ord(letter) - 97 + by) % 26 + 97) if letter.isascii() and letter.islower() else letter


def private(letter):
    return chr(0xE000 + ord(letter))


WRONG = {
    "shifted": shifted,
    "by one": lambda c: shifted(c, 1),
    "private": private,
    "control": lambda c: "\x01",
}


@pytest.mark.parametrize("way", WRONG)
def test_letters_that_are_not_what_they_claim_are_not_read(way, tmp_path, capsys):
    pdf = page("regular", mapped=WRONG[way])
    assert "wheat" not in read_words(pdf).text and read_words(pdf).unlike
    file = tmp_path / "old.pdf"
    file.write_bytes(pdf)
    assert main(["allergens", "--pdf", str(file), "--market", "us"]) == 2
    said = capsys.readouterr()
    assert "NOT READ" in said.err and "none found" not in said.out


@pytest.mark.parametrize(
    "font",
    [
        "Helvetica",
        "Helvetica-BoldOblique",
        "Times-Roman",
        "Times-Italic",
        "Courier",
        "regular",
        "bold",
        "black",
    ],
)
@pytest.mark.parametrize("turn", [0, 90, 180])
def test_honest_faces_are_believed(font, turn):
    assert not read_words(page(font, turn=turn)).unlike and read_unlike(page(font, turn=turn)) == ()


def test_a_map_left_as_it_is_is_believed():
    assert read_words(page("regular", mapped=lambda c: c if c != "z" else "y")).unlike == ""


@pytest.fixture(scope="module")
def label():
    rolled = roll_up_folder(templates("kitchens", "demo"))
    return lay_out_label(declare_product(rolled, "oat-thins", Order("us", date(2026, 11, 25))))


def test_preflight_refuses_them(label):
    good = draw_label(label)
    assert not preflight(good, "own.pdf", [label])[1]
    assert "not-as-read" in {f.code for f in preflight(remapped(good, shifted), "own.pdf", [label])[1]}


def test_what_only_seems_to_say_it_is_refused(label):
    """Drawn as one text, said to be another: the words asked for are all there, and the page shows others."""
    back = remapped(draw_label(label), lambda c: shifted(c, -7))
    assert any(
        f.code == "not-as-read"
        for f in preflight(remapped(back, lambda c: shifted(c, 6)), "own.pdf", [label])[1]
    )


def test_bullets_of_a_font_of_signs_are_no_words():
    """One at the beginning of each line, in a font that says nothing."""
    out = io.BytesIO()
    pdfmetrics.registerFont(TTFont("regular", face("regular").path))
    canvas = Canvas(out, pagesize=(300, 300))
    for n in range(5):
        canvas.setFont("regular", 9)
        canvas.drawString(10, 200 - 12 * n, "o")
        canvas.setFont("Helvetica", 9)
        canvas.drawString(20, 200 - 12 * n, LINES[n % 2])
    canvas.save()
    assert read_words(remapped(out.getvalue(), private)).unlike == ""


@pytest.mark.parametrize("few", ["• •", "MILK"])
def test_too_few_letters_are_not_judged(few):
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(100, 100))
    canvas.setFont("Helvetica", 9)
    canvas.drawString(10, 50, few)
    canvas.save()
    assert read_words(out.getvalue()).unlike == ""
