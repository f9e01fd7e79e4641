"""Reads the allergen table of a specification sheet: "Milk: yes; Egg: no", "Peanut ....... N", "[X] Gluten [
] Fish", columns.

What is answered "no" is not contained; where an answer may be understood in two ways, the food is contained.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from functools import cache
from typing import NamedTuple

from labelgen.composition.text.clause_phrases import phrases, says
from labelgen.composition.text.clauses import ABSENT, CONTAINS, MAY, NOISE, Clause
from labelgen.composition.text.columns import read_columns

#: Marks that answer yes or no by themselves; a cross says no only where a tick says yes.
_TICKED, _CROSSED, _EMPTY = "✓✔☑●■", "✗✘☒", "☐○□"
_MARK = rf"\[[ \t]*[xX{_TICKED}{_CROSSED}]?[ \t]*\]|[{_TICKED}{_CROSSED}{_EMPTY}]"
#: A name in a table: no mark of its own, brackets allowed.
_NAME = r"[^\W\d_](?:[^;:=|\n\t.…·,()?\[\]✓✔☑●■✗✘☒☐○□]|\([^()\n]*\)){1,58}?"


class _Row(NamedTuple):
    """A row: where its name stands and where it ends; answer: yes, no, may, tick, cross, empty, plus or
    minus; near: the second column comes near.
    """

    name: tuple[int, int]
    span: tuple[int, int]
    answer: str
    near: bool = False


@cache
def _row() -> re.Pattern:
    """A row: what is asked about, a separating mark, the answer, and in a second column whether it comes
    near.
    """
    no, yes, may = (phrases()[f"answer_{kind}"] for kind in ("no", "yes", "may"))
    may = rf"(?:(?:{phrases()['answer_also']}),?\s*)?(?:{may})"
    separating = (
        r"[:=|\t(–—?]|[ \t]*(?:(?:[.·_][ \t]?){3,}|…[ \t.…]*)|\s-\s|(?=\[[ \t]*[xX]?[ \t]*\]|[✓✔☑●■✗✘☒☐○□])"
    )
    bare = (
        rf"[ \t](?=(?-i:{phrases()['answer_bare']})[ \t]*(?:[;,./|\n]|$))"
        r"|[ \t]+(?=(?:\+/-|[+±?–-])[ \t]*(?:[;,\n]|$))"
    )
    ends = r"[ \t]*(?:[;,|\n]|$)"
    marked = rf"[\]{_TICKED}{_CROSSED}{_EMPTY}]"
    return re.compile(
        rf"(?P<name>{_NAME})[ \t]*(?:{separating}|{bare})[ \t|]*"
        rf"(?:(?P<may>(?:{may})\b|\+/-|±|\?(?={ends}))|(?P<no>(?:{no})\b)|(?P<yes>(?:{yes})\b)"
        rf"|(?P<plus>\+)|(?P<minus>[-–—](?={ends}|[ \t]+(?-i:[A-Z])))|(?P<mark>{_MARK}))"
        rf"(?:[ \t]*[|\t][ \t]*(?P<near>(?:{yes})\b|[{_TICKED}]|{may}))?[ \t]*\)?"
        rf"[ \t]*(?=[;,.|\n/\t]|$|(?-i:[A-Z])|(?<={marked})|(?<={marked} ))",
        re.IGNORECASE | re.MULTILINE,
    )


#: A box or tick before the name it answers for, at the start of a line or behind another such row.
_BEFORE = re.compile(
    rf"(?P<mark>{_MARK})[ \t]*(?P<name>{_NAME})(?=[ \t]*(?:{_MARK}|[;,.\n]|$))", re.MULTILINE
)
_STARTS = re.compile(rf"(?:^|[:\n])[ \t]*(?:{_MARK})[ \t]*[^\W\d_]")


@cache
def _legend() -> re.Pattern:
    """What marks mean, as a sheet explains them: "+ present, - absent, ? risk"."""
    no, yes, may = (phrases()[f"answer_{kind}"] for kind in ("no", "yes", "may"))
    sign = r"(?:\+/-|[+±?✓✔✗✘☑☐☒●○–-]|\b[A-Za-z]\b)"
    one = rf"{sign}[ \t]*[:=–-]?[ \t]*(?:{may}|{no}|{yes}|{phrases()['answer_unknown']})\b[^,;/|\n+?]{{0,30}}"
    return re.compile(rf"{one}(?:[,;/|\n \t]+{one})+", re.IGNORECASE)


def read_answers(text: str) -> list[Clause]:
    """The clauses of a table of allergens with answers, [] where there is none: at least two rows, one of
    them sure, or one that is all.

    A row answered "no" whose next column says "yes" counts as a warning; so does a form nobody has filled in.
    """
    if columns := read_columns(text):
        return columns
    legends = [Clause(NOISE, *m.span()) for m in _legend().finditer(text)]
    rows = [
        r
        for r in _rows(text)
        if not any(c.start <= r.name[0] < c.end or c.start < r.span[1] <= c.end for c in legends)
    ]
    answers = {r.answer for r in rows}
    alone = answers <= {"no", "may"} and _is_all(rows, text)
    if not rows or (not alone and (len(rows) < 2 or answers == {"may"})):
        return []
    if answers & {"plus", "minus"} and not legends and len(answers) == 1:
        return []
    ticked = "tick" in answers
    modes = {
        "yes": CONTAINS,
        "tick": CONTAINS,
        "plus": CONTAINS,
        "may": MAY,
        "no": ABSENT,
        "minus": ABSENT,
        "cross": ABSENT if ticked else CONTAINS,
        "empty": ABSENT if answers & {"tick", "cross", "yes"} else MAY,
    }
    clauses = list(legends)
    for row in rows:
        mode = modes[row.answer]
        mode = MAY if row.near and mode == ABSENT else mode
        clauses.append(Clause(mode, *row.name))
        clauses += [
            Clause(NOISE, start, end)
            for start, end in ((row.span[0], row.name[0]), (row.name[1], row.span[1]))
            if start < end
        ]
    return sorted(clauses, key=lambda c: c.start)


def _rows(text: str) -> Iterator[_Row]:
    if _STARTS.search(text) and any(c in text for c in f"[{_TICKED}{_CROSSED}{_EMPTY}"):
        for m in _BEFORE.finditer(text):
            yield _Row(m.span("name"), m.span(), _marked(m["mark"]))
        return
    answered = re.compile(rf"\s(?:{phrases()['answer_bare']})\s")
    for m in _row().finditer(text):
        if answered.search(m["name"]):  # several rows with nothing between them: no one answer counts for all
            continue
        answer = (
            _marked(m["mark"])
            if m["mark"]
            else next(kind for kind in ("may", "no", "yes", "plus", "minus") if m[kind])
        )
        yield _Row(m.span("name"), m.span(), answer, bool(m["near"]))


def _is_all(rows: list[_Row], text: str) -> bool:
    """Whether a text is nothing but its rows, and none of their names declares ("Contains milk - may
    contain").
    """
    ends = [0, *(r.span[1] for r in rows)]
    begins = [*(r.span[0] for r in rows), len(text)]
    return not any(re.search(r"\w", text[end:begin]) for end, begin in zip(ends, begins)) and not any(
        says("contains", text[slice(*r.name)]) for r in rows
    )


def _marked(mark: str) -> str:
    inside = mark.strip("[] \t")
    if not inside or inside in _EMPTY:
        return "empty"
    return "cross" if inside in _CROSSED and mark[0] != "[" else "tick"
