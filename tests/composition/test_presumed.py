"""Figures the table lacks: presumed zero only where a food's making leaves no other answer (INFOODS
logical zeros, common practice).
"""

import pytest

from labelgen.composition.dataset import open_dataset


@pytest.mark.parametrize(
    "ndb, key",
    [
        ("12166", "FATRN"),
        ("12195", "FATRN"),
        ("12088", "FATRN"),
        ("11485", "FATRN"),
        ("11312", "FATRN"),
        ("16126", "FATRN"),
        ("04581", "CHOLE"),
        ("04501", "VITD"),
        ("04517", "VITD"),
    ],
)
def test_plain_plant_foods(ndb, key):
    """Tahini and nut butters of nuts alone, frozen vegetables as packed, tofu, plant oils."""
    least, value, most = open_dataset().food(f"usda/{ndb}").composition.get(key)
    assert least == value == 0 and most < 1


@pytest.mark.parametrize(
    "ndb, key",
    [
        ("16098", "FATRN"),
        ("11390", "FATRN"),
        ("11396", "FATRN"),
        ("16147", "FATRN"),
        ("19080", "FATRN"),
        ("04586", "FATRN"),
        ("18337", "FATRN"),
        ("19904", "VITD"),
    ],
)
def test_what_may_hold_some_is_unknown(ndb, key):
    """Peanut butter, fried potatoes and burgers may be made with hardened fat; chocolate chips with milk
    fat.
    """
    _, value, most = open_dataset().food(f"usda/{ndb}").composition.get(key)
    assert value != value and most > 0
