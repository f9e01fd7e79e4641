"""Breaking styled text into lines of a given width, without a page and without losing a character.

Words are measured once per text; breaking at another width or size is then only adding up numbers.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from labelgen.layout.metrics import face
from labelgen.market.declaration_records import Run

#: A mark that French sets apart ("Ingrédients :") stays with its word.
_WORDS = re.compile(r"[^ \t\n]+(?: [:;!?»](?![^ \t\n]))?")
_GAPS = re.compile(r"[ \t\n]+")


@dataclass(frozen=True, slots=True)
class Segment:
    """A stretch of one line in one face; x and width in points from the line's left end."""

    text: str
    face: str
    x: float
    width: float


@dataclass(frozen=True, slots=True)
class Line:
    """One line. lead: what stood between it and the line before (" ", or "" inside a broken word)."""

    segments: tuple[Segment, ...]
    width: float
    lead: str


#: A word is a tuple of (text, face, width at 1 pt) pieces: more than one where the style changes inside it.
Word = tuple[tuple[str, str, float], ...]


def face_of(run: Run) -> str:
    """The face a run is set in. Bold wins over italic."""
    return "bold" if run.bold else "italic" if run.italic else "regular"


def plain_text(runs: tuple[Run, ...]) -> str:
    """The words of the runs with single spaces between them. No-break spaces stay."""
    return _GAPS.sub(" ", "".join(run.text for run in runs)).strip(" \t\n")


@lru_cache(maxsize=4096)
def measure_words(runs: tuple[Run, ...]) -> tuple[Word, ...]:
    """The words of the runs, each piece measured at 1 pt."""
    words: list[list[tuple[str, str, float]]] = []
    joined = False
    for run in runs:
        name = face_of(run)
        metrics = face(name)
        end = 0
        for found in _WORDS.finditer(run.text):
            piece = (found.group(), name, metrics.width(found.group()))
            if joined and found.start() == 0:
                words[-1].append(piece)
            else:
                words.append([piece])
            end = found.end()
        if run.text:
            joined = bool(words) and end == len(run.text)
    return tuple(tuple(word) for word in words)


def break_runs(runs: tuple[Run, ...], width: float, size_pt: float, hang: float = 0.0) -> tuple[Line, ...]:
    """Lines of at most ``width`` points at ``size_pt``. A word wider than that is cut, after a hyphen, slash
    or bracket where one is near, else between letters; nothing is added. ``hang``: later lines start that far
    in. Raises LayoutError for characters without a glyph.
    """
    room = width / size_pt
    inset = hang / size_pt
    lines: list[list[tuple[Word, str]]] = []
    left = -1.0
    for word in measure_words(runs):
        space = face(word[0][1]).advances[" "]
        for piece, lead in _fitting(word, room - inset):
            wide = sum([part[2] for part in piece])
            if lead and left >= space + wide - 1e-9:
                lines[-1].append((piece, lead))
                left -= space + wide
            else:
                left = room - wide - (inset if lines else 0.0)
                lines.append([(piece, lead)])
    return tuple(_set_line(line, size_pt, hang if number else 0.0) for number, line in enumerate(lines))


def widest_word(runs: tuple[Run, ...], size_pt: float) -> float:
    """Width in points of the widest word: the narrowest measure that cuts no word."""
    return max((sum(part[2] for part in word) for word in measure_words(runs)), default=0.0) * size_pt


def _fitting(word: Word, room: float) -> list[tuple[Word, str]]:
    """The word, or the pieces it must be cut into to fit the room, each with its lead."""
    if sum([part[2] for part in word]) <= room + 1e-9:
        return [(word, " ")]
    letters = [(char, name, face(name).advances[char]) for text, name, _ in word for char in text]
    pieces: list[tuple[Word, str]] = []
    while letters:
        count, used = 0, 0.0
        while count < len(letters) and (count == 0 or used + letters[count][2] <= room + 1e-9):
            used += letters[count][2]
            count += 1
        if count < len(letters):
            for cut in range(count, count // 2, -1):
                if letters[cut - 1][0] in "-/)]},;":
                    count = cut
                    break
        pieces.append((_merged(letters[:count]), "" if pieces else " "))
        letters = letters[count:]
    return pieces


def _merged(letters: list[tuple[str, str, float]]) -> Word:
    parts: list[list] = []
    for char, name, wide in letters:
        if parts and parts[-1][1] == name:
            parts[-1][0] += char
            parts[-1][2] += wide
        else:
            parts.append([char, name, wide])
    return tuple((text, name, wide) for text, name, wide in parts)


def _set_line(words: list[tuple[Word, str]], size_pt: float, inset: float) -> Line:
    """Neighbouring pieces of one face become one segment; a space goes with the text before it."""
    parts: list[list] = []
    for number, (word, _) in enumerate(words):
        if number:
            last = parts[-1]
            last[0] += " "
            last[2] += face(last[1]).advances[" "]
        for text, name, wide in word:
            if parts and parts[-1][1] == name:
                parts[-1][0] += text
                parts[-1][2] += wide
            else:
                parts.append([text, name, wide])
    segments, x = [], inset
    for text, name, wide in parts:
        segments.append(Segment(text, name, x, wide * size_pt))
        x += wide * size_pt
    return Line(tuple(segments), x, words[0][1])
