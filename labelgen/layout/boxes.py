"""The frozen records of the lay-out room. Every length is in points, the origin is the bottom-left corner.

A ``PageLayout`` says where every word and line of one label stands, and what each text has to satisfy;
drawing it needs no further decision.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import chain

from labelgen.layout.rules import TypeRule


@dataclass(frozen=True, slots=True)
class TextBox:
    """One stretch of text on one baseline, in one face.

    x, y: left end of the baseline. width: advance width. part: the statement it belongs to.
    lead: what stands between this box and the one before it in the same statement (" " or "").
    """

    text: str
    face: str
    size_pt: float
    x: float
    y: float
    width: float
    part: str
    lead: str = ""

    def shifted(self, dx: float, dy: float) -> TextBox:
        return TextBox(
            self.text, self.face, self.size_pt, self.x + dx, self.y + dy, self.width, self.part, self.lead
        )


@dataclass(frozen=True, slots=True)
class RuleBox:
    """A straight line of a given thickness from (x1, y1) to (x2, y2), centred on that path."""

    x1: float
    y1: float
    x2: float
    y2: float
    thickness: float

    def shifted(self, dx: float, dy: float) -> RuleBox:
        return RuleBox(self.x1 + dx, self.y1 + dy, self.x2 + dx, self.y2 + dy, self.thickness)


@dataclass(frozen=True, slots=True)
class FillBox:
    """A solid black bar."""

    x: float
    y: float
    width: float
    height: float

    def shifted(self, dx: float, dy: float) -> FillBox:
        return FillBox(self.x + dx, self.y + dy, self.width, self.height)


@dataclass(frozen=True, slots=True)
class CodeBox:
    """A bar code or QR code without its quiet zone. kind: ean13, ean8, upca or qr. value: what it holds."""

    kind: str
    value: str
    x: float
    y: float
    width: float
    height: float

    def shifted(self, dx: float, dy: float) -> CodeBox:
        return CodeBox(self.kind, self.value, self.x + dx, self.y + dy, self.width, self.height)


Box = TextBox | RuleBox | FillBox | CodeBox


@dataclass(frozen=True, slots=True)
class Region:
    """A rectangle of the label."""

    x: float
    y: float
    width: float
    height: float

    @property
    def top(self) -> float:
        return self.y + self.height

    @property
    def right(self) -> float:
        return self.x + self.width


@dataclass(frozen=True, slots=True)
class Statement:
    """One thing the label says. part: names its boxes, unique on the label. role: what kind of text it is.
    text: word for word, single spaces. rule: what all of its boxes must satisfy."""

    part: str
    role: str
    text: str
    rule: TypeRule


@dataclass(frozen=True, slots=True)
class Block:
    """Laid-out matter with its own bottom-left origin, to be placed somewhere."""

    width: float
    height: float
    boxes: tuple[Box, ...]
    statements: tuple[Statement, ...] = ()

    def shifted(self, dx: float, dy: float) -> tuple[Box, ...]:
        """The boxes with the block's origin at (dx, dy)."""
        return tuple([box.shifted(dx, dy) for box in self.boxes])


@dataclass(frozen=True)
class PageLayout:
    """One whole label.

    product: product name, for the PDF's title. author: business name. arrangement: which arrangement and
    panel format was chosen. net_zone: the region the net quantity must stand in, or None. corner_pt: radius
    of the label's corners; half the width on a round label.
    """

    width_pt: float
    height_pt: float
    boxes: tuple[Box, ...]
    statements: tuple[Statement, ...]
    product: str
    author: str = ""
    arrangement: str = ""
    net_zone: Region | None = None
    panel: Region | None = None
    corner_pt: float = 0.0


def stack_blocks(blocks: list[Block], gap: float, width: float) -> Block:
    """Blocks one under the other, left-aligned, ``gap`` points apart."""
    blocks = [block for block in blocks if block.height > 0]
    height = sum(block.height for block in blocks) + gap * max(0, len(blocks) - 1)
    boxes: list[Box] = []
    y = height
    for block in blocks:
        y -= block.height
        boxes.extend(block.shifted(0.0, y))
        y -= gap
    return Block(
        width, max(0.0, height), tuple(boxes), tuple(chain.from_iterable(b.statements for b in blocks))
    )


def parts_of(page: PageLayout) -> tuple[tuple[str, str], ...]:
    """(part, its words as they are drawn) of every statement of a page."""
    parts: dict[str, str] = {}
    for box in page.boxes:
        if isinstance(box, TextBox):
            parts[box.part] = parts.get(box.part, "") + box.lead + box.text
    return tuple((part, text.strip()) for part, text in parts.items())


def words_of(pages: Sequence[PageLayout]) -> str:
    """Every word that is drawn, a line for each statement."""
    return "\n".join(text for page in pages for _, text in parts_of(page))
