"""Finds the allergen lexicon's terms in a row of words: the longest term wins.
"""

from __future__ import annotations

from dataclasses import dataclass

from labelgen.composition.text.terms import Lexicon, Term
from labelgen.composition.text.words import BREAKS, Word, key_of

#: Classes that an additive's number follows.
_CLASSES = {key_of(w) for w in (
    "emulsifier emulsifiers preservative preservatives antioxidant antioxidants stabiliser stabilizer acidity colour "
    "thickener regulator acid lecithin additive").split()}


@dataclass(frozen=True)
class Match:
    """A term found at words[start:end]. members_end: where a bracket or list of its members, if any, ends."""

    term: Term
    start: int
    end: int
    contains: tuple[str, ...]
    typical: tuple[str, ...] = ()
    may: tuple[str, ...] = ()
    members_end: int = 0


def find_longest(words: list[Word], lexicon: Lexicon) -> list[Match]:
    found, i = [], 0
    while i < len(words):
        match = _at(words, i, lexicon)
        if match:
            found.append(match)
            i = match.end
            continue
        if len(words[i].text) > 3 and not words[i].text.endswith(("frei", "free")):
            for part in lexicon.pattern.finditer(words[i].text):
                term = lexicon.parts[part.group()]
                found.append(Match(term, i, i + 1, term.contains, term.typical, term.may))
        i += 1
    return found


def _at(words: list[Word], i: int, lexicon: Lexicon) -> Match | None:
    for term in lexicon.terms(words[i].key):
        end = i + len(term.keys)
        if tuple(w.key for w in words[i:end]) != term.keys:
            continue
        if term.rule == "item" and not _is_item(words, i, end):
            continue
        if term.rule == "number" and not _is_additive_number(words, i, end):
            continue
        return Match(term, i, end, term.contains, term.typical, term.may)
    return None


def _is_item(words: list[Word], start: int, end: int) -> bool:
    """Whether words are a whole item of a list, its percentage aside."""
    while end < len(words) and words[end].text[0].isdigit():
        end += 1
    return _breaks(words, start - 1) and _breaks(words, end)


def _breaks(words: list[Word], i: int) -> bool:
    return i < 0 or i >= len(words) or words[i].text in BREAKS or words[i].text == "and"


def _is_additive_number(words: list[Word], i: int, end: int) -> bool:
    if not (_breaks(words, end) or words[end].text in ("i", "ii", "a", "b")):
        return False
    before = words[max(0, i - 10) : i]
    return bool(before) and (_breaks(words, i - 1) or before[-1].key in _CLASSES) and any(w.key in _CLASSES for w in before)


def is_item(words: list[Word], match: Match) -> bool:
    """Whether a match is a whole item of its list."""
    return _is_item(words, match.start, match.end)
