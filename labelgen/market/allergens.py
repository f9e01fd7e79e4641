"""Which allergens one market must declare, and under which names. A doubt is said aloud, never dropped."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from labelgen.composition.records import AllergenHit
from labelgen.errors import Finding, Where
from labelgen.market.pack import read_pack
from labelgen.market.records import Run

#: Groups a market declares by their kinds; a kind its table does not list is still declared, by its own name.
_NAMED_BY_KIND = ("fish", "crustacean", "mollusc", "tree_nut", "milk", "egg")


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
    for hit in (*contains, *may_contain):
        group, _, kind = hit.allergen.partition("/")
        if kind and group in names and group in _NAMED_BY_KIND:
            names.setdefault(hit.allergen, kind.replace("_", " ").title())
    held = tuple(h for h in contains if h.allergen in names)
    codes = list(dict.fromkeys(h.allergen for h in held))
    codes = [c for c in codes if "/" in c or not any(o.startswith(c + "/") for o in codes)]
    findings = tuple(
        Finding("allergen-kind", "danger", Where(h.ingredient), f"{h.because}: say which kind it is (for example tree_nut/almond, fish/cod) in 'contains:'", "usc-21-343 (w)(2)")
        for h in held
        if h.allergen in codes and (h.allergen in ("tree_nut", "fish", "crustacean") or h.allergen.endswith("/other"))
    )
    printed = tuple(dict.fromkeys(names[c] for c in names if c in codes))
    runs = (Run(pack.text("allergen_wording", "contains"), bold=True), Run(", ".join(printed) + ".", bold=True)) if printed else ()
    stated = {h.allergen for h in may_contain if h.how == "declaration"}
    extra = dict.fromkeys(names[c] for c in names if c in stated and names[c] not in printed)
    asked = {h.allergen: h for h in may_contain if h.how != "declaration" and h.allergen in names and names[h.allergen] not in printed}
    findings += tuple(Finding("allergen-source-unknown", "warn", Where(h.ingredient), f"{h.because}; then write it into the statement, for example 'soy lecithin', or into 'contains:'", "usc-21-343 (w)") for h in asked.values())
    precaution = f"{pack.text('allergen_wording', 'may_contain')}{', '.join(extra)}." if extra else ""
    return AllergenDeclaration(printed, runs, held, precaution, findings)
