"""A whole label on one rectangle: identity and net quantity on top, panel at the left, the other text at the right."""

from __future__ import annotations

from labelgen.errors import LayoutError
from labelgen.layout.boxes import Block, PageLayout, RuleBox, TextBox, stack_blocks
from labelgen.layout.fit import fit_panel
from labelgen.layout.metrics import face, missing_characters
from labelgen.layout.rules import read_label_rules
from labelgen.layout.stack import lay_out_text
from labelgen.market.records import Declaration, Run

_MARGIN, _GAP, _LEAST_TEXT = 9.0, 7.0, 100.0
#: Border of a list that is set off: its distance from the text, and its thickness.
_INSET, _LINE = 4.0, 0.5
#: Claims and what must stand beside them: one size, never above twice the identity's.
_CLAIM = 9.0


def lay_out_label(declaration: Declaration, width_pt: float = 396.0) -> PageLayout:
    """One label of the given width [pt], as high as it needs to be. Raises LayoutError with the least width."""
    rules = read_label_rules(declaration.market, declaration.on)
    _refuse_missing(declaration)
    panel, _ = fit_panel(declaration.panel, declaration.market, declaration.on, width_pt - 2 * _MARGIN - _GAP - _LEAST_TEXT)
    panel_width = panel.width
    text_width = width_pt - 2 * _MARGIN - _GAP - panel_width
    small = rules.information
    size = max(_up(small.least_size(face("regular"))), _nutrient_size(panel) if rules.as_panel else 0.0)

    def text(part: str, runs: tuple[Run, ...], width: float, points: float, rule) -> Block:
        return lay_out_text(runs, width, points, points * 1.2, part, part, rule)

    full = width_pt - 2 * _MARGIN
    said = [d for d in (declaration, declaration.second) if d is not None]
    named_apart = declaration.product != declaration.identity
    front = rules.display
    points = max(14.0, _up(front.least_size(face("bold"))))
    brand = text("name", (Run(declaration.product if named_apart else "", bold=True),), full, 20.0, front)
    identities = [text(f"identity{n or ''}", (Run(d.identity, bold=True),), full, points, front) for n, d in enumerate(said)]
    claims = [
        text(f"claim{n or ''}-{i}", (Run(c.text, bold=True), *(Run(f" {t}", bold=True) for t in c.companions)), full, max(_CLAIM, size), small)
        for n, d in enumerate(said) for i, c in enumerate(d.claims)
    ]  # fmt: skip
    top = stack_blocks([brand, *identities, *claims], 2.0, full)
    inset = _INSET if rules.set_off else 0.0
    loud = rules.warning
    lists = []
    for n, d in enumerate(said):
        wide, mark = text_width - 2 * inset, n or ""
        lists.append(text(f"ingredients{mark}", d.ingredients, wide, size, small))
        lists.append(text(f"allergens{mark}", d.allergens, wide, size, small))
        for i, t in enumerate(d.advisories):
            warned = t in d.warnings
            points = max(size, _up(loud.least_size(face("bold")))) if warned else size
            lists.append(text(f"advisory{mark}-{i}", (Run(t, bold=warned),), wide, points, loud if warned else small))
    right = [_bordered(stack_blocks(lists, 4.0, text_width - 2 * inset), text_width, inset)] if inset else lists
    right += [text(f"storage{n or ''}", (Run(d.storage),), text_width, size, small) for n, d in enumerate(said)]
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
    blocks = [brand, *identities, *claims, panel, *right, net]
    statements = [s for block in (*blocks[:-1], net) for s in block.statements]
    parts = {s.part for s in statements}
    statements += [s for s in _business(declaration, text_width, size, small, lay_out_text) if s.part not in parts]
    return PageLayout(width_pt, height, tuple(boxes), tuple(statements), declaration.product, declaration.business[0] if declaration.business else "", "panel left, text right")


def _business(declaration, width, size, rule, lay) -> list:
    blocks = [lay((Run(t),), width, size, size * 1.2, f"business-{i}", f"business-{i}", rule) for i, t in enumerate(declaration.business)]
    return [s for b in blocks for s in b.statements]


def _nutrient_size(panel: Block) -> float:
    """The type size of a panel's nutrient lines [pt]; 0 when it has none."""
    parts = {s.part for s in panel.statements if s.role == "nutrient"}
    return max((b.size_pt for b in panel.boxes if isinstance(b, TextBox) and b.part in parts), default=0.0)


def _bordered(block: Block, width: float, inset: float) -> Block:
    """The block inside a thin border, ``width`` wide."""
    high, half = block.height + 2 * inset, _LINE / 2
    corners = ((half, half), (width - half, half), (width - half, high - half), (half, high - half))
    lines = [RuleBox(*a, *b, _LINE) for a, b in zip(corners, (*corners[1:], corners[0]))]
    return Block(width, high, (*block.shifted(inset, inset), *lines), block.statements)


def _up(points: float) -> float:
    """A type size rounded up to a tenth of a point, never below the minimum."""
    return -(-points * 10 // 1) / 10


def _refuse_missing(declaration: Declaration) -> None:
    said = [d for d in (declaration, declaration.second) if d is not None]
    texts = [t for d in said for t in (d.identity, d.product, d.storage, *d.business, *d.advisories, *d.dates, *(r.text for r in d.ingredients), *(c.text for c in d.claims), *(x for c in d.claims for x in c.companions))]
    lacking = sorted({c for t in texts for c in missing_characters(t)})
    if lacking:
        raise LayoutError(f"the typeface cannot draw {' '.join(lacking)}: write the text with other characters")
