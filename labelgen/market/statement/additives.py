"""Additives by any of their names: the number, the specific name of a market, and the usual function in
baking.

The tables are in ``reference/additives/``: additives.csv, and names.csv and classes.csv for the label
languages of the European Union. A name that is not in it is no proof that something is no additive.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import cache, lru_cache

from labelgen import paths
from labelgen.composition.text.classes import CLASS_OF
from labelgen.composition.text.derived import joins
from labelgen.law.label_tables import AdditiveClass
from labelgen.law.pack import Pack

#: Languages that names.csv and classes.csv have columns for.
LANGUAGES = ("de", "fr", "es", "it")


@dataclass(frozen=True)
class Additive:
    """number: such as E322. name, us_name, ca_name: as the European Union, the United States and Canada
    call it. function: the usual function class, or "" where there is none. source: words written before
    the name, such as "sunflower". origin: words behind it, such as "from soy".
    """

    number: str
    name: str
    us_name: str
    ca_name: str
    function: str
    source: str = ""
    origin: str = ""

    @property
    def code(self) -> str:
        """The number without its letter, as the Codex, Australia and New Zealand write it."""
        return self.number.removeprefix("E")

    def named(self, column: str) -> str:
        """The name of a column (``name``, ``us_name``, ``ca_name``, ``number``) with its source before it
        or its origin behind.
        """
        return " ".join(x for x in (self.source, getattr(self, column), self.origin) if x)


def additive_of(words: str) -> Additive | None:
    """The additive that a name or number means, or None. Words before a known name are kept as its source,
    words that join it to what it comes from as its origin.

    >>> additive_of("baking soda").name, additive_of("sunflower lecithin").named("name"), additive_of("flour")
    ('sodium carbonates', 'sunflower lecithins', None)
    """
    known, said = _by_word(), words.split()
    tokens = _plain(words).split()
    for start in range(len(tokens)):
        row = known.get(" ".join(tokens[start:]))
        if row and not (start and joins(tokens[start - 1])):
            return Additive(
                row["e_number"],
                row["name"],
                row["us_name"],
                row["ca_name"] or row["us_name"] or row["name"],
                row["class"],
                " ".join(said[:start]),
            )
    at = (
        next((n for n, token in enumerate(tokens) if n and joins(token)), None)
        if len(tokens) == len(said)
        else None
    )
    head = additive_of(" ".join(said[:at])) if at else None
    return head and replace(head, origin=" ".join(said[at:]))


@lru_cache(maxsize=4000)
def names_of(words: str) -> tuple[str, ...]:
    """Every name and the number of the additive that a name means, in lower case; () where it means none.

    >>> "e965" in names_of("maltitol"), names_of("flour")
    (True, ())
    """
    known = additive_of(words)
    return tuple(word for word, row in _by_word().items() if row["e_number"] == known.number) if known else ()


def additive_name(words: str, language: str) -> str:
    """The specific name in a language of the additive that words mean; "" where they say more than it, or
    it has none.
    """
    known = additive_of(words)
    names = (
        _names().get(known.number, {}).get(language, "")
        if known and not (known.source or known.origin)
        else ""
    )
    return names.partition("|")[0]


def class_name(function: str, language: str, several: bool = False) -> str:
    """A function class in a language, or ""."""
    return (
        _classes().get(function, {}).get(f"{language}_plural" if several else language, "").partition("|")[0]
    )


def opens_with_class(words: str, language: str) -> bool:
    """Whether words are, or begin with, a function class in the language."""
    said = f"{_plain(words)} "
    called = (
        w
        for row in _classes().values()
        if row.get(language)
        for w in (*row[language].split("|"), row[f"{language}_plural"])
    )
    return any(said.startswith(f"{_plain(w)} ") for w in called)


def without_other_classes(statement: str, function: str) -> str:
    """A printed statement without the additives that it names under another function class, such as
    "humectant (sorbitols)".
    """
    return _other_classes(function).sub("", statement)


@cache
def _other_classes(function: str) -> re.Pattern:
    words = {c + s for c in CLASS_OF.values() if c != function for s in ("", "s")}
    for name, row in _classes().items():
        if name != function:
            words |= {
                w
                for column, said in row.items()
                if column.partition("_")[0] in LANGUAGES
                for w in said.split("|")
                if w
            }
    called = "|".join(map(re.escape, sorted(words, key=len, reverse=True)))
    return re.compile(rf"(?<!\w)(?:{called})\s*(?:\([^()]*\)|:[^,;()]*)", re.IGNORECASE)


def function_words(pack: Pack, function: str, several: bool) -> str:
    """A function class as the market words it, in the plural for several additives."""
    if said := class_name(function, pack.language, several):
        return said
    entry = pack.find(AdditiveClass, function) if pack.has(AdditiveClass) else None
    if entry is None:
        return f"{function}s" if several and not function.endswith("s") else function
    return (entry.plural or entry.text) if several else entry.text


@cache
def _names() -> dict[str, dict[str, str]]:
    return {row["e_number"]: row for row in paths.read_rows("additives", "names.csv")}


@cache
def _classes() -> dict[str, dict[str, str]]:
    return {row["class"]: row for row in paths.read_rows("additives", "classes.csv")}


@cache
def _by_word() -> dict[str, dict[str, str]]:
    rows = paths.read_rows("additives", "additives.csv")
    known: dict[str, dict[str, str]] = {}
    for row in rows:
        for word in (row["name"], row["us_name"], row["e_number"], *row["words"].split("|")):
            if word:
                known.setdefault(_plain(word), row)
    for row in rows:  # in the label languages, after every name of the first
        for names in (_names().get(row["e_number"], {}).get(language, "") for language in LANGUAGES):
            for word in filter(None, names.split("|")):
                known.setdefault(_plain(word), row)
    assert all(row["class"] in (*CLASS_OF.values(), "") for row in rows)
    return known


def _plain(text: str) -> str:
    """In small letters with single spaces; "E 466" as "e466"."""
    return re.sub(r"\be (?=\d{3,4}[a-h]?$)", "e", " ".join(text.lower().replace("’", "'").split()))
