"""Findings for one screen: what stops a label first, together what one edit mends, each with the line to
type; the rest on demand.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path

from labelgen.commands.output import print_findings
from labelgen.errors import Finding, by_danger
from labelgen.recipe.edits import change_of, diff_of, text_of

#: Kinds of blocking findings that are shown at once; dangers are all shown.
_MOST = 10
_INDENT = " " * 6


def kinds_of(findings: Iterable[Finding]) -> list[list[Finding]]:
    """Findings of one kind together, in the order of the first of each, the most dangerous first."""
    kinds: dict[tuple, list[Finding]] = {}
    for f in by_danger(findings):
        kinds.setdefault((f.severity, f.entry or (f.code, f.said)), []).append(f)
    return list(kinds.values())


def print_screen(findings: Sequence[Finding], root: Path, everything: bool, why: bool, law: bool) -> int:
    """Prints what a maker should see first. root: the kitchen's folder. everything: all of it. why: with what
    a finding says to who asks. law: with what a market's law still asks. Returns how many were left out.
    """
    stopping = any(f.blocks for f in findings)
    shown = [f for f in findings if everything or f.blocks or _seen(f, stopping, law)]
    kinds, left = kinds_of(shown), len(findings) - len(shown)
    for n, alike in enumerate(kinds):
        if stopping and not everything and n >= _MOST and alike[0].severity not in ("danger", "note"):
            left += len(alike)
        else:
            _print_kind(alike, root, why)
    return left


def _seen(finding: Finding, stopping: bool, law: bool) -> bool:
    """Whether a finding that stops nothing is shown unasked: what the law asks where it was asked for, and
    warnings once nothing stops a label.
    """
    if finding.severity == "note":
        return law and finding.code.startswith(("asked-", "exemption-"))
    return not stopping


def _print_kind(alike: Sequence[Finding], root: Path, why: bool) -> None:
    """One kind: those of the same words as one sentence about several things."""
    same: dict[str, list[Finding]] = {}
    for f in alike:
        same.setdefault(f.fault if f.about else f.said, []).append(f)
    once = len(same) > 1 and all(f.do and not f.edit for f in alike)
    once = once and (not alike[0].blocks or len({f.do for f in alike}) == 1)
    for several in same.values():
        print_findings([_as_one(several, once)])
        _print_edits(several, root)
    if once:
        print(f"{_INDENT}For example: {alike[0].do}")
    if why:
        for line in dict.fromkeys(f.why for f in alike if f.why):
            print(f"{_INDENT}{line}")
        for cited in dict.fromkeys(f.citation for f in alike if f.citation):
            print(f"{_INDENT}{cited}: 'labelgen law {alike[0].code}' shows it")


def _as_one(several: Sequence[Finding], without_do: bool) -> Finding:
    from dataclasses import replace

    first = several[0]
    do = "" if without_do else first.do
    if len(several) == 1:
        return replace(first, do=do)
    things = list(dict.fromkeys(f.about for f in several))
    places = list(dict.fromkeys(str(f.where) for f in several))
    if things == [""]:
        said = f"{first.said} ({len(several)} times: {_listed(places)})"
    else:
        said = f"{_listed(things)}: {first.fault}"
    return replace(first, said=said, about="", do=do)


def _listed(words: Sequence[str], most: int = 8) -> str:
    more = f" and {len(words) - most} more" if len(words) > most else ""
    return ", ".join(words[:most]) + more


def _print_edits(several: Sequence[Finding], root: Path) -> None:
    """The line to type, of each place; of those that only the maker can complete, the first as an example."""
    shown = list(
        dict.fromkeys((f.where.file, f.where.line, *told) for f in several if (told := edit_of(f, root)))
    )
    if not all(f.edit and f.edit.sure for f in several):
        del shown[1:]
    for file, line, *told in shown:
        for n, words in enumerate(told):
            place = f"{file}:{line}" if n == 0 else " " * len(f"{file}:{line}")
            print(f"{_INDENT}{place}  {words}")


def edit_of(finding: Finding, root: Path) -> list[str]:
    """The lines a finding asks to be changed, as a diff; none where that cannot be shown."""
    text = text_of(root, finding.where.file) if finding.edit else None
    change = change_of(finding, text) if text is not None else None
    return diff_of(text, change) if change else []
