"""The panels of a box whose products each need one of their own: in a grid, each under its product's name."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

from labelgen.layout.boxes import Block, Box, TextBox, stack_blocks
from labelgen.layout.linebreak import widest_word
from labelgen.layout.rules import TypeRule
from labelgen.layout.stack import lay_out_text
from labelgen.market.declaration_records import Run

if TYPE_CHECKING:
    from labelgen.layout.tried import PanelSpaces

_GAP = 6.0
_UNDER_NAME = 1.0
_ENDLESS = 1e6
_DUST = 1e-6
_MOST_ACROSS = 6
#: Widths are tried in steps of this [pt].
_STEP = 6.0
#: A panel narrower than this is set side by side with others only when nothing else fits [pt].
_NARROW = 150.0


class ItemPanels:
    """The items' panels in every width they have been tried in, each under its name. ``spaces``: of each
    item's panel, the spaces it was tried in.
    """

    def __init__(self, names: Sequence[str], spaces: Sequence[PanelSpaces], size: float, rule: TypeRule):
        self.names, self.spaces, self.size, self.rule = names, spaces, size, rule
        self.tried: dict[float, list[_Grid]] = {}

    def fit(self, width: float, height: float) -> Block | None:
        """All panels in at most this space [pt], None when they do not fit."""
        width = width // _STEP * _STEP
        if width not in self.tried:
            self.tried[width] = self._grids(width)
        fitting = [grid for grid in self.tried[width] if grid.height <= height]
        fitting = [grid for grid in fitting if grid.rank == min(g.rank for g in fitting)]
        wide = [grid for grid in fitting if grid.cell >= _NARROW]
        return min(wide, key=lambda g: g.height).block if wide else fitting[0].block if fitting else None

    def rank(self, block: Block) -> int:
        """The last place among the market's formats that a panel of a grid has; 0 for any other block."""
        return next((grid.rank for grids in self.tried.values() for grid in grids if grid.is_block(block)), 0)

    def _grids(self, width: float) -> list[_Grid]:
        """One panel across, two, three ..."""
        grids = []
        for across in range(1, min(_MOST_ACROSS, len(self.names)) + 1):
            grid = self._grid(width, (width - (across - 1) * _GAP) / across)
            if grid is None:
                break
            grids.append(grid)
        return grids

    def _grid(self, width: float, cell: float) -> _Grid | None:
        """The panels in rows, each as wide as a cell; one that needs more gets more, and its row holds
        fewer.
        """
        rows: list[list[_Named]] = [[]]
        for n, name in enumerate(self.names):
            panel = self.spaces[n].fit(cell, _ENDLESS) or self.spaces[n].fit(width, _ENDLESS)
            runs = (Run(name, bold=True),)
            if panel is None:
                return None
            wide = max(cell, panel.width)
            if widest_word(runs, self.size) > wide:
                return None
            if rows[-1] and sum(one.width + _GAP for one in rows[-1]) + wide > width + _DUST:
                rows.append([])
            rows[-1].append(
                _Named(
                    n,
                    wide,
                    lay_out_text(
                        runs, wide, self.size, self.size * 1.2, f"panel-name-{n}", "panel-name", self.rule
                    ),
                    panel,
                    self.spaces[n].rank(panel),
                )
            )
        return _Grid(width, cell, tuple(tuple(row) for row in rows))


@dataclass(frozen=True, eq=False)
class _Named:
    """The panel of item ``n`` under its name, ``width`` wide [pt]. rank: of its format among the market's."""

    n: int
    width: float
    name: Block
    panel: Block
    rank: int

    @property
    def height(self) -> float:
        return self.name.height + _UNDER_NAME + self.panel.height

    def block(self) -> Block:
        return stack_blocks([self.name, _numbered(self.panel, self.n)], _UNDER_NAME, self.width)


@dataclass(frozen=True, eq=False)
class _Grid:
    """Rows of panels, as measured; drawn up only when it is taken. cell: least width of a panel in it
    [pt].
    """

    width: float
    cell: float
    rows: tuple[tuple[_Named, ...], ...]

    @cached_property
    def height(self) -> float:
        return sum(max(one.height for one in row) for row in self.rows) + _GAP * (len(self.rows) - 1)

    @cached_property
    def rank(self) -> int:
        return max(one.rank for row in self.rows for one in row)

    def is_block(self, block: Block) -> bool:
        """Whether that is this grid drawn up."""
        return self.__dict__.get("block") is block

    @cached_property
    def block(self) -> Block:
        return stack_blocks(
            [_row([one.block() for one in row], self.width) for row in self.rows], _GAP, self.width
        )


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

    return Block(
        block.width,
        block.height,
        tuple(of(b) for b in block.boxes),
        tuple(replace(s, part=f"{s.part}/{n}") for s in block.statements),
    )
