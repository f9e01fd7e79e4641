"""The allergen lexicon, read from ``reference/allergens/lexicon.csv`` and made ready a word at a time.

A lexicon row gives a term up to three lists of allergens: ``contains`` (the word names them), ``typical``
(the food is made with them unless its own ingredients follow in brackets) and ``may`` (it depends on the
source, as with lecithin). A row with none of the three is a false friend: it matches and says nothing.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import product
from pathlib import Path

from labelgen import paths
from labelgen.composition.text.abroad import Abroad, read_abroad
from labelgen.composition.text.folded_words import SOURCES, Parts, fold, key_of, read_words
from labelgen.composition.text.tongues import FIRST

#: How a row's term is matched. word: its words in a row, any plural. item: only as a whole list item. part:
# inside a
#: longer word (German compounds). modifier: not an allergen, but takes the listed ones off the next food
#: ("vegan cheese"). source: a plant or animal that is no allergen and settles a source-dependent word.
#: grain: such a plant that takes wheat's place in baking. number: an additive number without its E, after a
# class name.
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
    others: tuple[Term, ...] = ()

    def same_as(self, other: Term) -> bool:
        return (self.rule, self.contains, self.typical, self.may) == (
            other.rule,
            other.contains,
            other.typical,
            other.may,
        )

    @property
    def silent(self) -> bool:
        """A false friend: it names no allergen."""
        return not (self.contains or self.typical or self.may)


class Lexicon:
    """Terms by the key of their first word. A term is made ready when its first word is met in a text.

    words: every word of an English term, folded. keys: the keys of all words of all terms. allergens: words
    and keys that are a term of their own. within: the terms inside a longer word. misspelt: allergens' words
    whose misspellings are looked for. look_alikes: real words that only look like one. never: those of them
    whose key is a term's.
    """

    def __init__(self, compiled: dict, language: str | None, abroad: Abroad | None = None):
        self._rows: list[list[str]] = compiled["rows"]
        self._terms: dict[str, str] = compiled["terms"]
        self._ready: dict[str, tuple[dict[tuple[str, ...], Term], tuple[int, ...]]] = {}
        self.language, self.abroad = language, abroad
        parts = [(fold(t), self._rows[n]) for t, n in compiled["parts"]]
        self.parts = {t: _term((t,), row) for t, row in parts if language in (None, row[0])}
        self.within = Parts(self.parts).within
        self.words, self.keys, self.allergens = (
            frozenset(compiled[name]) for name in ("words", "keys", "allergens")
        )
        self.misspelt, self.look_alikes = tuple(compiled["misspelt"]), frozenset(compiled["look_alikes"])
        self.never = frozenset(compiled["never"])

    def beginning(self, key: str) -> tuple[dict[tuple[str, ...], Term], tuple[int, ...]]:
        """The terms that begin with this word, by their keys; how many words they have, the most first."""
        ready = self._ready.get(key)
        if ready is None:
            terms = {t.keys: t for t in self._made_ready(key)} if key in self._terms else {}
            lengths = tuple(sorted({len(keys) for keys in terms}, reverse=True))
            ready = self._ready[key] = terms, lengths
        return ready

    def terms(self, key: str) -> tuple[Term, ...]:
        """Every term that begins with this word, the longest first."""
        return tuple(self.beginning(key)[0].values())

    def every_term(self) -> list[Term]:
        """All terms, for checks of the data."""
        return [t for key in list(self._terms) for t in self.terms(key)]

    def _made_ready(self, key: str) -> tuple[Term, ...]:
        found: dict[tuple[str, ...], dict[str, Term]] = {}
        for line in self._terms[key].split("\n"):
            said, _, n = line.partition("\t")
            row, keys = self._rows[int(n)], tuple(said.split(" "))
            if self.language in (None, row[0]):
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
    """The lexicon of one language, or of all. Raises ValueError for a row it cannot use."""
    return Lexicon(_compiled(), language, None if language in FIRST else read_abroad(language))


@cache
def _compiled() -> dict:
    return compiled("lexicon", ("allergens", "lexicon.csv"), ("allergens", "spelling.csv"))


def compiled(name: str, *tables: tuple[str, str]) -> dict:
    """A word list, and its misspellings where there is a table of them, ready for ``Lexicon``: compiled once
    into the user's cache folder under a name made of their content.
    """
    return paths.made_once(
        name,
        (*(paths.reference(*t) for t in tables), Path(__file__), *SOURCES),
        lambda: compile_terms(*([list(r.values()) for r in paths.read_rows(*t)] for t in tables)),
    )


def compile_terms(rows: list[list[str]], spellings: Sequence[list[str]] = ()) -> dict:
    """Rows of a word list made ready for ``Lexicon``: what each row says once, and by first word the keys
    of every spelling with its row's number. spellings: rows of spelling.csv. Raises ValueError for a bad
    row.
    """
    by_key: dict[str, dict[str, None]] = {}
    parts, words, keys, allergens = [], set(), set(), set()
    for n, (term, language, rule, contains, typical, *_) in enumerate(rows):
        if rule not in RULES:
            raise ValueError(f"{term}: match {rule!r} is not one of {', '.join(RULES)}; correct the row")
        if rule == "part":
            parts.append((term, n))
            continue
        for written in expand(term):
            texts = [w.text for w in read_words(written)]
            words |= {t for t in texts if language == "en" and t.isalpha() and len(t) > 2}
            if len(texts) == 1 and (contains or typical):
                allergens |= {texts[0], key_of(texts[0])}
            for spelt in _spellings(texts):
                said = [key_of(t) for t in spelt]
                keys |= set(said)
                by_key.setdefault(said[0], {})[f"{' '.join(said)}\t{n}"] = None
    return {
        "rows": [r[1:6] for r in rows],
        "terms": {k: "\n".join(v) for k, v in by_key.items()},
        "parts": parts,
        "words": sorted(words),
        "keys": sorted(keys),
        "allergens": sorted(allergens),
        "misspelt": [w for w, kind in spellings if kind == "allergen"],
        "look_alikes": [w for w, kind in spellings if kind != "allergen"],
        "never": [w for w, kind in spellings if kind == "never"],
    }


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


def _term(keys: tuple[str, ...], row: list[str]) -> Term:
    language, rule, contains, typical, may = row
    return Term(keys, rule, tuple(contains.split()), tuple(typical.split()), tuple(may.split()), language)


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

    settles = two.rule in ("source", "grain") and one.silent
    rule = two.rule if settles or not two.silent else one.rule
    return replace(
        one,
        rule=rule,
        contains=together(one.contains, two.contains),
        typical=together(one.typical, two.typical),
        may=together(one.may, two.may),
    )
