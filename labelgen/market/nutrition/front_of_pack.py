"""Colour-coded figures for the front of a pack, where a market's voluntary scheme defines them: words and
colours, no artwork.
"""

from __future__ import annotations

from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.law.figure_tables import FrontOfPack, Nutrient
from labelgen.law.pack import Pack
from labelgen.law.rounding import clean
from labelgen.market.declaration_records import FrontFigure, Panel, Row
from labelgen.market.nutrition.panel_rows import row_figures
from labelgen.recipe.models import Product

#: What a maker writes under ``show:`` to have them.
FRONT = "front of pack"


def declare_front(
    pack: Pack, product: Product, profile: NutrientProfile, panel: Panel
) -> tuple[tuple[FrontFigure, ...], tuple[Finding, ...]]:
    """(figures, findings), per portion where the panel has one; () when nobody asks, or the market has no
    scheme.
    """
    if FRONT not in product.show:
        return (), ()
    asked = {"path": product.path("show"), "product": product.key, "word": FRONT}
    if not pack.has(FrontOfPack):
        return (), (find("front-of-pack-none", product.where, **asked, market=pack.market),)
    if product.density:
        return (), (find("front-of-pack-liquid", product.where, **asked),)
    column = next((c for c in panel.columns if c.per == "serving"), panel.columns[0])
    if any(r.value is None for r in column.rows if pack.find(FrontOfPack, r.key)):
        return (), (find("front-of-pack-unknown", product.where, **asked),)
    energy = [r for r in column.rows if r.group == "head"]
    figures = [
        FrontFigure(
            energy[0].label, panel.energy_joiner.join(r.declared for r in energy), energy[0].percent, ""
        )
    ]
    figures += [
        FrontFigure(rule.label, r.declared, r.percent, _colour(pack, r, profile, column.grams))
        for r in column.rows
        if (rule := pack.find(FrontOfPack, r.key))
    ]
    whole = " / ".join(r.declared for r in panel.columns[0].rows if r.group == "head")
    said = "; ".join(
        f"{f.label}"
        f" {f.declared}{' ' + f.percent if f.percent else ''}{' ' + f.colour.upper() if f.colour else ''}"
        for f in figures
    )
    cites = pack.entries(FrontOfPack)[0].source
    return tuple(figures), (
        find(
            "front-of-pack",
            product.where,
            **asked,
            cites=cites,
            portion=column.heading,
            figures=said,
            whole=whole,
        ),
    )


def _colour(pack: Pack, row: Row, profile: NutrientProfile, portion: float) -> str:
    """By the unrounded amount in 100 g; a large portion that holds much is red whatever 100 g hold."""
    entry = pack.entry(FrontOfPack, row.key)
    (_, per_100g, _), _ = row_figures(pack, pack.entry(Nutrient, row.key), profile.per_100g)
    if portion > float(entry.portion_from) and row.value > float(entry.portion_above):
        return entry.bands[-1].text or ""
    amount = clean(per_100g)
    return next(b.text or "" for b in entry.bands if b.holds(amount))
