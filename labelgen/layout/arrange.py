"""Ways to arrange the parts of a label in a rectangle or a circle, and the choice of the one that reads best.

A plan is made at the largest sizes that fit and never below the least lawful ones.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import cos, hypot, radians, sin

from labelgen.layout.boxes import Block, Box, TextBox, stack_blocks
from labelgen.layout.label_parts import Parts
from labelgen.layout.metrics import face

#: What one column holds -> name of the arrangement.
_NAMES = {("panel", "text"): "stacked", ("text",): "text", ("panel",): "panel", (): "front"}

#: Front matter reads no better for being set larger than this times its usual size.
_LARGE = 1.25
#: Nor is small text worth more for being set larger than this times its least size: the panel may need the
# width.
_ROOMY = 1.3


@dataclass(frozen=True, eq=False)
class Plan:
    """Blocks and where they go. columns: (left edge, block) of the body. need: least height [pt]. beside:
    the front matter and net quantity have a column of their own at the left. score: larger reads better.
    rank: of the panel's format, which goes before the score.
    """

    name: str
    score: float
    width: float
    need: float
    top: Block
    net: Block
    columns: tuple[tuple[float, Block], ...]
    gap: float
    beside: bool = False
    rank: int = 0

    @property
    def order(self) -> tuple[int, float]:
        return -self.rank, self.score

    @property
    def blocks(self) -> tuple[Block, ...]:
        return (self.top, *(block for _, block in self.columns), self.net)

    def boxes(self, height: float) -> list[Box]:
        """Everything in place; origin at the bottom left of a rectangle of the plan's width and this
        height.
        """
        placed = list(self.top.shifted(0.0, height - self.top.height))
        head = height if self.beside or not self.top.height else height - self.top.height - self.gap
        for x, block in self.columns:
            placed += block.shifted(x, head - block.height)
        return placed + list(self.net.shifted(0.0, 0.0))


def best_plan(parts: Parts, width: float, height: float) -> Plan | None:
    """The best plan that fits a rectangle [pt], of equally good ones the lowest; None when none does."""
    ways = (
        (_panel_left, _panel_right, _stacked, _wide_strip)
        if len(parts.body) > 1
        else (_stacked, _text_beside)
    )
    plans = (plan for way in ways for plan in way(parts, width, height) if plan.need <= height + 1e-6)
    if parts.any_will_do:
        return next(plans, None)
    return max(plans, key=lambda plan: (*plan.order, -plan.need), default=None)


def _score(parts: Parts, scale: float, size: float, panel: Block | None = None) -> float:
    return min(scale, _LARGE) + 2 * min(size / parts.least, _ROOMY) + (parts.ease(panel) if panel else 1.0)


def _around(parts: Parts, top: Block, net: Block) -> float:
    """The height that front matter and net quantity take, with the space to the body."""
    head = top.height + parts.spacing["gap.blocks"] if top.height else 0.0
    return head + (net.height + parts.net_gap if net.height else 0.0)


def _text_size(parts: Parts, width: float, height: float, floor: float) -> float | None:
    """The largest type size from ``floor`` up at which the small text fits a column."""
    if width < min(parts.spacing["text.narrowest"], parts.text_width(floor) + 0.1):
        return None
    for scale in parts.spacing["text.scales"]:
        size = floor * scale
        if parts.text_width(size) <= width and parts.text_height(width, size) <= height:
            return size
    return None


def _fronts(parts: Parts, width: float) -> Iterator[tuple[float, Block]]:
    for scale in parts.spacing["front.scales"]:
        if (block := parts.front(width, scale)) is not None:
            yield scale, block


def _panel_left(parts: Parts, width: float, height: float) -> Iterator[Plan]:
    """Front matter on top, panel at the left, small text at the right, net quantity at the bottom."""
    net, gap, between = parts.net(width), parts.spacing["gap.blocks"], parts.spacing["gap.columns"]
    if net is None:
        return
    for scale, top in _fronts(parts, width):
        around = _around(parts, top, net)
        found = False
        for share in parts.spacing["panel.widths"]:
            panel = parts.panel(width * share, height - around)
            if panel is None:
                continue
            room = width - panel.width - between
            size = _text_size(parts, room, height - around, parts.floor(panel))
            if size is None:
                continue
            text = parts.text(room, size)
            need = around + max(panel.height, text.height)
            found = found or parts.rank(panel) == 0
            yield Plan(
                "panel left, text right",
                _score(parts, scale, size, panel),
                width,
                need,
                top,
                net,
                ((0.0, panel), (panel.width + between, text)),
                gap,
                rank=parts.rank(panel),
            )
        if found and scale <= 1:
            return


def _panel_right(parts: Parts, width: float, height: float) -> Iterator[Plan]:
    """Front matter, small text and net quantity in one column; the panel beside it over the whole height."""
    between = max(parts.spacing["gap.columns"], parts.clear_beside)
    for share in parts.spacing["panel.widths"]:
        panel = parts.panel(width * share, height)
        if panel is None:
            continue
        left = parts.face(parts.head, "text")
        room = width - panel.width - between
        net = left.net(room)
        if net is None or room <= 0:
            continue
        for scale, top in _fronts(left, room):
            around = _around(left, top, net)
            size = _text_size(left, room, height - around, parts.floor(panel))
            if size is None:
                continue
            column = stack_blocks([top, left.text(room, size)], parts.spacing["gap.blocks"], room)
            need = max(panel.height, column.height + parts.net_gap + net.height)
            yield Plan(
                "text left, panel right",
                _score(parts, scale, size, panel) - 0.1,
                width,
                need,
                column,
                net,
                ((room + between, panel),),
                parts.spacing["gap.blocks"],
                True,
                parts.rank(panel),
            )
            break


def _stacked(parts: Parts, width: float, height: float) -> Iterator[Plan]:
    """Everything in one column."""
    net, gap = parts.net(width), parts.spacing["gap.blocks"]
    if net is None:
        return
    floor = parts.floor(parts.face(parts.head, "panel").panel(width, height))
    for scale, top in _fronts(parts, width):
        around = _around(parts, top, net) + (gap if len(parts.body) > 1 else 0.0)
        for step in parts.spacing["text.scales"]:
            size = floor * step
            if parts.text_width(size) > width:
                continue
            panel = parts.panel(width, height - around - parts.text_height(width, size))
            if panel is None or size < parts.floor(panel):
                continue
            body = stack_blocks([panel, parts.text(width, size)], gap, width)
            # long lines are hard to read, so another arrangement is preferred where there is one
            score = _score(parts, scale, size, panel) - max(0.0, width / parts.spacing["text.longest"] - 1)
            need = _around(parts, top, net) + body.height
            if need > height:
                continue
            yield Plan(
                _NAMES[parts.body],
                score,
                width,
                need,
                top,
                net,
                ((0.0, body),),
                gap,
                rank=parts.rank(panel),
            )
            if scale <= 1 and not parts.rank(panel):
                return
            break


def _wide_strip(parts: Parts, width: float, height: float) -> Iterator[Plan]:
    """Three columns: front matter above the net quantity, panel, small text."""
    gap = parts.spacing["gap.blocks"]
    between = max(parts.spacing["gap.columns"], parts.clear_beside)
    for first, scale, top, net in _front_columns(parts, width, height, (0.24, 0.3, 0.36)):
        for share in parts.spacing["panel.widths"]:
            panel = parts.panel(width * share, height)
            if panel is None:
                continue
            left = width * first + between
            room = width - left - panel.width - parts.spacing["gap.columns"]
            size = _text_size(parts, room, height, parts.floor(panel))
            if size is None:
                continue
            text = parts.text(room, size)
            need = max(top.height + parts.net_gap + net.height, panel.height, text.height)
            columns = ((left, panel), (width - room, text))
            yield Plan(
                "wide strip",
                _score(parts, scale, size, panel) - 0.2,
                width,
                need,
                top,
                net,
                columns,
                gap,
                True,
                parts.rank(panel),
            )


def _front_columns(
    parts: Parts, width: float, height: float, shares: tuple[float, ...]
) -> Iterator[tuple[float, float, Block, Block]]:
    """(share of the width, scale, front matter, net quantity) of a column at the left of a wide label."""
    if width < 1.5 * height or not parts.front_texts:
        return
    for share in shares:
        net = parts.net(width * share)
        if net is None:
            continue
        fits = (
            (s, b)
            for s, b in _fronts(parts, width * share)
            if b.height + parts.net_gap + net.height <= height
        )
        scale, top = next(fits, (0.0, None))
        if top is not None:
            yield share, scale, top, net


def _text_beside(parts: Parts, width: float, height: float) -> Iterator[Plan]:
    """Two columns on a wide front: front matter above the net quantity, small text."""
    if parts.head != "front" or parts.body != ("text",):
        return
    between = max(parts.spacing["gap.columns"], parts.clear_beside)
    for first, scale, top, net in _front_columns(parts, width, height, (0.24, 0.3, 0.36, 0.45)):
        left = width * first + between
        size = _text_size(parts, width - left, height, parts.least)
        if size is None:
            continue
        text = parts.text(width - left, size)
        need = max(top.height + parts.net_gap + net.height, text.height)
        yield Plan(
            "front left, text right",
            _score(parts, scale, size),
            width,
            need,
            top,
            net,
            ((left, text),),
            parts.spacing["gap.blocks"],
            True,
        )


def round_plan(parts: Parts, radius: float, outer: float) -> tuple[Plan, list[Box]] | None:
    """A plan for a circle and its boxes, origin at the circle's centre: the body in a rectangle, front matter
    in the cap above it and net quantity in the cap below. radius: of what may be printed on; outer: of the
    label.
    """
    found = []
    gap = parts.spacing["gap.blocks"]
    # where the net quantity has its own part of the label, its top stays in that
    zone = outer * (1 - 2 * parts.net_zone) if parts.net_zone else 0.0
    for angle in range(28, 68, 4):
        half, high = radius * cos(radians(angle)), radius * sin(radians(angle))
        body = best_plan(parts.face("none", *parts.body), 2 * half, 2 * high)
        if body is None:
            continue
        tall = max((block.height for _, block in body.columns), default=0.0) / 2
        above, below = tall + gap if tall else 0.0, max(tall + gap / 2, zone)
        top = _cap(parts, radius, above, half, front=True)
        net = _cap(parts, radius, below, half, front=False)
        if top is None or net is None:
            continue
        score = body.score + min(top[0], _LARGE)
        plan = Plan(
            f"round, {body.name}",
            score,
            2 * half,
            2 * tall,
            top[1],
            net[1],
            body.columns,
            gap,
            rank=body.rank,
        )
        found.append((plan, half, tall, above, below))
        if parts.any_will_do:
            break
    if not found:
        return None
    plan, half, tall, above, below = max(found, key=lambda f: f[0].order)
    boxes: list[Box] = []
    for x, block in plan.columns:
        boxes += block.shifted(x - half, tall - block.height)
    boxes += plan.top.shifted(-plan.top.width / 2, above)
    boxes += plan.net.shifted(-plan.net.width / 2, -below - plan.net.height)
    return plan, boxes


def _cap(parts: Parts, radius: float, away: float, half: float, front: bool) -> tuple[float, Block] | None:
    """The front matter or net quantity, centred, that fits between ``away`` from the centre and the
    circle.
    """
    if front and not parts.front_texts:
        return 1.0, Block(0.0, 0.0, ())
    for scale in parts.spacing["front.scales"] if front else (1.0,):
        for share in (1.0, 0.85, 0.7, 0.55, 0.4):
            width = 2 * half * share
            block = parts.front(width, scale, "center") if front else parts.net(width, "center")
            if block is not None and _inside(block, radius, away, front):
                return scale, block
    return None


def _inside(block: Block, radius: float, away: float, front: bool) -> bool:
    """Whether every letter of a block set ``away`` above (or below) the centre stays in the circle."""
    for box in block.boxes:
        if not isinstance(box, TextBox):
            continue
        metrics = face(box.face)
        low, high = box.y - box.size_pt * metrics.descent * 0.9, box.y + box.size_pt * metrics.cap_height
        reach = away + high if front else away + block.height - low
        side = max(abs(box.x - block.width / 2), abs(box.x + box.width - block.width / 2))
        if hypot(side, reach) > radius:
            return False
    return True
