"""A second reader of finished PDFs: every character with its place, size, colour and face, as a viewer
would draw it.
"""

from __future__ import annotations

import ctypes
import math
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from labelgen.pdf.ink import see_letters
from labelgen.pdf.opened import MOST_PAGES, open_pdf

Colour = tuple[int, int, int]
PAPER: Colour = (255, 255, 255)


@dataclass(frozen=True, slots=True)
class Glyph:
    """One character. x, y: origin on the page [pt], from its bottom left. size_pt: type size as printed.
    left, bottom, right, top: bounds of its ink. colour: red, green, blue 0..255; ground: what is under it.
    turn: quarters of a circle it is turned by, against the clock. seen: whether it can be seen on paper,
    whole.
    """

    char: str
    x: float
    y: float
    size_pt: float
    font: str
    colour: Colour
    left: float
    bottom: float
    right: float
    top: float
    turn: int = 0
    seen: bool = True
    ground: Colour = PAPER


@dataclass(frozen=True, slots=True)
class GlyphPage:
    """A page: its size as shown [pt] and its characters in reading order, blanks left out."""

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
    """Every page of a PDF as somebody reads it who turns the paper: a page for each way its letters stand,
    with those letters alone, upright and in their reading order. Raises ReadBackError when it cannot be
    opened.
    """
    return _read(pdf, None, _read_each_way, MOST_PAGES)


def read_unlike(pdf: bytes) -> tuple[str, ...]:
    """The texts of a PDF whose letters are not drawn as what the file says they are. Raises ReadBackError
    when it cannot be opened.
    """
    from labelgen.pdf.shapes import Drawn, find_unlike

    def look(page) -> tuple[str, ...]:
        x, y, _, _ = page.get_bbox()
        drawn = (g for _, g in _letters(page))
        return find_unlike(
            page,
            [
                Drawn(g.char, (g.left + x, g.bottom + y, g.right + x, g.top + y), g.font, g.turn)
                for g in drawn
            ],
        )

    return _read(pdf, None, look)


def _read(
    pdf: bytes, numbers: Sequence[int] | None, read: Callable[..., tuple], most_pages: int | None = None
) -> tuple:
    with open_pdf(pdf, most_pages) as document:
        chosen = range(len(document)) if numbers is None else numbers
        return tuple(read_page for n in chosen for read_page in read(document[n]))


def _read_each_way(page) -> tuple[GlyphPage, ...]:
    drawn = list(_letters(page))
    # what can be seen is seen before the page is turned about, which turns text off it
    glyphs = _inked(page, [g for _, g in drawn])
    ink = {place: g for (place, _), g in zip(drawn, glyphs, strict=True)}
    ways = [glyphs]
    for turn in sorted({g.turn for g in glyphs} - {0}):
        _turn(page, -turn)
        ways.append(
            [
                replace(g, seen=ink[place].seen, ground=ink[place].ground)
                for place, g in _letters(page)
                if place in ink
            ]
        )
        _turn(page, turn)
    upright = (tuple(g for g in way if g.turn == 0) for way in ways)
    return tuple(_page(page, kept) for kept in upright if kept) or (_page(page, glyphs),)


def _turn(page, quarters: int) -> None:
    """Turns what is on a page about its middle, against the clock."""
    from pypdfium2 import PdfMatrix

    left, bottom, right, top = page.get_bbox()
    x, y = (left + right) / 2, (bottom + top) / 2
    about = PdfMatrix().translate(-x, -y).rotate(90 * quarters, ccw=True).translate(x, y)
    for one in page.get_objects(max_depth=1):
        one.transform(about)


def _read_page(page) -> GlyphPage:
    return _page(page, _inked(page, [g for _, g in _letters(page)]))


def _page(page, glyphs: Iterable[Glyph]) -> GlyphPage:
    return GlyphPage(page.get_width(), page.get_height(), tuple(glyphs))


def _inked(page, glyphs: Sequence[Glyph]) -> list[Glyph]:
    """The same letters with what can be seen of them on paper."""
    x, y, _, _ = page.get_bbox()
    ink = see_letters(page, [((g.left + x, g.bottom + y, g.right + x, g.top + y), g.size_pt) for g in glyphs])
    every = zip(glyphs, ink.seen, ink.ground, strict=True)
    return [
        g if seen and ground == PAPER else replace(g, seen=seen, ground=ground) for g, seen, ground in every
    ]


def _letters(page) -> Iterator[tuple[tuple[int, int], Glyph]]:
    """((the text it is drawn in, its number there), letter) of a page, in reading order."""
    import pypdfium2.raw as raw

    # read as it was drawn: a page shown turned has its lines in another order
    page.set_rotation(0)
    textpage = page.get_textpage()
    text = textpage.raw
    names = ctypes.create_string_buffer(256)
    origin_x, origin_y, left, right, bottom, top = (ctypes.c_double() for _ in range(6))
    red, green, blue, alpha = (ctypes.c_uint() for _ in range(4))
    flags, matrix = ctypes.c_int(), raw.FS_MATRIX()
    x, y, _, _ = page.get_bbox()
    counts: dict[int, int] = defaultdict(int)
    for n in range(textpage.count_chars()):
        # the reader gives a hyphen at the end of a line as a control character of its own
        char = chr(raw.FPDFText_GetUnicode(text, n)).replace("\x02", "-")
        if not char.strip() or raw.FPDFText_IsGenerated(text, n) == 1:
            continue
        raw.FPDFText_GetCharOrigin(text, n, origin_x, origin_y)
        raw.FPDFText_GetCharBox(text, n, left, right, bottom, top)
        raw.FPDFText_GetFillColor(text, n, red, green, blue, alpha)
        raw.FPDFText_GetMatrix(text, n, matrix)
        raw.FPDFText_GetFontInfo(text, n, names, 256, flags)
        drawn = raw.FPDFText_GetTextObject(text, n)
        drawn = ctypes.addressof(drawn.contents) if drawn else 0
        counts[drawn] += 1
        scale = (matrix.c**2 + matrix.d**2) ** 0.5
        yield (
            (drawn, counts[drawn]),
            Glyph(
                char,
                origin_x.value - x,
                origin_y.value - y,
                raw.FPDFText_GetFontSize(text, n) * scale,
                names.value.decode("utf-8", "replace"),
                (red.value, green.value, blue.value),
                left.value - x,
                bottom.value - y,
                right.value - x,
                top.value - y,
                round(math.atan2(matrix.b, matrix.a) / (math.pi / 2)) % 4,
            ),
        )
    textpage.close()


def _luminance(colour: Colour) -> float:
    """Relative luminance, 0 to 1 (sRGB, IEC 61966-2-1)."""
    red, green, blue = (
        c / 255 / 12.92 if c <= 10.31475 else ((c / 255 + 0.055) / 1.055) ** 2.4 for c in colour
    )
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(colour: Colour, ground: Colour = PAPER) -> float:
    """Contrast ratio of a colour against its ground, 1 to 21, by the relative luminance of both."""
    dark, light = sorted(map(_luminance, (colour, ground)))
    return (light + 0.05) / (dark + 0.05)
