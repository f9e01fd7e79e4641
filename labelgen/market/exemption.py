"""What a label leaves out because its maker says that an exemption of the market covers it (``exempt:``),
and what ends that.
"""

from __future__ import annotations

from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.law.label_tables import Exemption
from labelgen.law.pack import Pack
from labelgen.law.registry import markets
from labelgen.market.claims.wording import gives_nutrition
from labelgen.recipe.models import Product

#: What an exemption may leave out, as the ``leaves_out`` of a rule names it.
PARTS = ("panel", "net_quantity", "dates", "business", "storage")


def take_exemptions(
    pack: Pack, product: Product
) -> tuple[frozenset[str], tuple[str, ...], tuple[Finding, ...]]:
    """(parts left out, words the label then carries, findings). An exemption that a claim ends is not
    taken; one the market does not have changes nothing.
    """
    left: set[str] = set()
    added, found = [], []
    for word in product.exempt:
        entry = _entry(pack, word)
        if entry is None:
            known = ", ".join(e.key for e in _every(pack) if e.leaves_out) or "none that a label can take"
            elsewhere = any(_entry(Pack(m.code, pack.on), word) for m in markets())
            wording = "exemption-unknown.elsewhere" if elsewhere else "exemption-unknown"
            found.append(
                find(
                    wording,
                    product.where,
                    path=product.path("exempt"),
                    product=product.key,
                    word=word,
                    market=pack.market,
                    known=known,
                )
            )
        elif "claim" in entry.lost_by and (ending := gives_nutrition(pack, product.claims)):
            claims = [f"'{c}'" for c in ending]
            found.append(
                find(
                    "exemption-lost",
                    product.where,
                    path=product.path("exempt"),
                    cites=entry.source,
                    product=product.key,
                    word=word,
                    ending=entry.lost_by,
                    claims=claims,
                )
            )
        else:
            left.update(entry.leaves_out)
            added += [entry.adds] if entry.adds else []
            said = {
                "product": product.key,
                "parts": " and ".join(entry.leaves_out).replace("_", " "),
                "text": told(entry),
                "ending": entry.lost_by,
            }
            wording = "exemption-taken.may-end" if entry.lost_by else "exemption-taken"
            found.append(
                find(wording, product.where, path=product.path("exempt"), cites=entry.source, **said)
            )
    return frozenset(left), tuple(added), tuple(found)


def told(entry: Exemption) -> str:
    """An exemption's words with its figures in them."""
    text = entry.text
    for name, value in entry.values.items():
        text = text.replace(f"{{{name}}}", f"{value:,}")
    return text


def _every(pack: Pack) -> tuple[Exemption, ...]:
    return pack.entries(Exemption) if pack.has(Exemption) else ()


def _entry(pack: Pack, word: str) -> Exemption | None:
    key = "_".join(word.lower().replace("-", " ").split())
    return next((e for e in _every(pack) if e.key == key and e.leaves_out), None)
