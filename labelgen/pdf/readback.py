"""Reads a finished PDF back with a second library: every stretch of text with its place, face and size."""

from __future__ import annotations

import io
from dataclasses import dataclass


@dataclass(frozen=True)
class Seen:
    """Text found in the PDF. x, y: baseline's left end [pt]; size_pt: type size; font: its name; embedded: in the file."""

    text: str
    x: float
    y: float
    size_pt: float
    font: str
    embedded: bool


def read_back(pdf: bytes) -> tuple[tuple[float, float], tuple[Seen, ...]]:
    """((page width, height) [pt], texts of the first page)."""
    from pypdf import PdfReader

    page = PdfReader(io.BytesIO(pdf)).pages[0]
    seen: list[Seen] = []

    def visit(text, cm, tm, font, size):
        if text.strip():
            x = tm[4] * cm[0] + tm[5] * cm[2] + cm[4]
            y = tm[4] * cm[1] + tm[5] * cm[3] + cm[5]
            descriptor = (font or {}).get("/FontDescriptor") or {}
            name = str((font or {}).get("/BaseFont", "")).rpartition("+")[2].lstrip("/")
            seen.append(Seen(text.strip("\n"), x, y, abs(size * tm[3] * cm[3]), name, "/FontFile2" in descriptor))

    page.extract_text(visitor_text=visit)
    box = page.mediabox
    return (float(box.width), float(box.height)), tuple(seen)
