"""Cross-contact: a decision per product, made by the maker, never automatic wallpaper.

What the kitchen handles and what suppliers warn of is put before the maker: print a warning
(``may_contain:``) or record why none is needed (``cross_contact:``). Until then a supplier's warning is
printed, the kitchen's own is not.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence

from labelgen.composition.ingredient_allergens import WHEATS, code_fault
from labelgen.composition.ingredient_records import AllergenHit
from labelgen.composition.text.lexicon import find_allergens, spoken
from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.law.claim_tables import ClaimTerm
from labelgen.law.pack import Pack
from labelgen.recipe.models import Kitchen, Product

#: How an allergen is told that somebody states outright; any other "may contain" is a question.
STATED = ("declaration", "kitchen")


def precaution_codes(product: Product) -> tuple[str, ...]:
    """The allergens that the product's own label warns of, as codes or in its sentence: where it has that
    in several languages, those that each of them names, since nobody need read more than one.
    """
    said = [
        product.precaution,
        *(also["precaution"] for also in product.also.values() if also.get("precaution")),
    ]
    found = [find_allergens(text) for text in said if text]
    named = [dict.fromkeys(h.allergen for h in (*f.contains, *f.may_contain)) for f in found]
    return tuple(
        dict.fromkeys(
            (*product.may_contain, *(c for c in (named[0] if named else ()) if all(c in n for n in named)))
        )
    )


def decide_cross_contact(
    pack: Pack,
    product: Product,
    kitchen: Kitchen,
    contains: Sequence[AllergenHit],
    may: Sequence[AllergenHit],
) -> tuple[tuple[AllergenHit, ...], tuple[Finding, ...]]:
    """(hits to warn of, findings). The hits are the suppliers' that nobody explained away, and the maker's
    own codes.
    """
    held = {h.allergen for h in contains}
    declared = [c for c in product.may_contain if not code_fault(c)]
    warned = precaution_codes(product)
    findings = _faults(product, held, declared)
    open_hits, kept = [], []
    for hit in may:
        if hit.how not in STATED:
            kept.append(hit)
        elif not covers(product.cross_contact, hit.allergen):
            kept.append(hit)
            if not _warns_of(warned, hit.allergen) and not tells(held, hit.allergen):
                open_hits.append(hit)
    handled = handled_undecided(product, kitchen, held)
    kept += [AllergenHit(c, "the maker warns of it", how="kitchen") for c in declared]
    asked = list(dict.fromkeys((*handled, *(h.allergen for h in open_hits))))
    if asked:
        findings.append(_undecided(pack, product, handled, open_hits, asked))
    return tuple(dict.fromkeys(kept)), tuple(findings)


def handled_undecided(product: Product, kitchen: Kitchen, held: Collection[str]) -> list[str]:
    """Codes the kitchen handles that the product's list does not tell, warns of, nor has a recorded reason
    against.
    """
    warned = precaution_codes(product)
    return [
        c
        for c in kitchen.handles
        if not (tells(held, c) or _warns_of(warned, c) or covers(product.cross_contact, c))
    ]


def open_questions(
    product: Product,
    kitchen: Kitchen,
    contains: Sequence[AllergenHit],
    warned: Sequence[AllergenHit],
    asked: Sequence[AllergenHit],
) -> tuple[AllergenHit, ...]:
    """What nobody knows yet of allergens, or has decided on. warned: what is warned of or asked about.
    asked: hits that count only once the maker has said more.
    """
    held = {h.allergen for h in contains if h not in asked}
    told = held | {h.allergen for h in warned if h.how in STATED}
    handled = (
        AllergenHit(c, "handled in the same kitchen", how="handled")
        for c in handled_undecided(product, kitchen, held)
    )
    open_ones = (*(h for h in warned if h.how not in STATED), *asked, *handled)
    return tuple(dict.fromkeys(h for h in open_ones if h.allergen not in told))


def tells(held: Collection[str], code: str) -> bool:
    """Whether a list that names what is held tells whoever must not eat ``code``. A group tells of its
    kinds, a kind never of its group; wheat tells of gluten, but oats, barley or gluten of no named cereal
    never tell of wheat.
    """
    if code in WHEATS:
        return not {code, "wheat", "gluten/wheat"}.isdisjoint(held)
    return (
        code in held or code.partition("/")[0] in held or (code == "gluten" and not WHEATS.isdisjoint(held))
    )


def covers(decided: Collection[str], code: str) -> bool:
    """Whether a decision for some codes is one for ``code``: a group's is for its kinds, a kind's never
    for its group; wheat goes by either of its names.
    """
    return (
        code in decided
        or code.partition("/")[0] in decided
        or (code in WHEATS and not {"wheat", "gluten", "gluten/wheat"}.isdisjoint(decided))
    )


def _warns_of(warned: Collection[str], code: str) -> bool:
    """Whether a warning tells whoever must not eat ``code``: of wheat only where it names wheat, since
    "gluten" does not.
    """
    return covers([c for c in warned if c != "gluten"] if code in WHEATS else warned, code)


def _undecided(
    pack: Pack, product: Product, handled: list[str], warned: list[AllergenHit], asked: list[str]
) -> Finding:
    parts = []
    if handled:
        parts.append(
            f"{', '.join(handled)} {'is' if len(handled) == 1 else 'are'} handled in the same kitchen"
        )
    by_supplier: dict[str, list[str]] = {}
    for hit in warned:
        by_supplier.setdefault(hit.ingredient or "an ingredient", []).append(hit.allergen)
    parts += [
        f"the supplier of {name} warns of {', '.join(codes)} (printed until you decide)"
        for name, codes in by_supplier.items()
    ]
    view = pack.find(ClaimTerm, "precaution") if pack.has(ClaimTerm) else None
    told = {
        "product": product.key,
        "told": "; ".join(parts),
        "allergens": asked,
        "first": asked[0],
        "law": view.text if view else "",
    }
    return find(
        "cross-contact",
        product.where,
        path=product.path("cross_contact"),
        cites=view.source if view else "",
        **told,
    )


def _faults(product: Product, held: set[str], declared: list[str]) -> list[Finding]:
    found = []

    def fault(key: str, under: str, **told) -> None:
        found.append(find(key, product.where, path=product.path(under), **told))

    owner = product.key

    for field in ("cross_contact", "may_contain", "tested"):
        for code in getattr(product, field):
            if (wrong := code_fault(code)) and not (field == "tested" and code == "lactose"):
                fault("allergen-code.of-product", field, product=owner, field=field, fault=wrong)
    for code in product.cross_contact:
        if code in held:
            fault("cross-contact-held", "cross_contact", product=owner, allergen=code, called=spoken(code))
    both = [c for c in product.cross_contact if c in declared]
    if both:
        fault("cross-contact-both", "cross_contact", product=owner, allergens=both)
    return found
