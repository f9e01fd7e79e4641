"""The rows of one panel column: a market's meaning of each nutrient, its declared text and its percentage.

Where markets mean different things by one word, the difference is here, from data: ``less`` takes keys off a
tag (carbohydrate without fibre), ``times`` turns one into another (sodium into salt), the rule's unit names
the energy.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from labelgen.composition.bounds import BOUNDED
from labelgen.formulation.batch_records import Amounts
from labelgen.law.figure_tables import DailyValue, Nutrient
from labelgen.law.pack import Pack
from labelgen.law.rounding import declare_amount, declare_percent, row_unit, with_decimal_mark
from labelgen.market.declaration_records import Row
from labelgen.market.nutrition.energy import energy_of
from labelgen.market.nutrition.free_of import rule_of
from labelgen.nutrients import ENERGY, UNITS

_MICROGRAMS = {"g": 1e6, "mg": 1e3, "ug": 1.0, "mcg": 1.0}
#: Row groups, all of which may carry a percentage.
GROUPS = ("head", "main", "micro")

Figures = tuple[float, float, float]


def declare_rows(
    pack: Pack,
    entries: Sequence[Nutrient],
    amounts: Amounts,
    percent: Sequence[str] = GROUPS,
    judged: Amounts | None = None,
) -> tuple[Row, ...]:
    """The rows of one column for an amount of food. percent: the row groups that show a percentage in it.
    judged: the amount by which the food counts as free of a nutrient, where it is another one.
    """
    return tuple(_row(pack, entry, amounts, entry.group in percent, judged or amounts) for entry in entries)


def row_figures(pack: Pack, entry: Nutrient, amounts: Amounts) -> tuple[Figures, float]:
    """(low, value, high) of a row in its rule's unit, NaN or inf where unknown, and the fraction of the
    mass known.
    """
    tag, unit = entry.tag, row_unit(pack, entry)
    if tag == ENERGY:
        energy = energy_of(pack, amounts, unit)
        return energy.figures, energy.covered
    low, value, high = amounts.get(tag)
    covered = amounts.coverage(tag)
    if absent_unless_named(entry) and covered > 0:
        # market/nutrition/unstated.py stops what is named without a figure
        low, high, covered = value, value, 1.0
    for part in entry.less:
        least, best, most = amounts.get(part)
        if part in BOUNDED:
            low, value, high = low - most, value - best, high - least
            covered = min(covered, amounts.coverage(part))
        elif not math.isnan(best):
            low, value, high = low - best, value - best, high - best
    if cap := entry.capped_by:
        low, value, high = (
            x if math.isnan(y) else min(x, y) for x, y in zip((low, value, high), amounts.get(cap))
        )
    for part in entry.plus:
        low, value, high = (x + y for x, y in zip((low, value, high), amounts.get(part)))
        covered = min(covered, amounts.coverage(part))
    k = float(entry.times)
    # max() would turn an unknown (NaN) into a zero
    low, value, high = (converted(0.0 if x < 0 else x * k, UNITS[tag], unit) for x in (low, value, high))
    return (low, value, high), covered


def absent_unless_named(entry: Nutrient) -> bool:
    """Whether a food has none of a row's nutrient unless an ingredient states or names it: a polyol is
    there because somebody put it there.
    """
    return entry.when is not None or entry.absent_unless_named


def claimed(entry: Nutrient, claims: Sequence[str]) -> bool:
    """Whether a claim calls for a row by its words."""
    return any(word in claim.lower() for claim in claims for word in entry.claim_words)


def converted(amount: float, unit: str, wanted: str) -> float:
    """An amount in another mass unit; units that are no masses stay as they are."""
    if unit == wanted or unit not in _MICROGRAMS or wanted.split()[0] not in _MICROGRAMS:
        return amount
    return amount * _MICROGRAMS[unit] / _MICROGRAMS[wanted.split()[0]]


def _row(pack: Pack, entry: Nutrient, amounts: Amounts, with_percent: bool, judged: Amounts) -> Row:
    figures, covered = row_figures(pack, entry, amounts)
    low, value, high = (x if math.isfinite(x) else None for x in figures)
    rule = rule_of(pack, entry, judged)
    with_percent = with_percent and bool(entry.percent)
    texts = {_texts(pack, entry, rule, x, with_percent) for x in (low, high) if x is not None}
    robust = high is not None and len(texts) == 1
    best = low if value is None and robust else value
    declared, percent = ("", "") if best is None else _texts(pack, entry, rule, best, with_percent)
    robust = robust and texts == {(declared, percent)}
    spans = int(entry.spans)
    return Row(
        entry.key,
        entry.tag,
        _label(entry, amounts),
        "" if spans else declared,
        percent,
        int(entry.indent),
        entry.bold,
        row_unit(pack, entry).replace("mcg", "ug"),
        low,
        value,
        high,
        robust,
        covered,
        entry.group,
        entry.source,
        bool(entry.joined),
        spans,
    )


def _texts(pack: Pack, entry: Nutrient, rule: str, amount: float, with_percent: bool) -> tuple[str, str]:
    """(declared, percent) of an amount in the rule's unit; 0% stands beside an amount declared as 0."""
    declared = declare_amount(pack, rule, amount)
    shown = with_decimal_mark(pack, declared.text)
    text = f"{shown} {entry.unit_name}" if entry.unit_name else shown
    if not with_percent:
        return text, ""
    base = (
        0.0
        if declared.value == 0
        else converted(amount, row_unit(pack, entry), pack.entry(DailyValue, entry.key).unit)
    )
    percent = declare_percent(pack, entry.key, base).text
    if words := entry.percent_words:
        return f"{text} {words.replace('{percent}', percent)}", ""
    return text, percent


def _label(entry: Nutrient, amounts: Amounts) -> str:
    """The row's name; for polyols the specific name when the food holds only that one and the market wants
    it.
    """
    single = entry.single
    total = amounts.get(entry.tag)[1] if single else 0.0
    held = {k: amounts.get(k)[1] for k in single if amounts.get(k)[1] > 0}
    if len(held) == 1 and (known := next(iter(held.items())))[1] >= 0.999 * total:
        return single[known[0]]
    return entry.label
