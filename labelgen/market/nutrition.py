"""Panel rows of a per-serving market: legal order and names, declared text, percent, and what is not known.

Policy: every mandatory row is printed. ``show: [shortest panel]`` leaves out the rows the law lets go and
names them in one "Not a significant source of" statement.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from labelgen.errors import CompositionError, Finding
from labelgen.formulation.records import Amounts, NutrientProfile
from labelgen.market.energy import Energy, count_energy, energy_method
from labelgen.market.pack import Entry, Pack
from labelgen.market.records import Column, Panel, Row
from labelgen.market.rounding import declare_amount, declare_percent
from labelgen.market.serving import declare_serving
from labelgen.nutrients import UNITS, key_of
from labelgen.recipe.models import Product

#: What a maker writes under ``show:`` to leave out what may be left out.
SHORTEST = "shortest panel"
_ENERGY = "ENERC"
#: A figure known for this fraction of the mass is known for all of it: the rest is binary dust.
_KNOWN = 1 - 1e-9
_MICROGRAMS = {"g": 1e6, "mg": 1e3, "ug": 1.0, "mcg": 1.0}


def declare_panel(pack: Pack, product: Product, profile: NutrientProfile) -> tuple[Panel, tuple[Finding, ...]]:
    """The nutrition panel and every doubt about it."""
    serving, findings = declare_serving(pack, product, profile)
    found = list(findings)
    entries, unknown_words = _rows_asked(pack, product, profile.pack)
    found += unknown_words
    rows = declare_rows(pack, entries, profile.pack.per(serving.grams))
    for entry, row in zip(entries, rows):
        found += _doubts(entry, row, product, profile)
    entries = [e for e, row in zip(entries, rows) if row.robust or row.covered >= _KNOWN or _must_stand(e, product)]
    keys = {e.key for e in entries}
    entries = [e for e in entries if keys.issuperset(e.get("together", ()))]
    rows = tuple(row for row in rows if row.key in {e.key for e in entries})
    columns = [Column(pack.text("panel", "per_serving") if serving.extra else "", serving.grams, rows)]
    for heading, grams in serving.extra:
        columns.append(Column(heading, grams, declare_rows(pack, entries, profile.pack.per(grams))))
    foot: tuple[str, ...] = ()
    if SHORTEST in product.show:
        columns, foot = leave_out_insignificant(pack, columns, product.claims)
    method = energy_method(pack, profile.pack)
    found += _other_method(pack, method, profile.pack.per(serving.grams), product)
    if product.pdcaas is not None:
        columns = [replace(c, rows=_with_protein_percent(pack, c.rows, product.pdcaas)) for c in columns]
    words = {k: pack.text("panel", k) for k in ("title", "footnote", "percent_heading", "amount_heading")}
    panel = Panel(
        words["title"], serving, tuple(columns), foot, words["footnote"], method["title"], words["percent_heading"],
        "" if serving.extra else words["amount_heading"],
    )
    return panel, tuple(found)


def declare_rows(pack: Pack, entries: Sequence[Entry], amounts: Amounts) -> tuple[Row, ...]:
    """The rows of one column for an amount of food."""
    energy = count_energy(energy_method(pack, amounts), amounts)
    return tuple(_row(pack, entry, amounts, energy) for entry in entries)


def leave_out_insignificant(pack: Pack, columns: Sequence[Column], claims: Sequence[str]) -> tuple[list[Column], tuple[str, ...]]:
    """The columns without the rows that may give way in every column, and the statement that replaces them."""
    gone = [
        entry for entry in pack.entries("nutrients")
        if entry.get("omit_name") and not _claimed(entry, claims) and all(_insignificant(pack, entry, c.rows) for c in columns)
    ]  # fmt: skip
    if not gone:
        return list(columns), ()
    keys = {entry.key for entry in gone}
    kept = [replace(c, rows=tuple(r for r in c.rows if r.key not in keys)) for c in columns]
    names = [entry["omit_name"] for entry in gone]
    last = pack.text("panel", "not_significant_or")
    listed = names[0] if len(names) == 1 else f"{', '.join(names[:-1])}{last}{names[-1]}"
    return kept, (pack.text("panel", "not_significant").replace("{nutrients}", listed),)


def _insignificant(pack: Pack, entry: Entry, rows: Sequence[Row]) -> bool:
    judged = next((r for r in rows if r.key == entry.get("omit_by", entry.key)), None)
    if judged is None or judged.high is None:
        return False
    if "omit_below" in entry.values:
        return judged.high < float(entry["omit_below"])
    limit = entry["omit_below_percent"] * pack.entry("daily_values", entry.key)["amount"] / 100
    return judged.high < float(limit)


def _claimed(entry: Entry, claims: Sequence[str]) -> bool:
    return any(word in claim.lower() for claim in claims for word in entry.get("claim_words", ()))


def _rows_asked(pack: Pack, product: Product, amounts: Amounts) -> tuple[list[Entry], list[Finding]]:
    """Mandatory rows, those asked for, those a claim calls for, and those that must accompany them, in legal order."""
    entries = {e.key: e for e in pack.entries("nutrients")}
    wanted = {e.key for e in entries.values() if e["status"] == "mandatory"}
    found = []
    for word in product.show:
        if word == SHORTEST:
            continue
        key = word.strip().lower().replace(" ", "_")
        if key not in entries:
            try:
                tag = key_of(word)
            except CompositionError as error:
                found.append(Finding("show-unknown", "warn", product.where, f"{product.key}: 'show: {word}': {error}"))
                continue
            key = next((e.key for e in entries.values() if e["tag"] == tag), "")
        if key:
            wanted.add(key)
        else:
            found.append(Finding("show-not-allowed", "warn", product.where, f"{product.key}: 'show: {word}': the panel of market {pack.market!r} has no such row, and nothing else may stand in it: remove the word", pack.entry("panel", "title").source))
    for entry in entries.values():
        if _claimed(entry, product.claims) and amounts.get(entry["tag"])[1] > 0:
            wanted.add(entry.key)
    wanted |= {other for key in tuple(wanted) for other in entries[key].get("together", ())}
    return [e for e in entries.values() if e.key in wanted], found


def _must_stand(entry: Entry, product: Product) -> bool:
    return entry["status"] == "mandatory" or _claimed(entry, product.claims)


def _figures(entry: Entry, amounts: Amounts, energy: Energy) -> tuple[tuple[float, float, float], float]:
    """(low, value, high) of a row in its tag's unit, and the fraction of the mass known."""
    tag = entry["tag"]
    if tag == _ENERGY:
        return energy.figures, energy.covered
    low, value, high = amounts.get(tag)
    for part in entry.get("less", ()):
        off = amounts.get(part)[1]
        if not math.isnan(off):
            low, value, high = (x - off for x in (low, value, high))
    cap = entry.get("capped_by")
    if cap:
        low, value, high = (x if math.isnan(y) else min(x, y) for x, y in zip((low, value, high), amounts.get(cap)))
    # max() would turn an unknown (NaN) into a zero
    return tuple(0.0 if x < 0 else x for x in (low, value, high)), amounts.coverage(tag)


def _row(pack: Pack, entry: Entry, amounts: Amounts, energy: Energy) -> Row:
    figures, covered = _figures(entry, amounts, energy)
    low, value, high = (x if math.isfinite(x) else None for x in figures)
    texts = {_texts(pack, entry, x) for x in (low, high) if x is not None}
    robust = high is not None and len(texts) == 1
    best = low if value is None and robust else value
    declared, percent = ("", "") if best is None else _texts(pack, entry, best)
    robust = robust and texts == {(declared, percent)}
    unit = "kcal" if entry["tag"] == _ENERGY else UNITS[entry["tag"]]
    return Row(
        entry.key, entry["tag"], _label(entry, amounts), declared, percent, int(entry["indent"]), entry["bold"], unit,
        low, value, high, robust, covered, entry["group"], entry.source,
    )  # fmt: skip


def _texts(pack: Pack, entry: Entry, amount: float) -> tuple[str, str]:
    """(declared, percent) of an amount in the tag's unit; 0% stands beside an amount declared as 0."""
    own = "kcal" if entry["tag"] == _ENERGY else UNITS[entry["tag"]]
    declared = declare_amount(pack, entry["rule"], _converted(amount, own, pack.entry("rounding", entry["rule"])["unit"]))
    text = f"{declared.text} {entry['unit_name']}" if entry.get("unit_name") else declared.text
    if not entry["percent"]:
        return text, ""
    amount = 0.0 if declared.value == 0 else _converted(amount, own, pack.entry("daily_values", entry.key)["unit"])
    return text, declare_percent(pack, entry.key, amount).text


def _converted(amount: float, unit: str, wanted: str) -> float:
    if unit == wanted or unit not in _MICROGRAMS:
        return amount
    return amount * _MICROGRAMS[unit] / _MICROGRAMS[wanted.split()[0]]


def _label(entry: Entry, amounts: Amounts) -> str:
    """The row's name; for sugar alcohols the specific name when the food holds only that one."""
    single = entry.get("single", {})
    total = amounts.get(entry["tag"])[1] if single else 0.0
    held = {k: amounts.get(k)[1] for k in single if amounts.get(k)[1] > 0}
    if len(held) == 1 and (known := next(iter(held.items())))[1] >= 0.999 * total:
        return single[known[0]]
    return entry["label"]


def _with_protein_percent(pack: Pack, rows: Sequence[Row], pdcaas: float) -> tuple[Row, ...]:
    """Protein's percent, of grams corrected by the digestibility score (0..1); never of plain grams."""
    score = min(1.0, max(0.0, pdcaas))
    return tuple(
        replace(r, percent=declare_percent(pack, "protein_corrected", r.value * score).text) if r.tag == "PROCNT" and r.value is not None else r
        for r in rows
    )


def _doubts(entry: Entry, row: Row, product: Product, profile: NutrientProfile) -> list[Finding]:
    """A row resting on missing data: which ingredients lack the figure, and whether the printed text could change."""
    if row.covered >= _KNOWN or row.tag == _ENERGY:
        return []
    lacking = sorted({i.ingredient.name for i in profile.ingoing if i.amounts.coverage(row.tag) < _KNOWN})
    name = row.label.replace("{amount} ", "")
    known = f"{product.key}: {name} per serving is known for {_share(row.covered)} of the weight"
    if row.robust:
        return [Finding("figure-missing", "note", product.where, f"{known}; it prints as {row.declared} whatever the rest holds. The figure is missing for {', '.join(lacking)}", entry.source)]
    bound = "has no upper bound" if row.high is None else f"lies anywhere from {row.low:.3g} to {row.high:.3g} {row.unit}"
    severity, left = ("block", "it cannot be printed") if _must_stand(entry, product) else ("warn", "the voluntary row is left out")
    return [Finding("figure-missing", severity, product.where, f"{known} and {bound}, so {left}: add the figure per 100 g under 'nutrients:' of {', '.join(lacking)}, from the supplier's specification", entry.source)]


def _share(covered: float) -> str:
    """A fraction as a percentage that never rounds up to 100."""
    return f"{math.floor(1000 * covered) / 10:g} %"


def _other_method(pack: Pack, method: Entry, amounts: Amounts, product: Product) -> list[Finding]:
    """What the other lawful method would give, when it is not the default that was used."""
    default = pack.entries("energy")[0]
    if method.key == default.key:
        return []
    used, other = count_energy(method, amounts).value, count_energy(default, amounts).value
    return [Finding("energy-method", "note", product.where, f"{product.key}: calories by {method['title']}: {used:.1f} kcal per serving; by {default['title']} they would be {other:.1f} kcal. Both are lawful; the first is printed", method.source)]
