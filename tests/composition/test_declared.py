"""Allergens as makers and packets call them, read as codes."""

import pytest

from labelgen.chain import roll_up_folder
from labelgen.composition.allergen_codes import code_of

WORDS = """
milk: milk Milk MILCH lait latte leche dairy lactose Milchprodukte
egg: eggs œufs Eier huevo uova Egg
soy: soya Soja SOY soia soy-lecithin
peanut: peanuts groundnuts Erdnüsse arachidi
wheat: Wheat trigo Weizen blé
gluten: Gluten
gluten/oats: oats avoine
gluten/barley: barley
gluten/spelt: spelt Dinkel SPELT
gluten/rye: rye
tree_nut: nuts Nüsse Schalenfrüchte other-tree-nuts andere-Nüsse autres-fruits-à-coque frutos-de-cáscara
tree_nut/almond: almonds Mandeln ALMOND Tree-nut/Almond
tree_nut/hazelnut: hazel-nuts Haselnüsse
tree_nut/walnut: walnuts noix
tree_nut/cashew: cashew-nuts
sesame: sesame-seeds
mustard: Senf moutarde
sulphite: sulphites sulfites sulphur-dioxide anhydride-sulfureux
fish/cod: cod
crustacean: Crustaceans
"""


@pytest.mark.parametrize(
    ("word", "code"),
    [
        (word.replace("-", " "), line.split(":")[0])
        for line in WORDS.strip().splitlines()
        for word in line.split(":")[1].split()
    ],
)
def test_a_word_of_one_meaning_is_its_code(word, code):
    assert code_of(word) == code


@pytest.mark.parametrize(
    "word",
    [
        "shellfish",
        "milk, eggs",
        "chocolate",
        "almond flavour",
        "no milk",
        "milk free",
        "wombat",
        "milk wombat",
    ],
)
def test_a_word_of_several_meanings_or_none_stays_as_it_is(word):
    assert code_of(word) == word


def test_gluten_of_no_named_cereal_is_not_taken_for_wheat():
    assert code_of("cereals containing gluten") not in ("wheat", "gluten/wheat")


def test_every_place_that_declares_allergens_takes_their_words(tmp_path):
    files = {
        "kitchen.yaml": """
producer: {name: N, address: A}
country: Canada
markets: [USA, United Kingdom, Deutschland]
handles: [Haselnüsse]
""",
        "ingredients/a.yaml": "mix: {per: 100 g, contains: [Almonds, Milch],"
        " may_contain: [other tree nuts, shellfish], nutrients: {fat: 1 g}}\n",
        "recipes/r.yaml": """
formulations: {dough: {ingredients: [100 g mix]}}
products:
  bar: {name: Bar, of: dough, net: 100 g, may_contain: [Sesame seeds],
        cross_contact: {hazelnuts: "own room, cleaned"},
        tested: {Gluten: "<5 mg/kg, Example Lab, 2026-11-02",
                 lactose: "<10 mg/kg, Example Lab, 2026-11-02"}}
""",
    }
    for name, text in files.items():
        (tmp_path / name).parent.mkdir(exist_ok=True)
        (tmp_path / name).write_text(text, encoding="utf-8")
    rolled = roll_up_folder(tmp_path)
    made = rolled.kitchen
    assert (made.country, made.markets) == ("ca", ("us", "uk", "eu"))
    assert made.handles == ("tree_nut/hazelnut",)
    assert made.ingredients["mix"].contains == ("tree_nut/almond", "milk")
    assert made.ingredients["mix"].may_contain == ("tree_nut", "shellfish")
    product = made.products["bar"]
    assert product.may_contain == ("sesame",)
    assert set(product.cross_contact) == {"tree_nut/hazelnut"}
    assert set(product.tested) == {"gluten", "lactose"}
    assert [dict(f.data)["code"] for f in rolled.findings if f.code == "allergen-code"] == ["shellfish"]
