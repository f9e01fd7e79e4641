"""Finds the allergen lexicon's terms in a row of words: the longest term wins."""

from __future__ import annotations

from dataclasses import dataclass

from labelgen.composition.text.folded_words import BREAKS, Word, folded, keyed
from labelgen.composition.text.terms import Lexicon, Term
from labelgen.composition.text.tongues import FIRST, Tongues
from labelgen.wordlists import words_for

#: Classes that an additive's number follows.
_CLASSES = keyed("additive.classes")
#: Joins two items of a list.
_JOINING = folded("around.joining")
#: From one additive's number to another's.
_TO = folded("additive.to")
#: Endings that say a food holds none of what the word begins with: "glutenfrei".
_FREE = tuple(words_for("denial.stem_ending"))


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


def find_longest(words: list[Word], lexicon: Lexicon, tongues: Tongues | None = None) -> list[Match]:
    """Terms in order, none over another. tongues: the languages the words are in, where they were listened
    for already.
    """
    found, i = [], 0
    if lexicon.abroad:
        tongues = tongues or Tongues(words, lexicon.language)
    while i < len(words):
        matches = [m] if (m := _at(words, i, lexicon)) else []
        if not matches and not (lexicon.abroad and lexicon.abroad.denies(words[i], i, tongues)):
            matches = _inside(words, i, lexicon)
        if lexicon.abroad:
            matches = _in_likelier_language(matches, words, i, lexicon, tongues)
        found += matches
        i = max((m.end for m in matches), default=i + 1)
    return found


def _inside(words: list[Word], i: int, lexicon: Lexicon) -> list[Match]:
    """Terms inside one longer word."""
    if len(words[i].text) <= 3 or words[i].text.endswith(_FREE):
        return []
    terms = [lexicon.parts[part] for part in lexicon.within(words[i].text)]
    return [Match(t, i, i + 1, t.contains, t.typical, t.may) for t in terms]


def _in_likelier_language(
    matches: list[Match], words: list[Word], i: int, lexicon: Lexicon, tongues: Tongues
) -> list[Match]:
    """What a word of the first five languages means, or else what it means in the further language that
    the text around it is in.
    """
    theirs = _abroad(words, i, lexicon, tongues)
    if not matches:
        return theirs
    heard = tongues.at(i)
    ours = max(
        (
            n
            for said, n in heard.items()
            if said == matches[0].term.language or (matches[0].term.language == "any" and said in FIRST)
        ),
        default=0,
    )
    if theirs:
        likelier = heard.get(theirs[0].term.language, 0) - ours
        return theirs if likelier > 0 or (likelier == 0 and theirs[0].end > matches[0].end) else matches
    return matches if matches[0].end > i + 1 or not tongues.abroad(i) else []


def _abroad(words: list[Word], i: int, lexicon: Lexicon, tongues: Tongues) -> list[Match]:
    """The longest term of a further language, or those inside the word."""
    best, chosen = None, []
    if words[i].text.endswith(_FREE):
        return []
    for length, letters, row, keys in lexicon.abroad.candidates(words, i, tongues):
        if row[1] == "item" and not _is_item(words, i, i + length):
            continue
        rank = (
            length,
            tongues.at(i).get(row[0], 0),
            letters,
            row[1] == "item",
            bool(row[2] or row[3] or row[4]),
        )
        if best is None or rank > best:
            best, chosen = rank, [_match(row, keys, i, i + length)]
    return chosen or [
        _match(row, (part,), i, i + 1) for row, part in lexicon.abroad.inside(words[i], i, tongues)
    ]


def _match(row: list[str], keys: tuple[str, ...], start: int, end: int) -> Match:
    language, rule, *codes = row
    contains, typical, may = (tuple(c.split()) for c in codes)
    return Match(Term(keys, rule, contains, typical, may, language), start, end, contains, typical, may)


def _at(words: list[Word], i: int, lexicon: Lexicon) -> Match | None:
    terms, lengths = lexicon.beginning(words[i].key)
    keys = tuple(w.key for w in words[i : i + lengths[0]]) if lengths else ()
    for n in lengths:
        term, end = terms.get(keys[:n]), i + n
        if term is None or end > len(words):
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
    return i < 0 or i >= len(words) or words[i].text in BREAKS or words[i].text in _JOINING


def _is_additive_number(words: list[Word], i: int, end: int) -> bool:
    """Whether a number is an additive's: it stands behind a class ("preservative 220-223"), or alone as an
    item beside items in words.
    """
    start = i
    while end < len(words) and _in_range(words[end].text):
        end += 1
    while start and _in_range(words[start - 1].text):
        start -= 1
    if not (_breaks(words, end) or words[end].text in ("i", "ii", "a", "b")):
        return False
    before = words[max(0, start - 10) : start]
    if any(w.key in _CLASSES for w in before):
        return _breaks(words, start - 1) or before[-1].key in _CLASSES
    while start > 1 and _breaks(words, start - 1) and _in_range(words[start - 2].text):  # "sugar, 471, 322"
        start -= 2
    return _is_item(words, i, end) and _breaks(words, start - 1)


def _in_range(text: str) -> bool:
    """Whether a word stands between the numbers of "220-228" or "220 to 228": a number itself, or a word
    for "to".
    """
    return (text.isdigit() and len(text) in (3, 4)) or text in _TO


def is_item(words: list[Word], match: Match) -> bool:
    """Whether a match is a whole item of its list."""
    return _is_item(words, match.start, match.end)
