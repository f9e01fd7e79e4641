"""What is marked as unfinished in a file: ``draft: true`` of an entry or of the whole file, and every CHECK
left in it.

Nothing made with it is printed for sale; everything else goes on.
"""

from __future__ import annotations

import re

from labelgen.errors import DRAFT, Where
from labelgen.recipe.yamlfile import Source

#: The key that marks a draft, and the word that ``labelgen draft`` writes beside what a maker must look at.
KEY = "draft"
_CHECK = re.compile(r"(?:^|\s)#+\s*CHECK\b|(?:^|[:,\[{]\s*|[\"'])CHECK(?=\s*(?:$|[\"':,}\]]|\s[a-z0-9]))")
_BARE = re.compile(r"^\s*#|:\s*(?:#.*)?$")


def take_mark(source: Source, path: tuple, table: dict, what: str) -> dict:
    """An entry, or a whole file, without its mark; a mark that is set is told."""
    if KEY not in table or isinstance(table[KEY], dict):
        return table
    mark, here = table[KEY], (*path, KEY)
    if not isinstance(mark, bool):
        source.fault("value", here, field=KEY, reason=f"{mark!r} must be true or false")
    if mark is not False:
        about = here if path else source.at(here)
        source.fault("draft", about, what=what)
    return {key: value for key, value in table.items() if key != KEY}


def find_checks(source: Source, entries: list[tuple]) -> None:
    """Adds a finding for every entry of a file in which a CHECK is left. entries: the paths of the file's
    entries. What is called a draft already is not told again.
    """
    told = {_entry(source, f.keys) for f in source.findings if f.code == DRAFT}
    if () in told or not source.text or "CHECK" not in source.text:
        return
    starts = sorted((source.at(path).line, path) for path in entries)
    left: dict[tuple, list[int]] = {}
    for number, line in enumerate(source.text.splitlines(), 1):
        if _CHECK.search(line):
            for path in _beside(starts, number, line):
                left.setdefault(path, []).append(number)
    for path, lines in left.items():
        if path not in told:
            key = "draft-check.lines" if len(lines) > 1 else "draft-check"
            source.fault(key, path, at=Where(source.file, lines[0]), name=path[-1], lines=lines)


def _entry(source: Source, path: tuple) -> tuple:
    """The path, in its file, of the entry that a finding is about; () for the whole file."""
    return path[1:2] if source.section else path[:2]


def _beside(starts: list[tuple[int, tuple]], number: int, line: str) -> list[tuple]:
    """The entries a mark in a line may be about: the one it stands in; of one on a line of its own, or
    before an entry's first line, the next as well.
    """
    before = [path for start, path in starts if start <= number][-1:]
    same = [path for start, path in starts if start == number]
    after = [path for start, path in starts if start > number][:1] if _BARE.search(line) else []
    return list(dict.fromkeys((*before, *same, *after)))
