"""One panel for the foods of an assortment, a column for each, 21 CFR 101.9(h)(2)."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from labelgen.market.declaration_records import Panel


def aggregate_panel(foods: Sequence[tuple[str, Panel]]) -> Panel | None:
    """The panels of named foods as one, its columns headed by their names; None where their rows differ or
    one has a second column, so that each needs a panel of its own. Percentages, serving sizes and servings
    stay those of each food.
    """
    first = foods[0][1]
    rows = [[(r.key, r.label) for r in panel.columns[0].rows] for _, panel in foods]
    if (
        any(len(panel.columns) > 1 for _, panel in foods)
        or any(r != rows[0] for r in rows)
        or any(panel.foot != first.foot for _, panel in foods)
    ):
        return None
    columns = tuple(replace(panel.columns[0], heading=name, serving=panel.serving) for name, panel in foods)
    return replace(first, columns=columns)
