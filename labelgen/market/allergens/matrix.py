"""Products against allergens: what each contains, may contain, or what nobody knows. For a poster at a
stall.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from labelgen.composition.ingredient_allergens import WHEATS
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.law.label_tables import AllergenRule
from labelgen.law.pack import Pack
from labelgen.market.allergens.called import groups, in_order
from labelgen.market.allergens.cross_contact import STATED, decide_cross_contact, handled_undecided
from labelgen.market.allergens.declaration import count, is_exempt
from labelgen.recipe.models import Kitchen

#: States of a cell, the most dangerous first.
CONTAINS, MAY, UNKNOWN, NONE = "contains", "may contain", "unknown", ""


@dataclass(frozen=True)
class Cell:
    """state: one of the states above. kinds: codes of what it contains, () where the column's own name
    says it; may: codes of what further it may contain; unknown: codes of what further nobody knows or has
    decided on.
    """

    state: str
    kinds: tuple[str, ...] = ()
    may: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()


@dataclass(frozen=True)
class Matrix:
    """groups: codes of allergen groups. rows: (product's key, a cell for each group, ingredients whose
    make-up is untold).
    """

    groups: tuple[str, ...]
    rows: tuple[tuple[str, tuple[Cell, ...], tuple[str, ...]], ...]

    def codes(self, product: str) -> tuple[set[str], set[str], set[str]]:
        """Codes that a product's cells show as contained, as what may be, and as not known."""
        cells = next(cells for key, cells, _ in self.rows if key == product)
        found: tuple[set[str], set[str], set[str]] = (set(), set(), set())
        for group, cell in zip(self.groups, cells):
            for codes, state, shown in zip(
                (cell.kinds, cell.may, cell.unknown), (CONTAINS, MAY, UNKNOWN), found
            ):
                shown.update(codes or ((group,) if cell.state == state else ()))
        for shown in found:
            shown.update({"wheat"} if "gluten/wheat" in shown else ())
        return found


def allergen_matrix(pack: Pack, kitchen: Kitchen, profiles: Iterable[NutrientProfile]) -> Matrix:
    """Every allergen group the market lists against every product, and any further group that one of them
    holds, may hold or that nobody has decided on. A product with an ingredient whose make-up nobody tells
    is unknown wherever nothing is known.
    """
    listed = [_group(code) for entry in pack.entries(AllergenRule) if entry.name for code in entry.codes]
    told = [(profile, *codes_of(pack, kitchen, profile)) for profile in profiles]
    found = {
        _group(code)
        for _, held, *open_ones in told
        for codes in ([c for c in held if _group(c) in groups()], *open_ones)
        for code in codes
    }
    columns = tuple(dict.fromkeys((*listed, *in_order(found))))
    rows = []
    for profile, held, may, unknown in told:
        untold = tuple(sorted({i.ingredient.name for i in profile.ingoing if not i.ingredient.disclosed}))
        rows.append(
            (profile.product, tuple(_cell(g, held, may, unknown, bool(untold)) for g in columns), untold)
        )
    return Matrix(columns, tuple(rows))


def codes_of(pack: Pack, kitchen: Kitchen, profile: NutrientProfile) -> tuple[tuple[str, ...], ...]:
    """Codes the product contains, those it may contain, those nobody knows or has decided on. What the
    market exempts is in none.
    """
    product = kitchen.products[profile.product]
    contains = tuple(dict.fromkeys(h for i in profile.ingoing for h in i.ingredient.contains))
    warned, _ = decide_cross_contact(
        pack,
        product,
        kitchen,
        contains,
        tuple(dict.fromkeys(h for i in profile.ingoing for h in i.ingredient.may_contain)),
    )
    asked = set(count(pack, (*contains, *warned))[1])
    held, may, doubts = [], [], list(handled_undecided(product, kitchen, {h.allergen for h in contains}))
    for hits, sure in ((contains, held), (warned, may)):
        for hit in hits:
            if not is_exempt(pack, hit):
                stated = hit not in asked and (sure is held or hit.how in STATED)
                (sure if stated else doubts).append(hit.allergen)
    held, may = in_order(held), in_order(c for c in may if c not in held)
    return held, may, in_order(c for c in doubts if c not in (*held, *may))


def _cell(
    group: str, held: tuple[str, ...], may: tuple[str, ...], unknown: tuple[str, ...], untold: bool
) -> Cell:
    """One cell. The state's own list is left empty where it is but the column's name."""
    lists = [[c for c in codes if _group(c) == group] for codes in (held, may, unknown)]
    state = next(
        (s for s, codes in zip((CONTAINS, MAY, UNKNOWN), lists) if codes), UNKNOWN if untold else NONE
    )
    lists = [_wheat_once(codes) for codes in lists]
    first = next((codes for codes in lists if codes), [])
    return Cell(state, *(() if codes is first and codes == [group] else tuple(codes) for codes in lists))


def _wheat_once(codes: list[str]) -> list[str]:
    return [c for c in codes if c != "wheat" or "gluten/wheat" not in codes]


def _group(code: str) -> str:
    """Wheat is shown with the cereals that hold gluten."""
    return "gluten" if code in WHEATS else code.partition("/")[0]
