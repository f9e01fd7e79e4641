"""Allergens of an ingredient: words that must be found, look-alikes that must not. Names: common practice of the trade."""

import pytest

from labelgen.composition.allergens import allergens_of
from labelgen.composition.dataset import open_dataset

#: Found and kept, but no major allergen by themselves in the United States.
NOT_MAJOR = {"coconut", "gluten/wheat", "tree_nut"}


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
    hits, _ = allergens_of("x", "", "", text, None, None)
    assert {h.allergen for h in hits if h.allergen not in NOT_MAJOR} == codes


@pytest.mark.parametrize(
    "food, code",
    [("usda/20081", "wheat"), ("usda/01145", "milk"), ("usda/01123", "egg"), ("usda/12120", "tree_nut/hazelnut"), ("usda/12166", "sesame"), ("usda/16098", "peanut"), ("usda/20027", None), ("usda/19335", None), ("usda/12104", None)],
)
def test_foods(food, code):
    hits, _ = allergens_of("x", "", open_dataset().food(food).name, "", None, None)
    found = {h.allergen for h in hits} - NOT_MAJOR
    assert found == ({code} if code else set())
    assert all(h.words in h.because for h in hits)


def test_a_manufactured_food_brings_what_is_usual_in_it_until_the_packet_speaks():
    """USDA 18114, gingerbread cake mix: its name says nothing of soy. Reviewed from common recipes (from memory)."""
    food = open_dataset().food("usda/18114")
    hits, _ = allergens_of("mix", "", food.name, "", None, None, food.id)
    assert {"wheat", "soy"} <= {h.allergen for h in hits} and food.composite
    hits, _ = allergens_of("mix", "", food.name, "rice flour, sugar, ginger", [], None, food.id)
    assert "soy" not in {h.allergen for h in hits}
