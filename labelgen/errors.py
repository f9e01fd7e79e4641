"""The error tree, and the record for a fault found in somebody's kitchen or label.

Faults in labelgen's own data or code are raised. Faults in what a maker wrote are collected as
``Finding`` records and shown together, the most dangerous first.
"""

from __future__ import annotations

from dataclasses import dataclass, field


class LabelError(Exception):
    """Base of every error labelgen raises; never raised itself. The message ends in what to do."""


class RecipeError(LabelError, ValueError):
    """A kitchen file cannot be used as written. ``findings`` holds every fault found."""

    def __init__(self, message: str, findings: tuple[Finding, ...] = ()):
        super().__init__(message)
        self.findings = tuple(findings)


class CompositionError(LabelError, LookupError):
    """A food, nutrient or portion is not in the food-composition data."""


class UnitError(LabelError, ValueError):
    """A quantity cannot be read, or cannot be turned into grams without guessing."""


class RuleError(LabelError, LookupError):
    """A rule pack has no rule for this market, nutrient, amount or date."""


class LayoutError(LabelError, ValueError):
    """A label cannot be laid out legally in the space given."""


class NoRoomError(LayoutError):
    """A panel finds no lawful format for its space. ``least``: (width, height) [pt] of the least space near
    the one given that would do, None when no format may be used at all. ``offers``: what else the law lets a
    maker do.
    """

    def __init__(self, message: str, least: tuple[float, float] | None = None, offers: tuple[str, ...] = ()):
        super().__init__(message)
        self.least = least
        self.offers = tuple(offers)


class ReadBackError(LabelError, ValueError):
    """The finished PDF does not say what was declared. ``findings`` holds every fault found."""

    def __init__(self, message: str, findings: tuple[Finding, ...] = ()):
        super().__init__(message)
        self.findings = tuple(findings)


class FetchError(LabelError, OSError):
    """Food data cannot be had from where it was asked for."""


class LedgerError(LabelError, OSError):
    """The record of what was printed cannot be read or written."""


#: Most dangerous first. ``danger`` can hurt an eater, ``block`` makes a label unlawful or untrue;
#: both stop a label. ``warn`` needs a decision, ``note`` is worth knowing.
SEVERITIES = ("danger", "block", "warn", "note")
#: A finding whose code starts so lets the label be written, yet the pack may not be sold before what it asks
# is done.
NOT_READY = "not-ready"
#: A finding whose code starts so is about what its maker calls unfinished: nothing of it is sold, all else
# goes on.
DRAFT = "draft"


@dataclass(frozen=True, order=True)
class Where:
    """A place in a maker's file: path as shown to the maker, 1-based line and column (0 = whole file)."""

    file: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        if not self.line:
            return self.file
        return f"{self.file}:{self.line}:{self.column}" if self.column else f"{self.file}:{self.line}"


@dataclass(frozen=True)
class Edit:
    """What to type into a maker's file. old: words that stand at a finding's place; "" where ``new`` is a
    key to add to the entry there. new: what is typed. sure: nothing else can be meant.
    """

    old: str
    new: str
    sure: bool = False


@dataclass(frozen=True)
class Finding:
    """One fault or doubt.

    code: short kebab-case name, stable, for machines. severity: one of ``SEVERITIES``. said: what is wrong,
    with the figures. citation: a key of ``reference/citations`` plus a locator, or empty. do: what to type or
    do, or empty where ``said`` tells it too. path: the field it is about,
    ``products.hill-biscuits.claims.0``. data: (name, value) of what fills its sentences. why: more, for who
    asks. keys: the keys that lead to what it is about in the maker's files, section first, such as
    ("ingredients", "flour", "food"); () where it is about no one entry. entry: key of the catalogue. about:
    what ``said`` begins with, before its colon, where that names a thing of the kitchen. edit: what to type,
    where that can be told.
    """

    code: str
    severity: str
    where: Where
    said: str
    citation: str = ""
    do: str = ""
    path: str = ""
    data: tuple[tuple[str, object], ...] = ()
    why: str = ""
    keys: tuple = field(default=(), compare=False)
    entry: str = field(default="", compare=False)
    about: str = field(default="", compare=False)
    edit: Edit | None = field(default=None, compare=False)

    def __post_init__(self) -> None:
        if self.severity not in SEVERITIES:
            raise ValueError(f"severity {self.severity!r} is not one of {', '.join(SEVERITIES)}")

    @property
    def message(self) -> str:
        """What is wrong and what to do, as one text."""
        return f"{self.said}: {self.do}" if self.do else self.said

    @property
    def fault(self) -> str:
        """What is wrong, without the thing it is about."""
        return self.said.removeprefix(f"{self.about}: ")

    @property
    def blocks(self) -> bool:
        return self.severity in ("danger", "block")

    def as_dict(self) -> dict[str, object]:
        return {
            "code": self.code,
            "severity": self.severity,
            "where": str(self.where),
            "path": self.path,
            "message": self.message,
            "do": self.do,
            "why": self.why,
            "data": {name: list(value) if isinstance(value, tuple) else value for name, value in self.data},
            "citation": self.citation,
            "edit": self.edit and {"old": self.edit.old, "new": self.edit.new, "sure": self.edit.sure},
        }


def by_danger(findings) -> list[Finding]:
    """Findings sorted most dangerous first, then by place; exact repeats dropped."""
    unique = dict.fromkeys(findings)
    return sorted(
        unique, key=lambda f: (SEVERITIES.index(f.severity), f.where.file, f.where.line, f.where.column)
    )
