"""Reads a finished PDF back with a second library: every stretch of text with its place, face and size."""

from __future__ import annotations

import io
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Seen:
    """Text found in the PDF. x, y: baseline's left end [pt]; size_pt: type size; font: its name; embedded:
    in the file.
    """

    text: str
    x: float
    y: float
    size_pt: float
    font: str
    embedded: bool


#: ((width, height) of a page [pt], its texts).
Page = tuple[tuple[float, float], tuple[Seen, ...]]


def read_back(pdf: bytes) -> Page:
    """Size and texts of the first page."""
    return read_pages(pdf)[0]


def read_pages(pdf: bytes, numbers: Sequence[int] | None = None) -> tuple[Page, ...]:
    """Size and texts of every page, or of those numbered from 0; texts of a label placed on a sheet are
    given in the label's own coordinates.
    """
    from pypdf import PdfReader

    pages = PdfReader(io.BytesIO(pdf)).pages
    return tuple(_read_page(pages[n]) for n in (range(len(pages)) if numbers is None else numbers))


def page_marks(pdf: bytes) -> list[tuple]:
    """What tells each page's drawing from the others': size, stream and the objects it places. Pages with
    equal marks look alike.
    """
    from pypdf import PdfReader

    marks = []
    for page in PdfReader(io.BytesIO(pdf)).pages:
        placed = (page.get("/Resources") or {}).get("/XObject") or {}
        objects = tuple(sorted((name, placed.raw_get(name).idnum) for name in placed))
        contents = page.get_contents()
        marks.append(
            (
                float(page.mediabox.width),
                float(page.mediabox.height),
                contents.get_data() if contents else b"",
                objects,
            )
        )
    return marks


def _read_page(page) -> Page:
    seen: list[Seen] = []

    def visit(text, cm, tm, font, size):
        if text.strip():
            x = tm[4] * cm[0] + tm[5] * cm[2] + cm[4]
            y = tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
            descriptor = (font or {}).get("/FontDescriptor") or {}
            name = str((font or {}).get("/BaseFont", "")).rpartition("+")[2].lstrip("/")
            seen.append(
                Seen(text.strip("\n"), x, y, abs(size * tm[3] * cm[3]), name, "/FontFile2" in descriptor)
            )

    page.extract_text(visitor_text=visit)
    box = page.mediabox
    return (float(box.width), float(box.height)), tuple(seen)
