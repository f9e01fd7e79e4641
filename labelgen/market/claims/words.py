"""Reads the words a maker writes as a claim: which rule judges them, with the figures, nutrients and foods they name.

The words are data (``reference/claims/words.csv``); what a market makes of each is its own ``claims.toml``.
Spelling, capitals, hyphens and plurals do not matter ("Sugar-free", "free of sugars").
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from functools import cache

from labelgen import paths
from labelgen.composition.text.lexicon import find_allergens
from labelgen.composition.text.terms import expand
from labelgen.composition.text.words import BREAKS, Word, key_of, read_words
from labelgen.nutrients import BY_WORD

_SLOTS = {"NUMBER": r"(?P<number>\d+(?:\.\d+)?)", "NUTRIENT": r"(?P<nutrient>.+?)", "FOOD": r"(?P<food>.+?)", "BASIS": r"(?P<basis>.+?)"}
_APART = re.compile(r"\s*[;•·\n]\s*|\s*,\s*(?:and\s+)?|\s+(?:and|&)\s+")


@dataclass(frozen=True)
class Asked:
    """One claim, understood. key: of the rule. text: as the maker wrote it. number: a figure in it. nutrient: its
    tagname. foods: allergen codes or kinds of ingredient that it says are absent. food: the words for them, or the
    food it compares with. basis: what its figure is per."""

    key: str
    text: str
    number: float | None = None
    nutrient: str = ""
    foods: tuple[str, ...] = ()
    food: str = ""
    basis: str = ""


def read_claim(text: str) -> tuple[Asked, ...]:
    """The claims a text makes; () when any part of it is not understood.

    >>> [c.key for c in read_claim("Sugar-free and high in fibre")]
    ['sugar_free', 'fibre_high']
    """
    whole = _understood(text)
    if whole:
        return whole
    parts = [p for p in _APART.split(text.strip()) if p]
    found = [_understood(p) for p in parts] if len(parts) > 1 else []
    return tuple(a for claims in found for a in claims) if found and all(found) else ()


def claims_in(name: str) -> tuple[str, ...]:
    """The claims a name makes within other words, as written; words that often only name a food are left out.

    >>> claims_in("Sugar-free boiled sweets")
    ('Sugar-free',)
    """
    words, found, start = name.split(), [], 0
    while start < len(words):
        windows = ((end, " ".join(words[start:end]).strip(",;:.()")) for end in range(len(words), start, -1))
        end, text = next(((e, t) for e, t in windows if _claims_beyond_naming(t)), (start + 1, ""))
        found += [text] if text else []
        start = end
    return tuple(dict.fromkeys(found))


def _claims_beyond_naming(text: str) -> bool:
    return any(a.key not in _naming() for a in read_claim(text))


def _understood(text: str) -> tuple[Asked, ...]:
    if re.search(r"(^|\s)[-\u2212]\s*\d", text):
        return ()
    words = read_words(text)
    said = " ".join(w.key for w in words if w.text not in BREAKS or w.text == ",")
    if said in _phrases():
        return (Asked(_phrases()[said], text),)
    for key, pattern in _patterns():
        match = pattern.fullmatch(said)
        made = _filled(key, text, match, words) if match else ()
        if made:
            return made
    return ()


def _filled(key: str, text: str, match: re.Match, words: list[Word]) -> tuple[Asked, ...]:
    given = match.groupdict()
    number = float(given["number"]) if given.get("number") else None
    nutrient = _nutrients().get(given["nutrient"], "") if given.get("nutrient") else ""
    if given.get("nutrient") and not nutrient:
        return ()
    food = _original(text, words, match, "food") if given.get("food") else ""
    basis = _original(text, words, match, "basis") if given.get("basis") else ""
    if key != "free_from":
        return (Asked(key, text, number, nutrient, (), food, basis),)
    made, codes = [], []
    for piece in filter(None, re.split(r"\s*[,/&]\s*(?:and\s+|or\s+)?|\s+(?:and|or|nor)\s+", food)):
        own = _understood(f"{piece} free") if piece != food else ()
        if own and own[0].key != "free_from":
            made += [Asked(a.key, text) for a in own]
            continue
        named = foods_named(piece)
        if not named:
            return ()
        codes += named
    return (*made, *((Asked(key, text, foods=tuple(dict.fromkeys(codes)), food=food),) if codes else ()))


def _original(text: str, words: list[Word], match: re.Match, slot: str) -> str:
    """The maker's own spelling of what stands in a slot."""
    kept = [w for w in words if w.text not in BREAKS or w.text == ","]
    first = match.string[: match.start(slot)].count(" ")
    last = first + match[slot].count(" ")
    return text[kept[first].start : kept[last].end]


def foods_named(text: str) -> tuple[str, ...]:
    """Allergen codes or kinds that a word after "free from" stands for; () if it says anything else too."""
    said = _keyed(text)
    if said in _free_from():
        return _free_from()[said]
    hits = find_allergens(text, kind="name").contains
    return tuple(h.allergen for h in hits if _keyed(h.words) == said)


def _keyed(text: str) -> str:
    return " ".join(w.key for w in read_words(text))


@cache
def _free_from() -> dict[str, tuple[str, ...]]:
    return {_keyed(r["word"]): tuple(r["codes"].split()) for r in read_rows("free_from.csv")}


@cache
def _naming() -> frozenset[str]:
    """Rules whose words may be no more than the name of a food."""
    return frozenset(r["claim"] for r in read_rows("words.csv") if r["in_name"] == "names")


@cache
def _nutrients() -> dict[str, str]:
    return {_keyed(word): key for word, key in BY_WORD.items()}


@cache
def _written() -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Every phrase as (rule, its words), in the order of the file."""
    rows = read_rows("words.csv")
    return tuple((r["claim"], tuple(words.split())) for r in rows for phrase in r["words"].split(";") for words in expand(phrase))


@cache
def _phrases() -> dict[str, str]:
    """Phrases without anything to fill in -> rule; the first in the file wins."""
    found: dict[str, str] = {}
    for claim, words in _written():
        found.setdefault(" ".join(map(key_of, words)), claim)
    return found


@cache
def _patterns() -> tuple[tuple[str, re.Pattern], ...]:
    """Phrases with something to fill in."""
    slotted = [(claim, words) for claim, words in _written() if _SLOTS.keys() & set(words)]
    return tuple((claim, re.compile(" ".join(_SLOTS.get(w) or re.escape(key_of(w)) for w in words))) for claim, words in slotted)


def read_rows(name: str) -> list[dict[str, str]]:
    """The rows of a file in ``reference/claims``; lines with # at the start are left out."""
    with paths.reference("claims", name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))
