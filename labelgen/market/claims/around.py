"""What stands around claims: denials ("not vegan"), phrases that only look like claims ("free range"), typing
slips.

The words are data (``reference/claims/around.csv``), in every language together: a text may mix them.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from functools import cache, lru_cache
from pathlib import Path

from labelgen import paths
from labelgen.composition.text import folded_words, terms
from labelgen.composition.text.folded_words import fold, key_of, read_words
from labelgen.composition.text.terms import expand

#: A shorter word is too near to too many others to be a slip of one.
_SHORTEST = 3
#: From this length on a word is still read when its first letter is wrong.
_LONG = 5
#: A shorter word is not put together from two.
_TEARABLE = 4
#: Letters that what is absent has at least, in front of an end ("eifrei").
_LEAST = 2
#: Rows whose words are held against others letter by letter, as they are written.
_LETTER_BY_LETTER = ("slip", "unslip", "end")


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
    """The word of claims that a word is one typing slip away from; the word itself where there is none.

    >>> mended("glutn"), mended("rfee"), mended("sonas"), mended("nussfrie"), mended("coffee")
    ('gluten', 'free', 'sonas', 'nussfrei', 'coffee')
    """
    said = fold(word)
    if said in _written():
        return _written()[said]
    if len(said) < _SHORTEST or not said.isalpha() or said in _sets()["unslip"] or knows(key_of(said)):
        return word
    near = (w for w in _sets()["slip"] if _is_slip(said, w))
    return next(iter(sorted(near, key=lambda w: (w[0] != said[0], w))), "") or _ended(said) or word


@lru_cache(maxsize=20000)
def mended_thing(word: str) -> str:
    """What may be absent that a word is one typing slip away from; the word itself where there is none."""
    said = fold(word)
    if len(said) < _SHORTEST or knows(key_of(said)):
        return word
    near = (w for w in _sets()["absent"] if len(w) > 2 and _is_slip(key_of(said), w))
    return next(iter(sorted(near)), word)


def is_torn(first: str, second: str) -> bool:
    """Whether two words are one of claims, torn apart ("glu ten", "milchf rei"), and not both known."""
    joined = fold(first + second)
    whole = joined in _sets()["slip"] or any(
        joined.endswith(e) and _is_absent(joined.removesuffix(e)) for e in _sets()["end"]
    )
    return whole and len(joined) >= _TEARABLE and not all(knows(key_of(fold(w))) for w in (first, second))


def knows(key: str) -> bool:
    """Whether a word is one of claims, or of what is claimed to be absent, or both joined ("nutfree")."""
    sets = _sets()
    ends = set(map(key_of, sets["end"]))
    return (
        key in sets["absent"]
        or key in sets["join"]
        or key in ends
        or any(key.endswith(e) and _is_absent(key.removesuffix(e)) for e in ends)
    )


def _is_slip(said: str, meant: str) -> bool:
    """Whether one slip makes one word of another. The first letter of a short word is only swapped."""
    from rapidfuzz.distance import OSA

    if abs(len(said) - len(meant)) > 1 or OSA.distance(said, meant) != 1:
        return False
    return said[0] == meant[0] or said[:2] == meant[1::-1] or len(meant) >= _LONG


def _ended(word: str) -> str:
    """The word with the slip mended in what it ends with, behind something that may be absent
    ("milchfri"); "" for any other.
    """
    for n in range(_LEAST, len(word) - 1):
        head, tail = word[:n], word[n:]
        swapped = word[: n - 1] + word[n] + word[n - 1] + word[n + 1 :]
        for end in sorted(_sets()["end"]):
            if _is_absent(head) and tail not in _sets()["unslip"] and _is_slip(tail, end):
                return head + end
            if swapped[n:] == end and _is_absent(swapped[:n]):
                return swapped
    return ""


def _is_absent(word: str) -> bool:
    return key_of(word) in _sets()["absent"]


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
    code = [Path(__file__), Path(terms.__file__), Path(folded_words.__file__)]
    tables = [paths.reference("claims", "around.csv"), paths.reference("claims", "free_from.csv")]
    tables.append(paths.reference("allergens", "spelling.csv"))
    made = paths.made_once("around", (*tables, *code), _made)
    return {what: frozenset(said) for what, said in made.items()}


@cache
def _written() -> dict[str, str]:
    """Ways to write a short word of claims that no single slip tells -> the word."""
    return {fold(said): meant for said, meant in _meant("written")}


@cache
def cut_short() -> dict[str, str]:
    """Ways to cut a word of claims short ("w/o") -> the word."""
    return dict(_meant("short"))


def _meant(what: str) -> Iterator[tuple[str, str]]:
    for row in paths.read_rows("claims", "around.csv"):
        meant, _, every = row["words"].partition("=")
        yield from ((said, meant) for said in every.split(";") if row["what"] == what)


def _made() -> dict[str, list[str]]:
    absent = {" ".join(keys_in(r["word"])) for r in paths.read_rows("claims", "free_from.csv")}
    absent |= {
        " ".join(keys_in(r["word"]))
        for r in paths.read_rows("allergens", "spelling.csv")
        if r["kind"] == "allergen"
    }
    found: dict[str, set[str]] = {"absent": {a for a in absent if a.isalpha()}}
    for row in paths.read_rows("claims", "around.csv"):
        if row["what"] in ("written", "short"):
            continue
        if row["what"] in _LETTER_BY_LETTER:
            found.setdefault(row["what"], set()).update(
                fold(said) for phrase in row["words"].split(";") for said in expand(phrase)
            )
        if row["what"] in ("end", "unslip"):
            continue
        found.setdefault("join" if row["what"] == "slip" else row["what"], set()).update(
            " ".join(keys_in(said)) for phrase in row["words"].split(";") for said in expand(phrase)
        )
    return {what: sorted(said) for what, said in found.items()}
