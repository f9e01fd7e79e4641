"""A food printed by one name and pinned to another is asked about; other names of the same food are not."""

import pytest

from labelgen.chain import roll_up_folder
from tests.kitchens import write

PINS = [
    ("sugar", "pure/erythritol", "usda/19335"),
    ("salt", "usda/19335", "usda/02047"),
    ("sugar", "usda/02047", "usda/19335"),
    ("oat flour", "usda/20481", "oat"),
    ("almond flour", "usda/20481", "almond"),
    ("rye flour", "usda/20481", "usda/20064"),
    ("margarine", "usda/01145", "usda/04610"),
    ("almonds", "usda/12120", "usda/12061"),
    ("xylitol", "pure/erythritol", "pure/xylitol"),
    ("skimmed milk", "usda/01077", "usda/01085"),
]
GOOD = [
    ("sugar", "usda/19335"),
    ("caster sugar", "usda/19335"),
    ("organic cane sugar", "usda/19335"),
    ("Zucker", "usda/19335"),
    ("enriched flour (wheat flour, niacin)", "usda/20081"),
    ("free range eggs", "usda/01123"),
    ("bicarbonate of soda", "usda/18372"),
    ("rolled oats", "usda/20038"),
    ("courgette", "usda/11477"),
    ("sultanas", "usda/09298"),
    ("rapeseed oil", "usda/04582"),
    ("sweetener: erythritol", "pure/erythritol"),
    ("cornflour", "usda/20027"),
    ("our own mix", "usda/20481"),
    ("double cream", "usda/01053"),
]


def asked(tmp_path, pins):
    larder = "".join(f'i{n}: {{print: "{name}", food: {food}}}\n' for n, (name, food) in enumerate(pins))
    rolled = roll_up_folder(write(tmp_path, larder, ""))
    return {int(f.where.line) - 1: f for f in rolled.findings if f.code == "slip-food"}


def test_a_name_of_another_food_is_asked_about(tmp_path):
    found = asked(tmp_path, [pin[:2] for pin in PINS])
    for n, (name, _, likely) in enumerate(PINS):
        assert n in found, name
        assert (
            repr(name) in found[n].message
            and likely in dict(found[n].data)["likely"]
            and found[n].severity == "warn"
        )


def test_other_names_of_the_food_are_not(tmp_path):
    assert asked(tmp_path, GOOD) == {}


def test_a_food_pinned_by_the_maker_is_believed(tmp_path):
    write(tmp_path, "i: {print: sugar, food: usda/9999999}\n", "")
    (tmp_path / "foods").mkdir()
    (tmp_path / "foods" / "x.yaml").write_text(
        "usda/9999999: {name: Syrup powder, database: USDA, per: 100 g, nutrients: {fat: 0 g}}\n",
        encoding="utf-8",
    )
    assert not [f for f in roll_up_folder(tmp_path).findings if f.code == "slip-food"]


def test_a_key_that_prints_counts_as_the_name(tmp_path):
    write(tmp_path, "sugar: {food: pure/erythritol}\nsweet: {print: erythritol, food: pure/erythritol}\n", "")
    assert [f.where.line for f in roll_up_folder(tmp_path).findings if f.code == "slip-food"] == [1]


@pytest.mark.parametrize("food", ["usda/99999", "", "sugar"])
def test_a_pin_to_nothing_is_told_elsewhere(tmp_path, food):
    assert asked(tmp_path, [("sugar", food or '""')]) == {}
