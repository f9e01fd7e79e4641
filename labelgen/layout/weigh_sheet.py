"""The weigh sheet: what to weigh for a batch, stage by stage, with boxes to tick."""

from __future__ import annotations

from collections.abc import Sequence
from decimal import Decimal

from labelgen.formulation.scaling import ScaledStage
from labelgen.layout.boxes import PageLayout
from labelgen.layout.document import TICK, Table, Text, lay_out_document, plain

#: Lighter than this, a usual kitchen scale shows nothing that can be trusted [g].
_FINE = 0.5


def lay_out_weigh_sheet(
    name: str,
    batch: str,
    stages: Sequence[ScaledStage],
    page: str,
    allergens: str = "",
    supplier_lots: dict[str, str] | None = None,
) -> tuple[PageLayout, ...]:
    """Pages of a weigh sheet. batch: how much this is for, in words. Masses as ``shown_mass`` gives them."""
    parts: list[Text | Table] = [
        Text(plain(batch)),
        Text(plain("made on ____________   lot ____________   weighed by ____________")),
    ]
    if allergens:
        parts.append(Text(plain(allergens, bold=True)))
    for stage in stages:
        parts.append(Text(plain(stage.formulation.replace("-", " "), bold=True), "heading"))
        rows = []
        for part, grams, inner in stage.inputs:
            from_stage = f"{part.replace('-', ' ')} (from above)" if inner else part.replace("-", " ")
            rows.append(
                (
                    plain(from_stage),
                    plain(shown_mass(grams)),
                    plain((supplier_lots or {}).get(part, "")),
                    (TICK,),
                )
            )
        whole = sum(g for _, g, _ in stage.inputs)
        rows.append(
            (
                plain("in all", bold=True),
                plain(shown_mass(whole), bold=True),
                plain(_divided(whole, stage.pieces)),
                (),
            )
        )
        fat, taken = stage.taken_up
        if fat:
            rows.append(
                (
                    plain(f"{fat.replace('-', ' ')} taken up in the heat"),
                    plain(shown_mass(taken)),
                    plain((supplier_lots or {}).get(fat, "")),
                    (TICK,),
                )
            )
        verb = f"after {stage.method}" if stage.method and stage.method != "none" else "should weigh"
        rows.append(
            (
                plain(verb),
                plain(shown_mass(stage.output)),
                plain(", ".join(x for x in (_divided(stage.output, stage.pieces), "weighed: ______ g") if x)),
                (TICK,),
            )
        )
        parts.append(
            Table((4, 2, 4, 0.7), ("weigh", "grams", "supplier lot", "done"), tuple(rows), right=(1,))
        )
    if any(0 < g < _FINE for stage in stages for _, g, _ in stage.inputs):
        parts.append(
            Text(
                plain(
                    f"Less than {_FINE:g} g needs a scale that shows hundredths of a gram or finer:"
                    " otherwise weigh a larger batch."
                )
            )
        )
    return lay_out_document(
        f"Weigh sheet: {name}",
        parts,
        page,
        foot="Weigh the finished batch and correct the recipe's losses with what you found.",
    )


def shown_mass(grams: float) -> str:
    """A mass as a scale shows it: whole grams from 100 g, tenths from 1 g, hundredths from 0.1 g, below
    that two figures that count. Thousands stand apart from 10 000 g (a comma or point would be read as a
    decimal mark somewhere).
    """
    if round(grams, 1) >= 100:
        return f"{grams:,.0f}".replace(",", "\u00a0" if round(grams) >= 10_000 else "") + " g"
    if round(grams, 2) >= 1:
        return f"{grams:.1f} g"
    if round(grams, 3) >= 0.1:
        return f"{grams:.2f} g"
    return f"{Decimal(f'{grams:.2g}'):f} g" if grams > 0 else "0 g"


def _divided(grams: float, pieces: float) -> str:
    """ "7 of 20.0 g", or "" where nothing is divided."""
    return f"{shown_count(pieces)} of {shown_mass(grams / pieces)}" if pieces else ""


def shown_count(number: float) -> str:
    """Packs or pieces: whole above a thousand, four figures below."""
    return f"{number:,.0f}".replace(",", "\u00a0") if number >= 1000 else f"{number:.4g}"
