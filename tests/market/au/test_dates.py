"""Date marks of Standard 1.2.5: best before, use by, and the day of baking of bread that keeps less than
seven days.
"""

from datetime import date

import pytest

from labelgen.law.pack import read_pack
from labelgen.market.dates import declare_dates
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
        ({"best_before": "14 days"}, "Best before 13 Jan 2027"),
        ({"use_by": "4 days"}, "Use by 3 Jan 2027"),
        ({"best_before": "6 days", "date_mark": "baked on"}, "Baked on 30 Dec 2026"),
        ({"best_before": "6 days", "date_mark": "Baked for"}, "Baked for 31 Dec 2026"),
    ],
)
def test_day_month_year_in_that_order(market, given, line):
    assert lines(market, **given) == ((line,), [])


def test_bread_that_keeps_seven_days_is_no_longer_short_lived():
    """1.2.5-5: a shelf life of less than 7 days."""
    assert lines(best_before="7 days", date_mark="baked on") == (
        ("Best before 6 Jan 2027",),
        [("date-mark", "warn")],
    )
    assert lines(best_before="1 week", date_mark="baked on")[1] == [("date-mark", "warn")]
    assert lines(date_mark="baked on") == (("Made on 30 Dec 2026",), [("date-mark", "warn")])


def test_a_use_by_date_stands_alone():
    assert lines(use_by="4 days", best_before="3 weeks", lot="A1") == (
        ("Use by 3 Jan 2027", "Lot A1"),
        [("date-twice", "warn")],
    )


@pytest.mark.parametrize(
    "given, code",
    [({"use_by": "soon"}, "use-by"), ({"best_before": "3 days", "date_mark": "sold on"}, "date-mark")],
)
def test_words_nobody_understands(given, code):
    assert [c for c, _ in lines(**given)[1]] == [code]


@pytest.mark.parametrize("market", ["us", "eu", "uk", "ca", "au", "nz"])
@pytest.mark.parametrize(
    "given, severity",
    [
        ({"best_before": "two weeks"}, "block"),
        ({"best_before": "14"}, "block"),
        ({"use_by": "soon"}, "danger"),
    ],
)
def test_a_shelf_life_nobody_understands_stops_the_label(market, given, severity):
    """Its maker believes that a date is on the pack."""
    assert severity in [s for _, s in lines(market, **given)[1]]


def test_other_markets_have_no_day_of_baking():
    assert lines("us", best_before="3 days", date_mark="baked on") == (
        ("Best before 2 Jan 2027",),
        [("date-mark", "warn")],
    )


def test_without_the_day_it_was_made_no_date_is_printed():
    assert lines(made=None, use_by="4 days") == ((), [("date-left-out", "note")])


@pytest.mark.parametrize(
    "market, life, code",
    [
        ("us", "14 days", "date-left-out"),
        ("eu", "3 years", "not-ready-date"),
        ("uk", "14 days", "not-ready-date"),
        ("ca", "90 days", "not-ready-date"),
        ("ca", "91 days", "date-left-out"),
        ("au", "23 months", "not-ready-date"),
        ("nz", "3 years", "date-left-out"),
    ],
)
def test_a_lot_without_a_date_is_not_ready_to_sell_where_the_law_asks_for_one(market, life, code):
    """Regulation (EU) 1169/2011 Article 9(1)(f); B.01.007 (90 days); 1.2.5-3 (two years); no federal rule
    in the US.
    """
    assert lines(market, made=None, lot="A1", best_before=life)[1] == [(code, "warn")]


@pytest.mark.parametrize(
    "made, given, found",
    [
        (date(2025, 12, 30), {"best_before": "14 days"}, [("date-passed", "warn")]),
        (date(2027, 12, 30), {"best_before": "14 days"}, [("made-on-ahead", "warn")]),
        (date(2027, 12, 30), {"use_by": "4 days"}, [("made-on-ahead", "block")]),
        (date(2027, 1, 1), {"use_by": "4 days"}, []),
    ],
)
def test_a_day_of_making_in_the_wrong_year_is_told(made, given, found):
    """A use-by date a year late is the dangerous slip."""
    assert lines(made=made, **given)[1] == found
