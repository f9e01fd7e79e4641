"""The nomenclature: every nutrient key, its unit and definition, in one fixed order.

Keys are INFOODS tagnames where one exists; the table is ``reference/composition/nutrients.csv``.
Composition vectors everywhere in the package follow ``KEYS``.
"""

from __future__ import annotations

import csv
import re
import unicodedata
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from labelgen import paths
from labelgen.errors import CompositionError
from labelgen.tomlfile import read_toml


@dataclass(frozen=True)
class Nutrient:
    """key: tagname. unit: kcal, g, mg or ug, always per stated amount of food. words: what a maker may type.
    compound: "salt 2.5": it may also be stated as salt, of which 2.5 g hold 1 g of it."""

    key: str
    name: str
    unit: str
    words: tuple[str, ...]
    tag: str
    note: str
    compound: str


def _read() -> tuple[Nutrient, ...]:
    with open(paths.reference("composition", "nutrients.csv"), encoding="utf-8", newline="") as f:
        return tuple(
            Nutrient(
                r["key"],
                r["name"],
                r["unit"],
                tuple(r["words"].split("|")),
                r["tag"],
                r["note"],
                r["compound"],
            )
            for r in csv.DictReader(f)
        )


NUTRIENTS = _read()
KEYS = tuple(n.key for n in NUTRIENTS)
INDEX = {key: i for i, key in enumerate(KEYS)}
UNITS = {n.key: n.unit for n in NUTRIENTS}
NAMES = {n.key: n.name for n in NUTRIENTS}
BY_WORD = {word: n.key for n in NUTRIENTS for word in n.words}
#: A compound that a nutrient may be stated as -> (the nutrient's key, g of the compound that hold 1 g of it).
COMPOUNDS = {
    word: (n.key, float(times)) for n in NUTRIENTS if n.compound for word, times in [n.compound.split()]
}

#: The energy of a food; a market's rows say in which units.
ENERGY = "ENERC"
#: The single polyols; POLYL is their sum (or a total whose parts are not known).
POLYOLS = (
    "ERYTHRITOL",
    "XYLITOL",
    "MALTITOL",
    "SORBITOL",
    "MANNITOL",
    "ISOMALT",
    "LACTITOL",
    "HSH",
    "GLYCEROL",
)


#: Letters that have no plain one in Unicode's own tables.
_LETTERS = {ord("ß"): "ss", ord("œ"): "oe", ord("æ"): "ae"}
_UNIT = re.compile(r"\((?:kj|k?cal|m?c?g|ug|µg|μg|%)\)")


def plain_words(text: str) -> str:
    """A text in small letters without accents and marks, to be compared by: "Fat, total (g)" -> "fat total".

    >>> plain_words("– davon gesättigte Fettsäuren"), plain_words("Glucides/carbohydrate")
    ('davon gesattigte fettsauren', 'glucides/carbohydrate')
    """
    small = _UNIT.sub(" ", text.casefold()).translate(_LETTERS)
    letters = "".join(c for c in unicodedata.normalize("NFKD", small) if not unicodedata.combining(c))
    return " ".join(re.sub(r"[^\w/%<]|_", " ", letters).split())


@cache
def printed_words() -> Mapping[str, tuple[str, ...]]:
    """What panels print besides nutrients, by kind, the longest first: ``reference/words/printed.toml``."""
    table = read_toml(paths.reference("words", "printed.toml"))
    older = {f"older.{code}": said for code, said in table.pop("older").items()}
    split = {kind: [" ".join(w.split()) for w in said.split(";")] for kind, said in (table | older).items()}
    return {kind: tuple(sorted(said, key=lambda w: (-len(w), w))) for kind, said in split.items()}


def plain_name(word: str) -> str:
    """A nutrient's name to be compared by, without what says that it is a part: "- of which sugars"."""
    said = plain_words(word)
    part = next((p for p in printed_words()["part"] if said.startswith(f"{p} ")), "")
    return said[len(part) :].strip()


@cache
def _printed_names() -> Mapping[str, str]:
    """Every name of a nutrient, or of a compound one is stated as, to be compared by -> key or compound."""
    known: dict[str, str] = {}
    for row in paths.read_rows("words", "nutrients.csv"):
        known |= {plain_name(name): row["key"] for name in row["names"].split(";")}
    known |= {plain_name(compound): compound for compound in COMPOUNDS}
    return known | {plain_name(word): key for word, key in BY_WORD.items()}


def names_of_key(key: str) -> tuple[str, ...]:
    """Every name of a nutrient, to be looked for in a text made plain by ``plain_words``."""
    return tuple(name.rpartition("/")[2] for name, found in _printed_names().items() if found == key)


def compound_of(word: str) -> str:
    """The compound that a name states a nutrient as, such as ``salt``; "" for any other name.

    >>> compound_of("Salz"), compound_of("of which sodium")
    ('salt', '')
    """
    found = _printed_names().get(plain_name(word), "")
    return found if found in COMPOUNDS else ""


def key_of(word: str) -> str:
    """The nutrient key for what a maker typed: a tagname in any case, or a name such as ``saturated fat`` in
    any label language, or in several with a slash between them.

    >>> key_of("Saturated Fat"), key_of("na"), key_of("davon gesättigte Fettsäuren"), key_of("fat / lipides")
    ('FASAT', 'NA', 'FASAT', 'FAT')
    >>> key_of("glow")
    Traceback (most recent call last):
    ...
    labelgen.errors.CompositionError: 'glow' is not a nutrient labelgen knows; near: ...
    """
    text = " ".join(str(word).replace("_", " ").split()).lower()
    if text in BY_WORD:
        return BY_WORD[text]
    tag = str(word).strip().upper()
    if tag in INDEX:
        return tag
    names = _printed_names()
    found = {names.get(plain_name(str(word)))} - {None} or {names.get(plain_name(w)) for w in text.split("/")}
    if len(found) == 1 and (key := found.pop()):
        return COMPOUNDS[key][0] if key in COMPOUNDS else key
    import difflib

    near = difflib.get_close_matches(text, [*BY_WORD, *(k.lower() for k in KEYS)], n=3, cutoff=0.5)
    raise CompositionError(
        f"{word!r} is not a nutrient labelgen knows; near: {', '.join(near) or 'fat, carbohydrate, sodium'}"
    )
