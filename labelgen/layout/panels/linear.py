"""The linear panels: the whole declaration as one running text in a hairline box.

21 CFR 101.9(j)(13)(ii)(A)(2) for small packages that take no table, percentages in parentheses; Regulation
(EU) No 1169/2011 Article 34(2) where a table finds no room.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from labelgen.layout.arrangement import Spacing
from labelgen.layout.flow import Piece, put_flow
from labelgen.layout.panels.panel_parts import (
    glued,
    joined_rows,
    put_box,
    row_words,
    serving_amount,
    stressed,
)
from labelgen.layout.rules import PanelRules, TypeRule
from labelgen.layout.stack import Stack
from labelgen.market.declaration_records import Panel, Row

#: The role of its title, by which such a panel is known from a table.
RUNNING = "running-title"


def build(panel: Panel, width: float, rules: PanelRules, spacing: Spacing) -> Stack:
    """Title, serving, then each column's rows; then the same in the second language where there is one."""
    stack = Stack(width, rules.geometry["box"] + rules.geometry["box_gap"])
    stack.want(spacing["box.width"])
    stack.skip(rules.geometry["box"] + spacing["box.top"])
    pieces = _Text(stack, panel, rules, spacing, "panel").pieces()
    if panel.second:
        pieces += _Text(stack, panel.second, rules, spacing, "panel.second").pieces()
    stack.statements = [replace(s, role=RUNNING) if s.role == "title" else s for s in stack.statements]
    put_flow(stack, pieces)
    put_box(stack, rules, spacing)
    return stack


class _Text:
    def __init__(self, stack: Stack, panel: Panel, rules: PanelRules, spacing: Spacing, prefix: str):
        self.stack, self.panel, self.rules, self.spacing, self.prefix = stack, panel, rules, spacing, prefix
        self.many = len(panel.columns) > 1
        self.footnote = panel.footnote if spacing["foot.print"] else ""
        self.leading = max(rules.geometry["leading"], spacing["type.leading"])
        self.nutrient_leading = max(
            rules.geometry["leading_nutrient"] if spacing["rows.spaced"] else 0.0, self.leading
        )
        short = (panel.percent_short or panel.percent_heading).replace("%", "").strip()
        self.percent_of = short if self.footnote else short.rstrip("*")

    def pieces(self) -> list[Piece]:
        panel = self.panel
        pieces = self.said(
            f"{self.prefix}.title",
            "title",
            panel.title,
            "black" if self.rules["title"].bold else "bold",
            " ",
        )
        for number, text in enumerate(panel.caption):
            pieces += self.said(f"{self.prefix}.caption.{number}", "caption", _ended(text), "regular", " ")
        if panel.serving_heading:
            pieces += self.said(
                f"{self.prefix}.servings", "servings", panel.serving.per_container, "regular", ", "
            )
            serving = (
                f"{panel.serving_heading}{self.spacing['serving.after']} {serving_amount(panel.serving)}"
            )
            pieces += self.said(
                f"{self.prefix}.serving_size",
                "serving_size",
                serving,
                "bold" if self.rules["serving_size"].bold else "regular",
                ", ",
            )
        if panel.amount_heading:
            pieces += self.said(
                f"{self.prefix}.amount_heading", "amount_per_serving", panel.amount_heading, "bold", ": "
            )
        for number, column in enumerate(panel.columns):
            if column.heading:
                pieces += self.said(
                    f"{self.prefix}.heading.{number}", "column_heading", f"{column.heading}:", "bold", " "
                )
            lines = joined_rows(column.rows)
            for place, rows in enumerate(lines):
                pieces += self.row(rows, number, ", " if place + 1 < len(lines) else ". ")
        for number, text in enumerate([*panel.foot, self.footnote]):
            role = "footnote" if number == len(panel.foot) else "foot"
            ended = _ended(text) if role == "foot" or panel.second else text
            pieces += self.said(
                f"{self.prefix}.{role}.{number}",
                role,
                ended,
                "regular",
                " ",
                self.spacing.get("foot.bold", ()) if role == "footnote" else (),
            )
        return pieces

    def said(
        self, part: str, role: str, text: str, name: str, after: str, telling: Sequence[str] = ()
    ) -> list[Piece]:
        """One statement, its telling words in bold, and what follows it."""
        if not text:
            return []
        rule = self.rules[role]
        text = glued(text)
        self.stack.say(
            part, role, f"{text}{after}".strip(), rule.heavy() if name in ("bold", "black") else rule
        )
        runs = stressed(f"{text}{after}", telling)
        return [
            Piece(run.text, "bold" if run.bold else name, self.rules.size(role, name), part, self.leading)
            for run in runs
        ]

    def row(self, rows: tuple[Row, ...], number: int, after: str) -> list[Piece]:
        first = rows[0]
        name, amount = row_words(first)
        amount = (
            self.panel.energy_joiner.join([amount, *(r.declared for r in rows[1:])])
            if len(rows) > 1
            else amount
        )
        percent = glued(f" ({first.percent}\u00a0{self.percent_of})") if first.percent else ""
        if first is self.panel.columns[number].rows[0] and self.spacing["rows.calories"]:
            return self.calories(first, amount, number, after)
        role = "vitamin" if first.group == "micro" else "nutrient"
        part, rule = f"{self.prefix}.{first.key}.{number}", self.rules[role]
        size = self.rules.size(role)
        tail = glued(f" {amount}" if amount else "") + percent + after
        pieces = [
            Piece(text, face_name, size, part, self.nutrient_leading)
            for text, face_name in self.styled(glued(name), first)
        ]
        pieces.append(Piece(tail, "regular", size, part, self.nutrient_leading))
        self.stack.say(part, role, f"{glued(name)}{tail}".strip(), rule)
        return pieces

    def styled(self, name: str, row: Row) -> list[tuple[str, str]]:
        head, space, tail = name.partition(" ")
        if row.bold:
            return [(name, "bold")]
        if head in self.spacing["rows.italic"] and space:
            return [(f"{head} ", "italic"), (tail, "regular")]
        return [(name, "regular")]

    def calories(self, row: Row, amount: str, number: int, after: str) -> list[Piece]:
        """The calorie word and its number, each of its own size."""
        pieces = []
        for part, role, text in (
            (f"{self.prefix}.{row.key}", "calories", row.label),
            (f"{self.prefix}.{row.key}.{number}", "calorie_number", amount),
        ):
            rule: TypeRule = self.rules[role].heavy()
            self.stack.say(part, role, text, rule)
            pieces.append(
                Piece(
                    f"{text} " if role == "calories" else text,
                    "bold",
                    self.rules.size(role, "bold"),
                    part,
                    self.leading,
                )
            )
        mark = f"{self.prefix}.mark.{number}"
        self.stack.say(mark, "nutrient", after.strip(), self.rules["nutrient"])
        return [*pieces, Piece(after, "regular", self.rules.size("nutrient"), mark, self.leading)]


def _ended(text: str) -> str:
    return text if not text or text[-1] in ".:;" else f"{text}."
