"""Declarations side by side: what differs in allergens, nutrition, statement and claims. Allergens come
first.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from labelgen.composition.ingredient_records import AllergenHit
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.law.figure_tables import Nutrient
from labelgen.law.pack import Pack, read_pack
from labelgen.law.rounding import row_unit
from labelgen.market.allergens.cross_contact import STATED
from labelgen.market.allergens.declaration import declare_allergens
from labelgen.market.claims.judge import judge_claims
from labelgen.market.claims.places import meaning, with_stated_claims
from labelgen.market.declaration_records import Claim, Declaration, Row, StatementEntry
from labelgen.market.nutrition.panel_rows import row_figures
from labelgen.nutrients import ENERGY
from labelgen.recipe.models import Kitchen, Product

CONTAINS, MAY, NOT_FOUND, UNTOLD = "contains", "may contain", "not found", "not known"


@dataclass(frozen=True)
class Side:
    """One declaration of a comparison. name: how it is called there (a product, or a market). names:
    allergens as the market prints them. unlisted: codes found that the market's list does not hold. untold:
    ingredients whose make-up nobody tells, so that "not found" means nothing.
    claims: every claim asked for, refused ones too.
    """

    name: str
    declaration: Declaration
    profile: NutrientProfile
    names: tuple[str, ...]
    unlisted: frozenset[str]
    untold: tuple[str, ...]
    claims: tuple[Claim, ...]


@dataclass(frozen=True)
class AllergenLine:
    """One allergen in every side. states: contains, may contain, not found, or not known where a make-up is
    untold.
    because: what the finding rests on, "" where there is none. listed: some side's market has it on its
    list.
    """

    allergen: str
    states: tuple[str, ...]
    because: tuple[str, ...]
    listed: bool = True

    @property
    def differs(self) -> bool:
        return len(set(self.states)) > 1


@dataclass(frozen=True)
class NutritionLine:
    """One nutrient, in one market's meaning of it, in every side. declared: text with its percentage, ""
    where a side has no such row. per_100g: unrounded amount in ``unit``, None where unknown.
    """

    tag: str
    label: str
    declared: tuple[str, ...]
    per_100g: tuple[float | None, ...]
    unit: str

    @property
    def differs(self) -> bool:
        return len(set(self.declared)) > 1 or len(set(self.per_100g)) > 1


@dataclass(frozen=True)
class Comparison:
    """statements: as printed. only: per side, the names that no other side's statement has. claims: claim
    -> per side allowed, refused or not asked for.
    """

    sides: tuple[Side, ...]
    allergens: tuple[AllergenLine, ...]
    nutrition: tuple[NutritionLine, ...]
    statements: tuple[str, ...]
    only: tuple[tuple[str, ...], ...]
    claims: tuple[tuple[str, tuple[str, ...]], ...]


def side_of(
    name: str, declaration: Declaration, profile: NutrientProfile, product: Product, kitchen: Kitchen
) -> Side:
    """A declaration made ready for a comparison under a name."""
    declared = declare_allergens(
        declaration.market, declaration.on, declaration.contains, declaration.may_contain
    )
    claims, _ = judge_claims(
        read_pack(declaration.market, declaration.on),
        with_stated_claims(product.in_market(declaration.market)),
        profile,
        kitchen,
        declaration.panel.serving,
    )
    untold = tuple(dict.fromkeys(i.ingredient.name for i in profile.ingoing if not i.ingredient.disclosed))
    return Side(
        name,
        declaration,
        profile,
        declared.names,
        frozenset(h.allergen for h in declared.not_counted),
        untold,
        claims,
    )


def compare(sides: Sequence[Side]) -> Comparison:
    """Two or more declarations; the first is the one the others are held against."""
    names = [set(_names(s.declaration.entries)) for s in sides]
    only = tuple(
        tuple(
            n
            for n in dict.fromkeys(_names(s.declaration.entries))
            if all(n not in other for other in names if other is not own)
        )
        for s, own in zip(sides, names)
    )
    statements = tuple("".join(r.text for r in s.declaration.ingredients) for s in sides)
    return Comparison(tuple(sides), _allergens(sides), _nutrition(sides), statements, only, _claims(sides))


def _names(entries: Sequence[StatementEntry]) -> Iterator[str]:
    for entry in entries:
        yield entry.name
        yield from _names(entry.entries)


def _allergens(sides: Sequence[Side]) -> tuple[AllergenLine, ...]:
    codes = sorted(
        {
            h.allergen
            for s in sides
            for h in (*s.declaration.contains, *s.declaration.may_contain, *s.declaration.questions)
        }
    )
    lines = []
    for code in codes:
        states, because = zip(*(_state(code, s) for s in sides))
        listed = any(
            state in (CONTAINS, MAY, UNTOLD) and why and code not in s.unlisted
            for s, state, why in zip(sides, states, because)
        )
        lines.append(AllergenLine(code, states, because, listed))
    # what a market lists comes first, then what appears, then what differs otherwise
    return tuple(
        sorted(
            lines,
            key=lambda x: (
                not x.listed,
                not (x.differs and x.states[0] != CONTAINS),
                not x.differs,
                x.allergen,
            ),
        )
    )


def _state(code: str, side: Side) -> tuple[str, str]:
    def reasons(hits: Sequence[AllergenHit]) -> str:
        return "; ".join(dict.fromkeys(h.because for h in hits if h.allergen == code))

    if held := reasons(side.declaration.contains):
        return CONTAINS, held
    if warned := reasons([h for h in side.declaration.may_contain if h.how in STATED]):
        return MAY, warned
    if asked := reasons(side.declaration.questions):
        return UNTOLD, asked
    return (UNTOLD if side.untold else NOT_FOUND), ""


def _nutrition(sides: Sequence[Side]) -> tuple[NutritionLine, ...]:
    tables = []
    for side in sides:
        pack = read_pack(side.declaration.market, side.declaration.on)
        rows = (r for r in side.declaration.panel.columns[0].rows if not r.spans)
        tables.append({_meaning(pack, pack.entry(Nutrient, r.key)): (r, pack) for r in rows})
    lines = []
    for key in dict.fromkeys(k for table in tables for k in table):
        found = [table.get(key) for table in tables]
        row, pack = next(f for f in found if f)
        entry = pack.entry(Nutrient, row.key)
        amounts = tuple(_known(row_figures(pack, entry, s.profile.per_100g)[0][1]) for s in sides)
        lines.append(
            NutritionLine(
                row.tag,
                _label(row, entry),
                tuple(_text(f and f[0]) for f in found),
                amounts,
                row_unit(pack, entry),
            )
        )
    return tuple(lines)


def _meaning(pack: Pack, entry: Nutrient) -> tuple:
    """What makes rows of two markets the same: the key, what is taken off it, what it is multiplied by,
    energy's unit.
    """
    unit = row_unit(pack, entry) if entry.tag == ENERGY else ""
    return entry.tag, unit, "FIBTG" in entry.less, entry.times


def _label(row: Row, entry: Nutrient) -> str:
    label = row.label.replace("{amount} ", "").strip("—+ ")
    return label[:1].upper() + label[1:] + (" (fibre not counted)" if "FIBTG" in entry.less else "")


def _known(x: float) -> float | None:
    return x if math.isfinite(x) else None


def _text(row: Row | None) -> str:
    if row is None:
        return ""
    return (
        f"{row.declared or 'unknown'}{f' ({row.percent})' if row.percent else ''}{'' if row.robust else ' ?'}"
    )


def _claims(sides: Sequence[Side]) -> tuple[tuple[str, tuple[str, ...]], ...]:
    """Claims by what they mean, so that "low fat" asked for and "Low-fat" in a name are one."""
    asked = {meaning(c.asked) or c.asked: c.asked for s in reversed(sides) for c in reversed(s.claims)}

    def verdict(side: Side, meant) -> str:
        found = next((c for c in side.claims if (meaning(c.asked) or c.asked) == meant), None)
        if found is None:
            return "not asked for"
        return (
            " ".join(("allowed;", *found.companions, *found.under)).removesuffix(";")
            if found.allowed
            else f"refused: {found.remedy}"
        )

    return tuple((claim, tuple(verdict(s, meant) for s in sides)) for meant, claim in reversed(asked.items()))


def allergen_name(code: str) -> str:
    """A code in words: ``tree_nut/hazelnut`` is hazelnut (tree nut).

    >>> allergen_name("tree_nut/hazelnut"), allergen_name("milk")
    ('hazelnut (tree nut)', 'milk')
    """
    group, _, kind = code.replace("_", " ").partition("/")
    return f"{kind} ({group})" if kind else group
