"""Nutrition panels: which arrangement a format names, and the widths it can be drawn at.

An arrangement is a module with ``build(panel, width, rules, spacing) -> Stack``. Its file under
``templates/panels/`` names it ([form] name) and holds every length that is not law. A stack knows the width
its lines need at least, and the width they would like.
"""

from __future__ import annotations

from functools import lru_cache
from importlib import import_module

from labelgen.errors import LayoutError
from labelgen.layout.arrangement import read_spacing
from labelgen.layout.boxes import Block
from labelgen.layout.rules import PanelRules
from labelgen.layout.stack import Stack
from labelgen.market.declaration_records import Panel

#: Measures remembered: those of every format, wording and size of the panels of one large box.
_KEPT = 4096


@lru_cache(maxsize=256)
def build_panel(panel: Panel, width: float, rules: PanelRules) -> Stack:
    """The panel in the arrangement its format names, ``width`` points wide, whether it fits or not."""
    spacing = read_spacing(rules.template)
    return import_module(f"labelgen.layout.panels.{spacing['form.name']}").build(panel, width, rules, spacing)


@lru_cache(maxsize=_KEPT)
def measure_panel(panel: Panel, width: float, rules: PanelRules) -> tuple[float, float]:
    """(the width its lines need, its height) of a panel ``width`` points wide."""
    stack = build_panel(panel, width, rules)
    return stack.needed, stack.down


@lru_cache(maxsize=64)
def lay_out_panel(panel: Panel, width: float, rules: PanelRules) -> Block:
    """The panel, ``width`` points wide. Raises LayoutError with the least width when it does not fit."""
    stack = build_panel(panel, width, rules)
    if stack.needed > width + 1e-6:
        raise LayoutError(
            f"the nutrition panel is {width:.1f} pt wide but its lines need {stack.needed:.1f} pt "
            f"({stack.needed / 72:.2f} in): choose a wider label"
        )
    return stack.block()


@lru_cache(maxsize=_KEPT)
def least_width(panel: Panel, rules: PanelRules) -> float:
    """The narrowest lawful panel, in points."""
    floor = read_spacing(rules.template)["least.width"]
    return max(floor, measure_panel(panel, floor, rules)[0])


@lru_cache(maxsize=_KEPT)
def comfortable_width(panel: Panel, rules: PanelRules) -> float:
    """The width at which nothing has to be broken that should stand on one line, in points."""
    floor = least_width(panel, rules)
    return max(floor, build_panel(panel, floor, rules).wanted)
