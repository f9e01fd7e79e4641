"""The days on which Canadian rules begin: the day before and the day itself.

Food and Drug Regulations: allergen and gluten labelling of 4 August 2012; nutrition labelling of 14 December
2016, compulsory five years later (from memory); Safe Food for Canadians Regulations of 15 January 2019 (from
memory).
"""

from datetime import date, timedelta

import pytest

from labelgen.errors import RuleError
from labelgen.law.pack import read_pack, read_table
from labelgen.law.tables import TABLES
from labelgen.law.transition import list_transitions

DAY = timedelta(days=1)


@pytest.mark.parametrize(
    "table, first",
    [
        ("allergens", date(2012, 8, 4)),
        ("dates", date(2012, 8, 4)),
        ("nutrients", date(2016, 12, 14)),
        ("rounding", date(2016, 12, 14)),
        ("daily_values", date(2016, 12, 14)),
        ("statement", date(2016, 12, 14)),
        ("net_quantity", date(2019, 1, 15)),
        ("nutrition_symbol", date(2022, 7, 20)),
    ],
)
def test_first_day_of_a_table(table, first):
    with pytest.raises(RuleError, match=str(first)):
        read_pack("ca", first - DAY).entries(TABLES[table])
    assert read_pack("ca", first).entries(TABLES[table])


def test_five_years_of_transition_are_told():
    def told(day):
        return {f.message.split()[2] for f in list_transitions(read_pack("ca", day))}

    assert {"nutrients", "rounding", "statement"} <= told(date(2021, 12, 13))
    assert not {"nutrients", "rounding", "statement"} & told(date(2021, 12, 14))
    assert told(date(2022, 10, 20)) >= {"daily_values"} == told(date(2025, 12, 31)) & {
        "daily_values"
    } and "daily_values" not in told(date(2026, 1, 1))


def test_every_day_of_commencement_stands_in_the_tables():
    """Nothing else begins or becomes compulsory: a new date in the tables asks for a line here."""
    days = {
        d
        for t in (
            "nutrients",
            "rounding",
            "percent",
            "daily_values",
            "statement",
            "net_quantity",
            "nutrition_symbol",
            "exemptions",
            "letter_heights",
            "dates",
            "allergens",
            "energy",
            "claims",
        )
        for e in read_table("ca", TABLES[t])
        for d in (e.effective, e.mandatory)
        if d
    }
    assert days == {
        date(2012, 8, 4),
        date(2016, 12, 14),
        date(2019, 1, 15),
        date(2021, 12, 14),
        date(2022, 7, 20),
        date(2022, 10, 20),
        date(2026, 1, 1),
    }
