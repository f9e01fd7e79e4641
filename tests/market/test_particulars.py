"""What only the maker knows of a drink: its alcohol (Regulation (EU) No 1169/2011, Article 28 and Annex XII),
its share of juice (21 CFR 101.30).
"""

from datetime import date

import pytest

from labelgen.law.pack import read_pack
from labelgen.market.particulars import declare_particulars
from tests.market.foods import amounts, product, profile

ON = date(2026, 12, 1)


def said(market, name, statement="water, sugar", alcohol_g=0.0, unknown=(), **more):
    """A bottle of 1000 mL that weighs 1000 g."""
    food = amounts(1000, unknown, **({} if unknown else {"ALC": alcohol_g}))
    drink = product(name=name, net=1000.0, volume=1000.0, **more)
    texts, found = declare_particulars(read_pack(market, ON), drink, profile(food), statement)
    return texts, [f.code for f in found]


@pytest.mark.parametrize(
    "name, more, texts, codes",
    [
        # (b)(1): a whole number not above the share there is; (b)(2): less than one; (d): none
        ("Apple drink", {"juice": 25.0}, ("Contains 25% juice",), []),
        ("Apple drink", {"juice": 25.9}, ("Contains 25% juice",), []),
        ("Apple drink", {"juice": 1.0}, ("Contains 1% juice",), []),
        ("Apple drink", {"juice": 0.99}, ("Contains less than 1% juice",), []),
        ("Apple drink", {"juice": 0.0}, ("Contains 0% juice",), []),
        ("Apple drink", {}, (), ["not-ready-particular-juice"]),
        ("Apple drink", {"category": "juices"}, (), ["not-ready-particular-juice"]),
        # (a): a cola purports to hold no juice, and a syrup is no beverage
        ("Cola", {}, (), []),
        ("Strawberry syrup", {"category": "syrups"}, (), []),
    ],
)
def test_the_share_of_juice(name, more, texts, codes):
    assert said("us", name, **more) == (texts, codes)


@pytest.mark.parametrize(
    "name, more, texts, codes",
    [
        # Annex XII: at most one decimal; over 1.2 %
        ("Drink", {"alcohol": 4.5}, ("4.5 % vol",), []),
        ("Drink", {"alcohol": 12.0}, ("12 % vol",), []),
        ("Drink", {"alcohol": 1.2}, (), []),
        ("Drink", {"alcohol": 1.3}, ("1.3 % vol",), []),
        # 9.47 g in 1000 mL are 12.0 mL, 9.5 g 12.04 mL
        ("Drink", {"alcohol_g": 9.46}, (), []),
        ("Drink", {"alcohol_g": 9.5}, (), ["not-ready-particular-alcohol"]),
        # where the recipe does not tell, the name does
        ("Cider", {"unknown": ("ALC",)}, (), ["not-ready-particular-alcohol"]),
        ("Lemonade", {"unknown": ("ALC",)}, (), []),
        ("Ginger beer", {"alcohol": 0.0}, (), []),
    ],
)
@pytest.mark.parametrize("market", ["eu", "uk"])
def test_the_alcohol_of_a_drink(market, name, more, texts, codes):
    assert said(market, name, **more) == (texts, codes)


def test_other_food_states_neither():
    pack = read_pack("eu", ON)
    trifle = product(name="Sherry trifle", net=500.0)
    assert declare_particulars(pack, trifle, profile(amounts(500, ALC=20)), "sherry") == ((), ())
