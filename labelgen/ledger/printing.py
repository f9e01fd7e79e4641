"""Records a label printed for sale."""

from __future__ import annotations

from datetime import date

from labelgen import __version__
from labelgen.chain import Rolled, declare_product
from labelgen.export.declared import declaration_as_dict
from labelgen.ledger.inputs import hash_inputs, list_used
from labelgen.ledger.status import Today
from labelgen.ledger.store import Printing, open_ledger, record_printing, sha256
from labelgen.market.dates import best_before


def record_label(
    rolled: Rolled, key: str, market: str, on: date, lot: str, made_on: date | None, label: bytes, pdf: bytes,
    packs: int | None = None, supplier_lots: dict[str, str] | None = None, made_with: dict | None = None,
) -> int:  # fmt: skip
    """Adds one product's printing to the kitchen's ledger before its PDF is handed over; returns its number.

    label: the single label's PDF, pdf: the file to be written (the same, or sheets). supplier_lots: ingredient -> lot.
    Raises LedgerError when nothing could be recorded.
    """
    kitchen, product = rolled.kitchen, rolled.kitchen.products[key]
    printing = Printing(
        product=key, name=product.name, market=market, law_date=on, lot=lot, made_on=made_on,
        best_before=best_before(product.shelf_life, made_on) if product.shelf_life and made_on else None, packs=packs,
        declaration=declaration_as_dict(declare_product(rolled, key, market, on, lot, made_on)),
        label_sha256=sha256(label), pdf=pdf, version=__version__, made_with=made_with or {},
        inputs=hash_inputs(kitchen.folder, market), used=list_used(rolled.profiles[key], kitchen, supplier_lots or {}),
    )  # fmt: skip
    with open_ledger(kitchen.folder) as db:
        return record_printing(db, printing)


def remake(rolled: Rolled, printing: Printing, on: date) -> Today:
    """The printed label as it would be made on a day, from the kitchen, food table and law of that day."""
    p = printing
    inputs = hash_inputs(rolled.kitchen.folder, p.market)
    if p.product not in rolled.profiles:
        return Today(None, "", inputs, tuple(f for f in rolled.findings if f.blocks))
    declaration = declare_product(rolled, p.product, p.market, on, p.lot, p.made_on)
    data = declaration_as_dict(declaration)
    stops = tuple(f for f in declaration.findings if f.blocks)
    return Today(data, "" if stops else _label_hash(rolled, p, on), inputs, stops)


def _label_hash(rolled: Rolled, p: Printing, on: date) -> str:
    from labelgen.chain import make_label

    label, _ = make_label(rolled, p.product, p.market, on, p.lot, p.made_on, **p.made_with)
    return sha256(label) if label else ""
