"""The United States tabular panels: identity and calories at the left, nutrients beside them, footnote at the
far right.

21 CFR 101.9(d)(11)(iii) for packages with little height, (e)(6)(ii) with several columns, (j)(13)(ii)(A)(1)
for small packages, which need no footnote: their arrangement has no [zones] foot.
"""

from __future__ import annotations

import itertools
from dataclasses import replace

from labelgen.layout.arrangement import Spacing
from labelgen.layout.panels.nutrient_lines import Cells, Line
from labelgen.layout.panels.panel_parts import put_box, put_foot, put_serving, put_title
from labelgen.layout.rules import PanelRules
from labelgen.layout.stack import Builder, Stack, least_widths, put_zones
from labelgen.market.declaration_records import Panel


def build(panel: Panel, width: float, rules: PanelRules, spacing: Spacing) -> Stack:
    """The panel, its main nutrients in as many columns as the arrangement says."""
    if "zones.foot" not in spacing:
        # no footnote, so no asterisk that refers to it
        panel = replace(
            panel,
            footnote="",
            percent_heading=panel.percent_heading.rstrip("*"),
            percent_short=panel.percent_short.rstrip("*"),
        )
    stack = Stack(width, rules.geometry["box"] + rules.geometry["box_gap"])
    stack.want(spacing["box.width"])
    stack.skip(rules.geometry["box"] + spacing["box.top"])
    zones: list[Builder] = [
        lambda wide: _identity(panel, wide, rules, spacing),
        lambda wide: _nutrients(panel, wide, rules, spacing),
    ]
    if "zones.foot" in spacing:
        zones.append(lambda wide: _foot(panel, wide, rules, spacing))
    if "zones.stacked" in spacing:
        for zone in zones:
            put_zones(stack, (zone,), 0.0, (1.0,), least_widths((zone,), spacing["zones.least"]))
            stack.skip(spacing["zones.stacked"])
    else:
        shares = [spacing[f"zones.{name}"] for name in ("identity", "nutrients", "foot")[: len(zones)]]
        put_zones(
            stack,
            zones,
            2 * spacing["zones.gap"],
            shares,
            least_widths(zones, spacing["zones.least"]),
            rules.geometry["hairline"],
        )
    if "zones.foot" not in spacing:
        put_foot(stack, panel, rules, spacing)
    put_box(stack, rules, spacing)
    return stack


def _identity(panel: Panel, width: float, rules: PanelRules, spacing: Spacing) -> Stack:
    """Title, servings, serving size, calories."""
    zone = Stack(width)
    put_title(zone, panel, rules, spacing)
    put_serving(zone, panel, rules, spacing)
    zone.bar(rules.geometry["bar_medium"])
    cells = Cells(zone, panel, rules, spacing)
    zone.skip(spacing["calories.above"])
    if cells.many:
        cells.put_calories_listed()
    else:
        cells.put_amount_heading(".calories")
        zone.skip(spacing["calories.between"])
        cells.put_calories()
    return zone


def _nutrients(panel: Panel, width: float, rules: PanelRules, spacing: Spacing) -> Stack:
    """The main nutrients in columns under their headings, then a bar and the vitamins and minerals across
    them.
    """
    zone = Stack(width)
    cells = Cells(zone, panel, rules, spacing)
    columns = _shared_out(cells.lines("main"), int(spacing["nutrients.columns"]))
    micro = [cells.lines("micro")[place :: len(columns)] for place in range(len(columns))]

    def drawn(lines: list[Line], place: int, headed: bool) -> Builder:
        def build_column(wide: float) -> Stack:
            part = Stack(wide)
            own = Cells(part, panel, rules, spacing)
            if headed:
                own.put_table_headings(f".{place}")
                part.bar(rules.geometry["bar_medium"])
            top = part.down
            own.put_lines(lines, rule_above=False)
            own.put_vertical_lines(top)
            return part

        return build_column

    above = [drawn(lines, place, True) for place, lines in enumerate(columns)]
    below = [drawn(lines, place, False) for place, lines in enumerate(micro)]
    least = [max(b(spacing["zones.least"]).needed for b in pair) for pair in zip(above, below, strict=True)]
    shares = [1 / len(columns)] * len(columns)
    put_zones(zone, above, 2 * spacing["nutrients.gap"], shares, least)
    if any(micro):
        zone.bar(rules.geometry["bar_medium"])
        put_zones(zone, below, 2 * spacing["nutrients.gap"], shares, least)
    return zone


def _foot(panel: Panel, width: float, rules: PanelRules, spacing: Spacing) -> Stack:
    zone = Stack(width)
    zone.need(spacing["foot.least"])
    put_foot(zone, panel, rules, spacing, bars=False)
    return zone


def _shared_out(lines: list[Line], count: int) -> list[list[Line]]:
    """The lines in ``count`` runs of about the same length, each starting with a line that is not
    indented.
    """
    starts = [n for n, line in enumerate(lines) if not line[0].indent] or [0]
    ends = [min(starts, key=lambda n: abs(n - len(lines) * part / count)) for part in range(1, count)]
    edges = [0, *sorted(set(ends) - {0}), len(lines)]
    return [lines[a:b] for a, b in itertools.pairwise(edges)]
