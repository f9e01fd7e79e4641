"""Cuts a packet's text into clauses: the ingredient list, what it declares, warns of, denies, or merely says.

"Milk" means one thing in a list, another after "may contain", and nothing after "free from" or in the
maker's address. Every character of the text belongs to exactly one clause.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from labelgen.composition.text.clause_phrases import Found, find_phrases, pattern_of, phrases
from labelgen.wordlists import words_for

LIST, CONTAINS, MAY, ABSENT, NOISE, PRAISE = "list", "contains", "may", "absent", "noise", "praise"


class Clause(NamedTuple):
    """mode: one of the six above. start, end: its place in the text. nested: it stands inside brackets."""

    mode: str
    start: int
    end: int
    nested: bool = False


#: A full stop ends a sentence unless it belongs to a number or a common short form.
_SHORT = "".join(rf"(?<!\b{word})" for word in words_for("list.abbreviations"))
_STOP = re.compile(_SHORT + r"[.!?](?=\s|$|[\"”)])|\n[ \t]*\n", re.IGNORECASE)
_MODE = {
    "may": MAY,
    "absent": ABSENT,
    "contains": CONTAINS,
    "noise": NOISE,
    "place": NOISE,
    "block": NOISE,
    "signpost": NOISE,
    "praise": PRAISE,
}


def is_unsure(text: str) -> bool:
    """Whether a warning withholds a promise, so that "free of nuts" in it takes no nuts away: "not nut
    free", "cannot guarantee".
    """
    return bool(pattern_of("unsure").search(text))


def read_clauses(text: str) -> list[Clause]:
    """The clauses of a text, in order and without gaps.

    Text before the first "Ingredients" heading is a title or advertising, so not part of the list; after
    it, text is the list until words such as "contains", "may contain" or "free from" say otherwise.
    """
    depth, stops = _depths(text), _sentence_ends(text)
    triggers = [f for f in find_phrases(text) if f.kind != "heading" or depth[f.start] == 0]
    has_heading = any(f.kind == "heading" for f in triggers)
    base = NOISE if has_heading else LIST
    cuts: list[tuple[int, str, bool]] = [(0, base, False)]
    until = base_from = 0
    for match in triggers:
        kind, at, level = match.kind, match.start, depth[match.start]
        governing = _governing(cuts, at)
        if at < until and governing[1] == NOISE and kind in ("but", "handled", "noise", "place"):
            continue
        if kind == "heading":
            base, until, base_from = LIST, at, match.end
            cuts.append((match.end, LIST, False))
            cuts.insert(-1, (at, NOISE, False))
            continue
        if kind == "block":
            until = at
            cuts.append((at, NOISE, False))
            if has_heading:
                base = NOISE
            else:
                blank = re.search(r"\n[ \t]*\n", text[at:])
                until = at + blank.start() if blank else len(text)
                cuts.append((until, base, False))
            continue
        if kind == "listlike":
            if not (governing[1] == MAY and at < until):
                cuts.append((at, LIST if base == LIST or not has_heading else base, level > 0))
            continue
        if kind == "but":
            if at < until and governing[1] == ABSENT:
                cuts.append((at, base, False))
            continue
        if kind == "absent" and at < until and governing[1] == MAY and is_unsure(text[governing[0] : at]):
            continue
        if kind == "held":
            if governing[1] != MAY or at >= until:
                continue
            kind = "contains"
        end = _end_of(text, match, depth, stops, kind)
        if kind == "handled":
            declared = max((c[0] for c in cuts if c[1] == CONTAINS and c[0] < at), default=-1)
            begin = max(
                _begin_of(text, at, depth, stops, base_from),
                max(text.rfind(c, 0, at) + 1 for c in ",;/|") if declared >= 0 else 0,
            )
            cuts = [c for c in cuts if c[0] <= begin]
            cuts.append((begin, MAY, False))
        elif kind == "contains" and governing[1] == MAY and at < until and _is_relative(text, at):
            continue
        else:
            if (kind in ("noise", "place", "praise") and level) or (
                kind == "praise" and (base != LIST or not has_heading)
            ):
                continue
            if kind == "contains" and level:
                # beside the warning in its bracket, or in a bracket of its own
                if governing[1] == MAY and at < until:
                    cuts.append((at, CONTAINS, True))
                    if depth[governing[0]] < level:
                        cuts.append((end, MAY, governing[2]))
                    cuts.append((until, base, False))
                continue
            cuts.append((at, _MODE[kind], level > 0))
        until = end
        cuts.append((end, base, False))
    return _laid_end_to_end(cuts, len(text))


def _is_relative(text: str, at: int) -> bool:
    """Whether "contains" belongs to the warning it stands in ("products that contain nuts"), rather than
    declare what follows.
    """
    return bool(re.search(rf"\b(?:{phrases()['relative']})\s+$", text[max(0, at - 30) : at], re.IGNORECASE))


def _begin_of(text: str, at: int, depth: list[int], stops: list[int], list_from: int) -> int:
    """Where what a backward trigger speaks of begins: its sentence or line; within the list or a bracket,
    its last item.
    """
    begin = max([e for e in stops if e <= at] + [text.rfind("\n", 0, at) + 1, list_from])
    if depth[at]:
        begin = next((i + 1 for i in range(at - 1, -1, -1) if depth[i] < depth[at]), begin)
    return max(begin, text.rfind(",", 0, at) + 1) if depth[at] or begin == list_from else begin


def _governing(cuts: list[tuple[int, str, bool]], at: int) -> tuple[int, str, bool]:
    """The cut that a place in the text falls under."""
    return next(c for c in reversed(cuts) if c[0] <= at)


def _end_of(text: str, match: Found, depth: list[int], stops: list[int], kind: str) -> int:
    """Where a trigger stops governing: closing bracket, end of sentence, or end of line for address lines."""
    at = match.start
    if kind == "signpost":
        return match.end
    level = depth[at]
    end = next((e for e in stops if e > match.end - 1), len(text))
    if level:
        close = next((i for i in range(match.end, len(text)) if depth[i] < level), len(text))
        end = min(end, close)
    verb = pattern_of("closes").search(text, match.end, end) if kind == "may" else None
    if verb and any(c.isalpha() for c in text[match.end : verb.start()]):
        end = verb.end()
    if kind == "place":
        comma = re.search(r"[,;()]", text[match.end :])
        end = min(end, match.end + comma.start()) if comma else end
    if kind in ("noise", "place"):
        line = text.find("\n", match.end)
        end = min(end, line if line >= 0 else len(text))
    return end


def _depths(text: str) -> list[int]:
    """Bracket depth at every character, one more entry than characters; a stray closing bracket counts as
    none.
    """
    depths, level = [], 0
    for c in text:
        if c in ")]}":
            level = max(0, level - 1)
        depths.append(level)
        if c in "([{":
            level += 1
    if level:  # an opening bracket never closed: everything after it would seem nested
        return [0] * (len(text) + 1)
    return [*depths, 0]


def _sentence_ends(text: str) -> list[int]:
    return [m.end() if m.group().strip() else m.start() for m in _STOP.finditer(text)]


def _laid_end_to_end(cuts: list[tuple[int, str, bool]], length: int) -> list[Clause]:
    """Cuts as clauses: each runs to the next cut; a return to the list is dropped where a later trigger
    already began.
    """
    ordered: list[tuple[int, str, bool]] = []
    for cut in cuts:
        while ordered and ordered[-1][0] > cut[0]:
            ordered.pop()
        ordered.append(cut)
    clauses = []
    for (at, mode, nested), following in zip(ordered, [*ordered[1:], (length, "", False)]):
        if following[0] > at:
            clauses.append(Clause(mode, at, following[0], nested))
    return clauses
