"""The markets labelgen knows: one folder under ``reference/markets`` each, with a ``market.toml``.

Adding a market is adding a folder: market.toml, its rule tables, and citations for them.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from labelgen import paths
from labelgen.errors import RuleError
from labelgen.market.pack import load_toml


@dataclass(frozen=True)
class Market:
    """code: lower-case folder name. status: ``complete`` or what is still missing, in words.
    language: of the label. basis: ``serving`` or ``100g``, what the panel's figures are per."""

    code: str
    name: str
    status: str
    language: str
    basis: str


@cache
def markets() -> tuple[Market, ...]:
    """Every market found, sorted by code."""
    return tuple(_read(p.parent.name) for p in sorted(paths.reference("markets").glob("*/market.toml")))


@cache
def market_named(code: str) -> Market:
    """One market by code, any case. Raises RuleError naming those there are."""
    wanted = str(code).strip().lower()
    if wanted.isalpha() and paths.reference("markets", wanted, "market.toml").is_file():
        return _read(wanted)
    known = ", ".join(m.code for m in markets())
    raise RuleError(f"market {code!r} is not known; labelgen has {known}: give one of these with --market")


def _read(code: str) -> Market:
    shown = f"reference/markets/{code}/market.toml"
    raw = load_toml(paths.reference("markets", code, "market.toml"), shown)
    names = set(Market.__dataclass_fields__)
    if set(raw) != names:
        raise RuleError(f"{shown}: needs exactly {', '.join(sorted(names))}; it has {', '.join(sorted(raw))}")
    if raw["code"] != code:
        raise RuleError(f"{shown}: code {raw['code']!r} differs from its folder {code!r}")
    return Market(**raw)
