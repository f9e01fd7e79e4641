"""Where a rule comes from: the entries of a market's tables by any name, and the sources they cite."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from labelgen import paths
from labelgen.law.entry import GRADES, Entry
from labelgen.law.pack import Pack, read_table
from labelgen.law.registry import markets
from labelgen.law.tables import TABLES
from labelgen.tomlfile import read_toml


@dataclass(frozen=True)
class Source:
    """What rules cite: title, issuer, year and address of the text, and what of it was read."""

    key: str
    title: str
    issuer: str = ""
    year: int = 0
    url: str = ""
    note: str = ""


@cache
def sources() -> dict[str, Source]:
    """Citation key -> source, of labelgen's own list and of every market's ``citations.toml``."""
    files = [
        *sorted(paths.reference("citations").glob("*.toml")),
        *(paths.market(m.code, "citations.toml") for m in markets()),
    ]
    known = {}
    for path in files:
        if path.is_file():
            for key, told in read_toml(path).items():
                known[key] = Source(
                    key, **{k: v for k, v in told.items() if k in Source.__dataclass_fields__}
                )
    return known


#: How the code of a finding begins -> the table whose rule is its ending: ``asked-flour`` is ``asked/flour``.
_OF_FINDINGS = {"asked_": "asked", "exemption_": "exemptions", "not_allowed_": "allowed"}


def find_rules(pack: Pack, name: str) -> list[Entry]:
    """The rules of a market, of every period, that a name means: a key (``salt``), a table and a key
    (``rounding/salt``), the code of a finding made from one (``asked-flour``), a citation key with or
    without its locator, or a table. Those in force on the pack's date stand first.
    """
    wanted = _plain(name)
    table, _, key = wanted.rpartition("/")
    table, key = next(
        ((t, wanted.removeprefix(p)) for p, t in _OF_FINDINGS.items() if wanted.startswith(p)), (table, key)
    )
    every = [e for t in TABLES.values() if pack.has(t) for e in read_table(pack.market, t)]
    found = [
        e
        for e in every
        if (e.table == table and _plain(e.key) == key)
        or wanted in (_plain(e.key), _plain(e.cite), _plain(e.source), e.table)
    ]
    return sorted(found, key=lambda e: not e.in_force(pack.on))


def count_grades(pack: Pack, by_table: bool = False) -> dict[str, dict[str, int]]:
    """Rules in force on the pack's date by grade, under "" for the market as a whole and, where asked, under
    each table.
    """
    every: dict[str, dict[str, int]] = {"": dict.fromkeys(GRADES, 0)}
    for table in (t for t in TABLES.values() if pack.has(t)):
        for entry in read_table(pack.market, table):
            if entry.in_force(pack.on):
                for name in ("", table.table) if by_table else ("",):
                    every.setdefault(name, dict.fromkeys(GRADES, 0))[entry.grade] += 1
    return every


def near_names(pack: Pack, name: str) -> list[str]:
    """Keys and tables of a market that look like a name no rule has."""
    import difflib

    known: Sequence[str] = sorted(
        {
            x
            for t in TABLES.values()
            if pack.has(t)
            for e in read_table(pack.market, t)
            for x in (e.key, e.table, e.cite)
        }
    )
    return difflib.get_close_matches(_plain(name), known)


def _plain(name: str) -> str:
    return "_".join(name.strip().lower().replace("-", "_").split())
