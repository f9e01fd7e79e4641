"""Reads the words of somebody else's label: in the order they are read, with the faces they are set in.

The order in which a PDF draws its text is the order it reads in, unless the text jumps back up the page or to
and fro between two columns; then its lines are put together by where they stand.
"""

from __future__ import annotations

import ctypes
import itertools
import math
import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field
from typing import NamedTuple

from labelgen.composition.text.lexicon import is_torn
from labelgen.pdf.ink import see_letters
from labelgen.pdf.opened import MOST_PAGES, open_pdf
from labelgen.pdf.shapes import Drawn, find_unlike

#: Names of faces: "Helvetica-Bold", "Roboto-Black"; "Times-Italic".
_BOLD = re.compile(r"bold|black|heavy|demi", re.IGNORECASE)
_SLANTED = re.compile(r"italic|oblique|kursiv", re.IGNORECASE)
#: Gaps in type sizes: wider than a letter space, than a space between words of one line, than the pitch of a
# paragraph.
_SPACE, _GUTTER, _PITCH = 0.16, 2.5, 1.7
_FILLED_AND_STROKED = 2
#: An underline: at most so thick [pt], and less than this part of the type size under the baseline.
_THIN, _UNDER = 2.2, 0.3
Spans = tuple[tuple[int, int], ...]


class PdfWords(NamedTuple):
    """text: of all pages, as far as it can be seen on paper. bold, slanted: places of it set in such a
    face; what is underlined counts as slanted. hidden: the text that cannot be seen. unlike: the text
    whose letters are drawn as others, so that nothing tells what the page says.
    """

    text: str
    bold: Spans
    slanted: Spans
    hidden: str = ""
    unlike: str = ""


class _Letter(NamedTuple):
    """along, end, across: place in reading direction [pt]; across falls down the page."""

    char: str
    angle: int
    along: float
    end: float
    across: float
    size: float
    bold: bool
    slanted: bool


@dataclass
class _Line:
    """Letters on one baseline without a gap as wide as a gutter."""

    letters: list[_Letter] = field(default_factory=list)

    def __post_init__(self) -> None:
        first = self.letters[0]
        self.angle, self.start, self.end, self.across, self.size = (
            first.angle,
            first.along,
            first.end,
            first.across,
            first.size,
        )

    def takes(self, letter: _Letter) -> bool:
        near = letter.angle == self.angle and abs(letter.across - self.across) < 0.45 * self.size
        return near and -0.5 * self.size < letter.along - self.end < _GUTTER * self.size

    def add(self, letter: _Letter) -> None:
        self.letters.append(letter)
        self.end = max(self.end, letter.end)

    def beside(self, other: _Line) -> bool:
        return self.angle == other.angle and abs(self.across - other.across) < 0.45 * max(
            self.size, other.size
        )

    def over(self, other: _Line) -> bool:
        """Whether both stand in one column, whichever is higher."""
        return self.angle == other.angle and self.start < other.end and other.start < self.end


def read_words(pdf: bytes) -> PdfWords:
    """The words of a PDF's pages. Raises ReadBackError on a file that cannot be opened or is no label."""
    lines: list[_Line] = []
    unseen: list[_Line] = []
    unlike: list[str] = []
    with open_pdf(pdf, MOST_PAGES) as document:
        for page in document:
            letters = list(_letters(page))
            seen = see_letters(page, [(drawn.bounds, letter.size) for drawn, letter in letters]).seen
            both = list(zip(letters, seen, strict=True))
            unlike += find_unlike(page, [drawn for (drawn, _), s in both if s])
            lines += _in_order(_lines(letter for (_, letter), s in both if s))
            unseen += _in_order(_lines(letter for (_, letter), s in both if not s))
    hidden = _as_text(unseen).text
    return _as_text(lines)._replace(
        hidden=hidden if any(c.isalnum() for c in hidden) else "", unlike=" ".join(unlike)
    )


def _letters(page) -> Iterator[tuple[Drawn, _Letter]]:
    """The letters of a page as claimed and as set, spaces left out: where they stand tells what is a word."""
    from pypdfium2 import raw

    textpage, strokes = page.get_textpage(), _strokes(page)
    x, y, matrix = ctypes.c_double(), ctypes.c_double(), raw.FS_MATRIX()
    left, bottom, right, top = (ctypes.c_double() for _ in range(4))
    box, name, flags = raw.FS_RECTF(), ctypes.create_string_buffer(128), ctypes.c_int()
    for n in range(raw.FPDFText_CountChars(textpage)):
        char = "-" if raw.FPDFText_IsHyphen(textpage, n) == 1 else chr(raw.FPDFText_GetUnicode(textpage, n))
        if raw.FPDFText_IsGenerated(textpage, n) == 1 or not char.strip():
            continue
        char = char if ord(char) >= 32 else "\ufffd"
        raw.FPDFText_GetCharOrigin(textpage, n, x, y)
        raw.FPDFText_GetLooseCharBox(textpage, n, box)
        raw.FPDFText_GetCharBox(textpage, n, left, right, bottom, top)
        raw.FPDFText_GetFontInfo(textpage, n, name, 128, flags)
        raw.FPDFText_GetMatrix(textpage, n, matrix)
        turn = round(math.degrees(math.atan2(matrix.b, matrix.a))) % 360
        along = x.value * math.cos(math.radians(turn)) + y.value * math.sin(math.radians(turn))
        across = x.value * math.sin(math.radians(turn)) - y.value * math.cos(math.radians(turn))
        wide, high = box.right - box.left, box.top - box.bottom
        length, size = (high, wide) if 45 < turn % 180 < 135 else (wide, high)
        face = name.value.decode("utf-8", "replace")
        stroked = (
            raw.FPDFTextObj_GetTextRenderMode(raw.FPDFText_GetTextObject(textpage, n)) == _FILLED_AND_STROKED
        )
        under = turn == 0 and any(
            a - 1 <= x.value and x.value + length / 2 <= b and -_UNDER * size < low - y.value < 0
            for a, low, b in strokes
        )
        heavy, slanted = stroked or bool(_BOLD.search(face)), under or bool(_SLANTED.search(face))
        bounds = (left.value, bottom.value, right.value, top.value)
        quarters = turn // 90 if turn % 90 == 0 else 0
        yield (
            Drawn(char, bounds, face, quarters),
            _Letter(char, turn, along, along + length, across, max(size, 1.0), heavy, slanted),
        )


def _strokes(page) -> list[tuple[float, float, float]]:
    """(left, bottom, right) of the thin level lines of a page, under text or not."""
    from pypdfium2 import raw

    bounds = (
        (shape.get_bounds if hasattr(shape, "get_bounds") else shape.get_pos)()
        for shape in page.get_objects(filter=[raw.FPDF_PAGEOBJ_PATH])
    )
    return [
        (left, bottom, right)
        for left, bottom, right, top in bounds
        if top - bottom < _THIN and right - left > _THIN
    ]


def _lines(letters: Iterable[_Letter]) -> list[_Line]:
    lines: list[_Line] = []
    for letter in letters:
        if lines and lines[-1].takes(letter):
            lines[-1].add(letter)
        else:
            lines.append(_Line([letter]))
    return lines


def _in_order(lines: list[_Line]) -> list[_Line]:
    """Lines as drawn, unless they jump; then by blocks of lines that stand close under each other, from
    top to bottom.
    """
    upwards = any(b.across < a.across - 0.5 * a.size and a.over(b) for a, b in itertools.pairwise(lines))
    rows: list[list[_Line]] = []
    for line in lines:
        if rows and rows[-1][-1].beside(line):
            rows[-1].append(line)
        else:
            rows.append([line])
    fro = sum(
        len(r) > 1 and r[0].over(s[0]) and 0 < s[0].across - r[0].across < _PITCH * r[0].size
        for r, s in itertools.pairwise(rows)
    )
    if not upwards and fro < 2:
        return lines
    blocks: list[list[_Line]] = []
    for line in sorted(lines, key=lambda w: (w.angle, w.across)):
        near = [
            b for b in blocks if any(o.over(line) and line.across - o.across < _PITCH * line.size for o in b)
        ]
        block = [w for b in near for w in b] + [line]
        blocks = [b for b in blocks if b not in near] + [block]
    blocks.sort(key=lambda b: (b[0].angle, min(w.across for w in b), min(w.start for w in b)))
    return [w for b in blocks for w in sorted(b, key=lambda w: (round(w.across), w.start))]


def _as_text(lines: list[_Line]) -> PdfWords:
    """One line of text a line; what stands beside it on the page follows after a tabulator."""
    text: list[str] = []
    spans: dict[str, list[tuple[int, int]]] = {"bold": [], "slanted": []}
    before: _Line | None = None
    for line in lines:
        if before and is_torn("".join(text[-2:]), "".join(x.char for x in line.letters[:2])):
            text.pop()  # a word the end of a line cut in two
        elif before:
            text.append("\t" if before.beside(line) and line.start >= before.end else "\n")
        end = None
        for letter in line.letters:
            if end is not None and letter.along - end > _SPACE * letter.size:
                text.append(" ")
            for face, places in spans.items():
                if getattr(letter, face):
                    _extend(places, len(text), text)
            text.append(letter.char)
            end = letter.end
        before = line
    return PdfWords("".join(text), tuple(spans["bold"]), tuple(spans["slanted"]))


def _extend(places: list[tuple[int, int]], at: int, text: list[str]) -> None:
    """A letter more of a face: spaces between letters of one face belong to it."""
    if places and not "".join(text[places[-1][1] : at]).strip():
        places[-1] = (places[-1][0], at + 1)
    else:
        places.append((at, at + 1))
