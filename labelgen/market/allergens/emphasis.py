"""Allergens that stand plain in a printed ingredient list where a market wants them emphasised."""

from __future__ import annotations

import re
from collections.abc import Iterable

from labelgen.composition.text.clauses import LIST, read_clauses
from labelgen.law.label_tables import AllergenWording
from labelgen.law.pack import Pack
from labelgen.market.allergens.declaration import Counted, words_of

#: Letters of a list too long to hold nothing but one allergen's name.
_A_LINE = 60
Spans = tuple[tuple[int, int], ...]


def find_plain(
    pack: Pack, text: str, bold: Spans, slanted: Spans, listed: Iterable[Counted]
) -> dict[str, Counted]:
    """The allergens, by code, that the list names at least once without emphasis; {} where the market wants
    none.

    text: of the label as printed. bold, slanted: places of it set in such a face. listed: allergens of its
    list. Bold counts; a slanted face and capitals among small letters do where the market's rule says so.
    Colour is not seen.
    """
    rule = pack.find(AllergenWording, "in_list")
    if rule is None:
        return {}
    lists = [(c.start, c.end) for c in read_clauses(text) if c.mode == LIST or c.nested]
    quiet = sum(c.islower() for a, b in lists for c in text[a:b]) > sum(
        c.isupper() for a, b in lists for c in text[a:b]
    )
    capitals = bool(rule.capitals) and quiet
    # a face that all of the list is set in distinguishes nothing
    spans = [
        s for s, counts in ((bold, True), (slanted, rule.slanted)) if counts and not _all_in(text, lists, s)
    ]
    plain: dict[str, Counted] = {}
    for item in listed:
        for start, end in _named_at(pack, item, text, lists):
            if not any(_covered(start, end, s) for s in spans) and not (
                capitals and text[start:end].isupper()
            ):
                plain.setdefault(item.code, item)
    return plain


def _named_at(
    pack: Pack, item: Counted, text: str, lists: list[tuple[int, int]]
) -> Iterable[tuple[int, int]]:
    """Places of the allergen's own word within the words it was found by: "milk" in "skimmed milk powder"."""
    names = words_of(pack, item)
    said = r"\W+".join(map(re.escape, item.hit.words.split()))
    for found in re.finditer(rf"(?<!\w){said}(?!\w)", text, re.IGNORECASE) if said else ():
        if any(a <= found.start() < b for a, b in lists):
            own = next(
                (
                    m
                    for name, inside in names
                    if (m := re.search(_written(name, inside), found.group(), re.IGNORECASE))
                ),
                None,
            )
            if own:
                yield found.start() + own.start(), found.start() + own.end()


def _written(name: str, inside: bool) -> str:
    """A name at the beginning of a word, or anywhere in it in a language of compound words:
    "Vollmilchpulver".
    """
    return re.escape(name) if inside else rf"\b{re.escape(name)}"


def _covered(start: int, end: int, spans: Spans) -> bool:
    return any(a <= start and end <= b for a, b in spans)


def _all_in(text: str, lists: list[tuple[int, int]], spans: Spans) -> bool:
    letters = [i for a, b in lists for i in range(a, b) if text[i].isalpha()]
    return len(letters) > _A_LINE and all(any(a <= i < b for a, b in spans) for i in letters)
