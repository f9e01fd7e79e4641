"""The parts that several panel arrangements share: title, serving lines, foot, outline, and how a row is
worded.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from labelgen.layout.arrangement import Spacing
from labelgen.layout.boxes import RuleBox
from labelgen.layout.metrics import face
from labelgen.layout.rules import PanelRules
from labelgen.layout.stack import Stack, baseline_drop
from labelgen.market.declaration_records import Panel, Row, Run, Serving

#: Spaces inside a figure, between it and its unit or percent sign, after a leading percent sign or dash.
_CLOSE = re.compile(
    r"(?<=\d) (?=(?:g|mg|µg|mcg|kg|ml|mL|kJ|kcal|Cal|%|°[CF])(?:\W|$))|(?<=\d) (?=\d{3})|(?<=^[%–—-]) "
)


def put_title(stack: Stack, panel: Panel, rules: PanelRules, spacing: Spacing) -> None:
    """The title across the full width, never smaller than the law's size, then a hairline."""
    black = face("black")
    unit = black.width(panel.title)
    least = rules["title"].minimum
    stack.need(unit * least)
    size = min(max(stack.inner / unit, least), max(spacing["title.largest"], least))
    drop = spacing["title.above"] + size * black.cap_height
    # the sidebearing of the first letter is taken back so that the stem lines up with the bars below
    stack.text(panel.title, stack.left, drop, "black", size, "panel.title", "title", rules["title"])
    stack.skip(drop + spacing["title.below"])
    stack.hairline(rules.geometry["hairline"])


def put_serving(stack: Stack, panel: Panel, rules: PanelRules, spacing: Spacing) -> None:
    """Servings per container, then the serving size with its amount right-justified."""
    leading = rules.geometry["leading"] + spacing["serving.between"]
    stack.skip(spacing["serving.above"])
    if panel.serving.per_container:
        size = rules["servings"].minimum
        text = (Run(panel.serving.per_container),)
        stack.paragraph(text, size, size + leading, "panel.servings", "servings", rules["servings"])
    words, amount, bold = panel.serving_heading, serving_amount(panel.serving), face("bold")
    # where the line does not fit in its own size, the law lets it be smaller
    rule = rules["serving_size"]
    if bold.width(amount, rule.minimum) > stack.inner:
        rule = rules.types.get("serving_size_tight", rule)
    size = rule.minimum
    word_width, amount_width = bold.width(words, size), bold.width(amount, size)
    drop, pitch = baseline_drop(bold, size, size + leading), size + leading
    stack.need(word_width)
    stack.put(words, stack.left, drop, "bold", size, "panel.serving_size")
    if word_width + spacing["box.between"] + amount_width > stack.inner:
        stack.skip(pitch)
    if amount_width <= stack.inner:
        stack.put(amount, stack.right - amount_width, drop, "bold", size, "panel.serving_size", " ")
        stack.skip(pitch)
    else:
        stack.paragraph(
            (Run(glued(amount), bold=True),),
            size,
            pitch,
            "panel.serving_size",
            "serving_size",
            rule,
            align="right",
        )
        stack.statements.pop()
    stack.say("panel.serving_size", "serving_size", f"{words} {amount}", rule)
    stack.skip(spacing["serving.below"])


def serving_amount(serving: Serving) -> str:
    """ "2 cookies (32g)"; the metric amount alone where there is no household measure."""
    household, metric = serving.household, serving.metric
    return f"{household} ({metric})" if household and metric else household or metric


def put_foot(
    stack: Stack,
    panel: Panel,
    rules: PanelRules,
    spacing: Spacing,
    bars: bool = True,
    line_above: bool = True,
) -> None:
    """The "Not a significant source of" statements, then the bar and the footnote. bars: off where they
    stand apart from the rows. line_above: off where a bar stands over the first statement.
    """
    leading = rules.geometry["leading"] + spacing["foot.between"]
    for number, text in enumerate(panel.foot):
        if bars and (number or line_above):
            stack.hairline(rules.geometry["hairline"])
        stack.skip(spacing["foot.above"])
        size = rules["foot"].minimum
        stack.paragraph((Run(text),), size, size + leading, f"panel.foot.{number}", "foot", rules["foot"])
        stack.skip(spacing["foot.above"])
    if panel.footnote:
        if bars:
            stack.bar(rules.geometry["bar_medium"])
        stack.skip(spacing["foot.above"])
        size = rules["footnote"].minimum
        hang = face("regular").width("*", size) if panel.footnote.startswith("*") else 0.0
        stack.paragraph(
            (Run(panel.footnote),),
            size,
            size + leading,
            "panel.footnote",
            "footnote",
            rules["footnote"],
            hang,
        )


def put_box(stack: Stack, rules: PanelRules, spacing: Spacing) -> None:
    """Room at the bottom, and the outline around everything placed so far."""
    thickness = rules.geometry["box"]
    stack.skip(spacing["box.bottom"] + thickness)
    half = thickness / 2
    left, right, top, bottom = half, stack.width - half, -half, half - stack.down
    for x1, y1, x2, y2 in (
        (0.0, top, stack.width, top),
        (0.0, bottom, stack.width, bottom),
        (left, top, left, bottom),
        (right, top, right, bottom),
    ):
        stack.boxes.append(RuleBox(x1, y1, x2, y2, thickness))


def row_words(row: Row, with_amount: bool = True) -> tuple[str, str]:
    """(name, amount) as printed side by side; the amount is "" where it stands inside the name."""
    if "{amount}" in row.label:
        if with_amount:
            return row.label.replace("{amount}", row.declared), ""
        return " ".join(row.label.replace("{amount}", " ").split()), row.declared
    return row.label, row.declared


def glued(text: str) -> str:
    """The text with no-break spaces where a line must not end: inside figures, before their units."""
    return _CLOSE.sub("\u00a0", text)


def stressed(text: str, words: Sequence[str]) -> tuple[Run, ...]:
    """The text with its telling words in bold."""
    found = "|".join(re.escape(word) for word in words)
    pieces = re.split(rf"\b({found})\b", text) if found else [text]
    return tuple(Run(piece, bold=bool(n % 2)) for n, piece in enumerate(pieces) if piece)


def joined_rows(rows: tuple[Row, ...]) -> list[tuple[Row, ...]]:
    """The rows of a column by line: a row, and those whose amount stands in its line."""
    lines: list[tuple[Row, ...]] = []
    for row in rows:
        if row.joined and lines:
            lines[-1] += (row,)
        else:
            lines.append((row,))
    return lines
