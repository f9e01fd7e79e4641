"""What a market's law asks of a pack that labelgen cannot know, and who may be let off what: told and
asked, never assumed.
"""

from __future__ import annotations

import re
from collections.abc import Mapping

from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.law.label_tables import AskedOf, Exemption
from labelgen.law.pack import Pack
from labelgen.law.transition import meanwhile
from labelgen.market.declaration_records import Declaration
from labelgen.market.exemption import told
from labelgen.recipe.models import Kitchen, Product


def list_asked(pack: Pack, kitchen: Kitchen, declarations: Mapping[str, Declaration]) -> tuple[Finding, ...]:
    """One note for each question of the market's ``asked`` table that is open, naming the products it
    concerns.

    declarations: product key -> its declaration. ``answered_by`` names the product's entries that answer a
    question, ``words`` those that must stand in the product's name or statement for it to be asked at all.
    """
    if not pack.has(AskedOf):
        return ()
    found = []
    for entry in pack.entries(AskedOf):
        concerned = [
            key for key, d in declarations.items() if _open(entry, kitchen.products[key], d, kitchen)
        ]
        if concerned:
            wording = "asked-*" if len(concerned) == len(declarations) else "asked-*.of-some"
            told_of = {"law": f"{entry.text}{meanwhile(entry, pack.on)}", "products": concerned}
            found.append(find(wording, kitchen.where, rule=entry.key, cites=entry.source, **told_of))
    return tuple(found)


def list_exemptions(pack: Pack, kitchen: Kitchen) -> tuple[Finding, ...]:
    """One note for each exemption of the market: what it lets off, and what ends it. A claim ends the
    nutrition ones.
    """
    if not pack.has(Exemption):
        return ()
    found = []
    for entry in pack.entries(Exemption):
        ends = entry.lost_by
        can_end = "exemption-*.can-be-taken-ends" if entry.leaves_out else "exemption-*.ends"
        endless = "exemption-*.can-be-taken" if entry.leaves_out else "exemption-*"
        law = f"{told(entry)}.{meanwhile(entry, pack.on)}".rstrip(".")
        found.append(
            find(
                can_end if ends else endless,
                kitchen.where,
                rule=entry.key,
                cites=entry.source,
                law=law,
                ending=ends,
                word=entry.key,
            )
        )
    return tuple(found)


def _open(entry: AskedOf, product: Product, declaration: Declaration, kitchen: Kitchen) -> bool:
    if any(getattr(product, name) for name in entry.answered_by):
        return False
    said = (
        f"{product.name} {product.identity} {''.join(r.text for r in declaration.ingredients)}"
        f" {_own_words(declaration, kitchen)}"
    )
    words = entry.words
    return not words or any(re.search(rf"\b{re.escape(w)}s?\b", said, re.IGNORECASE) for w in words)


def _own_words(declaration: Declaration, kitchen: Kitchen) -> str:
    """What the maker's files call the ingredients, whatever language the label speaks."""
    specs = (kitchen.ingredients.get(name) for entry in declaration.entries for name in entry.ingredients)
    return "; ".join(text for s in specs if s for text in (s.print_name, s.statement))
