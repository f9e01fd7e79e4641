"""The phrases of claims, from ``reference/claims``: what leads to which rule, ready to be looked up by their
words.

They are made ready once, and kept in the user's cache folder under a name made of the files' content.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from functools import cache, lru_cache
from pathlib import Path
from typing import NamedTuple

from labelgen import paths
from labelgen.composition.text import terms
from labelgen.composition.text.folded_words import SOURCES, key_of, read_words
from labelgen.composition.text.terms import expand
from labelgen.nutrients import BY_WORD

#: The language of words.csv; words that other languages share count as its own.
ENGLISH = "en"
_SLOTS = {
    "NUMBER": r"(?P<number>\d+(?:\.\d+)?)",
    "NUTRIENT": r"(?P<nutrient>.+?)",
    "FOOD": r"(?P<food>.+?)",
    "BASIS": r"(?P<basis>.+?)",
    "BODY": r"(?P<body>.+?)",
}
#: Rows that are lists of words for a slot, and no claims.
_LISTS = ("BODY", "ARTICLE", "BOOST")
_NUTRIENT = "NUTRIENT:"


class Phrase(NamedTuple):
    """One phrase of the files: the rule it leads to and the nutrient, its language, whether it may only
    name a food, and whether it claims something only where what fills it is understood.
    """

    key: str
    nutrient: str
    language: str
    naming: bool
    known: bool
    words: tuple[str, ...]


def phrase_of(said: str) -> Phrase | None:
    """The phrase without anything to fill in that the keys of some words are, or None; the first in the
    files wins.
    """
    number = _tables()["whole"].get(said)
    return None if number is None else _phrase(number)


def phrases_with_slots(said: str) -> list[Phrase]:
    """The phrases with something to fill in that may fit the keys of some words, the first in the files
    first.
    """
    by_word = _tables()["slotted"]
    return [_phrase(n) for n in sorted(n for word in {"", *said.split()} for n in by_word.get(word, ()))]


def may_claim(keys: Sequence[str]) -> bool:
    """Whether the keys of some words could be a claim: cheap, and never wrong where it says no."""
    if not keys:
        return False
    said, tables = " ".join(keys), _tables()
    return (
        said in tables["whole"]
        or "".join(keys) in tables["whole"]
        or said in tables["means"]
        or any(map(_opens_slots, keys))
        or (keys[0] in listed("BOOST") and may_claim(keys[1:]))
    )


@lru_cache(maxsize=20000)
def _opens_slots(key: str) -> bool:
    """Whether phrases with something to fill in hold a word, or fit inside it."""
    by_word = _tables()["slotted"]
    return key in by_word or any(
        pattern_of((w,)).fullmatch(key)
        for n in by_word.get("", ())
        for w in _phrase(n).words
        if w.upper() != w
    )


def phrases_for(rule: str) -> list[Phrase]:
    """Every phrase that leads to a rule."""
    return [_phrase(n) for n, row in enumerate(_tables()["phrases"]) if row[0] == rule]


@cache
def pattern_of(phrase: tuple[str, ...]) -> re.Pattern:
    """What the keys of some words must match to be a phrase with slots."""
    return re.compile(" ".join(map(_pattern, phrase)))


@cache
def listed(name: str) -> frozenset[str]:
    """The words of the rows that are lists ("BODY", "ARTICLE", "BOOST")."""
    return frozenset(_tables()["lists"][name])


def nutrient_named(said: str) -> str:
    """The tagname of the nutrient that the keys of some words name, or ""."""
    return _tables()["nutrients"].get(said, "")


def codes_of(said: str) -> tuple[str, ...]:
    """What "free from" these words speaks of: allergen codes or kinds of ingredient; () where
    free_from.csv lacks them.
    """
    return tuple(_tables()["free_from"].get(said, ()))


def meanings_of(said: str) -> tuple[str, ...]:
    """The claims that initials or a single word may be read as ("GF", "pareve"), by their keys; () for
    other words.
    """
    return tuple(_tables()["means"].get(said, ((), ""))[0])


def where_read(said: str) -> str:
    """Where words are read as initials (means.csv): "any", "capitals", "brackets"; "" for words that are
    none.
    """
    return _tables()["means"].get(said, ((), ""))[1]


def keys_of(phrase: Iterable[str]) -> list[str]:
    """The keys of words, one after another."""
    return [key for word in phrase for key in _keys_of(word)]


@cache
def _keys_of(word: str) -> tuple[str, ...]:
    return tuple(w.key for w in read_words(word))


@cache
def _tables() -> dict:
    files = [
        paths.reference("claims", name)
        for name in ("words.csv", "words_other.csv", "free_from.csv", "means.csv")
    ]
    code = [
        Path(__file__),
        Path(terms.__file__),
        *SOURCES,
        paths.reference("composition", "nutrients.csv"),
    ]
    return paths.made_once("claims", (*files, *code), _made)


@cache
def _phrase(number: int) -> Phrase:
    *fields, said = _tables()["phrases"][number]
    return Phrase(*fields, tuple(said))


def _made() -> dict:
    rows = [*paths.read_rows("claims", "words.csv"), *paths.read_rows("claims", "words_other.csv")]
    phrases = [
        Phrase(
            key,
            nutrient,
            row.get("language", ENGLISH),
            row["in_name"] == "names",
            row["in_name"] == "known",
            said,
        )
        for row in rows
        if row["claim"] not in _LISTS and not row["claim"].startswith(_NUTRIENT)
        for key, _, nutrient in (row["claim"].partition(":"),)
        for said in _split(row)
    ]
    nutrients = {" ".join(keys_of([word])): key for word, key in BY_WORD.items()}
    nutrients |= {
        " ".join(keys_of(said)): r["claim"].removeprefix(_NUTRIENT)
        for r in rows
        if r["claim"].startswith(_NUTRIENT)
        for said in _split(r)
    }
    return {
        "phrases": phrases,
        "whole": _whole(phrases),
        "slotted": _slotted(phrases),
        "nutrients": nutrients,
        "lists": {
            name: [" ".join(keys_of(said)) for r in rows if r["claim"] == name for said in _split(r)]
            for name in _LISTS
        },
        "means": {
            " ".join(keys_of(said)): (row["means"].split(";"), row["where"])
            for row in paths.read_rows("claims", "means.csv")
            for phrase in row["words"].split(";")
            for said in map(str.split, expand(phrase))
        },
        "free_from": {
            " ".join(keys_of([r["word"]])): r["codes"].split()
            for r in paths.read_rows("claims", "free_from.csv")
        },
    }


def _split(row: dict[str, str]) -> list[tuple[str, ...]]:
    return [tuple(said.split()) for phrase in row["words"].split(";") for said in expand(phrase)]


def _whole(phrases: list[Phrase]) -> dict[str, int]:
    """Phrases by their keys. Two words may be written as one ("sugarfree")."""
    found: dict[str, int] = {}
    joined: dict[str, int] = {}
    for n, phrase in enumerate(phrases):
        keys = keys_of(phrase.words)
        found.setdefault(" ".join(keys), n)
        if len(keys) == 2 and all(w.isalpha() for w in phrase.words):
            joined.setdefault("".join(keys_of(["".join(phrase.words)])), n)
    return {**joined, **found}


def _slotted(phrases: list[Phrase]) -> dict[str, list[int]]:
    """Phrases with something to fill in, by a word that a text must hold to fit one; "" for those whose
    words are only parts of words.
    """
    found: dict[str, list[int]] = {}
    for n, phrase in enumerate(phrases):
        if any(slot in w for w in phrase.words for slot in _SLOTS):
            fixed = [k for w in phrase.words if not any(slot in w for slot in _SLOTS) for k in keys_of([w])]
            found.setdefault(max(fixed, key=len, default=""), []).append(n)
    return found


def _pattern(word: str) -> str:
    """A word of a phrase as a pattern: a slot, a slot inside a word (FOODfrei, nonFOOD), or the word
    itself.
    """
    slot = next((s for s in _SLOTS if s in word), "")
    if not slot:
        return re.escape(" ".join(keys_of([word])))
    before, _, rest = word.partition(slot)
    return rf"{before}(?P<{slot.lower()}>\S+){re.escape(key_of(rest))}" if before or rest else _SLOTS[slot]
