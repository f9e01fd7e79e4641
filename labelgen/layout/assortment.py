"""The panels of a box whose products each need one of their own: in a grid, each under its product's name."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import replace

from labelgen.layout.boxes import Block, Box, TextBox, stack_blocks
from labelgen.layout.linebreak import widest_word
from labelgen.layout.rules import TypeRule
from labelgen.layout.stack import lay_out_text
from labelgen.market.records import Run

_GAP = 6.0
_ENDLESS = 1e6
_DUST = 1e-6
_MOST_ACROSS = 6
#: Widths are tried in steps of this [pt].
_STEP = 6.0
#: A panel narrower than this is set side by side with others only when nothing else fits [pt].
_NARROW = 150.0


class ItemPanels:
    """The items' panels in every width they have been tried in, each under its name. ``fits``: what lays out one item's panel."""

    def __init__(self, names: Sequence[str], fits: Sequence[Callable[[float, float], Block | None]], size: float, rule: TypeRule):
        self.names, self.fits, self.size, self.rule = names, fits, size, rule
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
        for across in range(1, min(_MOST_ACROSS, len(self.names)) + 1):
            cell = (width - (across - 1) * _GAP) / across
            grid = _grid(self.names, self.fits, width, cell, self.size, self.rule)
            if grid is None:
                break
            grids.append((cell, grid))
        return grids


def _grid(names: Sequence[str], fits, width: float, cell: float, size: float, rule: TypeRule) -> Block | None:
    """The panels in rows, each as wide as a cell; one that needs more gets more, and its row holds fewer."""
    rows: list[list[Block]] = [[]]
    for n, name in enumerate(names):
        panel = fits[n](cell, _ENDLESS) or fits[n](width, _ENDLESS)
        runs = (Run(name, bold=True),)
        if panel is None:
            return None
        wide = max(cell, panel.width)
        if widest_word(runs, size) > wide:
            return None
        above = lay_out_text(runs, wide, size, size * 1.2, f"panel-name-{n}", "panel-name", rule)
        if rows[-1] and sum(b.width + _GAP for b in rows[-1]) + wide > width + _DUST:
            rows.append([])
        rows[-1].append(stack_blocks([above, _numbered(panel, n)], 1.0, wide))
    return stack_blocks([_row(blocks, width) for blocks in rows], _GAP, width)


def _row(blocks: Sequence[Block], width: float) -> Block:
    high, x, boxes = max(b.height for b in blocks), 0.0, []
    for block in blocks:
        boxes += block.shifted(x, high - block.height)
        x += block.width + _GAP
    return Block(width, high, tuple(boxes), tuple(s for b in blocks for s in b.statements))


def _numbered(block: Block, n: int) -> Block:
    """The block with its parts told apart from those of the other panels."""

    def of(box: Box) -> Box:
        return replace(box, part=f"{box.part}/{n}") if isinstance(box, TextBox) else box

    return Block(block.width, block.height, tuple(of(b) for b in block.boxes), tuple(replace(s, part=f"{s.part}/{n}") for s in block.statements))
