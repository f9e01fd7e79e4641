"""What a finding asks to be typed, as a change of the maker's file: comments and layout stay as they are.

A change replaces signs of a text, from ``start`` to ``end``; several of one text must not overlap.
"""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import yaml

from labelgen.errors import Edit, Finding, Where

#: A line of a diff is cut to this many signs around what changes.
_WIDEST = 96
_WORD = re.compile(r"\w")


@dataclass(frozen=True, order=True)
class Change:
    """file: as shown to the maker. start, end: signs of its text. new: what stands there afterwards."""

    file: str
    start: int
    end: int
    new: str


def text_of(root: Path, file: str) -> str | None:
    """A kitchen's file as it is written, line ends and all; None where it cannot be had."""
    try:
        return (root / file).read_bytes().decode("utf-8-sig")
    except (OSError, UnicodeDecodeError):
        return None


def change_of(finding: Finding, text: str) -> Change | None:
    """The change a finding asks for; None where it asks for none, or what it meets cannot be found."""
    edit, where = finding.edit, finding.where
    if edit is None:
        return None
    at = offset_of(text, where)
    if at is None:
        return None
    if not edit.old:
        return _added(edit, where, text, at)
    start = _place(text, edit.old, at)
    if start is None:
        start = _place(text, edit.old, text.rfind("\n", 0, at) + 1)
    return None if start is None else Change(where.file, start, start + len(edit.old), edit.new)


def offset_of(text: str, where: Where) -> int | None:
    """Where a line and column stand in a text; None for a whole file or a line there is not."""
    lines = text.splitlines(keepends=True)
    if not 1 <= where.line <= len(lines):
        return None
    return sum(map(len, lines[: where.line - 1])) + max(where.column - 1, 0)


def _place(text: str, old: str, at: int) -> int | None:
    """Where words stand from a place on, as words of their own, in the same line."""
    last = text.find("\n", at) % (len(text) + 1)
    start = text.find(old, at, last)
    while start >= 0:
        around = text[max(start - 1, at) : start] + text[start + len(old) : start + len(old) + 1]
        if not (_WORD.match(old[0]) and _WORD.search(around)):
            return start
        start = text.find(old, start + 1, last)
    return None


def _added(edit: Edit, where: Where, text: str, at: int) -> Change | None:
    """A key more in the entry whose key stands at a place, in the way the entry is written."""
    try:
        entry = _value_at(yaml.compose(text, getattr(yaml, "CSafeLoader", yaml.SafeLoader)), where)
    except yaml.YAMLError:
        return None
    if not isinstance(entry, yaml.MappingNode) or not entry.value:
        return None
    if entry.flow_style:
        end = entry.value[-1][1].end_mark.index
        return Change(where.file, end, end, f", {edit.new}")
    first = entry.value[0][0].start_mark
    start = first.index
    return Change(where.file, start, start, f"{edit.new}\n{' ' * first.column}")


def _value_at(node, where: Where):
    """The value of the key that stands at a line and column."""
    stack = [node]
    while stack:
        node = stack.pop()
        if isinstance(node, yaml.MappingNode):
            for key, value in node.value:
                if (key.start_mark.line + 1, key.start_mark.column + 1) == (where.line, where.column):
                    return value
                stack.append(value)
        elif isinstance(node, yaml.SequenceNode):
            stack += node.value
    return None


def mended(text: str, changes: Iterable[Change]) -> str:
    """A text with changes made; of two that meet the same signs, the first."""
    parts, done = [], 0
    for change in sorted(changes):
        if change.start >= done:
            parts += [text[done : change.start], change.new]
            done = change.end
    return "".join((*parts, text[done:]))


def diff_of(text: str, change: Change) -> list[str]:
    """The lines a change touches, before (``- ``) and after (``+ ``), long ones cut around it."""
    begin = text.rfind("\n", 0, change.start) + 1
    end = text.find("\n", change.end)
    end = len(text) if end < 0 else end
    old, new = text[begin:end], text[begin : change.start] + change.new + text[change.end : end]
    if new.endswith(old):  # a line put before it
        return [f"+ {line.strip()}" for line in new.removesuffix(old).splitlines() if line.strip()]
    at = change.start - begin
    return [f"- {_cut(old, at)}", f"+ {_cut(new, at, len(change.new))}"]


def _cut(line: str, at: int, length: int = 0) -> str:
    line, at = line.rstrip("\r\n"), at - (len(line) - len(line.lstrip()))
    line = line.strip()
    if len(line) <= _WIDEST:
        return line
    first = max(0, min(at - _WIDEST // 3, len(line) - _WIDEST))
    last = max(first + _WIDEST, min(at + length + 1, len(line)))
    return f"{'... ' * (first > 0)}{line[first:last]}{' ...' * (last < len(line))}"
