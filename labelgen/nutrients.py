"""The nomenclature: every nutrient key, its unit and definition, in one fixed order.

Keys are INFOODS tagnames where one exists; the table is ``reference/composition/nutrients.csv``.
Composition vectors everywhere in the package follow ``KEYS``.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass

from labelgen import paths
from labelgen.errors import CompositionError


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


def key_of(word: str) -> str:
    """The nutrient key for what a maker typed: a tagname in any case, or a name such as ``saturated fat``.

    >>> key_of("Saturated Fat"), key_of("na")
    ('FASAT', 'NA')
    >>> key_of("glow")
    Traceback (most recent call last):
    ...
    labelgen.errors.CompositionError: 'glow' is not a nutrient labelgen knows; near: ...
    """
    text = " ".join(str(word).replace("_", " ").split()).lower()
    if text in BY_WORD:
        return BY_WORD[text]
    if text in COMPOUNDS:
        return COMPOUNDS[text][0]
    tag = str(word).strip().upper()
    if tag in INDEX:
        return tag
    import difflib

    near = difflib.get_close_matches(text, [*BY_WORD, *(k.lower() for k in KEYS)], n=3, cutoff=0.5)
    raise CompositionError(
        f"{word!r} is not a nutrient labelgen knows; near: {', '.join(near) or 'fat, carbohydrate, sodium'}"
    )
