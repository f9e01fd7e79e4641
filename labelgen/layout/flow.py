"""Running text whose words differ in face and size: broken to a width, each line as high as its largest
word asks.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from labelgen.layout.metrics import face
from labelgen.layout.stack import Stack, baseline_drop

#: Where a line may end; a no-break space is no such place.
_GAP = re.compile(r"[ \n\t]+")


@dataclass(frozen=True)
class Piece:
    """Text in one style. A space at either end parts it from its neighbour, none joins them into one word.

    part: the statement it belongs to. leading: least space [pt] between its line and the next.
    """

    text: str
    face: str
    size: float
    part: str
    leading: float = 1.0

    @property
    def width(self) -> float:
        return face(self.face).width(self.text, self.size)


def put_flow(stack: Stack, pieces: Sequence[Piece]) -> None:
    """The pieces one after the other, in as many lines as they take. A word too wide for the stack is
    asked room for.
    """
    line: list[tuple[Piece, bool]] = []
    used = 0.0
    for word in _words(pieces):
        wide = sum(piece.width for piece in word)
        stack.need(wide)
        space = face(line[-1][0].face).width(" ", line[-1][0].size) if line else 0.0
        if line and used + space + wide > stack.inner + 1e-9:
            _put_line(stack, line)
            line, used, space = [], 0.0, 0.0
        used += space + wide
        line += [(piece, number == 0) for number, piece in enumerate(word)]
    if line:
        _put_line(stack, line)


def _words(pieces: Sequence[Piece]) -> list[list[Piece]]:
    words: list[list[Piece]] = []
    joined = False
    for piece in pieces:
        parts = _GAP.split(piece.text)
        for number, text in enumerate(parts):
            if not text:
                joined = False
                continue
            own = Piece(text, piece.face, piece.size, piece.part, piece.leading)
            if number == 0 and joined and words:
                words[-1].append(own)
            else:
                words.append([own])
            joined = True
    return words


def _put_line(stack: Stack, line: Sequence[tuple[Piece, bool]]) -> None:
    """One line on one baseline; neighbours of one style and statement become one box."""
    pitch = max(piece.size + piece.leading for piece, _ in line)
    drop = max(baseline_drop(face(piece.face), piece.size, pitch) for piece, _ in line)
    x = stack.left
    runs: list[tuple[Piece, str, float, str]] = []
    for number, (piece, starts) in enumerate(line):
        gap = " " if number and starts else ""
        x += face(line[number - 1][0].face).width(gap, line[number - 1][0].size) if number else 0.0
        last = runs[-1] if runs else None
        if last and (last[0].face, last[0].size, last[0].part) == (piece.face, piece.size, piece.part):
            runs[-1] = (last[0], last[1] + gap + piece.text, last[2], last[3])
        else:
            runs.append((piece, piece.text, x, " " if starts else ""))
        x += piece.width
    for piece, text, at, lead in runs:
        stack.put(text, at, drop, piece.face, piece.size, piece.part, lead)
    stack.skip(pitch)
