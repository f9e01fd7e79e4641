"""What a label leaves out because its maker says that an exemption of the market covers it (``exempt:``), and what ends that."""

from __future__ import annotations

from labelgen.errors import Finding
from labelgen.market.claims.wording import gives_nutrition
from labelgen.law.pack import Entry, Pack
from labelgen.law.registry import markets
from labelgen.recipe.models import Product

#: What an exemption may leave out, as the ``leaves_out`` of a rule names it.
PARTS = ("panel", "net_quantity", "dates", "business", "storage")


def take_exemptions(pack: Pack, product: Product) -> tuple[frozenset[str], tuple[str, ...], tuple[Finding, ...]]:
    """(parts left out, words the label then carries, findings). An exemption that a claim ends is not taken; one the market does not have changes nothing."""
    left: set[str] = set()
    added, found = [], []
    for word in product.exempt:
        entry = _entry(pack, word)
        if entry is None:
            known = ", ".join(e.key for e in _every(pack) if e.get("leaves_out")) or "none that a label can take"
            elsewhere = any(_entry(Pack(m.code, pack.on), word) for m in markets())
            found.append(Finding("exemption-unknown", "note" if elsewhere else "warn", product.where, f"{product.key}: 'exempt: {word}' means nothing in {f'market {pack.market!r}' if elsewhere else 'any market'}, so nothing is left out; {pack.market!r} has {known}"))
        elif "claim" in entry.get("lost_by", "") and (ending := gives_nutrition(pack, product.claims)):
            quoted = ", ".join(f"'{c}'" for c in ending)
            found.append(Finding("exemption-lost", "warn", product.where, f"{product.key}: the exemption {word} ends with {entry['lost_by']}, and the product says {quoted}: everything is printed. Take the claim off, or 'exempt:'", entry.source))
        else:
            left.update(entry["leaves_out"])
            added += [entry["adds"]] if entry.get("adds") else []
            ends = f". It ends with {entry['lost_by']}" if entry.get("lost_by") else ""
            found.append(Finding("exemption-taken", "note", product.where, f"{product.key}: left out is {' and '.join(entry['leaves_out']).replace('_', ' ')}, because you say: {told(entry)}{ends}. Your food authority has the last word", entry.source))
    return frozenset(left), tuple(added), tuple(found)


def told(entry: Entry) -> str:
    """An exemption's words with its figures in them."""
    text = entry["text"]
    for name, value in entry.get("values", {}).items():
        text = text.replace(f"{{{name}}}", f"{value:,}")
    return text


def _every(pack: Pack) -> tuple[Entry, ...]:
    return pack.entries("exemptions") if pack.has("exemptions") else ()


def _entry(pack: Pack, word: str) -> Entry | None:
    key = "_".join(word.lower().replace("-", " ").split())
    return next((e for e in _every(pack) if e.key == key and e.get("leaves_out")), None)
