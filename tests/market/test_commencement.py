"""Every commencement and every end in the data of every market: the day before, the day itself, the day
after.
"""

from datetime import date, timedelta

import pytest

from labelgen.errors import RuleError
from labelgen.law.pack import Pack, read_table
from labelgen.law.registry import markets
from labelgen.law.tables import TABLES
from labelgen.law.transition import list_transitions

DAY = timedelta(days=1)
WALK = [
    (m.code, table)
    for m in markets()
    for table in TABLES
    if Pack(m.code, date(2026, 11, 25)).has(TABLES[table])
]


def found(market, table, key, day):
    try:
        return Pack(market, day).find(TABLES[table], key)
    except RuleError:
        return None


@pytest.mark.parametrize("market, table", WALK)
def test_every_rule_begins_and_ends_on_its_days(market, table):
    for entry in read_table(market, TABLES[table]):
        assert found(market, table, entry.key, entry.effective) == entry
        assert found(market, table, entry.key, entry.effective - DAY) != entry
        if entry.until:
            assert found(market, table, entry.key, entry.until) == entry
            assert found(market, table, entry.key, entry.until + DAY) != entry
        if (
            entry.mandatory
            and entry.mandatory > entry.effective
            and (not entry.until or entry.mandatory <= entry.until)
        ):
            assert (
                found(market, table, entry.key, entry.mandatory - DAY)
                == found(market, table, entry.key, entry.mandatory)
                == entry
            )


@pytest.mark.parametrize("market", [m.code for m in markets()])
def test_both_forms_are_told_lawful_on_the_days_between_and_only_then(market):
    spans = {
        (e.effective, e.mandatory)
        for t in ("nutrients", "allergens")
        for e in read_table(market, TABLES[t])
        if e.mandatory and e.mandatory > e.effective
    }
    for effective, mandatory in spans:
        told = f"in force from {effective} and compulsory from {mandatory}"
        on = {
            day: any(told in f.message for f in list_transitions(Pack(market, day)))
            for day in (effective - DAY, effective, mandatory - DAY, mandatory)
        }
        assert list(on.values()) == [False, True, True, False]
