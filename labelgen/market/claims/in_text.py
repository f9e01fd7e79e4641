"""The claims a text makes within other words, what it denies, and what is shaped like a claim and
understood by nobody.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache

from labelgen.composition.text.folded_words import BREAKS, Word, read_words
from labelgen.market.claims.around import (
    goes_on,
    is_denied,
    is_harmless,
    keys_in,
    mended,
    mended_thing,
    phrase_at,
)
from labelgen.market.claims.claim_words import looks_free_from, read_claim
from labelgen.market.claims.phrases import may_claim, where_read
from labelgen.market.claims.straightened import straighten

#: Words a claim has at most; more are not looked at together. What is not understood is looked at in fewer.
_LONGEST, _LONGEST_UNCLEAR = 14, 5
_OPEN, _CLOSED, _APART = "([{", ")]}", "-–—,;/|:"


#: What is mended in a text, tried in this order: nothing, the words of claims, what is absent as well.
_MENDS = ("", "words", "things")


@dataclass(frozen=True)
class Said:
    """claims: as written, typing slips mended. unclear: what is shaped like "free from ..." of something
    not understood.
    """

    claims: tuple[str, ...]
    unclear: tuple[str, ...]


def claims_in(text: str) -> tuple[str, ...]:
    """The claims a text makes within other words, as written; what it denies is none.

    >>> claims_in("Sugar-free boiled sweets"), claims_in("Glutenfreies Brot"), claims_in("Not gluten free")
    (('Sugar-free',), ('Glutenfreies',), ())
    """
    return read_text(text).claims


@lru_cache(maxsize=5000)
def read_text(text: str) -> Said:
    """Everything a text says that is a claim, or is shaped like one.

    >>> read_text("Free range eggs, qwerty free").unclear
    ('qwerty free',)
    """
    text = straighten(text)
    words = read_words(text)
    claims, taken = [], [w.text in BREAKS for w in words]
    start = denied = 0
    while start < len(words):
        end, said = _claim_at(text, words, start) if words[start].text not in BREAKS else (0, "")
        if not said:
            start += 1
            continue
        before, after = _beside(words, start, end)
        back = is_denied(before, after) or (
            start - denied if denied and goes_on([w.key for w in words[denied:start]]) else 0
        )
        taken[start - back : end] = [True] * (end - start + back)
        claims += [] if back else [said]
        start, denied = end, end if back else 0
    return Said(tuple(dict.fromkeys(claims)), tuple(dict.fromkeys(_unclear(text, words, taken))))


def _claim_at(text: str, words: Sequence[Word], start: int) -> tuple[int, str]:
    """(end, the longest claim that begins at a word); ("", 0) without one. Typing slips count where
    nothing else does.
    """
    for mend in _MENDS:
        for end in range(min(len(words), start + _LONGEST), start, -1):
            part = words[start:end]
            if part[-1].text in BREAKS or _runs_on(words, start, end):
                continue
            said = _mended(text, part, mend) if mend else text[part[0].start : part[-1].end]
            if (
                said
                and may_claim(keys_in(said) if mend else [w.key for w in part])
                and read_claim(said)
                and _stands(text, part)
            ):
                return end, said
    return 0, ""


def _mended(text: str, part: Sequence[Word], mend: str) -> str:
    """The words with their typing slips mended; "" where there are none. mend: "things" where what is
    absent may be misspelt too, beside a word of claims that is.
    """
    written = [text[w.start : w.end] for w in part]
    read = [mended(w) for w in written]
    if read == written:
        return ""
    return " ".join(map(mended_thing, read) if mend == "things" else read)


def _runs_on(words: Sequence[Word], start: int, end: int) -> bool:
    """Whether a phrase that is no claim begins in a window and ends behind it ("egg free range")."""
    return any(
        n + phrase_at([w.key for w in words[n : n + 8]]) > end for n in range(max(start, end - 3), end)
    )


def _stands(text: str, part: Sequence[Word]) -> bool:
    """Whether initials stand where initials are read as such; True for any other words."""
    where = where_read(" ".join(w.key for w in part))
    said, before, after = (
        text[part[0].start : part[-1].end],
        text[: part[0].start].rstrip(),
        text[part[-1].end :].lstrip(),
    )
    bracketed = before[-1:] in _OPEN and after[:1] in _CLOSED and bool(before) and bool(after)
    apart = (not before and not after) or (
        bool(before)
        and before[-1] in _APART
        and text[part[0].start - 1] in f" {_APART[3:]}"
        and (not after or after[0] in _APART)
    )
    return where in ("", "any") or bracketed or apart or (where == "capitals" and said.isupper())


def _beside(words: Sequence[Word], start: int, end: int) -> tuple[list[str], list[str]]:
    """The keys before and behind some words, up to the next mark."""
    before = next((n for n in range(start, 0, -1) if words[n - 1].text in BREAKS), 0)
    after = next((n for n in range(end, len(words)) if words[n].text in BREAKS), len(words))
    return [w.key for w in words[before:start]], [w.key for w in words[end:after]]


def _unclear(text: str, words: Sequence[Word], taken: list[bool]) -> Iterator[str]:
    keys = [w.key for w in words]
    for n in range(len(words)):
        if not taken[n] and (length := phrase_at(keys[n : n + 8])):
            taken[n : n + length] = [True] * length
    start = 0
    while start < len(words):
        ends = (
            e
            for e in range(start + 1, min(len(words), start + _LONGEST_UNCLEAR) + 1)
            if not any(taken[start:e])
        )
        end, absent = next(
            ((e, x) for e in ends if (x := looks_free_from(text[words[start].start : words[e - 1].end]))),
            (0, ()),
        )
        if (
            absent
            and not is_harmless(absent)
            and not is_harmless([*absent, *keys[end : end + 1]])
            and not is_denied(*_beside(words, start, end))
        ):
            yield text[words[start].start : words[end - 1].end]
        start = end or start + 1
