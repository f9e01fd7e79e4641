"""The United States vertical Nutrition Facts panels, with one column or several (21 CFR 101.9(d), (e)).

The arrangement file says whether vitamins stand one a line or two ([micro] columns) and whether they and the
footnote stand below the other nutrients or beside them ([micro] beside).
"""

from __future__ import annotations

from labelgen.layout.arrangement import Spacing
from labelgen.layout.panels.nutrient_lines import Cells
from labelgen.layout.panels.panel_parts import put_box, put_foot, put_serving, put_title
from labelgen.layout.rules import PanelRules
from labelgen.layout.stack import Stack, least_widths, put_zones
from labelgen.market.declaration_records import Panel


def build(panel: Panel, width: float, rules: PanelRules, spacing: Spacing) -> Stack:
    """The panel, one line a nutrient."""
    stack = Stack(width, rules.geometry["box"] + rules.geometry["box_gap"])
    stack.want(spacing["box.width"])
    stack.skip(rules.geometry["box"] + spacing["box.top"])

    def left(wide: float) -> Stack:
        zone = Stack(wide)
        _put_nutrients(zone, panel, rules, spacing)
        return zone

    def right(wide: float) -> Stack:
        zone = Stack(wide)
        _put_vitamins(zone, panel, rules, spacing)
        return zone

    if "micro.beside" in spacing:
        share = spacing["micro.beside"]
        least = least_widths((left, right), spacing["micro.least"])
        put_zones(
            stack,
            (left, right),
            2 * spacing["micro.gap"],
            (1 - share, share),
            least,
            rules.geometry["hairline"],
        )
    else:
        _put_nutrients(stack, panel, rules, spacing)
        if panel.foot or any(r.group == "micro" for r in panel.columns[0].rows):
            stack.bar(rules.geometry["bar_wide"])
        _put_vitamins(stack, panel, rules, spacing)
    put_box(stack, rules, spacing)
    return stack


def _put_nutrients(stack: Stack, panel: Panel, rules: PanelRules, spacing: Spacing) -> None:
    """Title to protein."""
    put_title(stack, panel, rules, spacing)
    put_serving(stack, panel, rules, spacing)
    stack.bar(rules.geometry["bar_wide"])
    cells = Cells(stack, panel, rules, spacing)
    top = stack.down
    stack.skip(spacing["calories.above"])
    if cells.many:
        cells.put_headings()
    elif panel.amount_heading:
        cells.put_amount_heading()
    stack.skip(spacing["calories.between"])
    cells.put_calories()
    stack.bar(rules.geometry["bar_medium"])
    cells.put_percent_heading()
    cells.put_lines(cells.lines("main"), rule_above=True)
    cells.put_vertical_lines(top)


def _put_vitamins(stack: Stack, panel: Panel, rules: PanelRules, spacing: Spacing) -> None:
    """Vitamins and minerals, then statements and footnote."""
    cells = Cells(stack, panel, rules, spacing)
    top, count, lines = stack.down, int(spacing["micro.columns"]), cells.lines("micro")
    if count > 1:
        cells.put_across(lines, count)
    else:
        cells.put_lines(lines, rule_above=False)
    cells.put_vertical_lines(top)
    put_foot(stack, panel, rules, spacing, line_above=bool(lines))
