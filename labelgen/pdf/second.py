"""A second reader of finished PDFs: every character with its place, size, colour and face, as a viewer would draw it."""

from __future__ import annotations

import ctypes
import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace


@dataclass(frozen=True, slots=True)
class Glyph:
    """One visible character. x, y: origin on the page [pt], from its bottom left. size_pt: type size as printed.
    left, bottom, right, top: bounds of its ink. colour: red, green, blue 0..255. turn: quarters of a circle it is turned by,
    against the clock."""

    char: str
    x: float
    y: float
    size_pt: float
    font: str
    colour: tuple[int, int, int]
    left: float
    bottom: float
    right: float
    top: float
    turn: int = 0


@dataclass(frozen=True, slots=True)
class GlyphPage:
    """A page as shown: its size [pt] and characters in reading order, blanks left out."""

    width: float
    height: float
    glyphs: tuple[Glyph, ...]

    @property
    def text(self) -> str:
        return "".join(g.char for g in self.glyphs)


def read_glyphs(pdf: bytes, numbers: Sequence[int] | None = None) -> tuple[GlyphPage, ...]:
    """Every page of a PDF, or those numbered from 0. Raises ReadBackError when it cannot be opened."""
    return _read(pdf, numbers, lambda page: (_read_page(page),))


def read_upright(pdf: bytes) -> tuple[GlyphPage, ...]:
    """Every page of a PDF as somebody reads it who turns the paper: a page for each way its letters stand, with those letters
    alone, upright and in their reading order. Raises ReadBackError when it cannot be opened."""
    return _read(pdf, None, _read_each_way)


def _read(pdf: bytes, numbers: Sequence[int] | None, read: Callable[..., tuple[GlyphPage, ...]]) -> tuple[GlyphPage, ...]:
    import pypdfium2

    from labelgen.errors import ReadBackError

    try:
        document = pypdfium2.PdfDocument(pdf)
    except pypdfium2.PdfiumError as error:
        why = "it is empty" if not pdf else "it is locked with a password: save it without one" if "password" in str(error) else "it is no PDF, or only part of one: export it again"
        raise ReadBackError(f"the PDF cannot be opened: {why}") from None
    try:
        return tuple(read_page for n in (range(len(document)) if numbers is None else numbers) for read_page in read(document[n]))
    except pypdfium2.PdfiumError as error:
        raise ReadBackError(f"a page of the PDF cannot be read, it is damaged: export it again ({error})") from None
    finally:
        document.close()


def _read_each_way(page) -> tuple[GlyphPage, ...]:
    pages = [_read_page(page)]
    for turn in sorted({g.turn for g in pages[0].glyphs} - {0}):
        _turn(page, -turn)
        pages.append(_read_page(page))
        _turn(page, turn)
    return tuple(replace(p, glyphs=kept) for p in pages if (kept := tuple(g for g in p.glyphs if g.turn == 0))) or (pages[0],)


def _turn(page, quarters: int) -> None:
    """Turns what is on a page about its middle, against the clock."""
    from pypdfium2 import PdfMatrix

    left, bottom, right, top = page.get_bbox()
    x, y = (left + right) / 2, (bottom + top) / 2
    about = PdfMatrix().translate(-x, -y).rotate(90 * quarters, ccw=True).translate(x, y)
    for one in page.get_objects(max_depth=1):
        one.transform(about)


def _read_page(page) -> GlyphPage:
    import pypdfium2.raw as raw

    # read as it was drawn: a page shown turned has its lines in another order
    page.set_rotation(0)
    text = page.get_textpage()
    names = ctypes.create_string_buffer(256)
    origin_x, origin_y, left, right, bottom, top = (ctypes.c_double() for _ in range(6))
    red, green, blue, alpha = (ctypes.c_uint() for _ in range(4))
    flags, matrix = ctypes.c_int(), raw.FS_MATRIX()
    found = []
    for n in range(text.count_chars()):
        # the reader gives a hyphen at the end of a line as a control character of its own
        char = chr(raw.FPDFText_GetUnicode(text, n)).replace("\x02", "-")
        if raw.FPDFText_IsGenerated(text, n) == 1 or not char.strip():
            continue
        raw.FPDFText_GetCharOrigin(text, n, origin_x, origin_y)
        raw.FPDFText_GetCharBox(text, n, left, right, bottom, top)
        raw.FPDFText_GetFillColor(text, n, red, green, blue, alpha)
        raw.FPDFText_GetMatrix(text, n, matrix)
        raw.FPDFText_GetFontInfo(text, n, names, 256, flags)
        scale = (matrix.c**2 + matrix.d**2) ** 0.5
        found.append(Glyph(
            char, origin_x.value, origin_y.value, raw.FPDFText_GetFontSize(text, n) * scale, names.value.decode("utf-8", "replace"),
            (red.value, green.value, blue.value), left.value, bottom.value, right.value, top.value, round(math.atan2(matrix.b, matrix.a) / (math.pi / 2)) % 4,
        ))  # fmt: skip
    text.close()
    return GlyphPage(page.get_width(), page.get_height(), tuple(found))


def contrast(colour: tuple[int, int, int]) -> float:
    """Contrast ratio of a colour against white paper, 1 to 21, by the relative luminance of sRGB (IEC 61966-2-1)."""
    linear = [c / 255 / 12.92 if c <= 10.31475 else ((c / 255 + 0.055) / 1.055) ** 2.4 for c in colour]
    return 1.05 / (0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2] + 0.05)
