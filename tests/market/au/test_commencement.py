"""The day before and the day of each commencement in Australian and New Zealand law."""

from datetime import date, timedelta

import pytest

from labelgen.errors import RuleError
from labelgen.law.label_tables import AllergenRule, AskedOf
from labelgen.law.pack import Pack
from labelgen.law.tables import TABLES

DAY = timedelta(days=1)


@pytest.mark.parametrize(
    "market, table, key, start",
    [
        # the Code as gazetted in 2015, in force from 1 March 2016; Schedule 9 in plain English from 25
        # February 2021
        *((m, "nutrients", "energy", date(2016, 3, 1)) for m in ("au", "nz")),
        *((m, "rounding", "fat", date(2016, 3, 1)) for m in ("au", "nz")),
        *((m, "advisories", "laxative_lower", date(2016, 3, 1)) for m in ("au", "nz")),
        *((m, "allergens", "lupin", date(2021, 2, 25)) for m in ("au", "nz")),
        # Country of Origin Food Labelling Information Standard 2016; National Trade Measurement Regulations
        # 2009
        ("au", "asked", "country_of_origin", date(2016, 7, 1)),
        ("au", "net_quantity", "metric_digits", date(2009, 7, 1)),
        # New Zealand: origin of fresh food 12 February 2022, folic acid in flour for bread 14 August 2021
        # (both from memory)
        ("nz", "asked", "origin_of_fresh_food", date(2022, 2, 12)),
        ("nz", "asked", "folic_acid", date(2021, 8, 14)),
    ],
)
def test_nothing_before_the_first_day(market, table, key, start):
    try:
        before = Pack(market, start - DAY).find(TABLES[table], key)
    except RuleError:
        before = None
    assert before is None and Pack(market, start).entry(TABLES[table], key).effective == start


def test_between_the_end_of_the_old_allergen_form_and_today():
    """25 February 2024: compulsory for newly packed food."""
    entry = Pack("au", date(2024, 2, 24)).entry(AllergenRule, "milk")
    assert (
        entry.mandatory == date(2024, 2, 25)
        and Pack("nz", date(2024, 2, 25)).entry(AllergenRule, "milk").name == "milk"
    )


def test_origin_was_optional_for_two_years():
    assert Pack("au", date(2018, 6, 30)).entry(AskedOf, "country_of_origin").mandatory == date(2018, 7, 1)
