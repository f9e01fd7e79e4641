"""Building a block from the top down: lines of text, hairlines and bars inside a box of fixed width."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace
from functools import lru_cache

from labelgen.layout.boxes import Block, Box, FillBox, RuleBox, Statement, TextBox
from labelgen.layout.linebreak import break_runs, plain_text, widest_word
from labelgen.layout.metrics import Face, face
from labelgen.layout.rules import TypeRule
from labelgen.market.declaration_records import Run


def baseline_drop(metrics: Face, size_pt: float, pitch: float) -> float:
    """How far below the top of a line of height ``pitch`` its baseline stands, the type body being
    centred.
    """
    body = metrics.ascent + metrics.descent
    return (pitch - size_pt) / 2 + size_pt * metrics.ascent / body


def line_below(metrics: Face, size_pt: float, leading: float) -> float:
    """From a baseline to where the capitals of the next line may begin, for lines of one size with this
    leading.
    """
    return size_pt * (1 - metrics.cap_height) + leading


class Stack:
    """A block under construction. ``left`` and ``right`` bound the text; ``down`` is how far it has got.

    ``needed`` grows to the width that every line asked for: wider than ``width`` means it does not fit.
    ``wanted`` is the width at which nothing would be broken that reads better whole.
    """

    def __init__(self, width: float, padding: float = 0.0):
        self.width = width
        self.padding = padding
        self.left = padding
        self.right = width - padding
        self.down = 0.0
        self.needed = 0.0
        self.wanted = 0.0
        self.boxes: list[Box] = []
        self.statements: list[Statement] = []

    @property
    def inner(self) -> float:
        return self.right - self.left

    def skip(self, points: float) -> None:
        self.down += points

    def need(self, inner: float) -> None:
        """Note that a line wants this much width between the paddings."""
        self.needed = max(self.needed, inner + self.padding * 2)

    def want(self, width: float) -> None:
        """Note the whole width at which this would look right."""
        self.wanted = max(self.wanted, width)

    def put(
        self, text: str, x: float, drop: float, name: str, size: float, part: str, lead: str = ""
    ) -> float:
        """Text with its baseline ``drop`` points below the current place. Returns its right end."""
        width = face(name).width(text, size)
        self.boxes.append(TextBox(text, name, size, x, -self.down - drop, width, part, lead))
        return x + width

    def say(self, part: str, role: str, text: str, rule: TypeRule) -> None:
        self.statements.append(Statement(part, role, text, rule))

    def text(
        self,
        text: str,
        x: float,
        drop: float,
        name: str,
        size: float,
        part: str,
        role: str,
        rule: TypeRule,
        align: str = "left",
    ) -> float:
        """A whole one-line statement; ``x`` is its left or right end. Returns its other end."""
        width = face(name).width(text, size)
        start = x if align == "left" else x - width
        self.put(text, start, drop, name, size, part)
        self.say(part, role, text, rule)
        return start + width if align == "left" else start

    def hairline(self, thickness: float, indent: float = 0.0) -> None:
        """A line at the current place, from the indent to the right edge; takes no height."""
        y = -self.down
        self.boxes.append(RuleBox(self.left + indent, y, self.right, y, thickness))

    def bar(self, thickness: float) -> None:
        """A solid bar that takes its own height."""
        self.boxes.append(FillBox(self.left, -self.down - thickness, self.inner, thickness))
        self.down += thickness

    def paragraph(
        self,
        runs: tuple[Run, ...],
        size: float,
        pitch: float,
        part: str,
        role: str,
        rule: TypeRule,
        hang: float = 0.0,
        align: str = "left",
    ) -> None:
        """Text broken to the inner width."""
        self.need(widest_word(runs, size) + hang)
        for line in break_runs(runs, self.inner, size, hang):
            drop = baseline_drop(face("regular"), size, pitch)
            slack = self.inner - line.width
            shift = {"left": 0.0, "center": slack / 2, "right": slack}[align]
            for number, segment in enumerate(line.segments):
                x = self.left + shift + segment.x
                lead = "" if number else line.lead
                y = -self.down - drop
                self.boxes.append(TextBox(segment.text, segment.face, size, x, y, segment.width, part, lead))
            self.down += pitch
        self.say(part, role, plain_text(runs), rule)

    def place(self, other: Stack, x: float, mark: str = "") -> None:
        """Another stack's matter with its top left corner at ``x`` and the current place; takes no height.
        mark: added to the names of its parts, where the same parts stand elsewhere too.
        """
        for box in other.boxes:
            box = box.shifted(x, -self.down)
            self.boxes.append(
                replace(box, part=box.part + mark) if mark and isinstance(box, TextBox) else box
            )
        self.statements.extend(replace(s, part=s.part + mark) if mark else s for s in other.statements)

    def block(self) -> Block:
        """The finished block, its origin at the bottom left."""
        return Block(
            self.width,
            self.down,
            tuple([box.shifted(0.0, self.down) for box in self.boxes]),
            tuple(self.statements),
        )


#: Draws something at a width; the stack says how wide it must be and how high it came out.
Builder = Callable[[float], Stack]


def least_widths(builders: Sequence[Builder], floor: float) -> list[float]:
    """How wide each must be, asked for at ``floor`` points."""
    return [builder(floor).needed for builder in builders]


def put_zones(
    stack: Stack,
    builders: Sequence[Builder],
    gap: float,
    shares: Sequence[float],
    least: Sequence[float],
    line: float = 0.0,
) -> None:
    """Several columns of matter beside each other, each at least as wide as it must be; what is over is
    shared out.

    gap: between two columns, with a vertical line of thickness ``line`` in the middle. shares: of the spare
    width, adding up to 1. least: what each must have [pt].
    """
    gaps = gap * (len(builders) - 1)
    stack.need(sum(least) + gaps)
    spare = max(0.0, stack.inner - sum(least) - gaps)
    zones = [
        builder(max(wide, 1.0) + spare * share)
        for builder, wide, share in zip(builders, least, shares, strict=True)
    ]
    deepest = max(zone.down for zone in zones)
    x = stack.left
    for number, zone in enumerate(zones):
        if number and line:
            at = x - gap / 2
            stack.boxes.append(RuleBox(at, -stack.down, at, -stack.down - deepest, line))
        stack.place(zone, x)
        x += zone.width + gap
    stack.skip(deepest)


def lay_out_text(
    runs: tuple[Run, ...],
    width: float,
    size: float,
    pitch: float,
    part: str,
    role: str,
    rule: TypeRule,
    align: str = "left",
) -> Block:
    """One text as a block of a given width; height 0 when there is nothing to say."""
    if not plain_text(runs):
        return Block(width, 0.0, ())
    stack = Stack(width)
    stack.paragraph(runs, size, pitch, part, role, rule, align=align)
    return stack.block()


@lru_cache(maxsize=8192)
def text_lines(runs: tuple[Run, ...], width: float, size: float) -> int:
    """How many lines a text takes: the cheap question asked while searching for an arrangement."""
    return len(break_runs(runs, width, size))
