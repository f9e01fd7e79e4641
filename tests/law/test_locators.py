"""Where a rule stands in its source is pinned: an edited locator fails, with the rule it belongs to.

``tests/vectors/locators.csv`` is written by ``python -m tests.vectors.pin_locators``. What each paragraph is
about is told again below, by hand, for the places that the panels rest on: 21 CFR 101.9(c), of which the
headings of the paragraphs were known before the tables were (from memory), and Regulation (EU) No 1169/2011,
Annexes XIV and XV (from memory).
"""

import re

import pytest

from labelgen.law.figure_tables import Nutrient
from labelgen.law.pack import read_table
from tests.vectors.pin_locators import pinned, places


def test_every_locator_is_the_one_that_was_read():
    now, then = places(), pinned()
    moved = [
        f"{rule}: {cite} {locator!r} is not pinned"
        for (cite, locator), rules in now.items()
        for rule in rules
        if rule not in then.get((cite, locator), ())
    ]
    gone = [
        f"{rule}: pinned at {cite} {locator!r}"
        for (cite, locator), rules in then.items()
        for rule in rules
        if rule not in now.get((cite, locator), ())
    ]
    assert not moved and not gone, [*moved, *gone]
    assert len(then) > 600


@pytest.mark.parametrize(
    "key, paragraph",
    [
        ("calories", "(c)(1)"),
        ("total_fat", "(c)(2)"),
        ("saturated_fat", "(c)(2)(i)"),
        ("trans_fat", "(c)(2)(ii)"),
        ("polyunsaturated_fat", "(c)(2)(iii)"),
        ("monounsaturated_fat", "(c)(2)(iv)"),
        ("cholesterol", "(c)(3)"),
        ("sodium", "(c)(4)"),
        ("total_carbohydrate", "(c)(6)"),
        ("dietary_fiber", "(c)(6)(i)"),
        ("total_sugars", "(c)(6)(ii)"),
        ("added_sugars", "(c)(6)(iii)"),
        ("sugar_alcohol", "(c)(6)(iv)"),
        ("protein", "(c)(7)"),
    ],
)
def test_the_paragraph_of_a_nutrient_is_its_own(key, paragraph):
    """21 CFR 101.9(c): (1) calories, (2) fat, (3) cholesterol, (4) sodium, (6) carbohydrate, (7) protein."""
    rows = [e for e in read_table("us", Nutrient) if e.key == key]
    assert rows and all(
        re.match(re.escape(paragraph) + r"(?!\([ivx]+\))", e.locator)
        for e in rows
        if e.cite == "cfr-21-101-9"
    ), [e.locator for e in rows]
