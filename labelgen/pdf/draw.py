"""Draws laid-out boxes into a PDF. The only module that imports ReportLab; it decides nothing."""

from __future__ import annotations

import io
from collections.abc import Sequence
from functools import cache

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from labelgen.layout.boxes import FillBox, PageLayout, RuleBox, TextBox
from labelgen.layout.metrics import face


@cache
def _font(name: str) -> str:
    """Registers a face once and returns the name ReportLab knows it by."""
    registered = face(name).postscript_name
    pdfmetrics.registerFont(TTFont(registered, face(name).path))
    return registered


def draw_label(layout: PageLayout) -> bytes:
    """One label as a PDF of its own size. Same layout, same bytes."""
    return draw_page(layout.width_pt, layout.height_pt, [(layout, 0.0, 0.0)])


def draw_page(width: float, height: float, placed: list[tuple[PageLayout, float, float]]) -> bytes:
    """Labels placed at (x, y) of their bottom-left corners on one page; all lengths in points."""
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(width, height), invariant=1)
    first = placed[0][0]
    canvas.setTitle(first.product)
    canvas.setAuthor(first.author)
    for layout, dx, dy in placed:
        _draw_boxes(canvas, layout, dx, dy)
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def _draw_boxes(canvas: Canvas, layout: PageLayout, dx: float, dy: float) -> None:
    for box in layout.boxes:
        if isinstance(box, TextBox):
            canvas.setFont(_font(box.face), box.size_pt)
            canvas.drawString(box.x + dx, box.y + dy, box.text)
        elif isinstance(box, RuleBox):
            canvas.setLineWidth(box.thickness)
            canvas.line(box.x1 + dx, box.y1 + dy, box.x2 + dx, box.y2 + dy)
        elif isinstance(box, FillBox):
            canvas.rect(box.x + dx, box.y + dy, box.width, box.height, stroke=0, fill=1)


def draw_pages(layouts: Sequence[PageLayout]) -> bytes:
    """A document of several pages, each of its own size. Same layouts, same bytes."""
    out = io.BytesIO()
    canvas = Canvas(out, invariant=1)
    canvas.setTitle(layouts[0].product)
    for layout in layouts:
        canvas.setPageSize((layout.width_pt, layout.height_pt))
        _draw_boxes(canvas, layout, 0.0, 0.0)
        canvas.showPage()
    canvas.save()
    return out.getvalue()
