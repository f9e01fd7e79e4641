"""The Canadian Nutrition Facts tables: standard and narrow in one language, bilingual, and bilingual
horizontal.

Food and Drug Regulations B.01.450 to B.01.455. The Directory of Nutrition Facts Table Formats was read in
descriptions
only: rules stand after the trans fat, sugars and protein lines, the rule under the calories ends behind their
number.
"""

from __future__ import annotations

from collections.abc import Sequence

from labelgen.layout.arrangement import Spacing
from labelgen.layout.metrics import face
from labelgen.layout.panels.panel_parts import glued, put_box, serving_amount, stressed
from labelgen.layout.rules import PanelRules
from labelgen.layout.stack import Builder, Stack, baseline_drop, least_widths, line_below, put_zones
from labelgen.market.declaration_records import Panel, Row, Run

#: The same row in each language.
Line = tuple[Row, ...]


def build(panel: Panel, width: float, rules: PanelRules, spacing: Spacing) -> Stack:
    """One table in one language or two, or a table for each language ([form] tables)."""
    second = (panel.second,) if panel.second else ()
    if not spacing.get("form.tables"):
        return _table((panel, *second) if spacing.get("form.bilingual") else (panel,), width, rules, spacing)
    stack = Stack(width)
    tables: list[Builder] = [
        lambda wide, one=one: _table((one,), wide, rules, spacing) for one in (panel, *second)
    ]
    least = least_widths(tables, spacing["least.width"])
    if spacing["form.tables"] == "beside":
        put_zones(stack, tables, spacing["form.gap"], [1 / len(tables)] * len(tables), least)
        stack.want(spacing["box.width"] * len(tables) + spacing["form.gap"])
    else:
        for number, table in enumerate(tables):
            stack.skip(spacing["form.gap"] if number else 0.0)
            put_zones(stack, (table,), 0.0, (1.0,), (max(least),))
        stack.want(spacing["box.width"])
    return stack


def _table(languages: Sequence[Panel], width: float, rules: PanelRules, spacing: Spacing) -> Stack:
    stack = Stack(width, rules.geometry["box"] + rules.geometry["box_gap"])
    stack.want(spacing["box.width"])
    stack.skip(rules.geometry["box"] + spacing["box.top"])
    table = _Table(languages, rules, spacing)
    if "zones.gap" in spacing:
        table.put_horizontal(stack)
    else:
        table.put_head(stack)
        table.put_calories(stack)
        table.put_lines(stack, table.lines("main"))
        if table.lines("micro"):
            stack.bar(rules.geometry["bar"])
            table.put_lines(stack, table.lines("micro"))
    stack.bar(rules.geometry["bar"])
    table.put_foot(stack)
    put_box(stack, rules, spacing)
    return stack


class _Table:
    """One table; every text stands once for each language, figures once."""

    def __init__(self, languages: Sequence[Panel], rules: PanelRules, spacing: Spacing):
        self.languages, self.rules, self.spacing = languages, rules, spacing
        self.size = rules.size("nutrient")
        self.pitch = self.size + rules.geometry["leading_nutrient"]
        self.tag = languages[0].title

    def part(self, name: str) -> str:
        """Unique also where a label carries a table for each language."""
        return f"panel.{self.tag}.{name}"

    def lines(self, *groups: str) -> list[Line]:
        return [
            line
            for line in zip(*(p.columns[0].rows for p in self.languages), strict=True)
            if line[0].group in groups
        ]

    def put_head(self, stack: Stack) -> None:
        """Title, serving of stated size, each on a line of its own in each language."""
        rule, size = self.rules["title"], self.rules.size("title", "bold")
        for number, panel in enumerate(self.languages):
            stack.paragraph(
                (Run(panel.title, bold=True),),
                size,
                size * self.spacing["title.leading"],
                self.part(f"title.{number}"),
                "title",
                rule.heavy(),
            )
        size = self.rules.size("serving_size")
        for number, panel in enumerate(self.languages):
            text = glued(f"{panel.serving_heading} {serving_amount(panel.serving)}".strip())
            stack.paragraph(
                (Run(text),),
                size,
                size + self.rules.geometry["leading"] + 1,
                self.part(f"serving.{number}"),
                "serving_size",
                self.rules["serving_size"],
            )
        stack.skip(self.spacing["title.below"])
        stack.hairline(self.rules.geometry["hairline"])

    def put_calories(self, stack: Stack, headings: bool = True) -> None:
        """Calories in bold; the percent heading right of it or, where the arrangement says so, below."""
        rows = [line[0] for line in self.lines("head")]
        row, leading = rows[0], self.rules.geometry["leading"]
        amount = self.languages[0].energy_joiner.join(r.declared for r in rows)
        size, bold = self.rules.size("calories", "bold"), face("bold")
        stack.skip(self.spacing["calories.above"])
        drop = size * bold.cap_height
        x = stack.text(
            f"{row.label} {amount}",
            stack.left,
            drop,
            "bold",
            size,
            self.part("calories"),
            "calories",
            self.rules["calories"].heavy(),
        )
        stack.need(x - stack.left)
        beside = headings and not self.spacing.get("calories.heading_below")
        top = stack.down
        if beside:
            self.put_percent_headings(stack, x - stack.left + self.spacing["box.between"])
        deep = max(stack.down - top, drop + self.spacing["calories.below"])
        stack.skip(top + drop + self.spacing["calories.below"] - stack.down)
        right, stack.right = stack.right, x
        stack.bar(self.rules.geometry["bar"])
        stack.right = right
        stack.skip(max(0.0, top + deep - stack.down) + leading)
        if headings and not beside:
            self.put_percent_headings(stack)

    def put_percent_headings(self, stack: Stack, taken: float = 0.0, column: int = 0) -> None:
        """ "% Daily Value*" at the right, a line for each language. taken: width [pt] used up at the left.
        column: of the table's columns.
        """
        size, bold = self.rules.size("percent_heading", "bold"), face("bold")
        for number, panel in enumerate(self.languages):
            drop = size * bold.cap_height
            stack.text(
                panel.percent_heading,
                stack.right,
                drop,
                "bold",
                size,
                self.part(f"percent_heading.{column}.{number}"),
                "percent_heading",
                self.rules["percent_heading"].heavy(),
                "right",
            )
            stack.need(taken + bold.width(panel.percent_heading, size))
            stack.skip(
                drop
                + (
                    line_below(bold, size, self.rules.geometry["leading"])
                    if number + 1 < len(self.languages)
                    else self.spacing["calories.between"]
                )
            )

    def put_lines(self, stack: Stack, lines: Sequence[Line]) -> None:
        """A thin rule above every name that is not indented, except the first."""
        for number, line in enumerate(lines):
            if line[0].spans:
                self._put_span(stack, line[0])
                continue
            if number and not line[0].indent:
                stack.hairline(self.rules.geometry["hairline"])
            self._put_line(stack, line)
            stack.skip(self.pitch)

    def _put_line(self, stack: Stack, line: Line) -> None:
        row, name_face = line[0], "bold" if line[0].bold else "regular"
        rule = self.rules["vitamin" if row.group == "micro" else "nutrient"]
        role = "vitamin" if row.group == "micro" else "nutrient"
        drop = baseline_drop(face("regular"), self.size, self.pitch)
        x = stack.left + self.spacing["rows.indent"] * row.indent
        x = stack.text(
            self.name(line),
            x,
            drop,
            name_face,
            self.size,
            self.part(row.key),
            role,
            rule.heavy() if row.bold else rule,
        )
        if row.declared:
            x += face("regular").width(" ", self.size)
            x = stack.text(
                row.declared, x, drop, "regular", self.size, self.part(f"{row.key}.amount"), role, rule
            )
        wide = x - stack.left
        percent = max((r.percent for r in self._percents(line)), key=len, default="")
        stack.need(
            wide
            + (self.spacing["box.between"] + face("regular").width(percent, self.size) if percent else 0.0)
        )
        if row.percent:
            stack.text(
                row.percent,
                stack.right,
                drop,
                "regular",
                self.size,
                self.part(f"{row.key}.percent"),
                role,
                rule,
                "right",
            )

    def _percents(self, line: Line) -> list[Row]:
        """The row itself, and the one whose percentage stands against it."""
        rows = [r for r in self.languages[0].columns[0].rows if r.group != "head"]
        at = rows.index(line[0])
        return [line[0], *(r for n, r in enumerate(rows[at + 1 :], 1) if r.spans >= n)]

    def _put_span(self, stack: Stack, row: Row) -> None:
        """A percentage half-way down the lines it is of."""
        drop = baseline_drop(face("regular"), self.size, self.pitch) - self.pitch * (row.spans + 1) / 2
        stack.text(
            row.percent,
            stack.right,
            drop,
            "regular",
            self.size,
            self.part(f"{row.key}.percent"),
            "nutrient",
            self.rules["nutrient"],
            "right",
        )

    def name(self, line: Line) -> str:
        """The row's name in every language; a sign before it stands once."""
        first, *others = dict.fromkeys(row.label for row in line)
        return " / ".join((first, *(label.removeprefix("+ ") for label in others)))

    def put_horizontal(self, stack: Stack) -> None:
        """Title and calories at the left, the nutrients in two columns beside them."""
        lines = self.lines("main", "micro")
        starts = [n for n, line in enumerate(lines) if not line[0].indent and not line[0].spans] or [0]
        cut = min(starts, key=lambda n: abs(sum(not line[0].spans for line in lines[:n]) - len(lines) / 2))

        def left(wide: float) -> Stack:
            zone = Stack(wide)
            self.put_head(zone)
            self.put_calories(zone, headings=False)
            return zone

        def column(number: int, part: Sequence[Line]) -> Builder:
            def build_column(wide: float) -> Stack:
                zone = Stack(wide)
                self.put_percent_headings(zone, column=number)
                zone.hairline(self.rules.geometry["hairline"])
                main, micro = ([line for line in part if line[0].group == g] for g in ("main", "micro"))
                self.put_lines(zone, main)
                if main and micro:
                    zone.bar(self.rules.geometry["bar"])
                self.put_lines(zone, micro)
                return zone

            return build_column

        zones = [left, column(0, lines[:cut]), column(1, lines[cut:])]
        put_zones(
            stack,
            zones,
            2 * self.spacing["zones.gap"],
            (0.3, 0.35, 0.35),
            least_widths(zones, self.spacing["zones.least"]),
            self.rules.geometry["hairline"],
        )

    def put_foot(self, stack: Stack) -> None:
        """Statements and the footnote, its telling words in bold."""
        leading = self.rules.geometry["leading"] + self.spacing["foot.between"]
        for number, panel in enumerate(self.languages):
            for place, text in enumerate([*panel.foot, panel.footnote]):
                role = "footnote" if place == len(panel.foot) else "foot"
                size = self.rules.size(role)
                stack.skip(self.spacing["foot.above"])
                runs = (
                    stressed(glued(text), self.spacing["foot.bold"])
                    if role == "footnote"
                    else (Run(glued(text)),)
                )
                stack.paragraph(
                    runs,
                    size,
                    size + leading,
                    self.part(f"{role}.{number}.{place}"),
                    role,
                    self.rules[role],
                )
