"""The days between commencement and the end of a transition, on both sides of each."""

from datetime import date, timedelta

import pytest

from labelgen.market.law.pack import Pack, read_pack
from labelgen.market.law.transition import list_transitions

DAY = timedelta(days=1)


@pytest.mark.parametrize(
    "market, table, effective, mandatory",
    [
        # plain English allergen labelling: 25 February 2021 to 25 February 2024 for newly packed food (FSANZ notices)
        ("au", "allergens", date(2021, 2, 25), date(2024, 2, 25)), ("nz", "allergens", date(2021, 2, 25), date(2024, 2, 25)),
        # 81 FR 33742: 26 July 2016; the last makers by 1 January 2021 (83 FR 19619)
        ("us", "nutrients", date(2016, 7, 26), date(2021, 1, 1)),
    ],
)  # fmt: skip
def test_both_forms_are_lawful_only_between_the_two_days(market, table, effective, mandatory):
    def told(day):
        return [f for f in list_transitions(Pack(market, day)) if f"rules of {table} " in f.message]

    assert told(effective - DAY) == [] and len(told(effective)) == 1
    assert len(told(mandatory - DAY)) == 1 and told(mandatory) == []
    assert f"compulsory from {mandatory}" in told(mandatory - DAY)[0].message


def test_nothing_is_in_transition_today():
    for market in ("us", "au", "nz"):
        assert list_transitions(read_pack(market, date(2026, 11, 25))) == ()
