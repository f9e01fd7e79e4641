"""Lines of nutrients: a name, then for each column an amount and a percentage. Shared by the United States
panels.
"""

from __future__ import annotations

from collections.abc import Sequence

from labelgen.layout.arrangement import Spacing
from labelgen.layout.boxes import RuleBox
from labelgen.layout.metrics import face
from labelgen.layout.panels.panel_parts import row_words
from labelgen.layout.rules import PanelRules, TypeRule
from labelgen.layout.stack import Stack, baseline_drop, line_below
from labelgen.market.declaration_records import Column, Panel, Row

#: The same row in every column.
Line = tuple[Row, ...]


class Cells:
    """Draws lines of nutrients. With one column the amount follows the name; with several each has its own
    place, all equally wide."""

    def __init__(
        self,
        stack: Stack,
        panel: Panel,
        rules: PanelRules,
        spacing: Spacing,
        least: float = 0.0,
        many: bool = False,
    ):
        """least: of the width of a column of figures [pt]. many: figures have columns of their own even if
        there is one.
        """
        self.stack, self.panel, self.rules, self.spacing = stack, panel, rules, spacing
        self.many = many or len(panel.columns) > 1
        self.pitch = rules["nutrient"].minimum + rules.geometry["leading_nutrient"]
        self.drop = baseline_drop(face("regular"), rules["nutrient"].minimum, self.pitch)
        # columns of equal prominence are equally wide
        self.wide = (
            max(least, *(self._column_width(column) for column in panel.columns)) if self.many else 0.0
        )
        self.step = self.wide + 2 * spacing["columns.between"]

    @property
    def edges(self) -> list[tuple[float, float]]:
        """Left and right end of each column's figures; the last ends flush with the bars."""
        gap, count = self.spacing["columns.between"], len(self.panel.columns) if self.many else 0
        right = self.stack.right
        return [
            (right - self.step * (count - n) + 2 * gap, right - self.step * (count - n - 1))
            for n in range(count)
        ]

    @property
    def figures(self) -> float:
        """The width that all columns of figures take."""
        return self.step * len(self.panel.columns) if self.many else 0.0

    def lines(self, group: str) -> list[Line]:
        """The lines of a row group, top to bottom."""
        return [
            line
            for line in zip(*(column.rows for column in self.panel.columns), strict=True)
            if line[0].group == group
        ]

    def need(self, names: float) -> None:
        """Note the width of the names; the columns of figures come on top."""
        self.stack.need(names + self.figures)

    def names_width(self) -> float:
        """What the names take, figures apart."""
        return max(
            (
                self.line_width(line) - self.figures
                for group in ("main", "micro")
                for line in self.lines(group)
            ),
            default=0.0,
        )

    def line_width(self, line: Line) -> float:
        """What one line takes where nothing is spared, figures included."""
        row, size = line[0], self.rules["nutrient"].minimum
        name, amount = row_words(row, with_amount=not self.many)
        wide = self.spacing["rows.indent"] * row.indent + face("bold" if row.bold else "regular").width(
            name, size
        )
        if self.many:
            return wide + self.spacing["box.between"] + self.figures
        wide += face("regular").width(f" {amount}" if amount else "", size)
        return wide + (
            self.spacing["box.between"] + face(percent_face(row)).width(row.percent, size)
            if row.percent
            else 0.0
        )

    def _column_width(self, column: Column) -> float:
        rules, spacing, regular, bold = self.rules, self.spacing, face("regular"), face("bold")
        wide = [bold.width(column.heading, spacing["columns.heading"]) if not column.serving else 0.0]
        wide.append(bold.width(self.panel.percent_heading, rules["percent_heading"].minimum))
        for row in column.rows:
            if row.group == "head":
                wide.append(bold.width(row.declared, rules["calorie_number"].minimum))
            else:
                size = rules["nutrient"].minimum
                percent = face(percent_face(row)).width(row.percent, size)
                wide.append(
                    regular.width(row.declared, size)
                    + spacing["columns.percent"] * bool(row.percent)
                    + percent
                )
        return max(wide)

    def put_headings(self, place: str = "") -> None:
        """The heading over each column of figures."""
        stack, size = self.stack, self.spacing["columns.heading"]
        drop = size * face("bold").cap_height
        for number, (column, (left, _)) in enumerate(zip(self.panel.columns, self.edges, strict=True)):
            stack.text(
                column.heading,
                left,
                drop,
                "bold",
                size,
                f"panel.heading{place}.{number}",
                "column_heading",
                self.rules["column_heading"].heavy(),
            )
        stack.skip(drop + line_below(face("bold"), size, self.rules.geometry["leading"]))

    def put_amount_heading(self, place: str = "") -> None:
        """ "Amount per serving" at the left."""
        rule = self.rules["amount_per_serving"]
        drop = rule.minimum * face("bold").cap_height
        end = self.stack.text(
            self.panel.amount_heading,
            self.stack.left,
            drop,
            "bold",
            rule.minimum,
            f"panel.amount_heading{place}",
            "amount_per_serving",
            rule,
        )
        self.stack.need(end - self.stack.left)
        self.stack.skip(drop + line_below(face("bold"), rule.minimum, self.rules.geometry["leading"]))

    def put_table_headings(self, place: str) -> None:
        """What the figures are of and that the percentages are of the daily value, on as few lines as they
        take.
        """
        stack, bold = self.stack, face("bold")
        percent = self.panel.percent_short or self.panel.percent_heading
        if self.many:
            self.put_headings(place)
        else:
            rules = self.rules
            amount = bold.width(self.panel.amount_heading, rules["amount_per_serving"].minimum)
            stack.need(
                amount + self.spacing["box.between"] + bold.width(percent, rules["percent_heading"].minimum)
            )
            top = stack.down
            self.put_amount_heading(place)
            stack.skip(top - stack.down)
        self.put_percent_heading(place, 0.0, percent)

    def put_calories(self) -> None:
        """The calorie lines: word and figures on one baseline, then what else belongs to them."""
        stack, rules, spacing = self.stack, self.rules, self.spacing
        head, *others = self.lines("head")
        bold, word, number = face("bold"), rules["calories"], rules["calorie_number"]
        drop = number.minimum * bold.cap_height
        end = stack.text(
            head[0].label, stack.left, drop, "bold", word.minimum, f"panel.{head[0].key}", "calories", word
        )
        for n, row in enumerate(head):
            left = self.edges[n][0] if self.many else stack.right - bold.width(row.declared, number.minimum)
            stack.text(
                row.declared,
                left,
                drop,
                "bold",
                number.minimum,
                f"panel.{row.key}.{n}",
                "calorie_number",
                number,
            )
        self.need(
            end
            - stack.left
            + spacing["box.between"]
            + (0.0 if self.many else bold.width(head[0].declared, number.minimum))
        )
        stack.skip(drop + spacing["calories.below"])
        self._put_other_calories(others)

    def _put_other_calories(self, lines: Sequence[Line]) -> None:
        """Calories from saturated fat."""
        for line in lines:
            self._put_line(line, self.rules["calories_from_saturated_fat"])
            self.stack.skip(self.pitch)

    def put_calories_listed(self) -> None:
        """The calorie word, then a line for each column with its heading and its number."""
        stack, rules, spacing = self.stack, self.rules, self.spacing
        bold, word, number = face("bold"), rules["calories"], rules["calorie_number"]
        size = spacing["columns.heading"]
        head, *others = self.lines("head")
        drop = word.minimum * bold.cap_height
        stack.text(
            head[0].label, stack.left, drop, "bold", word.minimum, f"panel.{head[0].key}", "calories", word
        )
        stack.skip(drop + rules.geometry["leading"])
        for n, (row, column) in enumerate(zip(head, self.panel.columns, strict=True)):
            drop = number.minimum * bold.cap_height + rules.geometry["leading"]
            end = stack.text(
                column.heading,
                stack.left,
                drop,
                "bold",
                size,
                f"panel.calories_heading.{n}",
                "column_heading",
                rules["column_heading"].heavy(),
            )
            stack.text(
                row.declared,
                stack.right,
                drop,
                "bold",
                number.minimum,
                f"panel.{row.key}.{n}",
                "calorie_number",
                number,
                "right",
            )
            stack.need(end - stack.left + spacing["box.between"] + bold.width(row.declared, number.minimum))
            stack.skip(drop + 2 * rules.geometry["leading"])
        self._put_other_calories(others)

    def across_width(self, lines: Sequence[Line], count: int) -> float:
        """What ``count`` lines beside each other take."""
        gap = self.spacing["across.between"]
        return (max((self.line_width(line) for line in lines), default=0.0) + gap) * count - gap

    def put_percent_heading(self, place: str = "", above: float | None = None, text: str = "") -> None:
        """ "% Daily Value*" over the percentages of each column."""
        stack, rule, spacing = self.stack, self.rules["percent_heading"], self.spacing
        drop = (spacing["percent.above"] if above is None else above) + rule.minimum * face("bold").cap_height
        for n, right in enumerate([right for _, right in self.edges] or [stack.right]):
            stack.text(
                text or self.panel.percent_heading,
                right,
                drop,
                "bold",
                rule.minimum,
                f"panel.percent_heading{place}.{n}",
                "percent_heading",
                rule,
                "right",
            )
        stack.skip(drop + spacing["percent.below"])

    def put_lines(self, lines: Sequence[Line], rule_above: bool) -> None:
        """One line a nutrient; a hairline between lines, starting at the indent above a second-level line."""
        step = self.spacing["rows.indent"]
        for number, line in enumerate(lines):
            if rule_above or number:
                indent = step * line[0].indent if line[0].indent > 1 else 0.0
                self.stack.hairline(self.rules.geometry["hairline"], indent)
            self._put_line(line, self.rules["vitamin" if line[0].group == "micro" else "nutrient"])
            self.stack.skip(self.pitch)

    def put_across(self, lines: Sequence[Line], count: int) -> None:
        """Several lines side by side, ``count`` to a row, with a hairline between rows."""
        stack, gap = self.stack, self.spacing["across.between"]
        left, right = stack.left, stack.right
        part = (right - left - gap * (count - 1)) / count
        stack.need(self.across_width(lines, count))
        for start in range(0, len(lines), count):
            if start:
                stack.hairline(self.rules.geometry["hairline"])
            for place, line in enumerate(lines[start : start + count]):
                stack.left = left + (part + gap) * place
                stack.right = stack.left + part
                self._put_line(line, self.rules["vitamin"], measure=False)
            stack.left, stack.right = left, right
            stack.skip(self.pitch)

    def _put_line(self, line: Line, rule: TypeRule, measure: bool = True) -> None:
        stack, spacing, size = self.stack, self.spacing, rule.minimum
        first = line[0]
        role = "vitamin" if first.group == "micro" else "nutrient"
        x = stack.left + spacing["rows.indent"] * first.indent
        name, amount = row_words(first, with_amount=not self.many)
        end = self._put_name(name, x, first, rule, role, size)
        if measure:
            self.need(self.line_width(line) - self.figures)
        edges = self.edges
        for n, row in enumerate(line):
            heavy = percent_face(row)
            percent_rule = (
                self.rules["nutrient_percent"].heavy() if heavy == "bold" else self.rules["vitamin"]
            )
            part = f"panel.{row.key}.{n}"
            left, right = edges[n] if self.many else (end + face("regular").width(" ", size), stack.right)
            if row.declared if self.many else amount:
                stack.text(
                    row.declared if self.many else amount,
                    left,
                    self.drop,
                    "regular",
                    size,
                    f"{part}.amount",
                    role,
                    rule,
                )
            if row.percent:
                stack.text(
                    row.percent,
                    right,
                    self.drop,
                    heavy,
                    size,
                    f"{part}.percent",
                    role,
                    percent_rule,
                    "right",
                )

    def _put_name(self, name: str, x: float, row: Row, rule: TypeRule, role: str, size: float) -> float:
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
        for left, _ in self.edges:
            x = left - self.spacing["columns.between"]
            self.stack.boxes.append(RuleBox(x, -top, x, -self.stack.down, self.rules.geometry["hairline"]))


def percent_face(row: Row) -> str:
    """Percentages of vitamins and minerals are not bold, those of the other nutrients are."""
    return "regular" if row.group == "micro" else "bold"
