"""How well a food's name answers what was typed.

USDA names run "Thing, kind, state": the first part weighs most, words not typed cost by kind
(``search_words.toml``), a processed form costs more than a plain one. A kitchen name (``search_foods.csv``)
is weighed alike, as a whole.
"""

from __future__ import annotations

import itertools
import re
from functools import lru_cache
from typing import NamedTuple

from labelgen.composition.search.search_words import Typed, spell, words

_RANGE = re.compile(r"(\d+(?:\.\d+)?)\s*-\s*(\d+(?:\.\d+)?)\s*%|(\d+(?:\.\d+)?)\s*%")
_ASIDE = re.compile(r"\(([^)]*)\)?")
_BRAND = re.compile(r"\b[A-Z]{4,}\b")
_PAST = ("d", "ed")  # kipper, kippered
SURE = 0.72  # a match at least this good counts as found


class Named(NamedTuple):
    """A name taken apart. cost: word -> what it costs untyped. place: word -> how much it counts when typed.
    joined: two words written as one -> both. nouns: words that name the thing itself. spans: percentages
    named.
    """

    cost: dict[str, float]
    place: dict[str, float]
    joined: dict[str, tuple[str, str]]
    nouns: tuple[str, ...]
    order: tuple[str, ...]
    spans: tuple[tuple[float, float], ...]
    extra: float


def _join(parts: list[list[str]]) -> dict[str, tuple[str, str]]:
    return {a + b: (a, b) for part in parts for a, b in itertools.pairwise(part)}


@lru_cache(maxsize=20000)
def take_apart(name: str) -> Named:
    """A USDA name taken apart."""
    w = words()
    spans = tuple((float(a or c), float(b or c)) for a, b, c in _RANGE.findall(name))
    asides = [spell(t) for t in _ASIDE.findall(name)]
    parts = [p for p in (spell(t) for t in _ASIDE.sub(" ", name).split(",")) if p]
    cost: dict[str, float] = {}
    place: dict[str, float] = {}
    extra = 0.0
    head = parts[0] if parts else []
    nouns = (head[-1],) if head else ()
    kind = w.classes.get(tuple(head)) if len(parts) > 1 else None
    rest = parts[1:]
    if kind is not None:
        head, rest = parts[1], parts[2:]
        nouns += (head[-1],)
        for token in parts[0]:
            place[token], cost[token] = 0.9, kind / len(parts[0])
    for token in head:
        place[token] = 1.0
        cost[token] = (
            min(w.costs.get(token, w.left["head"]), w.left["head"]) if len(head) > 1 else w.left["head"]
        )
    for token in (t for part in rest for t in part):
        if token not in place:
            place[token], cost[token] = 0.93, w.costs.get(token, w.left["ordinary"])
    for token in (t for part in asides for t in part):
        if token not in place:
            place[token], cost[token] = 0.9, w.left["aside"]
    if _BRAND.search(name):
        extra += 1.0
    return Named(cost, place, _join(parts + asides), nouns, tuple(t for p in parts for t in p), spans, extra)


@lru_cache(maxsize=20000)
def take_alias(spelt: tuple[str, ...]) -> Named:
    """A kitchen name, as its settled words, taken apart: every word belongs to the thing."""
    w = words()
    tokens = [t for t in spelt if t not in w.noise] or spelt
    cost = {t: 0.7 * max(w.weights.get(t, 1.0), 0.3) for t in tokens}
    noun = next((t for t in reversed(tokens) if t not in w.states), tokens[-1])
    return Named(cost, dict.fromkeys(tokens, 1.0), _join([tokens]), (noun,), tuple(tokens), (), 0.0)


class Match(NamedTuple):
    """score: higher is better; 0 when no word that matters was found. found: whether every word that matters
    was found. same: nothing typed or named is left over.
    missed: words typed and not found. doubtful: those, and the words found only in part or in a far
    spelling.
    """

    score: float
    found: bool
    same: bool
    missed: tuple[str, ...]
    doubtful: tuple[str, ...]


def weigh(typed: Typed, named: Named, other: dict[str, list[tuple[str, float]]]) -> Match:
    """``other``: further spellings of a typed word, each with how good it is (0-1)."""
    w = words()
    got: dict[str, float] = {}
    used: set[str] = set()
    noun = False
    tokens = typed.tokens
    place = named.place
    for token in tokens:
        best, hit = 0.0, ()
        if token in place:
            best, hit = place[token], (token,)
        elif token[-1] == "%":
            value = float(token[:-1])
            if any(a <= value <= b for a, b in named.spans):
                best = 1.0
        else:
            if token in named.joined:
                best, hit = 0.97, named.joined[token]
            for spelling, quality in other.get(token, ()):
                if spelling in place and quality * place[spelling] > best:
                    best, hit = quality * place[spelling], (spelling,)
                elif spelling in named.joined and quality * 0.97 > best:
                    best, hit = quality * 0.97, named.joined[spelling]
            if not best and len(token) > 2:
                for word in place:
                    if word.startswith(token) and tokens[token] >= 0.5:
                        best, hit = (
                            (0.9 if len(token) > 4 and word[len(token) :] in _PAST else 0.55) * place[word],
                            (word,),
                        )
                        break
        got[token] = best
        used.update(hit)
        if token == typed.noun and hit and hit[-1] in named.nouns:
            noun = True
    total = sum(tokens.values())
    cover = sum(v * got[t] for t, v in tokens.items()) / total
    found = all(got[t] >= SURE for t, v in tokens.items() if v >= 0.97 and t[-1] != "%")
    cost = min(sum(c for t, c in named.cost.items() if t not in used), w.left["most"]) + named.extra
    score = 10.0 * cover - cost
    if typed.matter and not any(got[t] for t in typed.matter):
        score = 0.0
    elif noun:
        score += w.bonus["noun"]
    if named.spans and any(t[-1] == "%" for t in tokens):
        score += (
            w.bonus["percent"] if any(got[t] for t in tokens if t[-1] == "%") else -w.bonus["percent"]
        ) / len(named.spans)
    same = noun and all(got[t] > 0.6 for t in tokens) and used >= place.keys()
    if same and named.order == tuple(tokens):
        score += w.bonus["order"]
    return Match(
        score,
        found,
        same,
        tuple(t for t, g in got.items() if not g),
        tuple(t for t, g in got.items() if g < 0.6),
    )
