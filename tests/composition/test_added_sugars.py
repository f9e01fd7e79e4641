"""Which sugars of the food table count as added (21 CFR 101.9(c)(6)(iii)): sugars and syrups, not those of
fruit, milk, roots.
"""

import pytest

from labelgen.composition.dataset import open_dataset
from labelgen.nutrients import INDEX

ALL = ["19335", "19334", "19336", "19296", "19350", "19353", "19304", "19908"]
NONE = [
    "09070",
    "09191",
    "09316",
    "09298",
    "09087",
    "11167",
    "11294",
    "11546",
    "01077",
    "01053",
    "01123",
    "01171",
    "12061",
    "12120",
    "20081",
    "20038",
    "16087",
    "09096",
    "09400",
    "09018",
    "04053",
    "02047",
    "19165",
]
#: Juice concentrate sweetens beyond what juice would (101.9(c)(6)(iii)); the others are sweetened by their
# usual recipe (common practice).
MIXED = [
    "19080",
    "19087",
    "09079",
    "01095",
    "19348",
    "01127",
    "18157",
    "01225",
    "01238",
    "01239",
    "12071",
    "19124",
    "09328",
    "12040",
    "09410",
    "09017",
    "09214",
    "14204",
]


@pytest.mark.parametrize(
    "ndb, kind", [(n, "all") for n in ALL] + [(n, "none") for n in NONE] + [(n, "mixed") for n in MIXED]
)
def test_staples(ndb, kind):
    """A mixed food counts cautiously: all its sugars as added, none at the least."""
    got = open_dataset().food(f"usda/{ndb}").composition
    sugar, added = got.value[INDEX["SUGAR"]], [x[INDEX["SUGAD"]] for x in (got.low, got.value, got.high)]
    if kind == "none":
        assert added == [0, 0, 0]
    else:
        assert added == [
            pytest.approx(sugar, nan_ok=True) if kind == "all" else 0,
            pytest.approx(sugar, nan_ok=True),
            pytest.approx(got.high[INDEX["SUGAR"]]),
        ]


def test_only_an_unsweetened_food_of_unknown_make_up_has_no_added_sugars():
    for fid, name in open_dataset().names():
        food = open_dataset().food(fid)
        if food.composite and fid.startswith("usda/") and food.composition.get("SUGAR")[2] > 0.5:
            assert food.composition.get("SUGAD")[2] > 0 or any(
                w in name
                for w in ("nsweetened", "not sweetened", "water pack", "juice pack", "o sugar added")
            ), name


@pytest.mark.parametrize("ndb", ["19898", "19899", "01250", "44110"])
def test_polyols_of_low_carbohydrate_foods_are_unknown(ndb):
    """What sweetens them is not in their names: absent is not zero."""
    assert open_dataset().food(f"usda/{ndb}").composition.get("POLYL")[2] > 0
