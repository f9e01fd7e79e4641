"""The tables of type, lengths and formats: one record a table, each field with its meaning."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal

from labelgen.law.entry import Band, Entry


class TypeSize(Entry):
    """The least size of a part of a panel."""

    table = "type_sizes"
    #: By the kind that the format names.
    sizes: Mapping[str, Decimal]
    unit: str
    #: ``size``, ``x_height`` or ``cap_height``.
    measured: str
    bold: bool


class Length(Entry):
    """A length of a panel."""

    table = "geometry"
    value: Decimal
    unit: str
    #: Whether it is law, or a habit of setting.
    law: bool = False


class LetterHeight(Entry):
    """The least height of letters outside the panel."""

    table = "letter_heights"
    bands: tuple[Band, ...]
    unit: str
    #: What of the letter is meant, in words.
    of: str
    #: ``capitals`` ..., else the x-height.
    measured: str = ""
    #: What the bands are of: ``display_sq_in``, ``longest_mm`` or ``grams``; "" for any package.
    by: str = ""


class Format(Entry):
    """A format of the panel; their order counts."""

    table = "formats"
    title: str
    #: A file in templates/panels/.
    template: str
    #: The kind of ``type_sizes``.
    sizes: str
    #: Which surface of the package below or at_most limits: total, largest or display.
    surface: str = ""
    below: Decimal | None = None
    at_most: Decimal | None = None
    unit: str = ""
    height_below: Decimal | None = None
    height_unit: str = ""
    #: Of the surface it may take [%].
    share: Decimal | None = None
    #: Which columns it sets: "" for the panel's own, ``foods`` ...
    columns: str = ""
    abbreviate: bool = False
    percent_only: tuple[str, ...] = ()
    languages: int | None = None


class Abbreviation(Entry):
    table = "abbreviations"
    text: str
    abbreviation: str


class Offer(Entry):
    """What may stand in place of a panel on a small package."""

    table = "offers"
    text: str
    surface: str = ""
    below: Decimal | None = None
    at_most: Decimal | None = None
    unit: str = ""
