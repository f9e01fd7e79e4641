"""Between the day a rule comes into force and the day everybody must follow it, the older form is lawful
too: said, not hidden.
"""

from __future__ import annotations

from datetime import date, timedelta

from labelgen.errors import Finding, Where
from labelgen.findings import find
from labelgen.law.entry import Entry
from labelgen.law.figure_tables import DailyValue, Nutrient, PanelText, Percent, Rounding
from labelgen.law.label_tables import AllergenRule, Statement
from labelgen.law.pack import Pack, read_table

#: How long after its rules were last compared with the law a label is drawn without a word about it.
_LATELY = timedelta(days=366)
#: The tables a label is made of, all of them read for any label.
_TABLES: tuple[type[Entry], ...] = (
    Nutrient,
    Rounding,
    Percent,
    DailyValue,
    AllergenRule,
    Statement,
    PanelText,
)


def meanwhile(entry: Entry, on: date) -> str:
    """A sentence about a rule that is in force on a day but not yet compulsory; "" for any other."""
    if not (entry.in_force(on) and entry.mandatory and on < entry.mandatory):
        return ""
    return (
        f" In force from {entry.effective}, compulsory from {entry.mandatory}: on {on} the form before it"
        " is lawful too."
    )


def list_transitions(pack: Pack) -> tuple[Finding, ...]:
    """One note for each table and pair of days whose rules are in force on the pack's date but not yet
    compulsory; and a warning where the rules were last read long before it.
    """
    spans: dict[tuple[str, date, date | None], Entry] = {}
    read = date.max
    for table in _TABLES:
        for entry in read_table(pack.market, table) if pack.has(table) else ():
            read = min(read, entry.reviewed)
            if meanwhile(entry, pack.on):
                spans.setdefault((table.table, entry.effective, entry.mandatory), entry)
    old = pack.on - read > _LATELY
    found = [find("law-last-read", Where(f"market {pack.market}"), read=read, on=pack.on)] if old else []
    found += [
        find(
            "law-in-transition",
            Where(f"market {pack.market}"),
            cites=entry.source,
            table=table,
            effective=effective,
            mandatory=mandatory,
            on=pack.on,
        )
        for (table, effective, mandatory), entry in spans.items()
    ]
    return tuple(found)
