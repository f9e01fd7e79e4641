"""The rows of one panel column: a market's meaning of each nutrient, its declared text and its percentage.

Where markets mean different things by one word, the difference is here, from data: ``less`` takes keys off a tag
(carbohydrate without fibre), ``times`` turns one into another (sodium into salt), the rule's unit names the energy.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from labelgen.formulation.records import Amounts
from labelgen.market.energy import BOUNDED, energy_of
from labelgen.market.pack import Entry, Pack
from labelgen.market.records import Row
from labelgen.market.rounding import declare_amount, declare_percent
from labelgen.nutrients import UNITS

ENERGY = "ENERC"
_MICROGRAMS = {"g": 1e6, "mg": 1e3, "ug": 1.0, "mcg": 1.0}
#: Row groups, all of which may carry a percentage.
GROUPS = ("head", "main", "micro")

Figures = tuple[float, float, float]


def declare_rows(pack: Pack, entries: Sequence[Entry], amounts: Amounts, percent: Sequence[str] = GROUPS) -> tuple[Row, ...]:
    """The rows of one column for an amount of food. percent: the row groups that show a percentage in it."""
    return tuple(_row(pack, entry, amounts, entry["group"] in percent) for entry in entries)


def row_figures(pack: Pack, entry: Entry, amounts: Amounts) -> tuple[Figures, float]:
    """(low, value, high) of a row in its rule's unit, NaN or inf where unknown, and the fraction of the mass known."""
    tag, unit = entry["tag"], row_unit(pack, entry)
    if tag == ENERGY:
        energy = energy_of(pack, amounts, unit)
        return energy.figures, energy.covered
    low, value, high = amounts.get(tag)
    covered = amounts.coverage(tag)
    for part in entry.get("less", ()):
        least, best, most = amounts.get(part)
        if part in BOUNDED:
            low, value, high = low - most, value - best, high - least
            covered = min(covered, amounts.coverage(part))
        elif not math.isnan(best):
            low, value, high = low - best, value - best, high - best
    if cap := entry.get("capped_by"):
        low, value, high = (x if math.isnan(y) else min(x, y) for x, y in zip((low, value, high), amounts.get(cap)))
    k = float(entry.get("times", 1))
    # max() would turn an unknown (NaN) into a zero
    low, value, high = (converted(0.0 if x < 0 else x * k, UNITS[tag], unit) for x in (low, value, high))
    return (low, value, high), covered


def row_unit(pack: Pack, entry: Entry) -> str:
    """The unit a row's figures are in: its rule's."""
    return pack.entry("rounding", entry["rule"])["unit"]


def converted(amount: float, unit: str, wanted: str) -> float:
    """An amount in another mass unit; units that are no masses stay as they are."""
    if unit == wanted or unit not in _MICROGRAMS:
        return amount
    return amount * _MICROGRAMS[unit] / _MICROGRAMS[wanted.split()[0]]


def _row(pack: Pack, entry: Entry, amounts: Amounts, with_percent: bool) -> Row:
    figures, covered = row_figures(pack, entry, amounts)
    low, value, high = (x if math.isfinite(x) else None for x in figures)
    share = (lambda n: _share_amount(pack, entry, amounts, figures[n], n)) if with_percent and entry.get("percent") else None
    texts = {_texts(pack, entry, x, share and share(n)) for n, x in ((0, low), (2, high)) if x is not None}
    robust = high is not None and len(texts) == 1
    best, end = (low, 0) if value is None and robust else (value, 1)
    declared, percent = ("", "") if best is None else _texts(pack, entry, best, share and share(end))
    robust = robust and texts == {(declared, percent)}
    return Row(
        entry.key, entry["tag"], _label(entry, amounts), declared, percent, int(entry["indent"]), entry["bold"],
        row_unit(pack, entry).replace("mcg", "ug"), low, value, high, robust, covered, entry["group"], entry.source,
        bool(entry.get("joined")),
    )  # fmt: skip


def _share_amount(pack: Pack, entry: Entry, amounts: Amounts, own: float, end: int) -> float:
    """The amount a percentage is taken of: the row's own, or several tags together. end: 0 low, 1 best, 2 high."""
    tags = entry.get("percent_tags")
    if not tags:
        return own
    unit = row_unit(pack, entry)
    parts = (converted(amounts.get(tag)[end], UNITS[tag], unit) for tag in tags)
    return sum(0.0 if math.isnan(x) else x for x in parts)


def _texts(pack: Pack, entry: Entry, amount: float, share: float | None) -> tuple[str, str]:
    """(declared, percent) of an amount in the rule's unit; 0% stands beside an amount declared as 0."""
    declared = declare_amount(pack, entry["rule"], amount)
    text = f"{declared.text} {entry['unit_name']}" if entry.get("unit_name") else declared.text
    if share is None or not math.isfinite(share):
        return text, ""
    key = entry.get("percent_key", entry.key)
    base = 0.0 if declared.value == 0 and not entry.get("percent_tags") else converted(share, row_unit(pack, entry), pack.entry("daily_values", key)["unit"])
    percent = declare_percent(pack, key, base).text
    if words := entry.get("percent_words"):
        return f"{text} {words.replace('{percent}', percent)}", ""
    return text, percent


def _label(entry: Entry, amounts: Amounts) -> str:
    """The row's name; for polyols the specific name when the food holds only that one and the market wants it."""
    single = entry.get("single", {})
    total = amounts.get(entry["tag"])[1] if single else 0.0
    held = {k: amounts.get(k)[1] for k in single if amounts.get(k)[1] > 0}
    if len(held) == 1 and (known := next(iter(held.items())))[1] >= 0.999 * total:
        return single[known[0]]
    return entry["label"]
