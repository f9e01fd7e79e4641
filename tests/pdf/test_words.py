"""Words of other people's labels: what stands on the page is read as a person reads it, whatever order it
is drawn in.
"""

from __future__ import annotations

import io

import pytest

from labelgen.pdf.label_words import read_words

LIST = [
    "Ingredients: wheat flour, butter (milk), sugar,",
    "hazelnuts, dark chocolate (soy lecithin), dried",
    "apricots (sulfur dioxide), eggs.",
]
READ = " ".join(LIST)


def pdf_of(draw, size=(320, 200)) -> bytes:
    from reportlab.pdfgen.canvas import Canvas

    kept = io.BytesIO()
    canvas = Canvas(kept, pagesize=size)
    canvas.setFont("Helvetica", 8)
    draw(canvas)
    canvas.save()
    return kept.getvalue()


def as_lines(canvas):
    for n, line in enumerate(LIST):
        canvas.drawString(10, 180 - 10 * n, line)


def bottom_first(canvas):
    for n, line in reversed(list(enumerate(LIST))):
        canvas.drawString(10, 180 - 10 * n, line)


def rotated(canvas):
    canvas.rotate(90)
    for n, line in enumerate(LIST):
        canvas.drawString(10, -20 - 10 * n, line)


def upside_down(canvas):
    canvas.translate(320, 200)
    canvas.rotate(180)
    as_lines(canvas)


def by_letters(canvas):
    for n, line in enumerate(LIST):
        x = 10
        for letter in line:
            canvas.drawString(x, 180 - 10 * n, letter)
            x += canvas.stringWidth(letter, "Helvetica", 8)


def beside_another_column(canvas):
    for n, (line, other) in enumerate(
        zip(LIST, ["Keep cool and dry.", "Net wt 680 g", "Example Hill Bakes"])
    ):
        canvas.drawString(10, 180 - 10 * n, line)
        canvas.drawString(240, 180 - 10 * n, other)


@pytest.mark.parametrize(
    "draw", [as_lines, bottom_first, rotated, upside_down, by_letters, beside_another_column]
)
def test_a_list_reads_whole(draw):
    assert READ in " ".join(read_words(pdf_of(draw)).text.split())


def test_faces_are_told_apart():
    def draw(canvas):
        x = 10
        for text, face in (
            ("Ingredients: ", "Helvetica"),
            ("wheat", "Helvetica-Bold"),
            (" flour, ", "Helvetica"),
            ("milk", "Times-Italic"),
            (", rice", "Helvetica"),
        ):
            canvas.setFont(face, 8)
            canvas.drawString(x, 180, text)
            x += canvas.stringWidth(text, face, 8)

    read = read_words(pdf_of(draw))
    assert read.text == "Ingredients: wheat flour, milk, rice"
    assert [read.text[a:b] for a, b in read.bold] == ["wheat"] and [
        read.text[a:b] for a, b in read.slanted
    ] == ["milk"]


def test_type_drawn_with_an_outline_is_bold():
    def draw(canvas):
        text = canvas.beginText(10, 180)
        text.setTextRenderMode(2)
        text.textOut("milk")
        canvas.drawText(text)

    read = read_words(pdf_of(draw))
    assert read.bold == ((0, 4),)


def test_cells_of_a_row_are_kept_apart():
    def draw(canvas):
        for n, (name, answer) in enumerate((("Milk", "yes"), ("Egg", "no"), ("Soy", "no"))):
            canvas.drawString(10, 180 - 20 * n, name)
            canvas.drawString(150, 180 - 20 * n, answer)

    assert read_words(pdf_of(draw)).text == "Milk\tyes\nEgg\tno\nSoy\tno"


def test_a_picture_holds_no_words():
    assert read_words(pdf_of(lambda canvas: canvas.rect(10, 10, 100, 100))).text == ""


def test_three_columns_drawn_line_by_line():
    def draw(canvas):
        for n, row in enumerate(
            (
                ("Ingredients: wheat,", "Keep cool", "Contains: Wheat,"),
                ("butter (milk), sugar,", "and dry.", "Milk, Egg."),
                ("eggs.", "680 g", "Example Hill"),
            )
        ):
            for x, cell in zip((10, 130, 230), row):
                canvas.drawString(x, 180 - 10 * n, cell)

    said = " ".join(read_words(pdf_of(draw)).text.split())
    assert "Ingredients: wheat, butter (milk), sugar, eggs." in said and "Contains: Wheat, Milk, Egg." in said


def test_a_word_cut_by_the_end_of_a_line_is_whole_in_its_face():
    def draw(canvas):
        canvas.setFont("Helvetica-Bold", 8)
        canvas.drawString(10, 180, "hazel-")
        canvas.drawString(10, 170, "nuts, SOY-")
        canvas.drawString(10, 160, "BEANS")

    read = read_words(pdf_of(draw))
    assert read.text == "hazelnuts, SOYBEANS" and [read.text[a:b] for a, b in read.bold] == [read.text]
