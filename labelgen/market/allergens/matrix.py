"""Products against allergens: what each contains, may contain, or what nobody knows. For a poster at a stall."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from labelgen.composition.allergens import allergen_words
from labelgen.composition.records import AllergenHit
from labelgen.formulation.records import NutrientProfile
from labelgen.market.allergens.cross_contact import decide_cross_contact, handled_undecided
from labelgen.market.allergens.declaration import count
from labelgen.law.pack import Pack
from labelgen.recipe.models import Kitchen

#: States of a cell, the most dangerous first.
CONTAINS, MAY, UNKNOWN, NONE = "contains", "may contain", "unknown", ""


@dataclass(frozen=True)
class Cell:
    """state: one of the states above. kinds: which nut, fish or cereal it contains, in words; may: further kinds it may
    contain; unknown: further kinds nobody has decided on."""

    state: str
    kinds: tuple[str, ...] = ()
    may: tuple[str, ...] = ()
    unknown: tuple[str, ...] = ()


@dataclass(frozen=True)
class Matrix:
    """groups: allergen groups of the market. rows: (product name, a cell for each group, why something is unknown)."""

    groups: tuple[str, ...]
    rows: tuple[tuple[str, tuple[Cell, ...], str], ...]


def allergen_matrix(pack: Pack, kitchen: Kitchen, profiles: Iterable[NutrientProfile]) -> Matrix:
    """Every allergen group the market lists against every product. A product with an ingredient whose make-up nobody
    tells is unknown wherever nothing is known; an allergen handled in the kitchen and not decided on is unknown too."""
    groups = tuple(dict.fromkeys(_group(code) for entry in pack.entries("allergens") if entry["name"] for code in entry["codes"]))
    return Matrix(tuple(allergen_words(g) if g != "gluten" else "wheat and gluten" for g in groups), tuple(_row(pack, kitchen, profile, groups) for profile in profiles))


def _row(pack: Pack, kitchen: Kitchen, profile: NutrientProfile, groups: tuple[str, ...]):
    product = kitchen.products[profile.product]
    contains = tuple(dict.fromkeys(h for i in profile.ingoing for h in i.ingredient.contains))
    warned, _ = decide_cross_contact(pack, product, kitchen, contains, tuple(dict.fromkeys(h for i in profile.ingoing for h in i.ingredient.may_contain)))
    held, may = (_by_group(pack, hits) for hits in (contains, warned))
    untold = sorted({i.ingredient.print_name for i in profile.ingoing if not i.ingredient.disclosed})
    undecided: dict[str, list[str]] = {}
    for code in handled_undecided(product, kitchen, {h.allergen for h in contains}):
        undecided.setdefault(_group(code), []).extend(_kind(code))
    cells = []
    for group in groups:
        state = CONTAINS if group in held else MAY if group in may else UNKNOWN if untold or group in undecided else NONE
        kinds, further, open_ones = (tuple(found.get(group, ())) for found in (held, may, undecided))
        further = tuple(k for k in further if k not in kinds)
        cells.append(Cell(state, kinds, further, tuple(k for k in open_ones if k not in (*kinds, *further))))
    return product.name, tuple(cells), f"make-up not told: {', '.join(untold)}" if untold else ""


def _by_group(pack: Pack, hits: tuple[AllergenHit, ...]) -> dict[str, list[str]]:
    """Group -> kinds named by the hits the market counts, or counts once more is known (then it is counted here)."""
    counted, asked, _ = count(pack, hits)
    found: dict[str, list[str]] = {}
    for hit in (*(c.hit for c in counted), *asked):
        kinds = found.setdefault(_group(hit.allergen), [])
        kinds += [k for k in _kind(hit.allergen) if k not in kinds]
    return found


def _kind(code: str) -> list[str]:
    kind = code.partition("/")[2].replace("_", " ")
    return [kind] if kind else []


def _group(code: str) -> str:
    """Wheat is shown with the cereals that hold gluten."""
    group = code.partition("/")[0]
    return "gluten" if group == "wheat" else group
