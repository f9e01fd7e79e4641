"""Preflight of PDFs made elsewhere: drawn here with another program's plain calls, then spoilt one way at
a time.
"""

import io
from datetime import date

import pytest
from reportlab.pdfgen.canvas import Canvas

from labelgen.chain import declare_product, roll_up_folder
from labelgen.errors import ReadBackError
from labelgen.layout.whole_label import lay_out_label
from labelgen.order import Job, Order
from labelgen.paths import templates
from labelgen.pdf.any_label import preflight
from labelgen.pdf.draw import draw_label
from labelgen.pdf.second import contrast


@pytest.fixture(scope="module")
def label():
    rolled = roll_up_folder(templates("kitchens", "demo"))
    return lay_out_label(declare_product(rolled, "oat-thins", Order("us", date(2026, 11, 25))))


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
    assert not {"overlap", "clipped", "low-contrast"} & codes(
        foreign(("wheat flour", 12, 20, 100, 0.3), ("milk", 12, 20, 114, 0)), label
    )


def test_contrast_of_known_colours():
    """Black on white is 21:1, and #767676 the lightest grey that reaches 4.5:1 (W3C, WCAG 2 contrast
    examples).
    """
    assert contrast((0, 0, 0)) == pytest.approx(21)
    assert contrast((0x76,) * 3) > 4.5 > contrast((0x77,) * 3)


@pytest.mark.parametrize("data", [b"", b"no pdf", b"%PDF-1.7\n" + bytes(range(256))])
def test_what_is_no_pdf(data, label):
    with pytest.raises(ReadBackError, match="opened"):
        preflight(data, "x.pdf", [label])


def test_a_picture_of_a_label_has_no_text(label):
    with pytest.raises(ReadBackError, match="picture"):
        preflight(foreign(), "x.pdf", [label])


def redrawn(label, change=lambda box: box.text, order=lambda boxes: boxes, turn=0):
    """The label's texts drawn by plain calls, each at its place, in an order and direction of another
    program's choosing.
    """
    from labelgen.layout.boxes import TextBox

    out = io.BytesIO()
    side = max(label.width_pt, label.height_pt)
    canvas = Canvas(out, pagesize=(side, side))
    if turn:
        canvas.translate(side, 0)
        canvas.rotate(turn)
    for box in order([b for b in label.boxes if isinstance(b, TextBox)]):
        canvas.setFont("Helvetica-Bold" if box.face in ("bold", "black") else "Helvetica", box.size_pt * 0.95)
        canvas.drawString(box.x, box.y, change(box))
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def columns_first(boxes):
    """All names, then all amounts, then all percentages, as a spreadsheet's columns are drawn."""
    return sorted(
        boxes,
        key=lambda b: (
            b.part.startswith("panel."),
            b.part.rpartition(".")[2] if b.part.endswith(("amount", "percent")) else "",
        ),
    )


@pytest.mark.parametrize("order", [list, columns_first])
@pytest.mark.parametrize("turn", [0, 90])
def test_figures_are_read_beside_their_names(label, order, turn):
    assert not {"figure-differs", "figure-else"} & codes(redrawn(label, order=order, turn=turn), label)


@pytest.mark.parametrize(
    "part",
    [
        "panel.calories.0",
        "panel.total_fat.0.amount",
        "panel.total_sugars.0.amount",
        "panel.sodium.0.percent",
        "panel.iron.0.percent",
    ],
)
@pytest.mark.parametrize("order", [list, columns_first])
def test_one_wrong_figure_is_seen(label, part, order):
    """Every other text is right, and the wrong figure is the only one."""
    box = next(b for b in label.boxes if getattr(b, "part", "") == part)
    wrong = "7" + box.text if box.text[0] != "7" else "1" + box.text
    pdf = redrawn(label, lambda b: wrong if b.part == part else b.text, order)
    name = next(s.text for s in label.statements if s.part == part.split(".0")[0])
    found = [f for f in preflight(pdf, "old.pdf", [label])[1] if f.code == "figure-differs"]
    assert [f.severity for f in found] == ["block"] and repr(name) in found[0].message


def test_figures_changed_about_are_seen(label):
    """Two amounts of the same panel in each other's place: every figure is somewhere in the file."""
    texts = {
        b.part: b.text
        for b in label.boxes
        if getattr(b, "part", "") in ("panel.total_fat.0.amount", "panel.protein.0.amount")
    }
    one, other = texts
    assert texts[one] != texts[other]
    swapped = {one: texts[other], other: texts[one]}
    assert "figure-differs" in codes(redrawn(label, lambda b: swapped.get(b.part, b.text)), label)


def test_a_missing_figure_is_seen(label):
    assert "figure-differs" in codes(
        redrawn(label, order=lambda boxes: [b for b in boxes if b.part != "panel.calories.0"]), label
    )


def test_a_second_panel_with_other_figures_is_told(label):
    from pypdf import PdfWriter

    writer = PdfWriter()
    for pdf in (draw_label(label), foreign(("Calories", 12, 20, 100, 0), ("999", 12, 80, 100, 0))):
        writer.append(io.BytesIO(pdf))
    out = io.BytesIO()
    writer.write(out)
    assert any(
        f.code == "figure-else" and "999" in f.message
        for f in preflight(out.getvalue(), "old.pdf", [label])[1]
    )


@pytest.mark.parametrize(
    "text, severity",
    [("Now gluten free", "warn"), ("Contains: Sesame", "warn"), ("Ask for our winter menu", "note")],
)
def test_what_the_label_does_not_say_is_told(label, text, severity):
    from pypdf import PdfWriter

    writer = PdfWriter()
    for pdf in (draw_label(label), foreign((text, 12, 20, 100, 0))):
        writer.append(io.BytesIO(pdf))
    out = io.BytesIO()
    writer.write(out)
    told = [f for f in preflight(out.getvalue(), "old.pdf", [label])[1] if f.code == "text-else"]
    assert {f.severity for f in told} == {severity, "note"} and all(text in f.message for f in told)


def test_a_page_shown_turned_is_read_as_it_was_drawn(label):
    from pypdf import PdfWriter

    writer = PdfWriter()
    writer.append(io.BytesIO(draw_label(label)))
    writer.pages[0].rotate(90)
    out = io.BytesIO()
    writer.write(out)
    assert not preflight(out.getvalue(), "own.pdf", [label])[1]


@pytest.mark.parametrize("market", ["us", "eu", "ca"])
def test_a_fold_sheet_passes_with_its_upside_down_faces(market):
    """Their letters are measured and read in the way they stand, and a figure spoilt on such a face is
    seen.
    """
    from dataclasses import replace

    from labelgen.chain import draw_product, print_sheets

    rolled, job = roll_up_folder(templates("kitchens", "demo")), Job(stock="fold-150x200mm")
    made = draw_product(rolled, "oat-thins", Order(market, date(2026, 11, 25), "", None, job))
    pdf, _ = print_sheets(made.stock, [(made.faces, 1)], job)
    met, findings = preflight(pdf, "fold.pdf", made.faces)
    assert not findings and all(m.ok for m in met) and len(made.faces) == 2
    fat = next(
        s
        for s in made.faces[1].statements
        if "total_fat" in s.part or s.part.endswith((".fat", ".fat.0.amount", ".fat.amount"))
    )
    other = replace(
        made.faces[1],
        statements=tuple(replace(s, text=s.text + "9") if s is fat else s for s in made.faces[1].statements),
    )
    assert {f.code for f in preflight(pdf, "fold.pdf", (made.faces[0], other))[1]} & {
        "text-missing",
        "figure-differs",
    }


@pytest.mark.parametrize("turn", [90, 180, 270])
def test_letters_of_a_turned_page_are_as_high_as_they_are(label, turn):
    from pypdf import PdfReader, PdfWriter, Transformation

    writer = PdfWriter(clone_from=PdfReader(io.BytesIO(draw_label(label))))
    page, side = writer.pages[0], 2 * max(label.width_pt, label.height_pt)
    page.add_transformation(Transformation().rotate(turn).translate(side, side))
    page.mediabox.lower_left, page.mediabox.upper_right = (0, 0), (2 * side, 2 * side)
    page.cropbox = page.mediabox
    out = io.BytesIO()
    writer.write(out)
    upright, _ = preflight(draw_label(label), "own.pdf", [label])
    turned, findings = preflight(out.getvalue(), "turned.pdf", [label])
    assert not findings and [m.height_mm for m in turned] == pytest.approx(
        [m.height_mm for m in upright], abs=0.02
    )


@pytest.mark.parametrize("market", ["us", "eu", "ca", "au"])
def test_a_box_and_every_product_pass_their_own_labels(market):
    rolled = roll_up_folder(templates("kitchens", "demo"))
    for key in ("harvest-box", "hill-loaf", "lemon-tartlets"):
        whole = lay_out_label(declare_product(rolled, key, Order(market, date(2026, 11, 25))))
        assert not [f.message for f in preflight(draw_label(whole), "own.pdf", [whole])[1]]


def test_a_form_that_holds_itself_is_no_endless_matter(label):
    from pypdf import PdfWriter
    from pypdf.generic import ArrayObject, DecodedStreamObject, DictionaryObject, NameObject, NumberObject

    writer = PdfWriter(clone_from=io.BytesIO(draw_label(label)))
    form = DecodedStreamObject()
    form.set_data(b"/X0 Do")
    form.update(
        {
            NameObject("/Type"): NameObject("/XObject"),
            NameObject("/Subtype"): NameObject("/Form"),
            NameObject("/BBox"): ArrayObject([NumberObject(n) for n in (0, 0, 9, 9)]),
        }
    )
    held = DictionaryObject({NameObject("/X0"): writer._add_object(form)})
    form[NameObject("/Resources")] = DictionaryObject({NameObject("/XObject"): held})
    writer.pages[0]["/Resources"][NameObject("/XObject")] = held
    out = io.BytesIO()
    writer.write(out)
    assert not preflight(out.getvalue(), "own.pdf", [label])[1]


def test_letters_of_all_sizes_over_one_another_are_seen(label):
    """A small letter on a large one, far from where the large one begins."""
    assert "overlap" in codes(foreign(("MW", 200, 5, 60, 0), ("o", 8, 58, 120, 0)), label)
    assert "overlap" not in codes(foreign(("M", 200, 5, 60, 0), ("o", 8, 230, 120, 0)), label)


def test_a_damaged_file_is_told_and_never_raised(label):
    """Bytes changed, cut out and put in at random places of a sound label: it is read, refused or found
    wanting.
    """
    import random

    chance, good = random.Random(11), draw_label(label)
    for _ in range(150):
        spoilt = bytearray(good)
        for _ in range(chance.choice([1, 3, 20, 200])):
            at, kind = chance.randrange(len(spoilt)), chance.random()
            if kind < 0.6:
                spoilt[at] = chance.randrange(256)
            elif kind < 0.8:
                del spoilt[at : at + chance.randrange(1, 60)]
            else:
                spoilt[at:at] = bytes(chance.randrange(256) for _ in range(chance.randrange(1, 30)))
        try:
            preflight(bytes(spoilt), "spoilt.pdf", [label])
        except ReadBackError as refused:
            assert "export" in str(refused)
