"""The reference amount of a product: the row of the market's table that its category names, or what the
maker read in the authority's own table (``reference_amounts:``).
"""

from __future__ import annotations

import re
from decimal import Decimal
from functools import cache

from labelgen import paths
from labelgen.errors import NOT_READY, Finding
from labelgen.findings import find
from labelgen.law.figure_tables import ReferenceAmount
from labelgen.law.pack import Pack, read_pack
from labelgen.law.registry import markets
from labelgen.nutrients import plain_words
from labelgen.recipe.models import Product

#: The key of a reference amount that the maker gives.
STATED = "stated"


def reference_of(pack: Pack, product: Product) -> ReferenceAmount | None:
    """The reference amount, in g, mL or a household measure; None where the market has none, or none is
    known.
    """
    if not pack.has(ReferenceAmount):
        return None
    stated = product.reference_amounts.get(pack.market)
    if stated is None:
        meant = rows_meant(pack, product.category)
        return meant[0] if len(meant) == 1 else None
    first = pack.entries(ReferenceAmount)[0]
    amount, unit = (stated.grams, "g") if stated.kind == "mass" else (stated.millilitres, "mL")
    return first.replace(
        _key=STATED,
        effective=pack.on,
        mandatory=None,
        until=None,
        locator="",
        note="",
        food=product.name,
        amount=Decimal(str(amount)),
        unit=unit,
        form="",
    )


def category_of(pack: Pack, product: Product, found: list[Finding]) -> ReferenceAmount | None:
    """The reference amount, and what is to be said where there is none: without it no serving is lawful."""
    entry = reference_of(pack, product)
    if entry is not None:
        return entry
    place, likely = place_of(pack, product, "category"), likely_categories(pack, product)
    if not product.category:
        wording = f"{NOT_READY}-serving-category.none"
        found.append(find(wording, product.where, **place, market=pack.market, categories=likely))
        return None
    if several := rows_meant(pack, product.category):
        told = {"category": product.category, "categories": [_explained(e) for e in several]}
        found.append(find("serving-category.several", product.where, **place, **told))
        return None
    # another market's category is not this one's; a word no market has is a slip
    known = any(
        p.has(ReferenceAmount) and rows_meant(p, product.category)
        for p in (read_pack(m.code, pack.on) for m in markets())
    )
    told = {"category": product.category, "categories": likely}
    if known:
        wording = f"{NOT_READY}-serving-category"
        found.append(find(wording, product.where, **place, **told, market=pack.market))
    else:
        found.append(find("serving-category", product.where, **place, **told))
    return None


def rows_meant(pack: Pack, word: str) -> tuple[ReferenceAmount, ...]:
    """The rows that a category may mean: the one of that key in any spelling, or those that an everyday name
    of a food stands for, each amount once; none for a word nobody knows.
    """
    exact = pack.find(ReferenceAmount, word) if word else None
    if exact is not None or not word:
        return (exact,) if exact else ()
    entries = {e.key: e for e in pack.entries(ReferenceAmount)}
    said = _stem(plain_words(word))
    alike = [e for key, e in entries.items() if _stem(plain_words(key)) == said]
    named = alike or [entries[key] for key in _everyday().get(said, ()) if key in entries]
    return tuple({(e.amount, e.unit, e.food): e for e in reversed(named)}.values())[::-1]


@cache
def _everyday() -> dict[str, tuple[str, ...]]:
    """Everyday names of foods -> keys of reference amounts in any market."""
    rows = paths.read_rows("words", "categories.csv")
    return {_stem(name): tuple(row["keys"].split()) for row in rows for name in row["names"].split(";")}


def _explained(entry: ReferenceAmount) -> str:
    return f"{entry.key} ({entry.food}: {entry.amount:f} {entry.unit})"


def place_of(pack: Pack, product: Product, field: str) -> dict[str, str]:
    """What findings on a field that rests on the market's reference amounts have in common."""
    return {
        "path": product.path(field),
        "cites": pack.entries(ReferenceAmount)[0].source,
        "product": product.key,
    }


def likely_categories(pack: Pack, product: Product, most: int = 5) -> list[str]:
    """Reference-amount keys spelt nearly as the category, then those whose foods share words with the
    product's name, else the bakery's and confectioner's.
    """
    import difflib

    said = {
        _stem(w)
        for w in re.findall(
            r"[a-z]+", f"{product.category} {product.name} {product.identity} {product.unit}".lower()
        )
    }
    entries = pack.entries(ReferenceAmount)
    shared = {
        e.key: len(said & {_stem(w) for w in re.findall(r"[a-z]+", f"{e.key} {e.food}".lower())})
        for e in entries
    }
    near = (
        difflib.get_close_matches("_".join(product.category.lower().split()), shared, most)
        if product.category
        else []
    )
    best = list(
        dict.fromkeys((*near, *sorted((k for k, n in shared.items() if n), key=lambda k: -shared[k])))
    )
    return (best or [e.key for e in entries])[:most]


def _stem(word: str) -> str:
    """A word without the ending of its plural.

    >>> _stem("pastries"), _stem("cakes"), _stem("brownies") == _stem("brownie")
    ('pastry', 'cake', True)
    """
    word = word.removesuffix("s")
    return word[:-2] + "y" if word.endswith("ie") and len(word) > 4 else word
