"""Reading a printed figure back: the amounts that may lie behind it."""

from datetime import date
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from labelgen.errors import RuleError
from labelgen.law.figure_tables import Rounding
from labelgen.law.pack import read_pack
from labelgen.law.rounding import declare_amount, interval

US = read_pack("us", date(2026, 12, 1))
RULES = [e.key for e in US.entries(Rounding)]
AMOUNTS = st.decimals(min_value=0, max_value=3000, places=4) | st.floats(min_value=0, max_value=60)


@settings(max_examples=400, deadline=None)
@given(st.sampled_from(RULES), AMOUNTS)
def test_an_amount_lies_in_the_interval_of_its_own_text(rule, amount):
    printed = declare_amount(US, rule, amount).text
    for alternatives in (True, False):
        low, high = interval(US, rule, printed, alternatives)
        assert low <= Decimal(str(amount)) + Decimal("1e-9") and Decimal(str(amount)) <= high + Decimal(
            "1e-9"
        )


@settings(max_examples=400, deadline=None)
@given(st.sampled_from(RULES), AMOUNTS, st.decimals(min_value="0.01", max_value="0.99", places=2))
def test_every_amount_inside_an_interval_prints_the_same(rule, amount, share):
    """Strictly, without the alternatives: the inverse holds in both directions."""
    printed = declare_amount(US, rule, amount)
    low, high = interval(US, rule, printed.text, alternatives=False)
    inside = low + (high - low) * share
    again = declare_amount(US, rule, inside)
    # "about" only says that a number of servings was rounded
    assert again.text.removeprefix("about ") == printed.text.removeprefix("about ")


@pytest.mark.parametrize(
    "rule, printed, low, high",
    # 21 CFR 101.9(c)(1)-(7); the bounds are the half steps and thresholds of the paragraphs
    [
        ("total_fat", "7 g", "6.5", "7.5"),
        ("total_fat", "0g", "0", "0.5"),
        ("total_fat", "4.5g", "4.25", "4.75"),
        ("total_fat", "5g", "4.75", "5.5"),
        ("dietary_fiber", "<1 g", "0", "1"),
        ("dietary_fiber", "less than 1g", "0", "1"),
        ("dietary_fiber", "1g", "0.5", "1.5"),
        ("cholesterol", "less than 5mg", "2", "5"),
        ("cholesterol", "5mg", "2.5", "7.5"),
        ("sodium", "140mg", "137.5", "145"),
        ("sodium", "0.14 g", "137.5", "145"),
        ("calories", "50", "47.5", "55"),
        ("calories", "5", "2.5", "7.5"),
        ("vitamin_d_amount", "0 mcg", "0", "0.4"),
        ("vitamin_d_amount", "2 µg", "1.95", "2.05"),
        ("protein", "Contains less than 1g", "0", "1"),
        ("total_fat", "<0.5 g", "0", "0.5"),
    ],
)
def test_known_intervals(rule, printed, low, high):
    assert interval(US, rule, printed) == (Decimal(low), Decimal(high))


@pytest.mark.parametrize("printed", ["3.2 g", "about a spoon", "7 oz", "", "-1 g"])
def test_what_the_rule_never_prints(printed):
    with pytest.raises(RuleError):
        interval(US, "total_fat", printed)
