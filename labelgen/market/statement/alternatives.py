"""Ingredients named as alternatives, "palm and/or rapeseed oil": where a market lets them stand, and where
not.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.law.label_tables import Statement
from labelgen.law.pack import Pack
from labelgen.law.record import known
from labelgen.market.statement.additives import additive_of
from labelgen.market.statement.entries import Part
from labelgen.recipe.models import Product
from labelgen.wordlists import any_of

_EITHER = re.compile(any_of("list.either"), re.IGNORECASE)

_EACH = re.compile(rf",|{_EITHER.pattern}", re.IGNORECASE)


def check_alternatives(
    pack: Pack, parts: Sequence[Part], finished: float, product: Product
) -> tuple[Finding, ...]:
    """Findings on entries that name alternatives the market does not let stand. finished: weight of the
    food [g].
    """
    rule = pack.find(Statement, "alternatives")
    if rule is None:
        return ()
    about = {"path": product.path(), "cites": rule.source}
    return tuple(
        find("alternatives", product.where, **about, product=product.key, name=part.name, law=rule.text)
        for whole in parts
        for part in _every(whole)
        if _EITHER.search(part.name) and not _lawful(rule, part, whole, parts, finished)
    )


def _lawful(rule: Statement, part: Part, whole: Part, parts: Sequence[Part], finished: float) -> bool:
    if rule.values:
        fats = [p for p in parts if _words(p.name) & set(rule.values)]
        others = [p.grams or 0.0 for p in parts if p not in fats]
        return bool(_words(part.name) & set(rule.values)) and sum(p.grams or 0.0 for p in fats) < max(
            others, default=0.0
        )
    if len(_EACH.split(part.name)) > known(rule.most, rule.key):
        return False
    small = 100 * (whole.grams or 0.0) < float(rule.figure) * finished
    return small and not part.hits and not part.function and additive_of(part.name) is None


def _every(part: Part):
    yield part
    for inner in part.parts:
        yield from _every(inner)


def _words(name: str) -> set[str]:
    return set(re.findall(r"[^\W\d_]+", name.lower()))
