"""Preflight of PDFs made elsewhere: drawn here with another program's plain calls, then spoilt one way at a time."""

import io
from datetime import date

import pytest
from reportlab.pdfgen.canvas import Canvas

from labelgen.chain import declare_product, roll_up_folder
from labelgen.errors import ReadBackError
from labelgen.layout.label import lay_out_label
from labelgen.paths import templates
from labelgen.pdf.draw import draw_label
from labelgen.pdf.preflight import preflight
from labelgen.pdf.second import contrast


@pytest.fixture(scope="module")
def label():
    rolled = roll_up_folder(templates("kitchens", "demo"))
    return lay_out_label(declare_product(rolled, "oat-thins", "us", date(2026, 11, 25)))


def codes(pdf, label):
    return {f.code for f in preflight(pdf, "old.pdf", [label])[1]}


def foreign(*lines):
    """(text, size, x, y, grey) drawn in a face that is not put into the file."""
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(300, 300))
    for text, size, x, y, grey in lines:
        canvas.setFont("Helvetica", size)
        canvas.setFillGray(grey)
        canvas.drawString(x, y, text)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def test_our_own_label_passes(label):
    met, findings = preflight(draw_label(label), "own.pdf", [label])
    assert not findings and met and all(m.ok for m in met)


def test_measured_heights_are_those_of_the_font(label):
    """Roboto's x-height is 1082 of 2048 units and its capitals 1456 (the font's own OS/2 table)."""
    met, _ = preflight(draw_label(label), "own.pdf", [label])
    for one in met:
        if one.height_mm:
            assert one.height_mm == pytest.approx(one.size_pt * 1082 / 2048 * 25.4 / 72, rel=0.03)


def test_a_foreign_label_is_held_to_every_text(label):
    pdf = foreign(("Contains: Milk, Wheat.", 4, 20, 200, 0), ("Keep", 9, 20, 100, 0))
    findings = preflight(pdf, "old.pdf", [label])[1]
    said = [f.message for f in findings]
    assert {"text-missing", "type-too-small", "font-not-embedded"} <= {f.code for f in findings}
    assert any("Contains: Milk, Wheat." in m and "0.7" in m for m in said)
    assert any("Ingredients" in m for m in said)


def test_a_slip_in_a_long_text_is_shown_where_it_is(label):
    text = next(s.text for s in label.statements if s.part == "ingredients")
    findings = preflight(foreign((text.replace("honey", "money"), 9, 1, 100, 0)), "old.pdf", [label])[1]
    assert any("must go on 'honey" in f.message for f in findings)


def test_net_quantity_must_be_bold(label):
    net = next(s.text for s in label.statements if s.part == "net-quantity")
    assert "not-bold" in codes(foreign((net, 30, 1, 100, 0)), label)


def test_letters_over_one_another_off_the_page_and_pale(label):
    assert "overlap" in codes(foreign(("wheat", 12, 20, 100, 0), ("flour", 12, 21, 101, 0)), label)
    assert "clipped" in codes(foreign(("wheat flour", 12, 280, 100, 0)), label)
    assert "low-contrast" in codes(foreign(("wheat flour", 12, 20, 100, 0.6)), label)
    assert not {"overlap", "clipped", "low-contrast"} & codes(foreign(("wheat flour", 12, 20, 100, 0.3), ("milk", 12, 20, 114, 0)), label)


def test_contrast_of_known_colours():
    """Black on white is 21:1, and #767676 the lightest grey that reaches 4.5:1 (W3C, WCAG 2 contrast examples)."""
    assert contrast((0, 0, 0)) == pytest.approx(21)
    assert contrast((0x76,) * 3) > 4.5 > contrast((0x77,) * 3)


@pytest.mark.parametrize("data", [b"", b"no pdf", b"%PDF-1.7\n" + bytes(range(256))])
def test_what_is_no_pdf(data, label):
    with pytest.raises(ReadBackError, match="opened"):
        preflight(data, "x.pdf", [label])


def test_a_picture_of_a_label_has_no_text(label):
    with pytest.raises(ReadBackError, match="picture"):
        preflight(foreign(), "x.pdf", [label])
