"""Net quantity: both systems, never above what is in the pack; 1 oz = 28.349523125 g, 1 lb = 16 oz (NIST
Handbook 44).
"""

import re
from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labelgen.law.pack import read_pack
from labelgen.market.net_quantity import declare_net_quantity, metric_quantity

US = read_pack("us", date(2026, 12, 1))


@pytest.mark.parametrize(
    "grams, text",
    [
        (180, "Net Wt 6.3 oz (180g)"),
        (28.349523125, "Net Wt 1 oz (28.3g)"),
        (14, "Net Wt 0.49 oz (14g)"),
        (453.59, "Net Wt 15.9 oz (453g)"),
        (453.592370, "Net Wt 16 oz (1 lb) 453g"),
        (680.388555, "Net Wt 24 oz (1 lb 8 oz) 680g"),
        (1814.369480, "Net Wt 4 lb (1.81kg)"),
        (2000, "Net Wt 4 lb 6.5 oz (2kg)"),
    ],
)
def test_wording(grams, text):
    assert declare_net_quantity(US, grams) == text


@pytest.mark.parametrize(
    "grams, text",
    [
        (9.99, "9.9g"),
        (45.67, "45.6g"),
        (99.96, "99.9g"),
        (180.9, "180g"),
        (999.9, "999g"),
        (1000, "1kg"),
        (1239.9, "1.23kg"),
    ],
)
def test_metric_to_three_digits_down(grams, text):
    assert metric_quantity(US, grams) == text


@given(st.floats(min_value=1, max_value=20000))
def test_never_above_the_contents(grams):
    text = declare_net_quantity(US, grams)
    metric = re.search(r"([\d.]+)(k?)g\)?$", text)
    assert float(metric[1]) * (1000 if metric[2] else 1) <= grams * (1 + 1e-9)
    first = re.match(r"Net Wt (?:([\d.]+) lb ?)?(?:([\d.]+) oz)?", text)
    ounces = 16 * float(first[1] or 0) + float(first[2] or 0)
    assert ounces * 28.349523125 <= grams * (1 + 1e-9)
    assert ounces * 28.349523125 >= grams - 2.9
