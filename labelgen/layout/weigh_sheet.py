"""The weigh sheet: what to weigh for a batch, stage by stage, with boxes to tick."""

from __future__ import annotations

from collections.abc import Sequence

from labelgen.formulation.scaling import ScaledStage
from labelgen.layout.boxes import PageLayout
from labelgen.layout.document import TICK, Table, Text, lay_out_document, plain


def lay_out_weigh_sheet(name: str, batch: str, stages: Sequence[ScaledStage], page: str, allergens: str = "", supplier_lots: dict[str, str] | None = None) -> tuple[PageLayout, ...]:
    """Pages of a weigh sheet. batch: how much this is for, in words. Masses in grams, to 0.1 g under 100 g."""
    parts: list[Text | Table] = [Text(plain(batch))]
    if allergens:
        parts.append(Text(plain(allergens, bold=True)))
    for stage in stages:
        parts.append(Text(plain(stage.formulation.replace("-", " "), bold=True), "heading"))
        rows = []
        for part, grams, inner in stage.inputs:
            from_stage = f"{part.replace('-', ' ')} (from above)" if inner else part.replace("-", " ")
            rows.append((plain(from_stage), plain(shown_mass(grams)), plain((supplier_lots or {}).get(part, "")), (TICK,)))
        rows.append((plain("in all", bold=True), plain(shown_mass(sum(g for _, g, _ in stage.inputs)), bold=True), (), ()))
        verb = f"after {stage.method}" if stage.method and stage.method != "none" else "should weigh"
        rows.append((plain(verb), plain(shown_mass(stage.output)), plain("weighed: ______ g"), (TICK,)))
        parts.append(Table((5, 2, 3, 0.7), ("weigh", "grams", "supplier lot", "done"), tuple(rows), right=(1,)))
    return lay_out_document(f"Weigh sheet: {name}", parts, page, foot="Weigh the finished batch and correct the recipe's losses with what you found.")


def shown_mass(grams: float) -> str:
    """A mass as a kitchen scale shows it."""
    return f"{grams:.0f} g" if grams >= 100 else f"{grams:.1f} g" if grams >= 1 else f"{grams:.2f} g"
