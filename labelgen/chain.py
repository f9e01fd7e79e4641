"""The chain, whole: load -> resolve -> roll up (-> declare -> lay out -> draw -> read back)."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path
from typing import TYPE_CHECKING

from labelgen.composition.records import ResolvedIngredient
from labelgen.errors import Finding, by_danger
from labelgen.formulation.records import NutrientProfile
from labelgen.recipe.models import Kitchen

if TYPE_CHECKING:
    from labelgen.market.records import Declaration


@dataclass(frozen=True, eq=False)
class Rolled:
    """A kitchen, its resolved ingredients, its products rolled up, and all findings so far.

    misread: the findings of the files themselves, which may concern any product.
    """

    kitchen: Kitchen | None
    resolved: dict[str, ResolvedIngredient]
    profiles: dict[str, NutrientProfile]
    findings: tuple[Finding, ...]
    misread: tuple[Finding, ...] = ()


def roll_up_folder(folder: str | Path) -> Rolled:
    """Everything up to the nutrient profiles, with every finding of every room."""
    from labelgen.composition.dataset import open_dataset
    from labelgen.composition.pinned import WithPins
    from labelgen.composition.resolve import check_handles, resolve_kitchen
    from labelgen.formulation.rollup import roll_up_kitchen
    from labelgen.market.supplier import read_panels
    from labelgen.recipe.read import read_kitchen

    kitchen, findings = read_kitchen(folder)
    if kitchen is None:
        return Rolled(None, {}, {}, findings)
    resolved = resolve_kitchen(kitchen, WithPins(open_dataset(), kitchen.foods), read_panels(kitchen))
    profiles, balance = roll_up_kitchen(kitchen, resolved)
    misread = (*findings, *check_handles(kitchen))
    every = (*misread, *(f for r in resolved.values() for f in r.findings), *balance)
    return Rolled(kitchen, resolved, profiles, tuple(by_danger(every)), misread)


def declare_product(rolled: Rolled, key: str, market: str, on, lot: str = "", made_on=None) -> Declaration:
    """The declaration of one product. Its findings include every fault of the kitchen's files that stops a label."""
    from labelgen.market.declare import declare

    declaration = declare(rolled.profiles[key], rolled.kitchen.products[key], rolled.kitchen, market, on, lot, made_on)
    return replace(declaration, findings=tuple(by_danger((*(f for f in rolled.misread if f.blocks), *declaration.findings))))


def make_label(rolled: Rolled, key: str, market: str, on, lot: str = "", made_on=None) -> tuple[bytes | None, tuple[Finding, ...]]:
    """(PDF bytes, findings) of one product. No PDF when a finding blocks it, anything in the
    kitchen's files is at fault, or the PDF does not read back."""
    from labelgen.layout.label import lay_out_label
    from labelgen.pdf.check import check_label
    from labelgen.pdf.draw import draw_label

    declaration = declare_product(rolled, key, market, on, lot, made_on)
    if any(f.blocks for f in declaration.findings):
        return None, declaration.findings
    layout = lay_out_label(declaration)
    pdf = draw_label(layout)
    faults = check_label(pdf, layout)
    return (None if faults else pdf), (*declaration.findings, *faults)
