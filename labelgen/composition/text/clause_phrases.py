"""The phrases that cut a packet's text into clauses, and where they stand in it.

Those of ``reference/allergens/clauses.toml`` are regular expressions, tried everywhere. Those of further
languages (``reference/words``) are many and plain: each is tried only where its first word stands.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import cache, partial
from typing import NamedTuple

from labelgen import paths
from labelgen.composition.text.folded_words import fold
from labelgen.composition.text.tongues import languages
from labelgen.tomlfile import read_toml

#: What begins another clause, in the order tried at one place; within a kind, clauses.toml goes first.
KINDS = (
    "signpost",
    "handled",
    "may",
    "absent",
    "heading",
    "listlike",
    "contains",
    "held",
    "block",
    "noise",
    "praise",
    "place",
    "but",
)
#: Kinds that ``reference/words`` has too, by what they are called there.
_FURTHER = {
    "may": "may",
    "handled": "may_after",
    "absent": "free_from",
    "heading": "heading",
    "contains": "contains",
}
#: What must follow a phrase of further languages, if not a word's end. "Free from" is part of longer ones.
_ENDS = {"heading": r"(?:\s*[:\-–]|(?=\s*\n))", "absent": ""}
_WORD = re.compile(r"\w+")


class Found(NamedTuple):
    """A phrase at text[start:end]. rank: the lower of two at one place counts."""

    start: int
    rank: int
    kind: str
    end: int


class _Phrase(NamedTuple):
    """A phrase of a further language. rank: as in ``Found``. shorter: of two phrases of a kind the longer is
    tried first. written: ``*`` stands for any ending.
    """

    rank: int
    shorter: int
    kind: str
    written: str


def find_phrases(text: str) -> Iterator[Found]:
    """What begins another clause, in order, none over another."""
    foreign = list(_foreign(text))
    patterns = [_first_languages(), *([_not_free()] if any(p.kind == "absent" for _, p in foreign) else ())]
    readers: list[Callable[[int], Found | None]] = [partial(_next, p, text) for p in patterns]
    listed = iter(_matching(text, foreign))
    readers.append(lambda at: next((f for f in listed if f.start >= at), None))
    found = [read(0) for read in readers]
    while any(found):
        yield (first := min(f for f in found if f))
        at = max(first.end, first.start + 1)
        found = [f if not f or f.start >= at else read(at) for f, read in zip(found, readers)]


def says(kind: str, text: str) -> bool:
    """Whether a text holds a phrase of a kind, such as ``unsure``."""
    return bool(pattern_of(kind).search(text)) or any(
        phrase.kind == kind and _pattern(phrase).match(text, start) for start, phrase in _foreign(text)
    )


@cache
def pattern_of(kind: str) -> re.Pattern:
    """The phrases of a kind in the first languages."""
    return re.compile(rf"\b(?:{phrases()[kind]})", re.IGNORECASE)


def _written() -> dict:
    return read_toml(paths.reference("allergens", "clauses.toml"))


@cache
def phrases() -> dict[str, str]:
    """Alternatives by kind, from ``reference/allergens/clauses.toml``."""
    raw = _written()
    words = {name: raw.pop(name) for name in ("SITE", "MADE", "NOT", "FREE", "GEAR")}
    return {
        kind: re.sub(r"\{(SITE|MADE|NOT|FREE|GEAR)\}", lambda m: words[m[1]], "|".join(alternatives))
        for kind, alternatives in raw.items()
    }


def _next(pattern: re.Pattern, text: str, at: int) -> Found | None:
    m = pattern.search(text, at)
    return Found(m.start(), 2 * KINDS.index(m.lastgroup), m.lastgroup, m.end()) if m else None


@cache
def _first_languages() -> re.Pattern:
    """Every phrase of clauses.toml that begins a clause, by the kind it is."""
    told = phrases()
    begins = {kind: rf"\b(?:{told[kind]})" for kind in KINDS}
    sentence = r"(?<=[\n.!])|(?<=[\n.!] )"
    begins["block"], at_start = (rf"(?:^|{sentence})(?:{told[kind]})" for kind in ("block", "noise_start"))
    begins["noise"] += f"|{at_start}"
    begins["praise"] = rf"(?:{sentence})(?:{told['praise']})"
    begins["but"] += r"\b"
    return re.compile("|".join(f"(?P<{kind}>{begins[kind]})" for kind in KINDS), re.IGNORECASE)


@cache
def _not_free() -> re.Pattern:
    """What says "not free from" where "free from" is a phrase of a further language."""
    free = sorted((p for words in languages().values() for p in words["free_from"]), key=len, reverse=True)
    between = r"\s+(?:(?!only\b)[^\W\d_]+\s+){0,2}?"
    return re.compile(
        rf"(?P<may>\b{_written()['NOT']}{between}(?:{'|'.join(map(as_pattern, free))}))", re.IGNORECASE
    )


@cache
def _index() -> tuple[dict[str, list[_Phrase]], dict[str, list[_Phrase]]]:
    """The phrases of further languages by their first word, folded, and by what it begins with."""
    words: dict[str, list[_Phrase]] = {}
    stems: dict[str, list[_Phrase]] = {}
    for kind, name in _FURTHER.items():
        for written in dict.fromkeys(p for said in languages().values() for p in said.get(name, ())):
            first = _WORD.match(written)
            open_end = written[first.end() :][:1] == "*" or (kind == "absent" and first.end() == len(written))
            phrase = _Phrase(2 * KINDS.index(kind) + 1, -len(written), kind, written)
            (stems if open_end else words).setdefault(fold(first.group()), []).append(phrase)
    return words, stems


def _foreign(text: str) -> Iterator[tuple[int, _Phrase]]:
    """The phrases of further languages whose first word stands in a text, with its place; in the order they
    are tried.
    """
    words, stems = _index()
    for m in _WORD.finditer(text):
        word = fold(m.group())
        near = [*words.get(word, ())]
        for n in range(1, len(word) + 1):
            near += stems.get(word[:n], ())
        yield from ((m.start(), phrase) for phrase in sorted(near))


def _matching(text: str, foreign: list[tuple[int, _Phrase]]) -> Iterator[Found]:
    """Of these the first that stands there whole, at each place."""
    done = -1
    for start, phrase in foreign:
        if start != done and (m := _pattern(phrase).match(text, start)):
            done = start
            yield Found(start, phrase.rank, phrase.kind, m.end())


@cache
def _pattern(phrase: _Phrase) -> re.Pattern:
    return re.compile(as_pattern(phrase.written) + _ENDS.get(phrase.kind, r"\b"), re.IGNORECASE)


def as_pattern(phrase: str) -> str:
    """A phrase as a regular expression that also finds it without its accents; any space may stand between
    words.

    >>> bool(re.fullmatch(as_pattern("może zawiera*"), "MOZE  zawierać", re.IGNORECASE))
    True
    """
    letters = []
    for c in phrase.strip():
        plain = fold(c)
        letters.append(
            r"\s+"
            if c == " "
            else r"\w*"
            if c == "*"
            else re.escape(c)
            if plain == c or not plain
            else f"(?:{c}|{plain})"
        )
    return "".join(letters)
