"""What is worked out while the label of one declaration is sought: the spaces its panels were tried in,
whatever the label's own size and faces.
"""

from __future__ import annotations

from labelgen.errors import NoRoomError
from labelgen.law.pack import Pack
from labelgen.layout.assortment_panels import ItemPanels
from labelgen.layout.boxes import Block
from labelgen.layout.fit import Chosen, Package, choose_panel
from labelgen.layout.rules import TypeRule
from labelgen.market.declaration_records import Declaration, Panel


class PanelSpaces:
    """Spaces a panel has been tried in. What is too small for it is so for anything smaller; what was
    chosen for a space is chosen for a smaller one that still holds it.
    """

    def __init__(self, panel: Panel, pack: Pack, package: Package):
        self.panel, self.pack, self.package = panel, pack, package
        self.held: list[tuple[float, float, Block]] = []
        self.small: list[tuple[float, float]] = []
        self.chosen: dict[int, Chosen] = {}

    def fit(self, width: float, height: float) -> Block | None:
        """The panel in at most this space [pt]; None when it does not fit."""
        if any(width <= w and height <= h for w, h in self.small):
            return None
        for w, h, block in self.held:
            if block.width <= width <= w and block.height <= height <= h:
                return block
        try:
            chosen = choose_panel(self.panel, self.pack, self.pack.on, width, height, self.package)
        except NoRoomError:
            self.small.append((width, height))
            return None
        self.held.append((width, height, chosen.block))
        self.chosen[id(chosen.block)] = chosen
        return chosen.block

    def rank(self, block: Block) -> int:
        """Place of a chosen block's format among the market's; 0 for any other block."""
        return self.chosen[id(block)].rank if id(block) in self.chosen else 0

    def ease(self, block: Block) -> float:
        """How much of the width it would like a chosen block has; 1 for any other block."""
        return self.chosen[id(block)].ease if id(block) in self.chosen else 1.0


class Tried:
    """The spaces of one declaration's panels, kept apart by what they depend on. Handed to everything that
    is laid out of the same declaration.
    """

    def __init__(self, said: Declaration):
        self.said = said
        self._panels: dict[tuple, PanelSpaces] = {}
        self._grids: dict[tuple, ItemPanels] = {}

    def panel(self, pack: Pack, package: Package, item: int | None = None) -> PanelSpaces:
        """The spaces of the panel, or of one item's of a box."""
        key = (package, item)
        if key not in self._panels:
            panel = self.said.panel if item is None else self.said.items[item].panel
            self._panels[key] = PanelSpaces(panel, pack, package)
        return self._panels[key]

    def items(self, pack: Pack, package: Package, size: float, rule: TypeRule) -> ItemPanels:
        """The panels of a box's items, each under its name, set at ``size`` points."""
        key = (package, size)
        if key not in self._grids:
            spaces = [self.panel(pack, package, n) for n in range(len(self.said.items))]
            self._grids[key] = ItemPanels(self._names(), spaces, size, rule)
        return self._grids[key]

    def _names(self) -> tuple[str, ...]:
        """What each item of a box is called, in both languages of the label where they differ."""
        said = [d for d in (self.said, self.said.second) if d is not None]
        return tuple(
            " / ".join(dict.fromkeys(item.product for item in several))
            for several in zip(*(d.items for d in said))
        )
