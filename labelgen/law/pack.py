"""Rule packs: the law of one market as dated, cited tables under ``reference/markets/<code>/``.

A pack is a market on a date. Each table is one TOML file, read only when asked for::

    [all]                        # what every entry below shares
    effective = 2016-07-26       # first day in force
    mandatory = 2021-01-01       # day by which everybody must comply; before it the older rule may still be
    used cite = "cfr-21-101-9"        # a key of reference/citations/ reviewed = 2026-11-25        # when
    somebody last compared the entry with its source [[rule]] key = "footnote"             # or keys = [...]
    for several that share one rule locator = "(d)(9)"           # where in the source grade = "read"
    # read, read-secondary (a report of the text) or memory

An entry may override anything in ``[all]`` and may end: ``until`` is its last day in force. Unknown
keys, missing sources and overlapping periods are refused when the file is read. Wording in a further language
stands beside the first, ``fr = {label = "Lipides"}``: a pack read in that language holds it instead.

A market that starts from another one (``starts_from`` in its ``market.toml``) has that market's tables and
writes only its
differences: an entry takes over its key from its own first day, and ``[[without]]`` (key, cite, locator,
grade, reviewed) takes one out.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date, timedelta
from decimal import Decimal
from functools import cache
from pathlib import Path
from types import MappingProxyType
from typing import Any, TypeVar, cast

from labelgen import paths
from labelgen.errors import RuleError
from labelgen.law.entry import GRADES, LANGUAGES, Entry, Figured, Worded
from labelgen.law.files import load_toml
from labelgen.law.record import read_fields
from labelgen.law.registry import market_named, starts_from
from labelgen.law.tables import TABLES

E = TypeVar("E", bound=Entry)
#: What a band may say: its limit, and what is declared inside it.
_LIMITS, _GIVES, _BESIDE = (
    {"below", "at_most"},
    {"to", "step", "figures", "text"},
    {"or_to", "or_step", "or_text", "after"},
)
_DATED = tuple(Entry.fields)


@dataclass(frozen=True)
class Pack:
    """The rules of one market on one date. Tables are read when first asked for and kept.

    language: of the wording; "" is the one every entry is first written in."""

    market: str
    on: date
    language: str = ""

    def entries(self, table: type[E]) -> tuple[E, ...]:
        """Every rule of a table in force on the date, in the order of the file. Raises RuleError if there
        is none.
        """
        found = _in_force(self.market, table.table, self.on, self.language)[0]
        if not found:
            first = min((e.effective for e in read_table(self.market, table)), default="never")
            raise RuleError(
                f"{self.market}: labelgen does not hold the law on {table.table.replace('_', ' ')} as it was"
                f" on {self.on}, only from {first} on: give a later date with --on, or ask your food"
                " authority for the law of that day"
            )
        return cast("tuple[E, ...]", found)

    def entry(self, table: type[E], key: str) -> E:
        """One rule by key. Raises RuleError when there is none on the date."""
        found = self.find(table, key)
        if found is None:
            raise RuleError(self._no_rule(table, key))
        return found

    def find(self, table: type[E], key: str) -> E | None:
        """One rule by key, or None."""
        return cast("E | None", _in_force(self.market, table.table, self.on, self.language)[1].get(key))

    def text(self, table: type[Worded], key: str) -> str:
        """What a rule says. Raises RuleError when it is not there or says nothing."""
        return self.entry(table, key).said

    def value(self, table: type[Figured], key: str) -> Decimal:
        """The figure of a rule. Raises RuleError when it is not there or has none."""
        return self.entry(table, key).figure

    def has(self, table: type[Entry]) -> bool:
        """Whether the market has this table at all."""
        return bool(_files(self.market, table.table))

    def _no_rule(self, table: type[Entry], key: str) -> str:
        every = [e for e in read_table(self.market, table) if e.key == key]
        if every:
            spans = ", ".join(f"{e.effective} to {e.until or 'today'}" for e in every)
            return (
                f"{self.market}: {table.table} has no rule for {key!r} on {self.on}; it has one for {spans}: "
                "give a date inside that with --on: the law of other days is not held here"
            )
        import difflib

        near = difflib.get_close_matches(key, [e.key for e in self.entries(table)], n=3, cutoff=0.5)
        hint = f"; near: {', '.join(near)}" if near else ""
        return (
            f"{self.market}: {table.table} has no rule named {key!r} on {self.on}{hint}; see"
            f" {_shown(self.market, table.table)}"
        )


def read_pack(market: str, on: date) -> Pack:
    """The pack of a market (code such as ``us``) on a date. Raises RuleError for an unknown market."""
    return Pack(market_named(market).code, on)


def read_table(market: str, table: type[E]) -> tuple[E, ...]:
    """Every rule of one table, of all periods, checked: the market's own, over those of the market it
    starts from. Raises RuleError naming the file and the rule.
    """
    return cast("tuple[E, ...]", _table(market, table.table))


def forget() -> None:
    """Read every table again when it is next asked for."""
    _table.cache_clear()
    _in_force.cache_clear()


@cache
def _in_force(market: str, table: str, on: date, language: str) -> tuple[tuple[Entry, ...], dict[str, Entry]]:
    entries = tuple(e.worded(language) for e in _table(market, table) if e.in_force(on))
    return entries, {e.key: e for e in entries}


@cache
def _table(market: str, table: str) -> tuple[Entry, ...]:
    base, cites = starts_from(market)
    if not base:
        return _read_file(market, TABLES[table])[0]
    inherited = (
        [e.replace(cite=cites.get(e.cite, e.cite)) for e in _table(base, table)]
        if _files(base, table)
        else []
    )
    if inherited and not _path(market, table).is_file():
        return tuple(inherited)
    own, without = _read_file(market, TABLES[table])
    known = {e.key for e in inherited}
    if strange := sorted(without - known):
        raise RuleError(
            f"{_shown(market, table)}: {', '.join(strange)} cannot be taken out: {base!r} has no such rule"
        )
    return _differing([e for e in inherited if e.key not in without], own)


def _differing(inherited: list[Entry], own: tuple[Entry, ...]) -> tuple[Entry, ...]:
    """Own entries in place of the inherited ones of their key, each from its first day; new keys stand
    last.
    """
    first = {e.key: min(o.effective for o in own if o.key == e.key) for e in own}
    merged: list[Entry] = []
    placed: set[str] = set()
    for entry in inherited:
        start = first.get(entry.key)
        if start is None or entry.effective < start:
            last = min(entry.until or date.max, start - timedelta(days=1)) if start else entry.until
            merged.append(entry.replace(until=last))
        if start is not None and entry.key not in placed:
            merged += [e for e in own if e.key == entry.key]
            placed.add(entry.key)
    return (*merged, *(e for e in own if e.key not in placed))


def _read_file(market: str, table: type[Entry]) -> tuple[tuple[Entry, ...], set[str]]:
    """(rules of one file, keys it takes out of the market it starts from)."""
    shown = _shown(market, table.table)
    raw = load_toml(_path(market, table.table), shown)
    extra = set(raw) - {"all", "rule", "without"}
    if extra:
        raise RuleError(
            f"{shown}: unknown {', '.join(sorted(extra))!r}; a table holds [all], [[rule]] and [[without]]"
            " only"
        )
    shared = raw.get("all", {})
    entries = []
    for number, given in enumerate(raw.get("rule", []), 1):
        merged = {**shared, **given}
        keys = merged.pop("keys", None) or [merged.pop("key", "")]
        merged.pop("key", None)
        if not all(isinstance(k, str) and k for k in keys):
            raise RuleError(f'{shown}: rule {number} has no key; add key = "name"')
        entries += _checked(table, keys, merged, f"{shown}: {keys[0]}")
    _refuse_overlaps_and_gaps(entries, shown)
    for given in raw.get("without", []):
        if missing := {"key", "cite", "locator", "grade", "reviewed"} - {*given, *shared}:
            raise RuleError(
                f"{shown}: [[without]] {given.get('key', '')}: {', '.join(sorted(missing))} missing"
            )
    return tuple(entries), {given["key"] for given in raw.get("without", [])}


def _checked(table: type[Entry], keys: list[str], given: dict[str, Any], at: str) -> list[Entry]:
    """The rules of one entry of a file, one for each key."""
    own = {n: v for n, v in given.items() if n not in LANGUAGES}
    bands = given.get("bands")
    if isinstance(bands, list) and all(isinstance(b, dict) for b in bands):
        _check_bands(bands, at)
    fields = read_fields(table, own, at)
    wordings = {}
    for language in (n for n in given if n in LANGUAGES):
        if not isinstance(given[language], dict):
            raise RuleError(f"{at}: {language} = {given[language]!r} has the wrong type")
        if strange := sorted(set(given[language]) - (set(table.fields) - set(_DATED))):
            raise RuleError(f"{at}: {language} words {', '.join(strange)}, which this table does not have")
        wordings[language] = read_fields(table, given[language], f"{at}: {language}")
    if missing := sorted(table.required - set(own)):
        raise RuleError(f"{at}: {', '.join(missing)} missing; every rule is dated, cited and graded")
    if given["grade"] not in GRADES:
        raise RuleError(f"{at}: grade {given['grade']!r} is not one of {', '.join(GRADES)}")
    dates = [given["effective"], given.get("mandatory", given["effective"]), given.get("until", date.max)]
    if dates != sorted(dates):
        raise RuleError(f"{at}: effective, mandatory and until are not in that order")
    written = MappingProxyType({n: _exact(v) for n, v in given.items() if n not in _DATED})
    return [table(**fields, _key=key, _wordings=wordings, _written=written) for key in keys]


def _check_bands(bands: list[dict[str, Any]], at: str) -> None:
    """Bands rise, say what is declared, and hold nothing else; only the last may be without a limit."""
    last = (Decimal(-1), 0)
    for number, band in enumerate(bands, 1):
        limits, gives = set(band) & _LIMITS, set(band) & _GIVES
        if (
            set(band) - _LIMITS - _GIVES - _BESIDE
            or len(limits) > 1
            or not gives
            or (gives != {"step", "figures"} and len(gives) > 1)
        ):
            raise RuleError(
                f"{at}: band {number} {band!r} must hold one of below, at_most and one of to, step,"
                " figures, text"
            )
        if not limits and number < len(bands):
            raise RuleError(
                f"{at}: band {number} has no limit, so the bands after it are never reached; give it one"
            )
        for name in limits:
            here = (Decimal(band[name]), int(name == "at_most"))
            if here <= last:
                raise RuleError(
                    f"{at}: band {number} does not lie above the band before it; put bands in rising order"
                )
            last = here


def _refuse_overlaps_and_gaps(entries: list[Entry], shown: str) -> None:
    """From a rule's first day on there is exactly one of its key, until the last one ends."""
    last: dict[str, Entry] = {}
    for entry in sorted(entries, key=lambda e: (e.key, e.effective)):
        before = last.get(entry.key)
        if before and (before.until is None or before.until >= entry.effective):
            raise RuleError(
                f"{shown}: {entry.key} has two rules in force on {entry.effective}; end the one of"
                f" {before.effective} with until"
            )
        if before and before.until and before.until < entry.effective - timedelta(days=1):
            raise RuleError(
                f"{shown}: {entry.key} has no rule between {before.until} and {entry.effective}: let the"
                f" one of {before.effective} end the day before"
            )
        last[entry.key] = entry


def _exact(value: object) -> object:
    """Whole numbers as Decimal too, all the way down; booleans and texts unchanged."""
    if isinstance(value, bool):
        return value
    if isinstance(value, int):
        return Decimal(value)
    if isinstance(value, list):
        return tuple(_exact(v) for v in value)
    if isinstance(value, dict):
        return MappingProxyType({k: _exact(v) for k, v in value.items()})
    return value


def _path(market: str, table: str) -> Path:
    return paths.market(market, f"{table}.toml")


def _files(market: str, table: str) -> tuple[Path, ...]:
    """The files a table is made of: the market's own, then those of the markets it starts from."""
    own = _path(market, table)
    base, _ = starts_from(market)
    return (*((own,) if own.is_file() else ()), *(_files(base, table) if base else ()))


def _shown(market: str, table: str) -> str:
    return f"reference/markets/{market}/{table}.toml"
