"""What the figures of a packet's panel are for: its serving or 100 g, and which of two columns is read."""

from __future__ import annotations

import re
from collections.abc import Sequence
from decimal import Decimal

from labelgen.composition.ingredient_records import Portion
from labelgen.composition.portions import grams_in
from labelgen.errors import CompositionError, Finding, RuleError, UnitError
from labelgen.findings import find
from labelgen.law.figure_tables import ColumnRule, Rounding
from labelgen.law.pack import Pack
from labelgen.law.rounding import interval
from labelgen.nutrients import ENERGY, key_of
from labelgen.quantity import read_number
from labelgen.recipe.models import INSIGNIFICANT, PanelText

#: What stands between the columns of a panel.
BETWEEN = " | "
#: How far the energies of two columns may be from what the serving makes of them [relative].
_APART = 0.15


def of_panel(name: str, *field: str) -> dict[str, str]:
    """What findings on an ingredient's panel have in common."""
    return {"path": ".".join(("ingredients", name, "panel", *field)), "ingredient": name}


def has_100g(pack: Pack) -> bool:
    """Whether every panel of a market has a column for 100 g."""
    return any(c.per == "100g" and c.status == "mandatory" for c in pack.entries(ColumnRule))


def in_one_column(name: str, pack: Pack, panel: PanelText, found: list[Finding]) -> PanelText:
    """A panel of two columns as that of its 100 g, where its market has such a column, else as its first. A
    figure that stands in one column only is told of and left out.
    """
    if not any(BETWEEN in printed.text for printed in panel.figures.values()):
        return panel
    try:
        column = _column_of_100g(panel, pack) if has_100g(pack) else 0
    except RuleError as error:
        found.append(
            find(
                "panel-figure",
                panel.where,
                **of_panel(name, "serving"),
                name="serving",
                fault=str(error),
            )
        )
        return panel.model_copy(update={"figures": {}})
    kept = {}
    for key, printed in panel.figures.items():
        texts = printed.text.split(BETWEEN)
        if len(texts) > column and (len(texts) > 1 or printed.text == INSIGNIFICANT):
            kept[key] = printed.model_copy(update={"text": texts[column]})
        else:
            fault = (
                f"{printed.text!r} stands in one column of a panel of two: write both, or one column of all"
            )
            place = of_panel(name, printed.name)
            found.append(find("panel-figure", printed.where, **place, name=printed.name, fault=fault))
    return panel.model_copy(update={"figures": kept, "serving": None if has_100g(pack) else panel.serving})


def _column_of_100g(panel: PanelText, pack: Pack) -> int:
    """Which column is for 100 g: by the energies and the serving, else by the order of the law. Raises
    RuleError where the energies fit neither.
    """
    usual = next(i for i, c in enumerate(pack.entries(ColumnRule)) if c.per == "100g")
    energies = next((_numbers(p.text) for p in panel.figures.values() if _is_energy(p.name)), ())
    if panel.serving is None or not panel.serving.grams or len(energies) != 2 or not all(energies):
        return usual
    times = 100 / panel.serving.grams
    for column in (usual, 1 - usual):
        if abs(energies[column] / energies[1 - column] / times - 1) <= _APART:
            return column
    raise RuleError(
        f"the energies {energies[0]:g} and {energies[1]:g} are not those of {panel.serving.text} and 100 g:"
        " compare the columns and the serving with the packet"
    )


def _numbers(text: str) -> tuple[float, ...]:
    try:
        return tuple(read_number(part)[0] for part in text.split(BETWEEN))
    except UnitError:
        return ()


def _is_energy(name: str) -> bool:
    try:
        return key_of(name) == ENERGY
    except CompositionError:
        return False


def serving_of(
    name: str, pack: Pack, panel: PanelText, portions: Sequence[Portion], country: str, found: list[Finding]
) -> tuple[float, float, float] | None:
    """(least, printed, most) grams the figures are for."""
    if has_100g(pack) and (panel.serving is None or panel.serving.grams == 100):
        return 100.0, 100.0, 100.0
    if panel.serving is None:
        found.append(find("panel-serving", panel.where, **of_panel(name, "serving")))
        return None
    if panel.serving.kind != "mass":
        try:
            grams = grams_in(panel.serving, portions, name, country)
        except UnitError as error:
            found.append(
                find("per-not-mass.of-panel", panel.where, **of_panel(name, "serving"), fault=str(error))
            )
            return None
        return grams, grams, grams
    grams, (number, unit) = panel.serving.grams, read_number(panel.serving.text)
    in_grams = unit.split()[:1] == ["g"]
    if in_grams and pack.find(Rounding, "serving_metric"):
        try:
            low, high = interval(pack, "serving_metric", f"{number:g} g")
            return float(low), grams, float(high)
        except RuleError:
            pass
    half = float(half_digit(panel.serving.text)) if in_grams else 0.5
    return grams - min(half, grams / 10), grams, grams + min(half, grams / 10)


def half_digit(text: str) -> Decimal:
    """Half of the last digit of the number a text starts with."""
    digits = re.match(r"\d+(?:\.(\d+))?", text.strip())
    return Decimal(5).scaleb(-len(digits[1] or "") - 1) if digits else Decimal(0)
