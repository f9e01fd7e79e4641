"""Between the day a rule comes into force and the day everybody must follow it, the older form is lawful too: said, not hidden."""

from __future__ import annotations

from datetime import date, timedelta

from labelgen.errors import Finding, Where
from labelgen.law.pack import Entry, Pack, read_table

#: How long after its rules were last compared with the law a label is drawn without a word about it.
_LATELY = timedelta(days=366)
#: The tables a label is made of, all of them read for any label.
_TABLES = ("nutrients", "rounding", "percent", "daily_values", "allergens", "statement", "panel")


def meanwhile(entry: Entry, on: date) -> str:
    """A sentence about a rule that is in force on a day but not yet compulsory; "" for any other."""
    if not (entry.in_force(on) and entry.mandatory and on < entry.mandatory):
        return ""
    return f" In force from {entry.effective}, compulsory from {entry.mandatory}: on {on} the form before it is lawful too."


def list_transitions(pack: Pack) -> tuple[Finding, ...]:
    """One note for each table and pair of days whose rules are in force on the pack's date but not yet compulsory; and a
    warning where the rules were last read long before it."""
    spans, read = {}, date.max
    for table in _TABLES:
        for entry in read_table(pack.market, table) if pack.has(table) else ():
            read = min(read, entry.reviewed)
            if meanwhile(entry, pack.on):
                spans.setdefault((table, entry.effective, entry.mandatory), entry)
    old = pack.on - read > _LATELY
    aged = (Finding("law-last-read", "warn", Where(f"market {pack.market}"), f"these rules were last compared with the law on {read}, more than a year before {pack.on}: ask your food authority what has changed since"),) if old else ()
    return aged + tuple(
        Finding("law-in-transition", "note", Where(f"market {pack.market}"), f"rules of {table} are in force from {effective} and compulsory from {mandatory}: on {pack.on} the form before them is lawful too. The newer form is printed", entry.source)
        for (table, effective, mandatory), entry in spans.items()
    )  # fmt: skip
