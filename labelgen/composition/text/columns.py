"""Reads a table of allergens in columns: "Allergen | Present | Absent | May contain", the answer being the
column that is marked.
"""

from __future__ import annotations

import re
from functools import cache
from typing import NamedTuple

from labelgen.composition.text.clause_phrases import phrases
from labelgen.composition.text.clauses import ABSENT, CONTAINS, MAY, NOISE, Clause

#: What parts the cells of a line.
_BETWEEN = re.compile(r"[ \t]*\|[ \t]*|\t|[ ]{2,}")
_MARKED = re.compile(r"[xX✓✔☑✗✘☒●■•*+]|\[[ \t]*[xX✓✔][ \t]*\]|1")
_EMPTY = re.compile(r"[-–—☐○□0]?|\[[ \t]*\]")
#: Of two columns that are marked, the graver counts.
_GRAVEST = (CONTAINS, MAY, ABSENT)


class _Cell(NamedTuple):
    text: str
    start: int
    end: int


@cache
def _answers() -> dict[str, re.Pattern]:
    kinds = {MAY: "answer_may", ABSENT: "answer_no", CONTAINS: "answer_yes"}
    return {mode: re.compile(rf"(?:{phrases()[kind]})\b.*", re.IGNORECASE) for mode, kind in kinds.items()}


@cache
def _letters() -> dict[str, str]:
    """A letter that answers by itself -> what it says."""
    return {phrases()["answer_yes_letter"]: CONTAINS, phrases()["answer_no_letter"]: ABSENT}


def read_columns(text: str) -> list[Clause]:
    """The clauses of a table whose first line names the answers, [] where there is none; text outside it has
    no clause here.

    A name with no column marked is one nobody answered for: a warning.
    """
    clauses: list[Clause] = []
    heads: list[tuple[int, int, str]] = []
    at, headed, rows, barred = 0, 0, 0, False
    for line in text.split("\n"):
        barred = line.lstrip().startswith("|") if not heads else barred
        cells = _cells(line, at, barred)
        modes = [_mode(c.text) for c in cells]
        if (
            len(cells) > 1
            and len({m for m in modes if m}) > 1
            and all(m or i in (0, len(cells) - 1) for i, m in enumerate(modes))
            and not heads
        ):
            heads = [(i, c.start - at, m) for i, (c, m) in enumerate(zip(cells, modes)) if m]
            headed, clauses = len(cells), [Clause(NOISE, at, at + len(line))]
        elif heads and line.strip():
            name = next((c for c in cells if re.search(r"[^\W\d_]{2}", c.text) and not _mode(c.text)), None)
            if (
                name is None
                or sum(bool(re.search(r"[^\W\d_]{2}", c.text)) and not _mode(c.text) for c in cells) > 1
            ):
                break
            rows += 1
            clauses += [Clause(NOISE, at, name.start)] * (at < name.start)
            clauses.append(Clause(_answer(cells, name, heads, headed, at), name.start, name.end))
            clauses += [Clause(NOISE, name.end, at + len(line))] * (name.end < at + len(line))
        at += len(line) + 1
    return clauses if rows > 1 else []


def _cells(line: str, at: int, barred: bool) -> list[_Cell]:
    """The cells of a line with their places in the text; with bars or tabs an empty one counts, spaces
    only part. barred: a bar opens each line.
    """
    exact = "|" in line or "\t" in line
    body = line.strip("| ") if not exact else line
    start = at + (line.find(body) if body else 0)
    if barred and body.lstrip().startswith("|"):
        cut = body.index("|") + 1
        body, start = body[cut:], start + cut
    cells, last = [], 0
    between = re.compile(r"\||\t") if exact else _BETWEEN
    for match in [*between.finditer(body), None]:
        end = match.start() if match else len(body)
        raw = body[last:end]
        text = raw.strip()
        lead = len(raw) - len(raw.lstrip()) if text else 0
        cells.append(_Cell(text, start + last + lead, start + last + lead + len(text)))
        last = match.end() if match else end
    return cells


def _mode(text: str) -> str:
    return next((mode for mode, said in _answers().items() if len(text) > 1 and said.fullmatch(text)), "")


def _answer(cells: list[_Cell], name: _Cell, heads: list[tuple[int, int, str]], headed: int, at: int) -> str:
    """The mode of the columns that are marked."""
    found = set()
    for i, cell in enumerate(cells):
        if cell is name or _EMPTY.fullmatch(cell.text):
            continue
        if heads[0][0] == 0 and len(cells) == headed + 1:  # the names' own column has no head
            head = next((m for n, _, m in heads if n == i - 1), "")
        elif len(cells) == headed or "|" in cell.text:
            head = next((m for n, _, m in heads if n == i), "")
        else:
            head = min(heads, key=lambda h: abs(h[1] - (cell.start - at)))[2]
        said = _mode(cell.text) or (
            "" if _MARKED.fullmatch(cell.text) else _letters().get(cell.text.lower(), "")
        )
        if said == ABSENT:  # "no" below "Present"
            found.add(ABSENT if head != ABSENT else CONTAINS)
        elif head:
            found.add(head)
        else:
            found.add(said or CONTAINS)
    return next((mode for mode in _GRAVEST if mode in found), MAY)
