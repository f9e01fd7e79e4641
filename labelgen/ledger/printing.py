"""Records labels printed for sale, and remakes them as of another day."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from labelgen import __version__
from labelgen.chain import Rolled, declare_product
from labelgen.errors import RecipeError, RuleError
from labelgen.export.declaration_json import declaration_as_dict
from labelgen.findings import find
from labelgen.ledger.differences import compare_declarations
from labelgen.ledger.inputs import hash_inputs, list_used, read_files
from labelgen.ledger.stale_labels import Today
from labelgen.ledger.store import Printing, Used, open_ledger, record_printings, sha256
from labelgen.market.dates import best_before
from labelgen.order import Job, Order
from labelgen.recipe.models import Kitchen


def describe_printing(
    rolled: Rolled,
    key: str,
    order: Order,
    label: bytes,
    pdf: bytes,
    packs: int | None = None,
    supplier_lots: dict[str, str] | None = None,
) -> Printing:
    """What the ledger keeps of one product's printing.

    label: the single label's PDF, pdf: the file to be written (the same, or sheets). supplier_lots:
    ingredient -> lot.
    """
    kitchen = rolled.kitchen
    product = kitchen.products.get(key) or kitchen.boxes[key]
    return Printing(
        product=key,
        name=product.name,
        market=order.market,
        law_date=order.on,
        lot=order.lot,
        made_on=order.made_on,
        best_before=_last_day(kitchen, key, order.made_on),
        packs=packs,
        declaration=declaration_as_dict(declare_product(rolled, key, order)),
        label_sha256=sha256(label),
        pdf=pdf,
        version=__version__,
        made_with=order.job.made_with,
        inputs=hash_inputs(kitchen.folder, order.market),
        used=_used(rolled, key, supplier_lots or {}),
        sources=tuple(data for _, data in read_files(kitchen.folder)),
    )


def record_labels(kitchen: Kitchen, every: Sequence[Printing]) -> list[int]:
    """Adds printings to the kitchen's ledger, all or none, before their PDF is handed over; returns their
    numbers.

    Raises LedgerError when nothing could be recorded.
    """
    with open_ledger(kitchen.folder) as db:
        return record_printings(db, every)


def _products(kitchen: Kitchen, key: str) -> dict[str, float]:
    """The products a printing is of, each with pieces or packs of it; 0 for the one product itself."""
    return kitchen.boxes[key].holds if key in kitchen.boxes else {key: 0.0}


def _last_day(kitchen: Kitchen, key: str, made_on: date | None) -> date | None:
    """The earliest last day of what is sold."""
    lives = [kitchen.products[name].shelf_life for name in _products(kitchen, key)]
    return min(
        (day for life in lives if life and made_on and (day := best_before(life, made_on))), default=None
    )


def _used(rolled: Rolled, key: str, supplier_lots: dict[str, str]) -> tuple[Used, ...]:
    """Every ingredient of the product, or of all products in the box."""
    used: dict[str, Used] = {}
    for name, held in _products(rolled.kitchen, key).items():
        profile = rolled.profiles[name]
        share = held / (profile.pieces or 1.0) if held else 1.0
        for u in list_used(profile, rolled.kitchen, supplier_lots):
            before = used[u.ingredient].grams_per_pack if u.ingredient in used else 0.0
            used[u.ingredient] = replace(u, grams_per_pack=before + u.grams_per_pack * share)
    return tuple(used.values())


def remake(rolled: Rolled, printing: Printing, on: date) -> Today:
    """The printed label as it would be made on a day, from the kitchen, food table and law of that day."""
    p = printing
    inputs = hash_inputs(rolled.kitchen.folder, p.market)
    known = p.product in rolled.kitchen.products or p.product in rolled.kitchen.boxes
    if not known or any(name not in rolled.profiles for name in _products(rolled.kitchen, p.product)):
        wording = "product-gone.not-weighed-out" if known else "product-gone"
        return Today(None, "", inputs, (find(wording, rolled.kitchen.where, product=p.product),))
    try:
        order = Order(p.market, on, p.lot, p.made_on, Job(**p.made_with))
        declaration = declare_product(rolled, p.product, order)
    except (RuleError, RecipeError) as error:
        return Today(None, "", inputs, (find("no-rule", rolled.kitchen.where, fault=str(error)),))
    data = declaration_as_dict(declaration)
    if stops := tuple(f for f in declaration.findings if f.blocks):
        return Today(data, "", inputs, stops)
    if compare_declarations(p.declaration, data):
        return Today(data, "", inputs)
    if set(inputs) == set(p.inputs) and p.version == __version__:
        # the same words, arrangements and program draw the same label
        return Today(data, p.label_sha256, inputs)
    from labelgen.chain import make_label

    label, findings = make_label(rolled, p.product, order)
    return Today(data, sha256(label) if label else "", inputs, tuple(f for f in findings if f.blocks))
