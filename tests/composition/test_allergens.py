"""The first allergen net: words that must be found, look-alikes that must not. Names: common practice of the trade."""

import pytest

from labelgen.composition.allergens import find_words
from labelgen.composition.dataset import open_dataset


@pytest.mark.parametrize(
    "text, codes",
    [
        ("cocoa mass, sugar, cocoa butter, emulsifier (soy lecithin), vanilla", {"soy"}),
        ("sodium caseinate, whey powder", {"milk"}),
        ("durum semolina, egg albumen", {"wheat", "egg"}),
        ("marzipan (almonds, sugar)", {"tree_nut/almond"}),
        ("tahini; gianduja", {"sesame", "tree_nut/hazelnut"}),
        ("groundnuts", {"peanut"}),
        ("nutmeg, butternut squash, water chestnut, cream of tartar, coconut milk, eggplant, buckwheat flour, peanut-free", set()),
        ("almond milk", {"tree_nut/almond"}),
        ("peanut butter", {"peanut"}),
        ("rice flour, corn flour", set()),
    ],
)
def test_words(text, codes):
    assert {code for code, _ in find_words(text)} == codes


@pytest.mark.parametrize(
    "food, code",
    [("usda/20081", "wheat"), ("usda/01145", "milk"), ("usda/01123", "egg"), ("usda/12120", "tree_nut/hazelnut"), ("usda/12166", "sesame"), ("usda/16098", "peanut"), ("usda/20027", None), ("usda/19335", None), ("usda/12104", None)],
)
def test_foods(food, code):
    found = {c for c, _ in find_words(open_dataset().food(food).name)}
    assert found == ({code} if code else set())
