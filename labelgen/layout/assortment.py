"""The panels of a box whose products each need one of their own: in a grid, each under its product's name."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from labelgen.layout.boxes import Block, Box, TextBox, stack_blocks
from labelgen.layout.linebreak import widest_word
from labelgen.layout.rules import TypeRule
from labelgen.layout.stack import lay_out_text
from labelgen.market.records import Declaration, Run

_GAP = 6.0
_MOST_ACROSS = 6
#: Widths are tried in steps of this [pt].
_STEP = 6.0
#: A panel narrower than this is set side by side with others only when nothing else fits [pt].
_NARROW = 150.0


class ItemPanels:
    """The items' panels in every width they have been tried in. ``fits``: what lays out one item's panel in a width."""

    def __init__(self, items: Sequence[Declaration], fits: Sequence[Callable[[float, float], Block | None]], size: float, rule: TypeRule):
        self.items, self.fits, self.size, self.rule = items, fits, size, rule
        self.tried: dict[float, list[tuple[float, Block]]] = {}

    def fit(self, width: float, height: float) -> Block | None:
        """All panels in at most this space [pt], None when they do not fit."""
        width = width // _STEP * _STEP
        if width not in self.tried:
            self.tried[width] = self._grids(width)
        fitting = [(cell, grid) for cell, grid in self.tried[width] if grid.height <= height]
        wide = [grid for cell, grid in fitting if cell >= _NARROW]
        return min(wide, key=lambda g: g.height) if wide else fitting[0][1] if fitting else None

    def _grids(self, width: float) -> list[tuple[float, Block]]:
        """(width of a cell, grid) for one panel across, two, three ..."""
        grids = []
        for across in range(1, min(_MOST_ACROSS, len(self.items)) + 1):
            cell = (width - (across - 1) * _GAP) / across
            grid = _grid(self.items, self.fits, width, cell, across, self.size, self.rule)
            if grid is None:
                break
            grids.append((cell, grid))
        return grids


def _grid(items, fits, width: float, cell: float, across: int, size: float, rule: TypeRule) -> Block | None:
    rows = []
    for start in range(0, len(items), across):
        cells = []
        for n, item in enumerate(items[start : start + across], start):
            panel = fits[n](cell, 1e6)
            runs = (Run(item.product, bold=True),)
            if panel is None or widest_word(runs, size) > cell:
                return None
            name = lay_out_text(runs, cell, size, size * 1.2, f"panel-name-{n}", "panel-name", rule)
            cells.append(stack_blocks([name, _numbered(panel, n)], 1.0, cell))
        high = max(c.height for c in cells)
        boxes = [b for i, c in enumerate(cells) for b in c.shifted(i * (cell + _GAP), high - c.height)]
        rows.append(Block(width, high, tuple(boxes), tuple(s for c in cells for s in c.statements)))
    return stack_blocks(rows, _GAP, width)


def _numbered(block: Block, n: int) -> Block:
    """The block with its parts told apart from those of the other panels."""

    def of(box: Box) -> Box:
        return replace(box, part=f"{box.part}/{n}") if isinstance(box, TextBox) else box

    return Block(block.width, block.height, tuple(of(b) for b in block.boxes), tuple(replace(s, part=f"{s.part}/{n}") for s in block.statements))
