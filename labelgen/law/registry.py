"""The markets labelgen knows: one folder each, under ``reference/markets`` or in a folder that the
environment variable ``LABELGEN_MARKETS`` names.

Adding a market is adding a folder: ``market.toml``, its rule tables, and its sources, either under
``reference/citations`` or as ``citations.toml`` in the folder itself. No code knows a market by name.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Mapping
from dataclasses import MISSING, dataclass, field, fields
from functools import cache

from labelgen import paths
from labelgen.errors import RuleError
from labelgen.law.files import load_toml


@dataclass(frozen=True)
class Market:
    """code: lower-case folder name. status: ``complete`` or what is still missing, in words. language: of the
    label.
    also_in: languages every label is printed in as well, such as ``fr``. may_be_in: those a kitchen may
    choose. starts_from: the market whose tables these differ from, or "". cites: that market's sources ->
    the sources here.
    """

    code: str
    name: str
    status: str
    language: str
    also_in: tuple[str, ...] = ()
    may_be_in: tuple[str, ...] = ()
    starts_from: str = ""
    cites: Mapping[str, str] = field(default_factory=dict, hash=False)


def market_codes() -> tuple[str, ...]:
    """The codes of every market found, sorted; nothing of them is read."""
    return tuple(sorted({p.parent.name for root in paths.market_roots() for p in root.glob("*/market.toml")}))


@cache
def markets() -> tuple[Market, ...]:
    """Every market found, sorted by code."""
    return tuple(_read(code) for code in market_codes())


@cache
def code_named(text: str) -> str:
    """The code of the market that a code, a name or a country in it means; any other text in small letters.

    >>> code_named("USA"), code_named("United Kingdom"), code_named("Österreich"), code_named("Mars")
    ('us', 'uk', 'eu', 'mars')
    """
    code = str(text).strip().lower()
    return code if code in market_codes() else _places().get(_letters(code), code)


@cache
def _places() -> dict[str, str]:
    """What markets and the countries in them are called, letters only -> code."""
    known = {_letters(m.name): m.code for m in markets()}
    for row in paths.read_rows("words", "places.csv"):
        known |= {_letters(name): row["code"] for name in row["names"].split(";")}
    return known


def _letters(name: str) -> str:
    """A name without case, accents, spaces and points."""
    return "".join(c for c in unicodedata.normalize("NFKD", name.casefold()) if c.isalnum())


@cache
def market_named(code: str) -> Market:
    """One market by its code or name. Raises RuleError naming those there are."""
    wanted = code_named(code)
    if wanted.isalpha() and paths.market(wanted, "market.toml").is_file():
        return _read(wanted)
    known = ", ".join(m.code for m in markets())
    raise RuleError(f"market {code!r} is not known; labelgen has {known}: give one of these with --market")


@cache
def starts_from(code: str) -> tuple[str, Mapping[str, str]]:
    """(the market a market's tables differ from, its sources renamed); ("", {}) for a market of its own."""
    if not paths.market(code, "market.toml").is_file():
        return "", {}
    market = _read(code)
    return market.starts_from, market.cites


def _read(code: str) -> Market:
    shown = f"reference/markets/{code}/market.toml"
    raw = load_toml(paths.market(code, "market.toml"), shown)
    known = {f.name: f for f in fields(Market)}
    needed = {n for n, f in known.items() if f.default is MISSING and f.default_factory is MISSING}
    if set(raw) - set(known) or needed - set(raw):
        raise RuleError(
            f"{shown}: needs {', '.join(sorted(needed))} and may have"
            f" {', '.join(sorted(set(known) - needed))}; it has {', '.join(sorted(raw))}"
        )
    if raw["code"] != code:
        raise RuleError(f"{shown}: code {raw['code']!r} differs from its folder {code!r}")
    return Market(**raw | {"also_in": tuple(raw.get("also_in", ()))})
