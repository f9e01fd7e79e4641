"""A whole label on one rectangle: identity and net quantity on top, panel at the left, the other text at the right."""

from __future__ import annotations

from labelgen.errors import LayoutError
from labelgen.layout.boxes import Block, PageLayout, stack_blocks
from labelgen.layout.fit import fit_panel
from labelgen.layout.metrics import face, missing_characters
from labelgen.layout.rules import read_label_rules
from labelgen.layout.stack import lay_out_text
from labelgen.market.records import Declaration, Run

_MARGIN, _GAP, _LEAST_TEXT = 9.0, 7.0, 100.0


def lay_out_label(declaration: Declaration, width_pt: float = 396.0) -> PageLayout:
    """One label of the given width [pt], as high as it needs to be. Raises LayoutError with the least width."""
    rules = read_label_rules(declaration.market, declaration.on)
    _refuse_missing(declaration)
    panel, _ = fit_panel(declaration.panel, declaration.market, declaration.on, width_pt - 2 * _MARGIN - _GAP - _LEAST_TEXT)
    panel_width = panel.width
    text_width = width_pt - 2 * _MARGIN - _GAP - panel_width
    small = rules.information
    size = _up(small.least_size(face("regular")))

    def text(part: str, runs: tuple[Run, ...], width: float, points: float, rule) -> Block:
        return lay_out_text(runs, width, points, points * 1.2, part, part, rule)

    full = width_pt - 2 * _MARGIN
    identity = text("identity", (Run(declaration.identity, bold=True),), full, max(14.0, size), small)
    named_apart = declaration.product != declaration.identity
    brand = text("name", (Run(declaration.product if named_apart else "", bold=True),), full, 20.0, small)
    top = stack_blocks([brand, identity], 2.0, full)
    right = [text("ingredients", declaration.ingredients, text_width, size, small)]
    right.append(text("allergens", declaration.allergens, text_width, size, small))
    loud = rules.warning
    for i, t in enumerate(declaration.advisories):
        warned = t in declaration.warnings
        points = max(size, _up(loud.least_size(face("bold")))) if warned else size
        right.append(text(f"advisory-{i}", (Run(t, bold=warned),), text_width, points, loud if warned else small))
    right.append(text("storage", (Run(declaration.storage),), text_width, size, small))
    right += [text(f"date-{i}", (Run(t),), text_width, size, small) for i, t in enumerate(declaration.dates)]
    right.append(stack_blocks([text(f"business-{i}", (Run(t),), text_width, size, small) for i, t in enumerate(declaration.business)], 0.0, text_width))
    column = stack_blocks(right, 5.0, text_width)
    body = max(panel.height, column.height)
    net_rule = rules.net_quantity(width_pt, body + top.height + 60, declaration.net_grams)
    net_size = _up(net_rule.least_size(face("bold")))
    net = text("net-quantity", (Run(declaration.net_quantity, bold=True),), full, net_size, net_rule)
    height = 2 * _MARGIN + top.height + _GAP + body + _GAP + net_size + net.height
    boxes, y = [], height - _MARGIN - top.height
    boxes += top.shifted(_MARGIN, y)
    y -= _GAP
    boxes += panel.shifted(_MARGIN, y - panel.height)
    boxes += column.shifted(_MARGIN + panel_width + _GAP, y - column.height)
    boxes += net.shifted(_MARGIN, _MARGIN)
    blocks = [brand, identity, panel, *right, net]
    statements = [s for block in (*blocks[:-1], net) for s in block.statements]
    parts = {s.part for s in statements}
    statements += [s for s in _business(declaration, text_width, size, small, lay_out_text) if s.part not in parts]
    return PageLayout(width_pt, height, tuple(boxes), tuple(statements), declaration.product, declaration.business[0] if declaration.business else "", "panel left, text right")


def _business(declaration, width, size, rule, lay) -> list:
    blocks = [lay((Run(t),), width, size, size * 1.2, f"business-{i}", f"business-{i}", rule) for i, t in enumerate(declaration.business)]
    return [s for b in blocks for s in b.statements]


def _up(points: float) -> float:
    """A type size rounded up to a tenth of a point, never below the minimum."""
    return -(-points * 10 // 1) / 10


def _refuse_missing(declaration: Declaration) -> None:
    texts = [declaration.identity, declaration.product, declaration.storage, *declaration.business, *declaration.advisories, *(r.text for r in declaration.ingredients)]
    lacking = sorted({c for t in texts for c in missing_characters(t)})
    if lacking:
        raise LayoutError(f"the typeface cannot draw {' '.join(lacking)}: write the text with other characters")
