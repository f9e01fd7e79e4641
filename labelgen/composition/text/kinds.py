"""Kinds of ingredient that claims turn on (added sugar, honey, gelatine, palm oil ...), found in names and
lists.

The words are data (``reference/claims/kinds.csv``, ``reference/additives/origins.csv``), matched as allergens
are. An empty result is no proof of absence.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from labelgen import paths
from labelgen.composition.ingredient_records import ResolvedIngredient
from labelgen.composition.text import terms
from labelgen.composition.text.folded_words import SOURCES, fold, read_words
from labelgen.composition.text.matching import find_matches
from labelgen.composition.text.terms import Lexicon, compile_terms, expand

#: Tables of additives: their names, in further languages, and where they come from.
_ADDITIVES = ("additives", "names", "origins")


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
    tables = [("claims", "kinds.csv"), *(("additives", f"{name}.csv") for name in _ADDITIVES)]
    files = (*(paths.reference(*t) for t in tables), Path(__file__), Path(terms.__file__), *SOURCES)
    return Lexicon(paths.made_once("kinds", files, _compiled), None)


def _compiled() -> dict:
    rows = [list(r.values()) for r in paths.read_rows("claims", "kinds.csv")]
    known = {fold(said) for row in rows for said in expand(row[0])}
    added = (row for row in _additives() if _is_number(row[0]) or fold(row[0]) not in known)
    return compile_terms([*rows, *added])


def _is_number(said: str) -> bool:
    """Whether it is an additive's number, with or without its E."""
    return said.removeprefix("E")[:1].isdigit()


def _additives() -> Iterator[list[str]]:
    """Rows for the additives of ``reference/additives/origins.csv``: their numbers with and without the E,
    and their names in every language. What kinds.csv says of a name goes before.
    """
    named: dict[str, list[str]] = {}
    for row in paths.read_rows("additives", "additives.csv"):
        said = (row["name"], row["us_name"], row["ca_name"], row["words"])
        named[row["e_number"]] = [n for names in said for n in names.split("|")]
    for row in paths.read_rows("additives", "names.csv"):
        said = (row[language] for language in ("de", "fr", "es", "it"))
        named.setdefault(row["e_number"], []).extend(n for names in said for n in names.split("|"))
    for row in paths.read_rows("additives", "origins.csv"):
        kinds, number = [row["contains"], "", row["may"]], row["e_number"].removeprefix("E")
        for name in (row["e_number"], *filter(None, named.get(row["e_number"], ()))):
            yield [name, "en", "word", *kinds]
        yield [number, "en", "number", *kinds]
        yield [number, "en", "item", *kinds]


@cache
def known_kinds() -> frozenset[str]:
    """Every kind the word list can tell."""
    return frozenset(k for t in _lexicon().every_term() for k in (*t.contains, *t.typical, *t.may))
