"""A page to lay over a sheet of label stock: the outline of every label, rulers, and how to set
``--nudge``.
"""

from __future__ import annotations

from math import cos, pi, sin

from labelgen.layout.boxes import Box, PageLayout, RuleBox, TextBox
from labelgen.layout.label_stock import Stock, describe_size
from labelgen.layout.metrics import face

_MM = 72 / 25.4
_SIDES = 72
#: Size of a label's number [pt], and where it may stand, in shares of the label: the first place that is
# free.
_NUMBER = 9.0
_UP, _ACROSS = (0.5, 0.8, 0.2, 0.88, 0.12), (0.5, 0.15, 0.85)


def lay_out_calibration(stock: Stock, nudge: tuple[float, float] = (0.0, 0.0)) -> PageLayout:
    """The calibration page of a stock, with the nudge applied to the outlines as it would be to labels."""
    boxes: list[Box] = []
    slots = [(x + nudge[0], y + nudge[1]) for x, y in (stock.place(slot) for slot in range(stock.slots))]
    for x, y in slots:
        boxes += outline(stock.width, stock.height, stock.corner, x, y)
    centre, height = stock.page_width / 2, stock.page_height
    rulers = _ruler(centre - 50 * _MM, height / 2 + 4, 100, _MM, 5, "mm") + _ruler(
        centre - 144, height / 2 - 26, 4, 72, 1, "in"
    )
    boxes += rulers
    says = (
        f"{stock.name}: {stock.slots} labels of {describe_size(stock.width, stock.height)}",
        (
            "Print at 100 % (actual size, no scaling). Both rulers must measure true; if they do not,"
            " change the print settings."
        ),
        (
            "Hold this page and a sheet of labels to the light. Where the outlines lie off, measure in"
            " millimetres and"
        ),
        (
            f"give --nudge=RIGHT,UP (now {nudge[0] / _MM:g},{nudge[1] / _MM:g}). Labels are counted as"
            " numbered, for --start."
        ),
    )
    for number, line in enumerate(says):
        boxes.append(_text(line, centre, height / 2 - 52 - 10 * number, 7, "centre"))
    taken = [box for box in boxes if isinstance(box, TextBox)]
    for number, (x, y) in enumerate(slots, 1):
        places = [
            _text(
                str(number),
                x + stock.width * across,
                y + stock.height * up - _NUMBER / 3,
                _NUMBER,
                "number",
            )
            for up in _UP
            for across in _ACROSS
        ]
        boxes.append(
            next(
                (
                    p
                    for p in places
                    if not any(_near(p, other) for other in taken)
                    and not any(_crosses(r, p) for r in rulers if isinstance(r, RuleBox))
                ),
                places[0],
            )
        )
    return PageLayout(stock.page_width, stock.page_height, tuple(boxes), (), f"calibration {stock.name}")


def _near(one: TextBox, other: TextBox) -> bool:
    """Whether two texts stand closer than the larger one is high, beside or above each other."""
    gap = max(one.size_pt, other.size_pt)
    return (
        one.x < other.x + other.width + gap
        and other.x < one.x + one.width + gap
        and abs(one.y - other.y) < 1.4 * gap
    )


def _crosses(line: RuleBox, text: TextBox) -> bool:
    """Whether a line runs through a text."""
    return (
        line.x1 < text.x + text.width
        and text.x < line.x2
        and line.y1 < text.y + text.size_pt
        and text.y - 1 < line.y2
    )


def outline(width: float, height: float, radius: float, x: float, y: float) -> list[Box]:
    """A label's edge with its rounded corners, as short straight lines; (x, y) is its bottom left [pt]."""
    centres = (
        (x + width - radius, y + height - radius, 0.0),
        (x + radius, y + height - radius, pi / 2),
        (x + radius, y + radius, pi),
        (x + width - radius, y + radius, 3 * pi / 2),
    )
    steps = _SIDES // 4 if radius else 0
    points = [
        (
            cx + radius * cos(start + pi / 2 * n / max(steps, 1)),
            cy + radius * sin(start + pi / 2 * n / max(steps, 1)),
        )
        for cx, cy, start in centres
        for n in range(steps + 1)
    ]
    return [RuleBox(*a, *b, 0.5) for a, b in zip(points, [*points[1:], points[0]], strict=True)]


def _ruler(x: float, y: float, count: int, unit: float, every: int, name: str) -> list[Box]:
    """A scale of ``count`` units from x on, a long mark and a figure at each ``every`` * 2nd one."""
    boxes: list[Box] = [RuleBox(x, y, x + count * unit, y, 0.5)]
    for n in range(count + 1):
        labelled = n % (every * 2 if every > 1 else 1) == 0
        boxes.append(
            RuleBox(x + n * unit, y, x + n * unit, y + (7 if labelled else 5 if n % every == 0 else 3), 0.25)
        )
        if labelled:
            boxes.append(_text(f"{n} {name}" if n == count else str(n), x + n * unit, y + 9, 6, "centre"))
    return boxes


def _text(text: str, x: float, y: float, size: float, part: str) -> TextBox:
    width = face("regular").width(text, size)
    return TextBox(text, "regular", size, x - width / 2, y, width, part)
