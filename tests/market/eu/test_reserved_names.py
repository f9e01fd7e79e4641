"""Names kept for milk and its products: Regulation (EU) No 1308/2013, Annex VII, Part III, as the Court of
Justice reads it in C-422/16; the sweetener warnings of Annex III of Regulation (EU) No 1169/2011.
"""

from datetime import date

import pytest

from labelgen.law.pack import read_pack
from labelgen.market.advisories import check_allowed, declare_advisories
from tests.market.foods import amounts, product, profile

ON = date(2026, 12, 1)


@pytest.mark.parametrize("market", ["eu", "uk"])
@pytest.mark.parametrize(
    "name, refused",
    [
        ("Oat milk", True),
        ("Vegan butter", True),
        ("Soy yogurt", True),
        ("Hafermilch", True),
        ("Boisson: lait d’avoine", True),
        ("Oat drink", False),
        ("Oat and milk biscuits", False),
        # traditional names that Decision 2010/791/EU lists
        ("Coconut milk", False),
        ("Almond butter", False),
        ("Peanut butter", False),
        ("Vegan cheesecake", False),
    ],
)
def test_names_kept_for_milk(market, name, refused):
    found = check_allowed(read_pack(market, ON), product(name=name), "water, oats")
    assert [f.code for f in found if f.blocks] == (["not-allowed-reserved-dairy-name"] if refused else [])


def test_a_name_kept_for_milk_in_the_list_is_told():
    found = check_allowed(read_pack("eu", ON), product(name="Buns"), "flour, oat milk, salt")
    assert [(f.code, f.severity) for f in found] == [("not-allowed-reserved-dairy-listed", "warn")]
    assert check_allowed(read_pack("us", ON), product(name="Oat milk"), "oat milk") == ()


@pytest.mark.parametrize(
    "statement, added, told",
    [
        # Annex III, 2.2: an added sugar and a sweetener; 0.03 g of 100 g come with the vanilla extract
        ("flour, sweetener (sucralose), vanilla extract", 0.03, "with sweetener"),
        ("flour, sweetener (sucralose), vanilla extract", 0.5, "with sugars and sweetener"),
        ("flour, sugar, sweetener (sucralose)", 0.1, "with sugars and sweetener"),
        (
            "flour, dark chocolate (cocoa mass, sugar), sweetener (sucralose)",
            0.2,
            "with sugars and sweetener",
        ),
        ("flour, sweetener (sucralose)", 0.0, "with sweetener"),
    ],
)
def test_sugars_stand_with_the_name_where_they_were_added(statement, added, told):
    food = profile(amounts(100, SUGAD=added))
    assert declare_advisories(read_pack("eu", ON), food, 30, statement).with_name == (told,)


def test_the_doubt_about_fine_bakery_wares_is_none_of_a_drink():
    pack = read_pack("eu", ON)
    said = "water, sweetener (sucralose)"
    assert check_allowed(pack, product(net=500.0, volume=495.0), said) == ()
    assert [f.code for f in check_allowed(pack, product(), said)] == ["not-allowed-intense-sweeteners"]
