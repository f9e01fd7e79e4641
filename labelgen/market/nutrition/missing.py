"""Rows that rest on missing figures: which cannot be printed, which print the same whatever the rest
holds, and what to add.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Sequence

from labelgen.composition.bounds import BOUNDED
from labelgen.composition.dataset import open_dataset
from labelgen.composition.ingredient_records import ResolvedIngredient
from labelgen.composition.search.food_search import search
from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.law.figure_tables import Nutrient
from labelgen.market.declaration_records import Column, Row
from labelgen.nutrients import ENERGY, NUTRIENTS
from labelgen.recipe.models import Product

#: A figure known for this fraction of the mass is known for all of it: the rest is binary dust.
_KNOWN = 1 - 1e-9
#: Foods of the table that are offered for a short packet.
_OFFERED = 2
_TYPED = {n.key: n.words[0] or n.key for n in NUTRIENTS}


def stands(row: Row) -> bool:
    """Whether nothing that is missing could change what the row prints."""
    return row.robust or row.covered >= _KNOWN


def check_missing(
    entries: Sequence[Nutrient],
    column: Column,
    needed: Sequence[bool],
    product: Product,
    profile: NutrientProfile,
) -> list[Finding]:
    """One finding for the figures that stop the panel, one for voluntary rows left out, one for gaps that
    change nothing.
    needed: of each entry, whether its row must stand.
    """
    doubtful = [
        (e, r, n) for e, r, n in zip(entries, column.rows, needed) if r.covered < _KNOWN and r.tag != ENERGY
    ]
    stopped = [(e, r) for e, r, n in doubtful if not r.robust and n]
    left_out = [(e, r) for e, r, n in doubtful if not r.robust and not n]
    settled = [(e, r) for e, r, n in doubtful if r.robust]
    per = "per serving" if column.per == "serving" else "per 100 g"
    found = []
    for wording, rows in (("figure-missing.stops", stopped), ("figure-missing.left-out", left_out)):
        if rows:
            told = _gathered(
                (f"known for {_share(r.covered)} of the weight, {_bounds(r)}", _name(r)) for _, r in rows
            )
            found.append(
                find(
                    wording,
                    product.where,
                    **_of(product, rows),
                    per=per,
                    figures=told,
                    lacking=_lacking(rows, profile),
                    foods=_foods_like(rows, profile) if rows is stopped else "",
                )
            )
    if settled:
        told = ", ".join(
            f"{_name(r)} is known for {_share(r.covered)} of the weight and prints as {r.declared}"
            for _, r in settled
        )
        found.append(
            find(
                "figure-missing.settled",
                product.where,
                **_of(product, settled),
                per=per,
                figures=told,
                lacking=_lacking(settled, profile),
            )
        )
    return found


def _of(product: Product, rows: Sequence[tuple[Nutrient, Row]]) -> dict[str, str]:
    return {"path": product.path(), "cites": rows[0][0].source, "product": product.key}


def _lacking(rows: Sequence[tuple[Nutrient, Row]], profile: NutrientProfile) -> str:
    """What is missing, by ingredient, in the words a specification uses: "red-gel (cholesterol, sodium);
    bran (iron)".
    """
    missing: dict[str, dict[str, None]] = {}
    for ingredient, tag in _gaps(rows, profile):
        missing.setdefault(ingredient.name, {})[_TYPED[tag]] = None
    return "; ".join(f"{name} ({', '.join(words)})" for name, words in sorted(missing.items()))


def _gaps(
    rows: Sequence[tuple[Nutrient, Row]], profile: NutrientProfile
) -> Iterator[tuple[ResolvedIngredient, str]]:
    """Ingredients with the keys of the rows' figures that are not known of them."""
    for entry, row in rows:
        for tag in (row.tag, *entry.plus, *(t for t in entry.less if t in BOUNDED)):
            for line in profile.ingoing:
                if line.amounts.coverage(tag) < _KNOWN:
                    yield line.ingredient, tag


def _foods_like(rows: Sequence[tuple[Nutrient, Row]], profile: NutrientProfile) -> str:
    """What to type where a food of the table is what a short packet holds, the likeliest first; "" where
    each ingredient that lacks figures rests on a food already, or none is like it.
    """
    short = {i.name: i for i, _ in _gaps(rows, profile) if not i.food_id}
    told = []
    for name, ingredient in sorted(short.items()):
        hits = [h for h in search(open_dataset(), ingredient.print_name, _OFFERED) if not h.note]
        if hits:
            told.append(f"{name}: " + " or ".join(f"'food: {h.id}' ({h.name})" for h in hits))
    return f", or beside its panel the food of the table that it is: {'; '.join(told)}" if told else ""


def _gathered(said: Iterable[tuple[str, str]]) -> str:
    """Rows of which the same is said, together: "Iron, Calcium (known for 98 % of the weight, no upper
    bound)".
    """
    names: dict[str, list[str]] = {}
    for text, name in said:
        names.setdefault(text, []).append(name)
    return "; ".join(f"{', '.join(of)} ({text})" for text, of in names.items())


def _name(row: Row) -> str:
    return row.label.replace("{amount} ", "")


def _bounds(row: Row) -> str:
    return (
        "no upper bound" if row.high is None else f"anywhere from {row.low:.3g} to {row.high:.3g} {row.unit}"
    )


def _share(covered: float) -> str:
    """A fraction as a percentage that never rounds up to 100."""
    return f"{math.floor(1000 * covered) / 10:g} %"
