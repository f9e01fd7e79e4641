"""What stands around claims: denials ("not vegan"), phrases that only look like claims ("free range"), typing
slips.

The words are data (``reference/claims/around.csv``), in every language together: a text may mix them.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import cache, lru_cache
from pathlib import Path

from labelgen import paths
from labelgen.composition.text import terms, words
from labelgen.composition.text.terms import expand
from labelgen.composition.text.words import read_words

#: A shorter word is too near to too many others to be a slip of one.
_SHORTEST = 3


def keys_in(text: str) -> tuple[str, ...]:
    """The words of a text, by the form they are compared in."""
    return tuple(w.key for w in read_words(text))


def is_denied(before: Sequence[str], after: Sequence[str]) -> int:
    """How many of the words before a claim deny it, with what stands between; 0 where none does. before,
    after: the keys around it up to the next mark. 1 at the least where what follows denies it.
    """
    back = len(before)
    while back and before[back - 1] in _sets()["between"]:
        if _ending(before[:back], "denial"):
            break
        back -= 1
    said = _ending(before[:back], "denial")
    if said and not _ending(before[:back], "undenial"):
        return len(before) - back + said
    return 1 if _opening(after, "after") else 0


def goes_on(between: Sequence[str]) -> bool:
    """Whether these words carry a denial on to what follows ("not vegan or gluten free")."""
    return " ".join(between) in _sets()["or"]


def phrase_at(keys: Sequence[str]) -> int:
    """How many words at the beginning are a phrase that only looks like a claim; 0 where none are."""
    return _opening(keys, "phrase")


def is_harmless(said: Sequence[str]) -> bool:
    """Whether being free from it, or without it, says nothing about the food ("worry free")."""
    return " ".join(said) in _sets()["thing"] or (bool(said) and said[0] in _sets()["thing"])


@lru_cache(maxsize=20000)
def mended(word: str) -> str:
    """The word of claims that a word is one typing slip away from; the word itself where there is none."""
    from rapidfuzz.distance import OSA

    [key] = keys_in(word) if len(keys_in(word)) == 1 else [""]
    if len(key) < _SHORTEST or key in _sets()["slip"] or key in _sets()["unslip"]:
        return word
    near = (
        w
        for w in _sets()["slip"]
        if w[0] == key[0] and abs(len(w) - len(key)) < 2 and OSA.distance(w, key) == 1
    )
    return next(iter(sorted(near)), word)


def _opening(keys: Sequence[str], what: str) -> int:
    return next(
        (n for n in range(min(len(keys), _longest(what)), 0, -1) if " ".join(keys[:n]) in _sets()[what]), 0
    )


def _ending(keys: Sequence[str], what: str) -> int:
    return next(
        (n for n in range(min(len(keys), _longest(what)), 0, -1) if " ".join(keys[-n:]) in _sets()[what]), 0
    )


@cache
def _longest(what: str) -> int:
    return max((said.count(" ") + 1 for said in _sets()[what]), default=0)


@cache
def _sets() -> dict[str, frozenset[str]]:
    code = [Path(__file__), Path(terms.__file__), Path(words.__file__)]
    made = paths.made_once("around", (paths.reference("claims", "around.csv"), *code), _made)
    return {what: frozenset(said) for what, said in made.items()}


def _made() -> dict[str, list[str]]:
    found: dict[str, set[str]] = {}
    for row in paths.read_rows("claims", "around.csv"):
        found.setdefault(row["what"], set()).update(
            " ".join(keys_in(said)) for phrase in row["words"].split(";") for said in expand(phrase)
        )
    return {what: sorted(said) for what, said in found.items()}
