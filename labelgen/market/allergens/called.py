"""What an allergen is called: by the market's table in the label's language, else by a plain word of that
language.

No allergen is left without a name, so that no warning is lost for want of one. The plain words are data
(``reference/allergens/plain_names.csv``).
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from labelgen import paths
from labelgen.law.label_tables import AllergenRule
from labelgen.law.pack import Pack
from labelgen.law.registry import market_named


def language_of(pack: Pack) -> str:
    """The language a pack is worded in, as two letters."""
    return pack.language or market_named(pack.market).language[:2]


def plain_name(code: str, language: str) -> str:
    """An allergen in plain words: ``tree_nut/hazelnut`` is hazelnuts. A kind without a word of its own goes
    by its group, in English with the kind before it.

    >>> plain_name("tree_nut", "de"), plain_name("fish/cod", "fr"), plain_name("fish/cod", "en")
    ('Schalenfrüchte', 'poisson', 'cod (fish)')
    """
    names = _plain_names()
    group, _, kind = code.partition("/")
    if own := names.get(code, {}).get(language):
        return own
    general = names.get(group, {}).get(language) or group.replace("_", " ")
    return (
        f"{kind.replace('_', ' ')} ({general})" if kind and kind != "other" and language == "en" else general
    )


@cache
def _plain_names() -> dict[str, dict[str, str]]:
    return {row.pop("code"): row for row in paths.read_rows("allergens", "plain_names.csv")}


def warned_name(pack: Pack, code: str, entry: AllergenRule | None, by_kind: str) -> str:
    """An allergen as a warning names it. entry: the market's rule for it, if there is one. by_kind: the
    name the market's statement would print, "" where it wants a kind and none is known: then a warning
    names the group.
    """
    language, name = language_of(pack), ""
    if entry is not None and (not pack.language or entry.is_worded(pack.language, "name")):
        name = by_kind or ("" if _names_a_kind(pack, entry) else entry.name)
    name = name or plain_name(code, language)
    return name[:1].upper() + name[1:] if _with_capitals(pack) else name


def _names_a_kind(pack: Pack, entry: AllergenRule) -> bool:
    """Whether the market calls a kind by the same word as this group: a reader could not tell all nuts
    from walnuts.
    """
    return any(
        e.name == entry.name and any("/" in c for c in e.codes)
        for e in pack.entries(AllergenRule)
        if e.key != entry.key
    )


def _with_capitals(pack: Pack) -> bool:
    return next((e.name[:1].isupper() for e in pack.entries(AllergenRule) if e.name), False)


@cache
def groups() -> tuple[str, ...]:
    """Allergen groups that some market lists, in the order they are shown; wheat stands with the cereals
    that hold gluten.
    """
    return tuple(r["group"] for r in paths.read_rows("allergens", "codes.csv") if r["listed"] != "nowhere")


def in_order(codes: Iterable[str]) -> tuple[str, ...]:
    """Codes once each, by group."""
    order = {group: n for n, group in enumerate(groups())}
    return tuple(sorted(dict.fromkeys(codes), key=lambda c: (order.get(c.partition("/")[0], len(order)), c)))
