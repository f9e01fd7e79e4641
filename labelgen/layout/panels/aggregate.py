"""The aggregate panel of an assortment: an amount and a percentage of each food beside the shared names.

21 CFR 101.9(h)(2) and (d)(13): the names of the foods stand right of the heading. Foods that find no room
beside each other make a further panel below, whole in itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from labelgen.layout.arrangement import Spacing
from labelgen.layout.linebreak import widest_word
from labelgen.layout.metrics import face
from labelgen.layout.panels.nutrient_lines import Cells
from labelgen.layout.panels.panel_parts import glued, put_box, put_foot, serving_amount
from labelgen.layout.rules import PanelRules, TypeRule
from labelgen.layout.stack import Stack
from labelgen.market.declaration_records import Column, Panel, Run


def build(panel: Panel, width: float, rules: PanelRules, spacing: Spacing) -> Stack:
    """As many foods beside each other as the width takes, at least one."""
    stack = Stack(width)
    foods = len(panel.columns)
    frame = 2 * (rules.geometry["box"] + rules.geometry["box_gap"])
    whole = _Table(Stack(width), panel, rules, spacing, 0.0)
    stack.want(
        whole.names + frame + whole.step(spacing["foods.width"]) * min(foods, int(spacing["foods.beside"]))
    )
    count = max(1, min(foods, int((width - frame - whole.names) / whole.cells.step + 1e-6)))
    bands = -(-foods // count)
    shared = -(-foods // bands)
    wide = min(
        spacing["foods.width"], (width - frame - whole.names) / shared - whole.cells.step + whole.cells.wide
    )
    for number in range(bands):
        stack.skip(spacing["foods.between"] if number else 0.0)
        columns = panel.columns[number * foods // bands : (number + 1) * foods // bands]
        band_width = min(width, frame + whole.names + whole.step(wide) * len(columns))
        band = _band(replace(panel, columns=columns), band_width, rules, spacing, max(wide, whole.cells.wide))
        stack.needed = max(stack.needed, band.needed)
        stack.place(band, 0.0, f".{number}")
        stack.skip(band.down)
    return stack


def _band(panel: Panel, width: float, rules: PanelRules, spacing: Spacing, wide: float) -> Stack:
    """One panel with its box, the figures of each food ``wide`` points wide."""
    stack = Stack(width, rules.geometry["box"] + rules.geometry["box_gap"])
    stack.skip(rules.geometry["box"] + spacing["box.top"])
    table = _Table(stack, panel, rules, spacing, wide)
    table.put_head()
    cells, geometry = table.cells, rules.geometry
    stack.bar(geometry["bar_wide"])
    top = stack.down
    stack.skip(spacing["calories.above"])
    if panel.amount_heading:
        cells.put_amount_heading()
    stack.skip(spacing["calories.between"])
    cells.put_calories()
    stack.bar(geometry["bar_medium"])
    cells.put_percent_heading()
    cells.put_lines(cells.lines("main"), rule_above=True)
    micro = cells.lines("micro")
    if micro or panel.foot:
        stack.bar(geometry["bar_wide"])
    cells.put_lines(micro, rule_above=False)
    cells.put_vertical_lines(top)
    put_foot(stack, panel, rules, spacing, line_above=bool(micro))
    put_box(stack, rules, spacing)
    return stack


class _Table:
    def __init__(self, stack: Stack, panel: Panel, rules: PanelRules, spacing: Spacing, wide: float):
        self.stack, self.panel, self.rules, self.spacing = stack, panel, rules, spacing
        texts = [text[:2] for column in panel.columns for text in self._texts(column)]
        self.cells = Cells(
            stack, panel, rules, spacing, max([wide, *(widest_word(*t) for t in texts)]), many=True
        )
        self.names = max(face("black").width(panel.title, rules["title"].minimum), self.cells.names_width())

    def _texts(self, column: Column) -> Iterator[tuple[tuple[Run, ...], float, str]]:
        """(runs, size, role) of what stands over a food's figures."""
        serving = column.serving
        heading, servings, size = (self.rules[k] for k in ("nutrient", "servings", "serving_size"))
        yield (
            (Run(column.heading, bold=True),),
            max(heading.minimum, self.spacing["foods.size"]),
            "column_heading",
        )
        yield (Run(glued(serving.per_container)),), servings.minimum, "servings"
        yield (Run(glued(serving_amount(serving)), bold=True),), size.minimum, "serving_size"

    def step(self, wide: float) -> float:
        """From one food to the next where its figures are at least ``wide`` points wide."""
        return max(self.cells.step, self.cells.step - self.cells.wide + wide)

    def put_head(self) -> None:
        """The title with the foods' names at its right, then each food's servings and serving size."""
        stack, rules, spacing = self.stack, self.rules, self.spacing
        title = rules["title"]
        stack.need(self.names + self.cells.figures)
        drop = spacing["title.above"] + title.minimum * face("black").cap_height
        stack.text(self.panel.title, stack.left, drop, "black", title.minimum, "panel.title", "title", title)
        deep = self._put_across(0, rules["column_heading"].heavy())
        stack.skip(max(drop, deep) + spacing["title.below"])
        stack.hairline(rules.geometry["hairline"])
        stack.skip(spacing["serving.above"])
        stack.skip(self._put_across(1, rules["servings"]))
        size = rules["serving_size"]
        stack.text(
            self.panel.serving_heading,
            stack.left,
            size.minimum,
            "bold",
            size.minimum,
            "panel.serving_heading",
            "serving_size",
            size,
        )
        stack.skip(self._put_across(2, size) + spacing["serving.below"])

    def _put_across(self, which: int, rule: TypeRule) -> float:
        """One text of each food in its column; returns the height [pt]."""
        stack, deepest = self.stack, 0.0
        for number, (column, (left, right)) in enumerate(
            zip(self.panel.columns, self.cells.edges, strict=True)
        ):
            runs, size, role = list(self._texts(column))[which]
            if not runs[0].text:
                continue
            part = Stack(right - left)
            part.paragraph(
                runs, size, size + self.rules.geometry["leading"], f"panel.{role}.{number}", role, rule
            )
            stack.place(part, left)
            deepest = max(deepest, part.down)
        return deepest
