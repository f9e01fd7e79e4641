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


def make_label(rolled: Rolled, key: str, market: str, on, lot: str = "", made_on=None, stock: str = "", label_size: str = "") -> tuple[bytes | None, tuple[Finding, ...]]:
    """(PDF bytes, findings) of one product's label, a page for each of its faces. No PDF when a finding blocks it,
    anything in the kitchen's files is at fault, it does not fit the stock, or it does not read back."""
    from labelgen.layout.sheets import Job

    label, _, findings = print_label(rolled, key, market, on, lot, made_on, Job(stock, label_size))
    return label, findings


def print_label(rolled: Rolled, key: str, market: str, on, lot: str = "", made_on=None, job=None) -> tuple[bytes | None, bytes | None, tuple[Finding, ...]]:
    """(label PDF, PDF of the pages to print, findings) of one product, printed as a ``Job`` says; both PDFs or none."""
    from labelgen.errors import LayoutError
    from labelgen.layout.label import fit_job
    from labelgen.layout.sheets import copies_of, impose
    from labelgen.pdf.check import check_label, check_sheets
    from labelgen.pdf.draw import draw_pages, draw_sheets

    declaration = declare_product(rolled, key, market, on, lot, made_on)
    findings = declaration.findings
    if any(f.blocks for f in findings):
        return None, None, findings
    try:
        stock, faces = fit_job(declaration, job)
    except LayoutError as error:
        return None, None, (Finding("label-does-not-fit", "block", rolled.kitchen.products[key].where, f"{key}: {error}"), *findings)
    label = draw_pages(faces)
    faults = check_label(label, *faces)
    if faults or not job.on_sheets:
        return (None, None, (*findings, *faults)) if faults else (label, label, findings)
    sheets = tuple(impose(stock, [(faces, copies_of(job, stock, len(faces)))], job.start, job.cut_marks, job.nudge))
    pdf = draw_sheets(sheets)
    faults = check_sheets(pdf, sheets)
    return (None, None, (*findings, *faults)) if faults else (label, pdf, findings)
