"""The United States vertical Nutrition Facts panel, with one column or several (21 CFR 101.9(d), (e))."""

from __future__ import annotations

from labelgen.layout.arrangement import Spacing
from labelgen.layout.boxes import RuleBox
from labelgen.layout.metrics import face
from labelgen.layout.panel_parts import put_box, put_foot, put_serving, put_title, row_words
from labelgen.layout.rules import PanelRules
from labelgen.layout.stack import Stack, baseline_drop
from labelgen.market.records import Column, Panel, Row


def build(panel: Panel, width: float, rules: PanelRules, spacing: Spacing) -> Stack:
    """The panel, one line a nutrient."""
    stack = Stack(width, rules.geometry["box"] + rules.geometry["box_gap"])
    stack.want(spacing["box.width"])
    stack.skip(rules.geometry["box"] + spacing["box.top"])
    put_title(stack, panel, rules, spacing)
    put_serving(stack, panel, rules, spacing)
    stack.bar(rules.geometry["bar_wide"])
    cells = _Cells(stack, panel, rules, spacing)
    top = stack.down
    cells.put_calories()
    stack.bar(rules.geometry["bar_medium"])
    cells.put_percent_heading()
    cells.put_rows("main", rule_above=True)
    stack.bar(rules.geometry["bar_wide"])
    cells.put_rows("micro", rule_above=False)
    cells.put_vertical_lines(top)
    put_foot(stack, panel, rules, spacing)
    put_box(stack, rules, spacing)
    return stack


class _Cells:
    """The rows of the panel: a name, then for each column an amount and a percentage."""

    def __init__(self, stack: Stack, panel: Panel, rules: PanelRules, spacing: Spacing):
        self.stack, self.panel, self.rules, self.spacing = stack, panel, rules, spacing
        self.many = len(panel.columns) > 1
        self.pitch = rules["nutrient"].minimum + rules.geometry["leading_nutrient"]
        self.drop = baseline_drop(face("regular"), rules["nutrient"].minimum, self.pitch)
        gap = spacing["columns.between"]
        count = len(panel.columns) if self.many else 0
        # columns of equal prominence are equally wide; the last one ends flush with the bars
        wide = max((self._column_width(column) for column in panel.columns), default=0.0) if self.many else 0.0
        step = wide + 2 * gap
        self.edges = [(stack.right - step * (count - n) + 2 * gap, stack.right - step * (count - n - 1)) for n in range(count)]
        self.names = stack.inner - step * count

    def _percent_face(self, row: Row) -> str:
        return "regular" if row.group == "micro" else "bold"

    def _column_width(self, column: Column) -> float:
        rules, spacing, regular, bold = self.rules, self.spacing, face("regular"), face("bold")
        wide = [bold.width(column.heading, spacing["columns.heading"])]
        wide.append(bold.width(self.panel.percent_heading, rules["percent_heading"].minimum))
        for row in column.rows:
            if row.group == "head":
                wide.append(bold.width(row.declared, rules["calorie_number"].minimum))
            else:
                size = rules["nutrient"].minimum
                percent = face(self._percent_face(row)).width(row.percent, size)
                wide.append(regular.width(row.declared, size) + spacing["columns.percent"] * bool(row.percent) + percent)
        return max(wide)

    def _rows(self, group: str) -> list[tuple[Row, ...]]:
        return [rows for rows in zip(*(column.rows for column in self.panel.columns), strict=True) if rows[0].group == group]

    def put_calories(self) -> None:
        """The amount heading (one column) or the column headings, then calories on one baseline."""
        stack, rules, spacing = self.stack, self.rules, self.spacing
        stack.skip(spacing["calories.above"])
        bold = face("bold")
        head, *others = self._rows("head")
        if self.many:
            size = spacing["columns.heading"]
            for column, (left, right) in zip(self.panel.columns, self.edges, strict=True):
                stack.text(column.heading, left, size * bold.cap_height, "bold", size, f"panel.heading.{column.heading}",
                           "column_heading", rules["amount_per_serving"])
            stack.skip(size * bold.cap_height + rules.geometry["leading"] + spacing["calories.between"])
        elif self.panel.amount_heading:
            rule = rules["amount_per_serving"]
            drop = rule.minimum * bold.cap_height
            stack.text(self.panel.amount_heading, stack.left, drop, "bold", rule.minimum, "panel.amount_heading",
                       "amount_per_serving", rule)
            stack.skip(drop + rules.geometry["leading"] + spacing["calories.between"])
        word, number = rules["calories"], rules["calorie_number"]
        drop = number.minimum * bold.cap_height
        name_end = stack.text(head[0].label, stack.left, drop, "bold", word.minimum, f"panel.{head[0].key}", "calories", word)
        for n, row in enumerate(head):
            left = self.edges[n][0] if self.many else stack.right - bold.width(row.declared, number.minimum)
            stack.text(row.declared, left, drop, "bold", number.minimum, f"panel.{row.key}.{n}", "calorie_number", number)
        wide = name_end - stack.left + spacing["box.between"]
        stack.need(wide + (stack.inner - self.names if self.many else bold.width(head[0].declared, number.minimum)))
        stack.skip(drop + spacing["calories.below"])
        for rows in others:
            self._put_row(rows, rules["calories_from_saturated_fat"])
            stack.skip(self.pitch)

    def put_percent_heading(self) -> None:
        stack, rule, spacing = self.stack, self.rules["percent_heading"], self.spacing
        bold = face("bold")
        drop = spacing["percent.above"] + rule.minimum * bold.cap_height
        for n in range(len(self.panel.columns)):
            right = self.edges[n][1] if self.many else stack.right
            stack.text(self.panel.percent_heading, right, drop, "bold", rule.minimum, f"panel.percent_heading.{n}",
                       "percent_heading", rule, "right")
        stack.skip(drop + spacing["percent.below"])

    def put_rows(self, group: str, rule_above: bool) -> None:
        """One line a nutrient; a hairline between lines, starting at the indent above a second-level line."""
        step = self.spacing["rows.indent"]
        for number, rows in enumerate(self._rows(group)):
            if rule_above or number:
                indent = step * rows[0].indent if rows[0].indent > 1 else 0.0
                self.stack.hairline(self.rules.geometry["hairline"], indent)
            self._put_row(rows, self.rules["vitamin" if group == "micro" else "nutrient"])
            self.stack.skip(self.pitch)

    def _put_row(self, rows: tuple[Row, ...], rule) -> None:
        stack, spacing, size = self.stack, self.spacing, rule.minimum
        first = rows[0]
        role = "vitamin" if first.group == "micro" else "nutrient"
        x = stack.left + spacing["rows.indent"] * first.indent
        name, amount = row_words(first, with_amount=not self.many)
        end = self._put_name(name, x, first, rule, role, size)
        if self.many:
            stack.need(end - stack.left + spacing["box.between"] + stack.inner - self.names)
        for n, row in enumerate(rows):
            name_face = self._percent_face(row)
            percent_rule = self.rules["nutrient_percent"] if name_face == "bold" else self.rules["vitamin"]
            part = f"panel.{row.key}.{n}"
            if self.many:
                left, right = self.edges[n]
                stack.text(row.declared, left, self.drop, "regular", size, f"{part}.amount", role, rule)
            else:
                right = stack.right
                if amount:
                    gap = face("regular").width(" ", size)
                    end = stack.text(amount, end + gap, self.drop, "regular", size, f"{part}.amount", role, rule)
                percent_width = face(name_face).width(row.percent, size)
                stack.need(end - stack.left + (spacing["box.between"] + percent_width if row.percent else 0.0))
            if row.percent:
                stack.text(row.percent, right, self.drop, name_face, size, f"{part}.percent", role, percent_rule, "right")

    def _put_name(self, name: str, x: float, row: Row, rule, role: str, size: float) -> float:
        """The name; words the template lists are set in italic. Returns the right end."""
        part = f"panel.{row.key}"
        if row.bold:
            return self.stack.text(name, x, self.drop, "bold", size, part, role, rule.heavy())
        head, space, tail = name.partition(" ")
        if head in self.spacing["rows.italic"] and space:
            x = self.stack.put(head + space, x, self.drop, "italic", size, part)
            x = self.stack.put(tail, x, self.drop, "regular", size, part)
            self.stack.say(part, role, name, rule)
            return x
        return self.stack.text(name, x, self.drop, "regular", size, part, role, rule)

    def put_vertical_lines(self, top: float) -> None:
        """A line to the left of each column, from below the first bar to the current place."""
        stack = self.stack
        for left, _ in self.edges:
            x = left - self.spacing["columns.between"]
            stack.boxes.append(RuleBox(x, -top, x, -stack.down, self.rules.geometry["hairline"]))
