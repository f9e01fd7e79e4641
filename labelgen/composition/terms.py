"""The allergen lexicon, read from ``reference/allergens/lexicon.csv`` and made ready a word at a time.

A lexicon row gives a term up to three lists of allergens: ``contains`` (the word names them), ``typical``
(the food is made with them unless its own ingredients follow in brackets) and ``may`` (it depends on the
source, as with lecithin). A row with none of the three is a false friend: it matches and says nothing.
"""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass, replace
from functools import cache
from itertools import product

from labelgen import paths
from labelgen.composition.words import fold, key_of, read_words

#: How a row's term is matched. word: its words in a row, any plural. item: only as a whole list item. part: inside a
#: longer word (German compounds). modifier: not an allergen, but takes the listed ones off the next food
#: ("vegan cheese"). source: a plant or animal that is no allergen and settles a source-dependent word.
#: grain: such a plant that takes wheat's place in baking. number: an additive number without its E, after a class name.
RULES = ("word", "item", "part", "modifier", "source", "grain", "number")


@dataclass(frozen=True)
class Term:
    """One row of the lexicon, ready to match. keys: its words' keys, brackets included. others: what the same
    words mean in other languages ("orzo" is barley in Italian and wheat pasta in English)."""

    keys: tuple[str, ...]
    rule: str
    contains: tuple[str, ...]
    typical: tuple[str, ...]
    may: tuple[str, ...]
    language: str
    others: tuple["Term", ...] = ()

    def same_as(self, other: "Term") -> bool:
        return (self.rule, self.contains, self.typical, self.may) == (other.rule, other.contains, other.typical, other.may)

    @property
    def silent(self) -> bool:
        """A false friend: it names no allergen."""
        return not (self.contains or self.typical or self.may)


class Lexicon:
    """Terms by the key of their first word. A term is made ready when its first word is met in a text."""

    def __init__(self, rows: list[tuple[str, ...]]):
        self._rows: dict[str, list[tuple[str, ...]]] = {}
        self._ready: dict[str, tuple[Term, ...]] = {}
        self.parts: dict[str, Term] = {}
        for row in rows:
            if row[2] == "part":
                self.parts[fold(row[0])] = _term((fold(row[0]),), row)
                continue
            for key in _first_keys(row[0]):
                self._rows.setdefault(key, []).append(row)
        self.pattern = re.compile("|".join(map(re.escape, sorted(self.parts, key=len, reverse=True))) or r"(?!)")

    def terms(self, key: str) -> tuple[Term, ...]:
        """Every term that begins with this word, the longest first."""
        ready = self._ready.get(key)
        if ready is None:
            ready = self._ready[key] = self._made_ready(key) if key in self._rows else ()
        return ready

    def every_term(self) -> list[Term]:
        """All terms, for checks of the data."""
        return [t for key in list(self._rows) for t in self.terms(key)]

    def _made_ready(self, key: str) -> tuple[Term, ...]:
        found: dict[tuple[str, ...], dict[str, Term]] = {}
        for row in self._rows[key]:
            for words in expand(row[0]):
                for texts in _spellings([w.text for w in read_words(words)]):
                    keys = tuple(key_of(t) for t in texts)
                    if keys[0] != key:
                        continue
                    place, new = found.setdefault(keys, {}), _term(keys, row)
                    old = place.get(new.language)
                    place[new.language] = _both(old, new) if old and old != new else new
        terms = []
        for first, *others in (tuple(by_language.values()) for by_language in found.values()):
            alike = all(t.same_as(first) for t in others)
            if others:  # the same in each language: no sign of which one the text is in
                first = replace(first, language="any") if alike else replace(first, others=tuple(others))
            terms.append(first)
        return tuple(sorted(terms, key=lambda t: -len(t.keys)))


@cache
def read_lexicon(language: str | None = None) -> Lexicon:
    """The lexicon of one language (en, fr, de, es, it), or of all. Raises ValueError for a row it cannot use."""
    path = paths.reference("allergens", "lexicon.csv")
    with path.open(encoding="utf-8", newline="") as file:
        rows = [tuple(r) for r in csv.reader(line for line in file if not line.startswith("#"))][1:]
    for row in rows:
        if row[2] not in RULES:
            raise ValueError(f"{path.name}: {row[0]}: match {row[2]!r} is not one of {', '.join(RULES)}; correct the row")
    return Lexicon([r for r in rows if language in (None, r[1])])


def expand(term: str) -> list[str]:
    """A term with its alternatives written out.

    >>> expand("{rice|corn} flour")
    ['rice flour', 'corn flour']
    """
    if "{" not in term:
        return [term]
    pieces = re.split(r"\{([^}]*)\}", term)
    choices = [p.split("|") if i % 2 else [p] for i, p in enumerate(pieces)]
    return ["".join(c) for c in product(*choices)]


def _term(keys: tuple[str, ...], row: tuple[str, ...]) -> Term:
    return Term(keys, row[2], tuple(row[3].split()), tuple(row[4].split()), tuple(row[5].split()), row[1])


def _first_keys(term: str) -> set[str]:
    """Keys a term may begin with: its first word's, and that of its first two written as one."""
    if "{" not in term and term.isascii() and term.replace(" ", "").isalpha():
        first, _, rest = term.lower().partition(" ")
        second = rest.partition(" ")[0]
        return {key_of(first), key_of(first + second)} if second else {key_of(first)}
    keys = set()
    for words in expand(term):
        texts = [w.text for w in read_words(words)]
        keys |= {key_of(texts[0]), key_of("".join(texts[:2]))}
    return keys


def _spellings(texts: list[str]) -> list[list[str]]:
    """The words as they are, and with two neighbours written as one ("soy bean", "soybean")."""
    found = [texts]
    if len(texts) > 1 and all(t.isalpha() for t in texts):
        found += [[*texts[:i], texts[i] + texts[i + 1], *texts[i + 2 :]] for i in range(len(texts) - 1)]
    return found


def _both(one: Term, two: Term) -> Term:
    """Two rows for the same words: together, so that neither's allergens are lost."""

    def together(a, b):
        return a + tuple(c for c in b if c not in a)

    rule = one.rule if two.silent or one.rule == two.rule else two.rule
    return replace(one, rule=rule, contains=together(one.contains, two.contains),
                   typical=together(one.typical, two.typical), may=together(one.may, two.may))
