"""Kinds of ingredient that claims turn on (added sugar, honey, gelatine, palm oil ...), found in names and
lists.

The words are data (``reference/claims/kinds.csv``), matched as allergens are. An empty result is no proof of
absence.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from labelgen.composition.ingredient_records import ResolvedIngredient
from labelgen.composition.text.folded_words import read_words
from labelgen.composition.text.matching import find_matches
from labelgen.composition.text.terms import Lexicon, compiled


@dataclass(frozen=True)
class KindHit:
    """kind: such as ``honey``. words: that tell it. ingredient: the specification's name. sure: False
    where it depends on the source, so that the supplier must be asked.
    """

    kind: str
    words: str
    ingredient: str
    sure: bool


def find_kinds(ingredient: ResolvedIngredient, statement: str = "") -> tuple[KindHit, ...]:
    """The kinds that an ingredient's names, its food's name and its packet's own list speak of, each once.

    statement: the supplier's sub-ingredient statement; with one, what is only usual in such a food no longer
    counts, and what is usual in something the statement names without its own list must be asked.
    """
    found: dict[str, KindHit] = {}
    texts = [(ingredient.print_name, False), (ingredient.name.replace("-", " "), False), (statement, False)]
    texts.append(("" if ingredient.food_id.startswith("pure/") else ingredient.food_name, True))
    for text, food in texts:
        words = read_words(text)
        for match in find_matches(words, _lexicon(), food=food):
            said = text[words[match.start].start : words[match.end - 1].end]
            usual = match.typical if not statement or text == statement else ()
            sure = match.contains if statement else (*match.contains, *usual)
            for kind in (*sure, *usual, *match.may):
                hit = KindHit(kind, said, ingredient.name, kind in sure)
                if kind not in found or (hit.sure and not found[kind].sure):
                    found[kind] = hit
    return tuple(found.values())


def kinds_named(text: str) -> tuple[str, ...]:
    """The kinds that a text as a whole is a word for ("lard" -> meat, fat); () where it says anything else.

    >>> kinds_named("bacon"), kinds_named("bacon rolls")
    (('meat',), ())
    """
    words = read_words(text)
    return tuple(
        kind
        for m in find_matches(words, _lexicon())
        if m.start == 0 and m.end == len(words)
        for kind in m.contains
    )


@cache
def _lexicon() -> Lexicon:
    return Lexicon(compiled("kinds", ("claims", "kinds.csv")), None)


@cache
def known_kinds() -> frozenset[str]:
    """Every kind the word list can tell."""
    return frozenset(k for t in _lexicon().every_term() for k in (*t.contains, *t.typical, *t.may))
