"""What every rule of every table says of itself, and what tables have in common."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from decimal import Decimal
from types import MappingProxyType
from typing import ClassVar, Self

from labelgen.errors import RuleError
from labelgen.law.record import Record, known

#: How surely a rule is known: read in its source, in a report of the source, or from memory.
GRADES = ("read", "read-secondary", "memory")
#: Languages a rule's own words may be given in besides the one it is first written in.
LANGUAGES = ("de", "en", "es", "fr", "it")
_NONE: Mapping[str, object] = MappingProxyType({})


class Entry(Record):
    """One rule for one period."""

    #: The table's name, that of its file.
    table: ClassVar[str] = ""
    _key: str
    #: language -> the fields worded in it.
    _wordings: Mapping[str, Mapping[str, object]] = MappingProxyType({})
    #: The rule's own values as the file has them, to be shown.
    _written: Mapping[str, object] = _NONE
    #: First day in force.
    effective: date
    #: Day by which everybody must comply; before it the older rule may still be used.
    mandatory: date | None = None
    #: Last day in force.
    until: date | None = None
    #: Key of the source, and where in it the rule stands.
    cite: str
    locator: str
    #: One of GRADES.
    grade: str
    #: When somebody last compared the rule with its source.
    reviewed: date
    note: str = ""

    @property
    def key(self) -> str:
        return self._key

    @property
    def written(self) -> Mapping[str, object]:
        """The rule's own values, as its file has them, to be shown."""
        return self._written

    @property
    def source(self) -> str:
        """Citation key and locator, e.g. ``cfr-21-101-9 (c)(2)(i)``."""
        return f"{self.cite} {self.locator}".rstrip()

    @property
    def worded_in(self) -> tuple[str, ...]:
        """The further languages in which the rule words anything."""
        return tuple(self._wordings)

    def worded(self, language: str) -> Self:
        """The rule in a language; what is not worded in it stays as it is."""
        own = self._wordings.get(language)
        return self.replace(**own) if own else self

    def is_worded(self, language: str, field: str) -> bool:
        """Whether the rule words a field in a further language."""
        return field in self._wordings.get(language, _NONE)

    def in_force(self, on: date) -> bool:
        return self.effective <= on and (self.until is None or on <= self.until)


class Worded(Entry):
    """A rule that is a wording, or that tells the maker what it asks."""

    text: str = ""

    @property
    def said(self) -> str:
        """The text, which must be there."""
        if not self.text:
            raise RuleError(f"{self.table}/{self.key} has no text: write it into the table")
        return self.text


class Figured(Worded):
    """A rule that is a figure, a wording, or both."""

    value: Decimal | None = None
    #: Of the value, or the form the rule asks for.
    unit: str = ""

    @property
    def figure(self) -> Decimal:
        """The value, which must be there."""
        return known(self.value, f"{self.table}/{self.key}")


class Band(Record):
    """What is declared in a span of amounts: its limit, and what is declared up to there.

    One limit, or none in the last band; one of ``to``, ``step`` with or without ``figures``, and ``text``.
    """

    below: Decimal | None = None
    at_most: Decimal | None = None
    #: The one figure declared.
    to: Decimal | None = None
    #: The multiple rounded to.
    step: Decimal | None = None
    #: Significant figures kept.
    figures: Decimal | None = None
    #: Words in place of a figure.
    text: str | None = None
    #: What is as lawful as the first.
    or_to: Decimal | None = None
    or_step: Decimal | None = None
    or_text: str | None = None
    #: What stands behind the figure, in place of the rule's own.
    after: str | None = None

    def holds(self, amount: Decimal) -> bool:
        """Whether an amount lies under the limit of the band."""
        return not (
            (self.below is not None and amount >= self.below)
            or (self.at_most is not None and amount > self.at_most)
        )

    @property
    def limit(self) -> Decimal | None:
        return self.at_most if self.below is None else self.below
