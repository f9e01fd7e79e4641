"""The most that an item of a packet's list can be, by hand: the k-th of a list is at most a k-th."""

import re

import pytest

from labelgen.composition.text.shares import most_share


@pytest.mark.parametrize(
    ("statement", "most"),
    [
        ("xanthan gum", 1),
        ("cream, milk, sugar, xanthan gum", 1 / 4),
        ("rice flour 60%, tapioca starch, xanthan gum", (1 - 0.595) / 2),
        ("sugar 40 %, xanthan gum 3 %, salt", 0.035),
        ("sugar, milk, contains 2% or less of: salt, xanthan gum", 0.02),
        ("sugar, milk, contains less than 5% of: salt, xanthan gum", 0.05),
        ("flour, filling (cream, sugar, xanthan gum)", 1 / 2 * 1 / 3),
        ("flour, cream (xanthan gum), xanthan gum", 1 / 2 + 1 / 3),
        # behind what is small items may stand in any order
        ("water (95%), a, b, c, xanthan gum", 0.02),
        ("", 1),
    ],
)
def test_the_place_in_a_list_bounds_an_amount(statement, most):
    assert most_share(statement, re.compile("xanthan gum")) == pytest.approx(most)
