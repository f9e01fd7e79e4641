"""A proof of a label: its outline with dimensions, and every size of type called out beside the rule it
has to meet.
"""

from __future__ import annotations

from labelgen.layout.boxes import Box, PageLayout, RuleBox, Statement, TextBox
from labelgen.layout.calibrate import outline
from labelgen.layout.label_stock import describe_size
from labelgen.layout.linebreak import break_runs
from labelgen.layout.metrics import face
from labelgen.market.declaration_records import Run

_MM = 72 / 25.4
#: Margin around the label, width of the list beside it, type and pitch of the list [pt].
_MARGIN, _LIST, _SIZE, _PITCH = 40.0, 310.0, 7.0, 9.0


def lay_out_proof(label: PageLayout) -> PageLayout:
    """The proof of one face, at its true size, with the list of its type sizes at the right."""
    called = _called_out(label)
    lines = [line for number, item in enumerate(called, 1) for line in _lines(number, *item)]
    height = max(label.height_pt + 2 * _MARGIN, (len(lines) + 4) * _PITCH + 2 * _MARGIN)
    x, y = _MARGIN, height - _MARGIN - label.height_pt
    boxes: list[Box] = [box.shifted(x, y) for box in label.boxes]
    boxes += outline(label.width_pt, label.height_pt, label.corner_pt, x, y)
    boxes += _dimensions(label, x, y)
    taken: dict[bool, float] = {}
    for number, (_, first) in enumerate(called, 1):
        left = first.x < label.width_pt / 2
        # numbers stand at the height of their text, pushed down where one is there already
        at = min(y + first.y, taken.get(left, 1e9) - _SIZE)
        taken[left] = at
        boxes.append(_text(str(number), x - 12 if left else x + label.width_pt + 4, at))
    column, down = x + label.width_pt + _MARGIN, height - _MARGIN
    heading = (
        f"{label.product}: {label.arrangement}, {describe_size(label.width_pt, label.height_pt)},"
        f" {face('regular').postscript_name.split('-')[0]}"
    )
    for text in (*_broken(heading, "bold"), "", *lines):
        down -= _PITCH
        boxes += [_text(text, column, down)] if text else []
    return PageLayout(
        x + label.width_pt + _MARGIN + _LIST + 10,
        height,
        tuple(boxes),
        (),
        f"proof of {label.product}",
        label.author,
    )


def _called_out(label: PageLayout) -> list[tuple[Statement, TextBox]]:
    """One text for each role and type size, from the top of the label down, with its first box."""
    firsts: dict[str, TextBox] = {}
    for box in label.boxes:
        if isinstance(box, TextBox):
            firsts.setdefault(box.part, box)
    found: dict[tuple, tuple[Statement, TextBox]] = {}
    for statement in label.statements:
        if box := firsts.get(statement.part):
            found.setdefault((statement.role.rstrip("-0123456789"), box.size_pt, box.face), (statement, box))
    return sorted(found.values(), key=lambda item: (-item[1].y, item[1].x))


def _lines(number: int, statement: Statement, box: TextBox) -> list[str]:
    metrics, rule = face(box.face), statement.rule
    high = (
        f"x-height {box.size_pt * metrics.x_height / _MM:.2f} mm, capitals"
        f" {box.size_pt * metrics.cap_height / _MM:.2f} mm"
    )
    least = (
        f"{rule.minimum:g} pt"
        if rule.measured == "size"
        else f"{rule.minimum / _MM:.2f} mm of {'x-height' if rule.measured == 'x_height' else 'capitals'}"
    )
    asked = (
        f"least {least}{', bold' if rule.bold else ''} ({rule.source})"
        if rule.source
        else "no least size of its own"
    )
    said = " ".join(statement.text.split())
    said = said if len(said) < 34 else f"{said[:31]}..."
    return [
        *_broken(f"{number}  {statement.role}: {said!r} {round(box.size_pt, 2):g} pt {box.face}, {high}"),
        *_broken(f"    {asked}"),
        "",
    ]


def _broken(text: str, name: str = "regular") -> list[str]:
    lines = break_runs((Run(text, bold=name == "bold"),), _LIST, _SIZE)
    return ["".join(segment.text for segment in line.segments) for line in lines]


def _dimensions(label: PageLayout, x: float, y: float) -> list[Box]:
    """Dimension lines above and to the left of the label."""
    top, left = y + label.height_pt + 12, x - 22
    wide, high = (
        f"{label.width_pt / _MM:.1f} mm ({label.width_pt / 72:.2f} in)",
        f"{label.height_pt / _MM:.1f} mm",
    )
    boxes: list[Box] = [
        RuleBox(x, top, x + label.width_pt, top, 0.5),
        RuleBox(left, y, left, y + label.height_pt, 0.5),
    ]
    boxes += [RuleBox(end, top - 4, end, top + 4, 0.5) for end in (x, x + label.width_pt)]
    boxes += [RuleBox(left - 4, end, left + 4, end, 0.5) for end in (y, y + label.height_pt)]
    return [*boxes, _text(wide, x + 4, top + 4), _text(high, 4, y - 10)]


def _text(text: str, x: float, y: float) -> TextBox:
    return TextBox(text, "regular", _SIZE, x, y, face("regular").width(text, _SIZE), "proof")
