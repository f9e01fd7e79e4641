"""Draws laid-out boxes into a PDF. The only module that imports ReportLab; it decides nothing."""

from __future__ import annotations

import io
from collections.abc import Iterable, Sequence
from functools import cache

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from labelgen.layout.boxes import Box, CodeBox, FillBox, PageLayout, RuleBox, TextBox
from labelgen.layout.metrics import face
from labelgen.layout.sheets import Sheet


@cache
def _font(name: str) -> str:
    """Registers a face once and returns the name ReportLab knows it by."""
    registered = face(name).postscript_name
    pdfmetrics.registerFont(TTFont(registered, face(name).path))
    return registered


def draw_label(layout: PageLayout) -> bytes:
    """One label as a PDF of its own size. Same layout, same bytes."""
    return draw_pages([layout])


def draw_sheets(sheets: Iterable[Sheet]) -> bytes:
    """Pages of labels. A layout is written once and placed as often as it is wanted, so many copies stay
    small.
    """
    out = io.BytesIO()
    canvas, forms = None, {}
    for sheet in sheets:
        canvas = canvas or _canvas(out, sheet.placements[0].layout)
        canvas.setPageSize((sheet.width, sheet.height))
        for layout in (p.layout for p in sheet.placements):
            if id(layout) not in forms:
                # the layout is kept beside its name: an id may be used again once its object is gone
                forms[id(layout)] = (f"L{len(forms)}", layout)
                canvas.beginForm(forms[id(layout)][0], 0, 0, layout.width_pt, layout.height_pt)
                _draw_boxes(canvas, layout.boxes)
                canvas.endForm()
        for placed in sheet.placements:
            canvas.saveState()
            if placed.turned:
                canvas.transform(
                    -1, 0, 0, -1, placed.x + placed.layout.width_pt, placed.y + placed.layout.height_pt
                )
            else:
                canvas.transform(1, 0, 0, 1, placed.x, placed.y)
            canvas.doForm(forms[id(placed.layout)][0])
            canvas.restoreState()
        _draw_boxes(canvas, sheet.marks)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _canvas(out: io.BytesIO, first: PageLayout) -> Canvas:
    # without a font of its own the canvas names one that is not in the file
    canvas = Canvas(out, invariant=1, initialFontName=_font("regular"))
    canvas.setTitle(first.product)
    canvas.setAuthor(first.author)
    # print dialogues then offer the true size first
    canvas.setViewerPreference("PrintScaling", "None")
    return canvas


def _draw_boxes(canvas: Canvas, boxes: Iterable[Box]) -> None:
    for box in boxes:
        if isinstance(box, TextBox):
            canvas.setFont(_font(box.face), box.size_pt)
            canvas.drawString(box.x, box.y, box.text)
        elif isinstance(box, RuleBox):
            canvas.setLineWidth(box.thickness)
            canvas.line(box.x1, box.y1, box.x2, box.y2)
        elif isinstance(box, FillBox):
            canvas.rect(box.x, box.y, box.width, box.height, stroke=0, fill=1)
        else:
            _draw_code(canvas, box)


def draw_pages(layouts: Sequence[PageLayout]) -> bytes:
    """A document of several pages, each of its own size. Same layouts, same bytes."""
    out = io.BytesIO()
    canvas = _canvas(out, layouts[0])
    for layout in layouts:
        canvas.setPageSize((layout.width_pt, layout.height_pt))
        _draw_boxes(canvas, layout.boxes)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _draw_code(canvas: Canvas, box: CodeBox) -> None:
    """The bars alone: the quiet zone is left white by the layout, the digits are set as text."""
    from reportlab.graphics.barcode import createBarcodeDrawing

    names = {"ean13": "EAN13", "ean8": "EAN8", "upca": "UPCA", "qr": "QR"}
    # the correction level suits a label that gets wet and creased
    extra = {"barLevel": "M", "barBorder": 0} if box.kind == "qr" else {"humanReadable": 0, "quiet": 0}
    drawing = createBarcodeDrawing(names[box.kind], value=box.value, **extra)
    canvas.saveState()
    canvas.transform(box.width / drawing.width, 0, 0, box.height / drawing.height, box.x, box.y)
    drawing.drawOn(canvas, 0, 0)
    canvas.restoreState()
