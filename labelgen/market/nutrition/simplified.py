"""The simplified panel: what may stand aside when most of the mandatory figures are declared as zero.

21 CFR 101.9(f); Food and Drug Regulations B.01.401(6). A row counts as insignificant only if it prints as
zero whatever the missing data hold.
"""

from __future__ import annotations

import re
from collections.abc import Sequence

from labelgen.law.figure_tables import Nutrient, Simplified
from labelgen.law.pack import Pack
from labelgen.market.declaration_records import Column, Row

_ZERO = re.compile(r"0\D*")


def simplified_away(pack: Pack, columns: Sequence[Column]) -> dict[str, str]:
    """Row key -> its name in the "Not a significant source of" statement, for each row that may stand
    aside; {} when the simplified panel may not be used. A percentage of several rows together goes with
    the last of them.
    """
    entry = pack.find(Simplified, "insignificant") if pack.has(Simplified) else None
    if entry is None:
        return {}
    slight = {key for key in entry.of if all(_slight(entry, key, column.rows) for column in columns)}
    if len(slight) < entry.value:
        return {}
    for group in entry.as_one:
        slight -= set() if slight.issuperset(group) else set(group)
    named = {e.key: e.omit_name for e in pack.entries(Nutrient)} | dict(entry.names)
    gone = {key: named[key] for key in named if key in slight and key not in entry.always}
    return gone | {follower: "" for follower, rows in entry.with_.items() if set(rows) <= set(gone)}


def _slight(entry: Simplified, key: str, rows: Sequence[Row]) -> bool:
    row = next((r for r in rows if r.key == key), None)
    if row is None:
        return False
    if key in entry.below:
        return row.high is not None and row.high < float(entry.below[key])
    return row.robust and _ZERO.fullmatch(row.declared) is not None
