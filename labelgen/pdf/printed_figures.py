"""Whether the figures beside the names of a nutrition panel are the label's, in any PDF: they are read on
the name's own line, in the direction it is set, whatever order the file draws them in.
"""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import islice

from labelgen.errors import Finding, Where
from labelgen.findings import find
from labelgen.layout.boxes import PageLayout, Statement, TextBox
from labelgen.pdf.second import Glyph, GlyphPage

_NAMED = ("nutrient", "vitamin", "calories", "calorie_number")
_FIGURE = re.compile(r"\.(amount|percent)(\.\d+)?(/\d+)?$")
_LEADERS = "._…·:"
#: How far from a name's baseline its figures may stand, in sizes of its type.
_NEAR = 0.25
#: A name is looked at so many times in a file: as often as a sheet of the smallest labels says it.
_MOST_LINES = 300


@dataclass(frozen=True)
class Named:
    """A name of the panel and the figures on its line, left to right, without blanks. off: figures that
    stand between two lines, and how far [sizes of the name's type].
    """

    statement: Statement
    figures: tuple[str, ...]
    off: tuple[tuple[str, float], ...]

    @property
    def name(self) -> str:
        return _close(self.statement.text)


def named_figures(faces: Iterable[PageLayout]) -> tuple[Named, ...]:
    """Every name of the panels with its figures."""
    found = []
    for face in faces:
        boxes = {}
        for box in face.boxes:
            if isinstance(box, TextBox):
                boxes.setdefault(box.part, box)
        every = [(s, boxes[s.part]) for s in face.statements if s.role in _NAMED and s.part in boxes]
        names = [(s, b) for s, b in every if not _is_figure(s)]
        beside: dict[str, list[tuple[float, str, float]]] = defaultdict(list)
        for figure, box in ((s, b) for s, b in every if _is_figure(s)):
            left = [(s, b) for s, b in names if b.x < box.x and abs(b.y - box.y) < b.size_pt]
            if left:
                name, at = min(left, key=lambda n: (round(abs(n[1].y - box.y), 1), box.x - n[1].x))
                beside[name.part].append((box.x, _close(figure.text), abs(at.y - box.y) / at.size_pt))
        for name, _ in names:
            figures = sorted(beside[name.part])
            found.append(
                Named(
                    name,
                    tuple(t for _, t, off in figures if off < _NEAR),
                    tuple((t, off) for _, t, off in figures if off >= _NEAR),
                )
            )
    return tuple(n for n in found if n.figures or n.off)


def misread_figures(
    pages: Sequence[GlyphPage], faces: Iterable[PageLayout], where: Where
) -> Iterator[tuple[Statement | None, Finding]]:
    """(statement or None, finding) of each name whose figures differ, or that stands a second time beside
    others. Names that are not there at all are told elsewhere."""
    every = named_figures(faces)
    due: dict[str, list[Named]] = defaultdict(list)
    for named in every:
        due[named.name].append(named)
    read = [(page, page.text, _places(page)) for page in pages]
    for name, several in due.items():
        lines = [line for page, text, where in read for line in _lines(page, text, where, name)][:_MOST_LINES]
        for named in several:
            if lines and not any(line.holds(named) for line in lines):
                beside = next((line.right for line in lines if line.right[:1].isdigit()), lines[0].right)
                wanted = " ".join((*named.figures, *(t for t, _ in named.off)))
                told = {"name": named.statement.text, "figure": beside[: len(wanted)], "due": wanted}
                yield (
                    named.statement,
                    find("figure-differs", where, cites=named.statement.rule.source, **told),
                )
        for line in lines:
            if (
                re.match(r"\d", line.right)
                and not any(line.holds(named) for named in several)
                and any(other.holds(named) for other in lines for named in several)
            ):
                yield None, find("figure-else", where, name=several[0].statement.text, figure=line.right[:12])


@dataclass(frozen=True)
class _Line:
    """What stands to the right of a name: on its baseline, and in a band about it [sizes of its type]."""

    right: str
    glyphs: tuple[tuple[float, float, str], ...]

    def holds(self, named: Named) -> bool:
        # an amount in two units may be broken over two lines, and is looked for as a text by itself
        due = (
            re.escape(t) if sum(c.isalpha() for c in t) <= 3 else f".{{0,{len(t)}}}?" for t in named.figures
        )
        if not re.match("".join(due), self.right):
            return False
        return all(text in self._band(off + _NEAR) for text, off in named.off)

    def _band(self, reach: float) -> str:
        """The text within so far of the baseline, line by line."""
        near = sorted(
            ((round(v, 1), u, char) for u, v, char in self.glyphs if abs(v) <= reach),
            key=lambda g: (-g[0], g[1]),
        )
        return "".join(char for _, _, char in near)


def _places(page: GlyphPage):
    """The origins of a page's letters as an array, a row each."""
    import numpy

    return numpy.array([(g.x, g.y) for g in page.glyphs]).reshape(-1, 2)


def _lines(page: GlyphPage, text: str, places, name: str) -> Iterator[_Line]:
    """What stands beside a name where it is said on a page, at most so many times, along its own
    direction.
    """
    for found in islice(re.finditer(re.escape(name), text), _MOST_LINES):
        run = page.glyphs[found.start() : found.end()]
        along, up = _direction(run)
        start, size = run[0], run[0].size_pt or 1.0

        u, v = ((places - (start.x, start.y)) @ axis / size for axis in (along, up))
        own = slice(found.start(), found.end())
        end = u[own][abs(v[own]) < _NEAR].max()
        near = ((u > end + 0.1) & (abs(v) < 2)).nonzero()[0]
        right = sorted((float(u[n]), float(v[n]), page.glyphs[n].char) for n in near)
        line = "".join(char for _, high, char in right if abs(high) < _NEAR)
        yield _Line(line.lstrip(_LEADERS), tuple(right))


def _direction(run: Sequence[Glyph]) -> tuple[tuple[float, float], tuple[float, float]]:
    """Unit vectors along the text and upwards from it."""
    x, y = run[1].x - run[0].x, run[1].y - run[0].y
    length = (x * x + y * y) ** 0.5 or 1.0
    along = (x / length, y / length)
    return along, (-along[1], along[0])


def _is_figure(statement: Statement) -> bool:
    return statement.role == "calorie_number" or bool(_FIGURE.search(statement.part))


def _close(text: str) -> str:
    return "".join(text.split())
