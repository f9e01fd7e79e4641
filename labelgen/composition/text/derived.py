"""Foods that come from an allergen and that some market exempts: glucose syrup of wheat, fully refined
soybean oil.

Their words are data (``reference/allergens/derived.toml``); which of them a market exempts, and under what
condition, is its own law. Here a hit only gets the name of what it rests on. A food counts as one of them
only where its whole item says so and nothing else: "wheat glucose syrup" does, "wheat flour and glucose
syrup" does not.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache

from labelgen import paths
from labelgen.composition.text.folded_words import Word, fold, key_of, read_words
from labelgen.composition.text.terms import expand
from labelgen.tomlfile import read_toml

Keys = frozenset[str]

#: Marks that end an item; brackets are counted, and a slash joins ("glucose/fructose syrup").
_ENDS = frozenset(",;.•·|=<>?!\n:▪●◦‣■")
_ALL_OF = frozenset("()/:,;+")
_JOINTS = frozenset(",;/+")
#: How many brackets around a word are looked at.
_LEVELS = 3


@dataclass(frozen=True)
class Derived:
    """key: such as ``soy-oil``. codes: the allergens it comes from. products, whole: the words of each of
    its names, the longest first; whole ones need no source beside them. states: (its name, its words); one
    must stand, unless it is ``plain``.
    """

    key: str
    codes: Keys
    products: tuple[Keys, ...]
    whole: tuple[Keys, ...]
    sources: tuple[Keys, ...]
    states: tuple[tuple[str, tuple[Keys, ...]], ...]
    plain: bool


def derived_of(
    words: list[Word], start: int, end: int, code: str, unsure: bool = False, whole_text: bool = False
) -> tuple[str, str]:
    """(key, state) of the food whose name holds words[start:end], a hit for ``code``; ("", "") where it is
    none of them.

    unsure: the hit depends on its source, so that none need be told. whole_text: the words are one name
    ("Oil, soybean").
    """
    if not any(w.key in _product_words() for w in words):
        return "", ""
    for item in [words, words[: _second_comma(words)]] if whole_text else _items_around(words, start, end):
        keys = frozenset(
            w.key for n, w in enumerate(item) if w.text not in _ALL_OF and not _is_number_sign(item, n)
        )
        joined = not whole_text and any(w.text in _JOINTS or w.text in _both() for w in item)
        for kind in read_derived():
            if code in kind.codes and (state := _state(kind, keys, unsure, joined)) is not None:
                return kind.key, state
    return "", ""


def _second_comma(words: list[Word]) -> int:
    """Where "Oil, soybean" ends in a food table's "Oil, soybean, salad or cooking"."""
    commas = [n for n, w in enumerate(words) if w.text == ","]
    return commas[1] if len(commas) > 1 else len(words)


def _is_number_sign(item: list[Word], n: int) -> bool:
    """Whether a word is but the letter of an additive's number: "E 306"."""
    return item[n].text == "e" and n + 1 < len(item) and item[n + 1].text.isdigit()


def _state(kind: Derived, keys: Keys, unsure: bool, joined: bool) -> str | None:
    """The state told of a food that these words name and nothing else, "" where it has none; None where they
    do not.
    joined: they may name two, of which a short state describes but one ("soybean and fully refined
    rapeseed oil").
    """
    for names, alone in ((kind.whole, True), (kind.products, unsure)):
        for name in (n for n in names if n <= keys):
            rest, state = keys - name, ""
            for called, wordings in kind.states:
                if told := next((w for w in wordings if w <= rest and (len(w) > 2 or not joined)), None):
                    rest, state = rest - told, called
                    break
            sourced = any(s <= rest for s in kind.sources)
            rest -= frozenset().union(*kind.sources, () if kind.states else _beside())
            left = [k for k in rest if k not in _joining() and not k.replace(".", "").isdigit()]
            if not left and (sourced or alone) and (state or not kind.states or kind.plain):
                return state
    return None


def _items_around(words: list[Word], start: int, end: int) -> Iterator[list[Word]]:
    """The item that holds words[start:end] with its brackets, then the one in whose brackets that stands,
    and so on.
    """
    open_inside = sum((w.text == "(") - (w.text == ")") for w in words[start:end])
    while open_inside > 0 and end < len(words):
        open_inside += (words[end].text == "(") - (words[end].text == ")")
        end += 1
    for stops in (_ENDS, _ENDS | _both(), _ENDS - {":"}):
        at, until = _walk(words, start, -1, stops), _walk(words, end - 1, 1, stops)
        yield words[at + 1 : until]
    for _ in range(_LEVELS):
        start, end = _walk(words, start, -1, frozenset()), _walk(words, end - 1, 1, frozenset()) + 1
        if start < 0:
            return
        yield words[_walk(words, start, -1, _ENDS) + 1 : _walk(words, end - 1, 1, _ENDS)]


def _walk(words: list[Word], at: int, step: int, stops: frozenset[str]) -> int:
    """The place of the first stop, or bracket around, that a walk from ``at`` meets; what stands in
    brackets is passed over.
    """
    inner, outer, depth = (")", "(", 0) if step < 0 else ("(", ")", 0)
    at += step
    while 0 <= at < len(words):
        text = words[at].text
        if text == inner:
            depth += 1
        elif text == outer and depth:
            depth -= 1
        elif not depth and (text == outer or text in stops):
            break
        at += step
    return at


def joins(word: str) -> bool:
    """Whether a word joins a food to what it comes from: "from", "aus", "di".

    >>> joins("from"), joins("and")
    (True, False)
    """
    return key_of(fold(word)) in _joining()


@cache
def read_derived() -> tuple[Derived, ...]:
    """Every kind, in the order of the file. Raises ValueError for a source or state that the file does not
    word.
    """
    data = _data()
    found = []
    for kind in data["kind"]:
        if strange := [
            n for name in ("sources", "states") for n in kind.get(name, ()) if n not in data[name]
        ]:
            raise ValueError(
                f"reference/allergens/derived.toml: {kind['key']}: {', '.join(strange)} is not worded"
                " there; add it"
            )
        sources = tuple(k for name in kind.get("sources", ()) for k in _phrases(data["sources"][name]))
        states = tuple((name, _phrases(data["states"][name])) for name in kind.get("states", ()))
        found.append(
            Derived(
                kind["key"],
                frozenset(kind["codes"]),
                _phrases(kind.get("products", ())),
                _phrases(kind.get("whole", ())),
                sources,
                states,
                kind.get("plain", False),
            )
        )
    return tuple(found)


def _phrases(terms: Iterable[str]) -> tuple[Keys, ...]:
    """The keys of every wording of terms, the longest first."""
    keys = {
        frozenset(w.key for w in read_words(written) if w.text not in _ALL_OF)
        for term in terms
        for written in expand(term)
    }
    return tuple(sorted(keys - {frozenset()}, key=lambda k: (-len(k), sorted(k))))


@cache
def _data() -> dict:
    return read_toml(paths.reference("allergens", "derived.toml"))


@cache
def _joining() -> Keys:
    return frozenset(w.key for line in _data()["joining"] for w in read_words(line))


@cache
def _both() -> Keys:
    return frozenset(_data()["both"])


@cache
def _beside() -> Keys:
    return frozenset().union(*_phrases(_data()["beside"]))


@cache
def _product_words() -> Keys:
    return frozenset(k for kind in read_derived() for name in (*kind.products, *kind.whole) for k in name)
