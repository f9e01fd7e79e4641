"""The word a maker most likely meant where one is not known."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True)
class Near:
    """Words like the one typed, the likest first. sure: the first is a slip of the pen away, and no other."""

    words: tuple[str, ...] = ()
    sure: bool = False

    def __str__(self) -> str:
        return " or ".join(self.words)

    def __bool__(self) -> bool:
        return bool(self.words)

    @property
    def first(self) -> str:
        return self.words[0] if self.words else ""


def near(word: str, known: Iterable[str], most: int = 1) -> Near:
    """Which known words a word is like: letters changed, left out, doubled or turned round, a third at most.

    >>> near("categry", ["category", "price"])
    Near(words=('category',), sure=True)
    >>> near("rye flour", ["rice flour"]).sure
    False
    >>> near("serving", ["storage"])
    Near(words=(), sure=False)
    """
    from rapidfuzz.distance import OSA

    typed = word.casefold()
    found = sorted(
        (slips, name)
        for name in known
        if (slips := OSA.distance(typed, name.casefold())) <= max(len(typed), len(name)) / 3
    )
    if not found:
        return Near()
    slips = found[0][0]
    alone = len(found) == 1 or found[1][0] > slips
    return Near(
        tuple(name for _, name in found[:most]),
        alone and len(typed) > 3 and slips <= (1 if len(typed) < 10 else 2),
    )
