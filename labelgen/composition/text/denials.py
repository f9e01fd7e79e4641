"""What a text denies: "no milk", "egg-free", "nut and dairy free", "without soy or nuts"."""

from __future__ import annotations

import re

from labelgen.composition.text.folded_words import BREAKS, Word, folded, key_of
from labelgen.composition.text.longest import Match, find_longest
from labelgen.composition.text.terms import Lexicon
from labelgen.composition.text.tongues import Tongues
from labelgen.wordlists import any_of, words_for

_NEGATING, _NEGATING_ABROAD = folded("denial.negating"), folded("denial.foreign")
#: Takes back the word that follows where that says how a food is: "not hydrogenated soybean oil".
_OF_HOW = folded("denial.of_how")
#: More foods than any sentence denies at once.
_LONGEST = 40
_CLOSING, _ROW = folded("denial.closing"), folded("denial.row")
_JOINING = folded("denial.joining") | {"/", ","}
_JOINING_BACK = folded("denial.joining_back") | {"/", ","}
_ADDED, _OPENING = folded("denial.added"), folded("denial.opening")
#: "nussfrei", "nussfreie", "Nussfreiheit", "notenvrij".
_ENDING = re.compile(rf"(?<=\w\w){any_of('denial.ending')}$")
_FREE, _FREE_UNLESS = folded("denial.free"), folded("denial.free_unless")
_WITH_OR_WITHOUT = words_for("denial.with_or_without")


def find_denied(
    words: list[Word], raw: list[Match], lexicon: Lexicon, tongues: Tongues | None = None
) -> set[int]:
    """Indexes of matches that the text denies: "no milk", "egg-free", "nut and dairy free", "without soy
    or nuts".
    """
    denied: set[int] = set()
    by_end = {m.end: n for n, m in enumerate(raw)}
    by_start = {m.start: n for n, m in enumerate(raw)}
    for n, match in enumerate(raw):
        after = words[match.end].text if match.end < len(words) else ""
        then = words[match.end + 1].text if match.end + 1 < len(words) else ""
        opens, closes = _denies_itself(words, match, lexicon)
        free = tongues is not None and tongues.says(match.end, "free")
        if (after in _FREE and then not in _FREE_UNLESS) or closes or free:
            denied.add(n)
            alone = match.end + 1 >= len(words) or words[match.end + 1].text in BREAKS
            denied |= _chain_back(words, raw, match, by_end, alone or (closes and not after))
        if opens:
            denied |= _chain_on(words, raw, match, by_start)
        before = match.start - 1
        while before >= 0 and (
            words[before].text in _ADDED or (tongues is not None and tongues.says(before, "added"))
        ):
            before -= 1
        nothing = before >= 0 and words[before].text == "0" and words[match.start].key != "milk"
        if before >= 0 and words[before].text in _OF_HOW and _says_how(words, match, lexicon):
            continue
        if (
            before >= 0
            and (
                nothing
                or words[before].text in _NEGATING
                or (tongues is not None and tongues.says(before, "without"))
            )
            and not _with_or_without(words, before)
        ):
            denied.add(n)
            denied |= _chain_on(words, raw, match, by_start)
    return denied


def undenied(words: list[Word]) -> list[Word]:
    """Words without the ending that denies: in "cannot be called nussfrei", of nuts."""
    stems = [(w, _ENDING.sub("", w.text)) for w in words]
    return [w if stem == w.text else w._replace(text=stem, key=key_of(stem)) for w, stem in stems]


def _denies_itself(words: list[Word], match: Match, lexicon: Lexicon) -> tuple[bool, bool]:
    """Whether a term is a denial as it stands: (it opens with one, "no peanuts"; it closes with one, "egg
    free").
    """
    if not match.term.silent or match.end - match.start < 2:
        return False, False
    first, last = words[match.start].text, words[match.end - 1].text
    opens = first in _OPENING and any(
        not m.term.silent for m in find_longest(words[match.start + 1 : match.end], lexicon)
    )
    closes = last in _FREE and any(
        not m.term.silent for m in find_longest(words[match.start : match.end - 1], lexicon)
    )
    return opens, closes


def _says_how(words: list[Word], match: Match, lexicon: Lexicon) -> bool:
    """Whether a match begins with a word that names no food, and the rest of it still names the same."""
    codes = set(match.contains + match.typical + match.may)
    first = find_longest(words[match.start : match.start + 1], lexicon)
    rest = find_longest(words[match.start + 1 : match.end], lexicon)
    return not any(m.contains or m.typical for m in first) and any(
        codes <= set(m.contains + m.typical + m.may) for m in rest
    )


def _with_or_without(words: list[Word], i: int) -> bool:
    return i >= 2 and tuple(w.text for w in words[i - 2 : i + 1]) == _WITH_OR_WITHOUT


def _chain_back(words: list[Word], raw: list[Match], match: Match, by_end: dict, alone: bool) -> set[int]:
    """Further foods before "... and milk free". Across commas only when the sentence says nothing else
    (alone).
    """
    chain, at, commas = [], match.start, False
    if at and words[at - 1].text == ",":
        return set()
    while at > 0 and words[at - 1].text in _JOINING_BACK and len(chain) < _LONGEST:
        commas = commas or words[at - 1].text == ","
        at -= 1
        while at > 0 and words[at - 1].text in _JOINING_BACK:
            at -= 1
        if at not in by_end:
            return set() if commas else set(chain)
        chain.append(by_end[at])
        at = raw[by_end[at]].start
    return (
        set(chain) if not commas or (alone and (at == 0 or words[at - 1].text in (".", "!", ":"))) else set()
    )


def _chain_on(words: list[Word], raw: list[Match], match: Match, by_start: dict) -> set[int]:
    """Further foods after "no milk, eggs or nuts"; a chain with commas counts only if it closes with
    or/nor.
    """
    chain, at, commas, closed = [], match.end, False, False
    closing = _CLOSING | (_JOINING if words[max(match.start - 1, 0)].text in _NEGATING_ABROAD else set())
    while at < len(words) and words[at].text in _JOINING | _ROW and len(chain) < _LONGEST:
        closed = closed or words[at].text in closing - {","}
        commas = commas or words[at].text == ","
        at += 1
        while at < len(words) and words[at].text in _JOINING:
            closed = closed or words[at].text in closing - {","}
            at += 1
        if at not in by_start:
            break
        chain.append(by_start[at])
        at = raw[by_start[at]].end
    return set(chain) if closed or not commas else set()
