"""Date marks of Standard 1.2.5: best before, use by, and the day of baking of bread that keeps less than seven days."""

from datetime import date

import pytest

from labelgen.market.dates import declare_dates
from labelgen.market.law.pack import read_pack
from tests.market.foods import product

MADE = date(2026, 12, 30)
ON = date(2026, 12, 1)


def lines(market="au", made=MADE, lot="", **more):
    shown, found = declare_dates(read_pack(market, ON), product(**more), made, lot)
    return shown, [(f.code, f.severity) for f in found]


@pytest.mark.parametrize("market", ["au", "nz"])
@pytest.mark.parametrize(
    "given, line",
    [
        ({"best_before": "14 days"}, "Best before 13 Jan 2027"), ({"use_by": "4 days"}, "Use by 3 Jan 2027"),
        ({"best_before": "6 days", "date_mark": "baked on"}, "Baked on 30 Dec 2026"),
        ({"best_before": "6 days", "date_mark": "Baked for"}, "Baked for 31 Dec 2026"),
    ],
)  # fmt: skip
def test_day_month_year_in_that_order(market, given, line):
    assert lines(market, **given) == ((line,), [])


def test_bread_that_keeps_seven_days_is_no_longer_short_lived():
    """1.2.5-5: a shelf life of less than 7 days."""
    assert lines(best_before="7 days", date_mark="baked on") == (("Best before 6 Jan 2027",), [("date-mark", "warn")])
    assert lines(best_before="1 week", date_mark="baked on")[1] == [("date-mark", "warn")]
    assert lines(date_mark="baked on") == (("Made on 30 Dec 2026",), [("date-mark", "warn")])


def test_a_use_by_date_stands_alone():
    assert lines(use_by="4 days", best_before="3 weeks", lot="A1") == (("Use by 3 Jan 2027", "Lot A1"), [("date-twice", "warn")])


@pytest.mark.parametrize("given, code", [({"use_by": "soon"}, "use-by"), ({"best_before": "3 days", "date_mark": "sold on"}, "date-mark")])
def test_words_nobody_understands(given, code):
    assert [c for c, _ in lines(**given)[1]] == [code]


def test_other_markets_have_no_day_of_baking():
    assert lines("us", best_before="3 days", date_mark="baked on") == (("Best before 2 Jan 2027",), [("date-mark", "warn")])


def test_without_the_day_it_was_made_no_date_is_printed():
    assert lines(made=None, use_by="4 days") == ((), [("date-left-out", "note")])
