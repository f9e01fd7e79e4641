"""Kinds of ingredient by their words, against the food groups of the USDA table (SR24 food group numbers)."""

import pytest

from labelgen.composition.dataset import open_dataset
from labelgen.composition.ingredient_records import Composition, ResolvedIngredient
from labelgen.composition.text.kinds import find_kinds, known_kinds

FOODS = open_dataset().connection.execute("SELECT id, name, grp, composite FROM food").fetchall()
ANIMAL = {"meat", "gelatine", "insect"}


def kinds(text="", food="", statement=""):
    return {
        h.kind: h.sure
        for h in find_kinds(
            ResolvedIngredient(
                "x", text, Composition.unknown(), (), food_id="usda/0" if food else "", food_name=food
            ),
            statement,
        )
    }


@pytest.mark.parametrize("group", ["05", "07", "10", "13", "17"])
def test_no_meat_is_missed(group):
    """Groups of poultry, sausages, pork, beef, lamb and game: every plain food in them is meat by its name
    alone.
    """
    missed = [
        n
        for i, n, g, composite in FOODS
        if g == group and not composite and not ANIMAL & kinds(food=n).keys()
    ]
    assert not missed


def test_plants_are_no_meat():
    """Groups of fruit, vegetables, nuts, pulses, grains and spices, but for the few canned with pork or
    beef.
    """
    wrong = [
        n
        for i, n, g, composite in FOODS
        if g in ("09", "11", "12", "16", "20", "02") and not composite and ANIMAL & kinds(food=n).keys()
    ]
    assert [n for n in wrong if "pork" not in n and "beef" not in n] == []


@pytest.mark.parametrize(
    "statement, sure, unsure",
    [
        ("sugar, glucose syrup, honey", {"added_sugar", "honey"}, set()),
        ("erythritol, sugar snap peas", {"polyol"}, set()),
        ("maltodextrin, sucralose", {"maltodextrin", "intense_sweetener"}, set()),
        ("gelatin, carmine (E120), beeswax", {"gelatine", "insect", "beeswax"}, set()),
        ("mono- and diglycerides of fatty acids", set(), {"meat", "palm"}),
        ("emulsifier (soy lecithin), vanilla", set(), set()),
        ("vegetable oil (palm)", {"palm", "fat"}, set()),
        ("vegetable oil", {"fat"}, {"palm"}),
        ("agar, pectin, cocoa butter", {"fat"}, set()),
        ("milk, cultures, rennet", set(), {"animal_rennet"}),
        ("milk, cultures, microbial rennet", set(), set()),
        ("confectioner's glaze", {"insect"}, set()),
        ("honeydew melon", set(), set()),
        ("unsweetened cocoa", set(), set()),
        ("emulsifier (471), colour (120)", {"insect"}, {"meat", "palm"}),
        ("flavour enhancers (627, 631, 635)", set(), {"meat"}),
        ("640", set(), {"meat", "gelatine"}),
        ("inosinate disodique", set(), {"meat"}),
        ("Speisefettsäuren, Emulgator: E472e", set(), {"meat", "palm"}),
        ("542, glazing agent (904, 901)", {"meat", "insect", "beeswax"}, set()),
        ("gelling agent (441)", {"gelatine"}, set()),
        ("vegetable glycerin", set(), set()),
    ],
)
def test_words_of_packets(statement, sure, unsure):
    found = kinds(statement=statement)
    asked = (
        sure
        | unsure
        | {"added_sugar", "meat", "palm", "honey", "gelatine", "insect", "animal_rennet", "beeswax"}
    )
    assert {k for k, s in found.items() if s and k in asked} == sure and {
        k for k, s in found.items() if not s and k in asked
    } == unsure
    assert set(found) <= known_kinds()
