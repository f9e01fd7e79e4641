"""Particulars that a market's law wants on certain foods and only the maker knows (the alcohol of a drink,
the share of juice): printed where the product says them; where it does not, the label is not ready to sell.
"""

from __future__ import annotations

import re
from decimal import ROUND_FLOOR, Decimal

from labelgen.errors import NOT_READY, Finding
from labelgen.findings import find
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.law.label_tables import Particular
from labelgen.law.pack import Pack
from labelgen.law.record import known
from labelgen.law.rounding import plain, with_decimal_mark
from labelgen.recipe.models import Product


def declare_particulars(
    pack: Pack, product: Product, profile: NutrientProfile, statement: str
) -> tuple[tuple[str, ...], tuple[Finding, ...]]:
    """(texts that stand with the name of the food, findings). statement: the printed ingredient statement."""
    if not pack.has(Particular) or not product.density:
        return (), ()
    said, found = [], []
    for entry in pack.entries(Particular):
        told = getattr(product, entry.field)
        if told is not None:
            said += [_printed(pack, entry, told)] if _is_printed(entry, told) else []
        elif _is_wanted(entry, product, profile, statement):
            found.append(
                find(
                    f"{NOT_READY}-particular-*",
                    product.where,
                    rule=entry.key,
                    path=product.path(entry.field),
                    cites=entry.source,
                    product=product.key,
                    law=entry.text,
                    field=entry.field,
                )
            )
    return tuple(said), tuple(found)


def _is_printed(entry: Particular, told: float) -> bool:
    """Alcohol only over the amount from which the law wants it; juice always, none included."""
    return entry.over is None or Decimal(str(told)) > entry.over


def _printed(pack: Pack, entry: Particular, told: float) -> str:
    """The maker's figure, rounded down to the decimals of the rule: never more than there is."""
    figure = Decimal(str(told)).quantize(Decimal(1).scaleb(-int(entry.decimals)), ROUND_FLOOR)
    small = told > 0 and figure == 0
    wording = entry.below_one if small and entry.below_one else entry.printed
    return wording.replace("{figure}", with_decimal_mark(pack, plain(figure)))


def _is_wanted(entry: Particular, product: Product, profile: NutrientProfile, statement: str) -> bool:
    if product.category and entry.categories and product.category not in entry.categories:
        return False
    if entry.tag:
        grams = profile.pack.get(entry.tag)[1]
        if grams == grams and grams > 0:
            share = 100 * grams / float(known(entry.grams_per_mL, entry.key)) / float(product.volume or 1)
            return Decimal(str(share)) > known(entry.over, entry.key)
    said = f"{product.name} {product.identity} {statement}"
    return any(re.search(rf"\b{re.escape(w)}s?\b", said, re.IGNORECASE) for w in entry.words)
