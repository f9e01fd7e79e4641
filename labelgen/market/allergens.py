"""Which allergens one market must declare, and under which names. A doubt is said aloud, never dropped."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from labelgen.composition.records import AllergenHit
from labelgen.errors import Finding, Where
from labelgen.market.pack import read_pack
from labelgen.market.records import Run


@dataclass(frozen=True)
class AllergenDeclaration:
    """names: as the market prints them. runs: the statement, () if none. contains: hits behind it. precaution: text."""

    names: tuple[str, ...]
    runs: tuple[Run, ...]
    contains: tuple[AllergenHit, ...]
    precaution: str
    findings: tuple[Finding, ...]


def declare_allergens(market: str, on: date, contains: Sequence[AllergenHit], may_contain: Sequence[AllergenHit]) -> AllergenDeclaration:
    """The market's allergen statement. A generic code such as ``tree_nut`` or ``fish`` blocks: the law wants the kind."""
    pack = read_pack(market, on)
    names = {code: e["name"] for e in pack.entries("allergens") for code in e["codes"]}
    held = tuple(h for h in contains if h.allergen in names)
    codes = list(dict.fromkeys(h.allergen for h in held))
    codes = [c for c in codes if "/" in c or not any(o.startswith(c + "/") for o in codes)]
    findings = tuple(
        Finding("allergen-kind", "danger", Where(h.ingredient), f"{h.because}: say which kind it is (for example tree_nut/almond, fish/cod) in 'contains:'", "usc-21-343 (w)(2)")
        for h in held
        if h.allergen in codes and h.allergen in ("tree_nut", "fish", "crustacean")
    )
    printed = tuple(names[c] for c in names if c in codes)
    runs = (Run(pack.text("allergen_wording", "contains"), bold=True), Run(", ".join(printed) + ".", bold=True)) if printed else ()
    extra = [c for c in names if c in {h.allergen for h in may_contain} and c not in codes]
    precaution = f"{pack.text('allergen_wording', 'may_contain')}{', '.join(names[c] for c in extra)}." if extra else ""
    return AllergenDeclaration(printed, runs, held, precaution, findings)
