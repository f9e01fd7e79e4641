"""Panel rows of a per-serving market: legal order and names, declared text, percent, and what is not known."""

from __future__ import annotations

import math

from labelgen.errors import Finding
from labelgen.formulation.records import NutrientProfile
from labelgen.market.energy import energy, energy_method
from labelgen.market.pack import Entry, Pack
from labelgen.market.records import Column, Panel, Row
from labelgen.market.rounding import declare_amount, declare_percent
from labelgen.market.serving import declare_serving
from labelgen.nutrients import UNITS, key_of
from labelgen.recipe.models import Product


def declare_panel(pack: Pack, product: Product, profile: NutrientProfile) -> tuple[Panel, tuple[Finding, ...]]:
    """The nutrition panel and every doubt about it."""
    serving, findings = declare_serving(pack, product, profile)
    found = list(findings)
    amounts = profile.pack.per(serving.grams)
    method = energy_method(pack, profile.pack)
    asked = {key_of(word) for word in product.show}
    rows = []
    for entry in pack.entries("nutrients"):
        if entry["status"] != "mandatory" and entry["tag"] not in asked:
            continue
        figures = energy(method, amounts) if entry["tag"] == "ENERC" else amounts.get(entry["tag"])
        coverage = min(amounts.coverage(k) for k in ("FAT", "CHOCDF", "PROCNT")) if entry["tag"] == "ENERC" else amounts.coverage(entry["tag"])
        cap = entry.get("capped_by")
        if cap:
            limit = amounts.get(cap)
            figures = tuple(min(x, y) if x == x and y == y else x for x, y in zip(figures, limit))
        row = _row(pack, entry, figures, coverage)
        rows.append(row)
        found += _doubts(entry, row, product, profile)
    words = {k: pack.text("panel", k) for k in ("title", "footnote", "percent_heading", "amount_heading")}
    panel = Panel(words["title"], serving, (Column("", serving.grams, tuple(rows)),), (), words["footnote"], method["title"], words["percent_heading"], words["amount_heading"])
    return panel, tuple(found)


def _row(pack: Pack, entry: Entry, figures: tuple[float, float, float], coverage: float) -> Row:
    low, value, high = (None if not math.isfinite(x) else float(x) for x in figures)
    declared = percent = ""
    if value is not None:
        declared = declare_amount(pack, entry["rule"], max(0.0, value)).text
        if entry.get("percent"):
            percent = declare_percent(pack, entry.key, max(0.0, value)).text
    ends = [declare_amount(pack, entry["rule"], max(0.0, x)).text for x in (low, high) if x is not None]
    robust = value is not None and high is not None and set(ends) == {declared}
    unit = "kcal" if entry["tag"] == "ENERC" else UNITS[entry["tag"]]
    return Row(entry.key, entry["tag"], entry["label"], declared, percent, int(entry["indent"]), entry["bold"], unit, low, value, high, robust, coverage, entry["group"], entry.source)


def _doubts(entry: Entry, row: Row, product: Product, profile: NutrientProfile) -> list[Finding]:
    """A row resting on missing data: which ingredients lack the figure, and whether the printed text could change."""
    if row.covered >= 1 or row.tag == "ENERC":
        return []
    lacking = sorted({i.ingredient.name for i in profile.ingoing if not i.amounts.coverage(row.tag)})
    severity = "note" if row.robust else "block"
    bound = "no upper bound" if row.high is None else f"anywhere from {row.low:.2f} to {row.high:.2f} {row.unit}"
    return [Finding("figure-missing", severity, product.where, f"{product.key}: {entry['label'].replace('{amount} ', '')} per serving is known for {100 * row.covered:.0f} % of the weight ({bound}): add the figure to {', '.join(lacking)}", entry.source)]
