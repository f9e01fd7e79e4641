"""A ruled table: names at the left, a column of aligned figures for each basis, percentages beside them.

Used for the nutrition declaration of the European Union and the United Kingdom (Regulation (EU) No 1169/2011,
Article 34(2)) and the nutrition information panel of Australia and New Zealand (Schedule 12). The law gives
content, order and least type; lines and spacing are this project's.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from labelgen.layout.arrangement import Spacing
from labelgen.layout.boxes import RuleBox
from labelgen.layout.linebreak import break_runs, widest_word
from labelgen.layout.metrics import face
from labelgen.layout.panels.panel_parts import glued, joined_rows, put_box, row_words
from labelgen.layout.rules import PanelRules
from labelgen.layout.stack import Stack, baseline_drop
from labelgen.market.declaration_records import Panel, Row, Run

#: Up to the last digit before the decimal sign: "<0", "1 234", "2,045" of "<0.5 g", "1 234 kJ", "2,045 kJ".
_WHOLE = re.compile(r"\D*\d+(?:[   ,.]\d{3}(?!\d))*")


def build(panel: Panel, width: float, rules: PanelRules, spacing: Spacing) -> Stack:
    """The table with its title, serving lines and foot."""
    stack = Stack(width, rules.geometry["box"] + rules.geometry["box_gap"])
    stack.skip(rules.geometry["box"] + spacing["box.top"])
    _put_head(stack, panel, rules, spacing)
    _Table(stack, panel, rules, spacing).put()
    _put_foot(stack, panel, rules, spacing)
    put_box(stack, rules, spacing)
    return stack


def _put_head(stack: Stack, panel: Panel, rules: PanelRules, spacing: Spacing) -> None:
    leading = spacing["type.leading"]
    size = rules.size("title", "bold", spacing["type.title"])
    if panel.title:
        stack.skip(spacing["title.above"])
        stack.paragraph(
            (Run(panel.title, bold=True),),
            size,
            size * leading,
            "panel.title",
            "title",
            rules["title"].heavy(),
        )
        stack.want(face("bold").width(panel.title, size) + 2 * stack.padding)
    size = rules.size("caption")
    for number, text in enumerate(panel.caption):
        stack.paragraph(
            (Run(glued(text)),),
            size,
            size * leading,
            f"panel.caption.{number}",
            "caption",
            rules["caption"],
        )
        stack.want(face("regular").width(text, size) + 2 * stack.padding)
    stack.skip(spacing["title.below"])


def _put_foot(stack: Stack, panel: Panel, rules: PanelRules, spacing: Spacing) -> None:
    for number, (text, part) in enumerate([*((t, "foot") for t in panel.foot), (panel.footnote, "footnote")]):
        if text:
            size = rules.size(part, times=spacing["type.foot"])
            stack.skip(spacing["rows.above"])
            stack.paragraph(
                (Run(glued(text)),),
                size,
                size * spacing["type.leading"],
                f"panel.{part}.{number}",
                part,
                rules[part],
            )


@dataclass(frozen=True)
class _Column:
    """Figures under one heading. cells: one a row, each a tuple of lines. kind: "amount" or "percent".
    number: the panel's column. after: the widest part from the decimal sign on. width: the whole column's.
    """

    heading: str
    cells: tuple[tuple[str, ...], ...]
    kind: str
    number: int
    after: float
    width: float


class _Table:
    def __init__(self, stack: Stack, panel: Panel, rules: PanelRules, spacing: Spacing):
        self.stack, self.panel, self.rules, self.spacing = stack, panel, rules, spacing
        self.size = rules.size("nutrient")
        self.pitch = self.size * spacing["type.leading"]
        self.rows = [row for row in panel.columns[0].rows if not row.joined]
        broken = self._columns(True)
        whole = tuple(replace(w, width=max(w.width, b.width)) for w, b in zip(self._columns(False), broken))
        self.gap = gap = spacing["columns.gap"]
        names = max(
            [self._name_width(r) for r in self.rows] + [face("bold").width(panel.names_heading, self.size)]
        )
        least = max(
            [self._least_name(r) for r in self.rows]
            + [widest_word((Run(panel.names_heading, bold=True),), self.size)]
        )

        def wide(columns: tuple[_Column, ...], name: float) -> float:
            return name + sum(c.width + 2 * gap for c in columns)

        stack.need(wide(broken, least))
        stack.want(wide(whole, names) + 2 * stack.padding)
        spare = stack.inner - wide(whole, names)
        if spare < -1e-6:
            short = wide(whole, names) - wide(broken, names)
            part = max(0.0, 1 + spare / short) if short else 0.0
            whole = tuple(
                replace(b, width=b.width + (w.width - b.width) * part) for w, b in zip(whole, broken)
            )
        self.columns = whole
        spare = min(max(0.0, spare) / (len(self.columns) + 1), spacing["columns.most_spare"])
        self.lefts, x = [], stack.right
        for column in reversed(self.columns):
            x -= column.width + gap + spare + (gap if self.lefts else 0.0)
            self.lefts.insert(0, x)
        self.rights = [left - gap for left in (*self.lefts[1:], stack.right + gap)]
        self.name_room = self.lefts[0] - gap - stack.left

    def _columns(self, broken: bool) -> tuple[_Column, ...]:
        columns = []
        for number, column in enumerate(self.panel.columns):
            lines = joined_rows(column.rows)
            joiner = self.panel.energy_joiner
            amounts = tuple(_amount_lines([row.declared for row in rows], joiner, broken) for rows in lines)
            columns.append(self._column(column.heading, amounts, "amount", number, broken))
            if column.has_percent:
                columns.append(
                    self._column(
                        self.panel.percent_heading,
                        tuple((rows[0].percent,) for rows in lines),
                        "percent",
                        number,
                        broken,
                    )
                )
        return tuple(columns)

    def _column(
        self, heading: str, cells: tuple[tuple[str, ...], ...], kind: str, number: int, broken: bool
    ) -> _Column:
        regular = face("regular")
        texts = [text for lines in cells for text in lines]
        figures = [_split(text, self.size) for text in texts if _single(text)]
        whole, after = (max((f[n] for f in figures), default=0.0) for n in (0, 1))
        wide = max(
            [
                whole + after,
                (
                    widest_word((Run(glued(heading), bold=True),), self.size)
                    if broken
                    else _two_lines(glued(heading), self.size)
                ),
            ]
            + [regular.width(text, self.size) for text in texts]
        )
        return _Column(heading, cells, kind, number, after, wide)

    def _name(self, row: Row) -> tuple[Run, ...]:
        return (Run(glued(row_words(row, with_amount=False)[0]), bold=row.bold),)

    def _indent(self, row: Row) -> float:
        return self.spacing["rows.indent"] * row.indent

    def _name_width(self, row: Row) -> float:
        return face("bold" if row.bold else "regular").width(
            self._name(row)[0].text, self.size
        ) + self._indent(row)

    def _least_name(self, row: Row) -> float:
        return widest_word(self._name(row), self.size) + self._indent(row)

    def put(self) -> None:
        """Heading row, rows, and the lines between columns."""
        stack, geometry = self.stack, self.rules.geometry
        stack.hairline(geometry["heading_line"])
        top = stack.down
        self._put_headings()
        for number, row in enumerate(self.rows):
            stack.hairline(geometry["hairline" if number else "heading_line"])
            self._put_row(number, row)
        stack.hairline(geometry["heading_line"])
        for left in self.lefts:
            stack.boxes.append(RuleBox(left, -top, left, -stack.down, geometry["hairline"]))

    def _put_headings(self) -> None:
        rule = self.rules["column_heading"].heavy()
        cells = [("panel.name_heading", self.panel.names_heading, self.stack.left, self.name_room, "left")]
        for left, right, column in zip(self.lefts, self.rights, self.columns):
            part = f"panel.heading.{column.number}.{column.kind}"
            x = left + self.gap
            cells.append((part, glued(column.heading), x, right - x, "right"))
        self.stack.skip(self.spacing["rows.above"])
        deepest = max(
            self._put_lines((Run(text, bold=True),), x, room, part, "column_heading", rule, align)
            for part, text, x, room, align in cells
        )
        self.stack.skip(deepest * self.pitch + self.spacing["rows.below"])

    def _put_row(self, index: int, row: Row) -> None:
        stack = self.stack
        stack.skip(self.spacing["rows.above"])
        rule = self.rules["nutrient"]
        indent = self._indent(row)
        role = "vitamin" if row.group == "micro" else "nutrient"
        deepest = self._put_lines(
            self._name(row),
            stack.left + indent,
            self.name_room - indent,
            f"panel.{row.key}",
            role,
            rule.heavy() if row.bold else rule,
        )
        for right, column in zip(self.rights, self.columns):
            lines = column.cells[index]
            deepest = max(deepest, len(lines))
            self._put_figures(
                lines, right, column, f"panel.{row.key}.{column.number}.{column.kind}", role, rule
            )
        stack.skip(deepest * self.pitch + self.spacing["rows.below"])

    def _put_figures(
        self, lines: tuple[str, ...], right: float, column: _Column, part: str, role: str, rule
    ) -> None:
        regular = face("regular")
        if not any(lines):
            return
        for number, text in enumerate(lines):
            x = (
                right - column.after - _split(text, self.size)[0]
                if _single(text)
                else right - regular.width(text, self.size)
            )
            drop = baseline_drop(regular, self.size, self.pitch) + number * self.pitch
            self.stack.put(text, x, drop, "regular", self.size, part, " " if number else "")
        self.stack.say(part, role, " ".join(lines), rule)

    def _put_lines(
        self, runs: tuple[Run, ...], x: float, room: float, part: str, role: str, rule, align: str = "left"
    ) -> int:
        """Text broken into a cell; returns how many lines it took."""
        if not runs[0].text:
            return 0
        lines = break_runs(runs, room, self.size)
        drop = baseline_drop(face("regular"), self.size, self.pitch)
        for number, line in enumerate(lines):
            shift = room - line.width if align == "right" else 0.0
            for place, segment in enumerate(line.segments):
                self.stack.put(
                    segment.text,
                    x + shift + segment.x,
                    drop + number * self.pitch,
                    segment.face,
                    self.size,
                    part,
                    "" if place else line.lead,
                )
        self.stack.say(part, role, runs[0].text, rule)
        return len(lines)


def _amount_lines(figures: list[str], joiner: str, broken: bool) -> tuple[str, ...]:
    """An amount in two units, on one line or with the second unit below the first."""
    if not broken or len(figures) < 2:
        return (joiner.join(figures),)
    return (figures[0] + joiner.rstrip(), *figures[1:])


def _single(text: str) -> bool:
    """Whether a cell holds one figure, to be aligned with the others; an energy in two units holds two."""
    return not re.search(r"\d", re.sub(r"^[.,]\d+", "", _WHOLE.sub("", text, count=1)))


def _two_lines(heading: str, size: float) -> float:
    """The narrowest width at which a bold heading takes no more than two lines [pt]."""
    words, bold = heading.split(" "), face("bold")
    return min(
        max(bold.width(" ".join(part), size) for part in (words[:n], words[n:]))
        for n in range(1, len(words) + 1)
    )


def _split(text: str, size: float) -> tuple[float, float]:
    """Widths of a figure before and from its decimal sign on [pt]; text without a figure counts as before
    it.
    """
    found = _WHOLE.match(text)
    before = face("regular").width(found.group() if found else text, size)
    return before, face("regular").width(text, size) - before
