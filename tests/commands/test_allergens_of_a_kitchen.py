"""What is in a product, what may be and why; which products; and the same name over different allergens."""

import json

import pytest

from labelgen.cli import main
from tests.kitchens import write

INGREDIENTS = """flour: {print: wheat flour, food: usda/20481, may_contain: [sesame]}
oats: {print: oats, food: usda/20038}
butter: {print: butter, food: usda/01145}
almond: {print: almonds, food: usda/12061}
topping: {print: crunchy topping, per: 100 g, nutrients: {fat: 1 g}}
"""
RECIPES = """formulations:
  a: {ingredients: [100 g flour, 50 g butter], makes: 4}
  b: {ingredients: [100 g oats, 50 g butter, 10 g almond], makes: 4}
  c: {ingredients: [100 g almond], makes: 4}
products:
  hill: {name: Hill biscuits, of: a, pieces: 4, may_contain: [tree_nut]}
  nuts: {name: Nuts, of: c, pieces: 4}
variants:
  hill-oat: {of: hill, name: Hill Biscuits, replace: {flour: oats}}
"""


@pytest.fixture
def kitchen(tmp_path):
    return str(
        write(
            tmp_path / "k",
            INGREDIENTS,
            RECIPES,
            "producer: {name: N, address: A}\nmarkets: [us]\nhandles: [egg]\n",
        )
    )


def asked(capsys, *args):
    code = main(["allergens", "--json", *args])
    return code, json.loads(capsys.readouterr().out)["products"]


def test_a_product_tells_what_is_in_it_what_may_be_and_why(kitchen, capsys):
    code, found = asked(capsys, "--product", "hill", "--kitchen", kitchen)
    parts = {(a["allergen"], a["part"]) for a in found["hill"]}
    assert code == 0 and parts == {
        ("milk", "contains"),
        ("gluten/wheat", "contains"),
        ("sesame", "may contain"),
        ("tree_nut", "may contain"),
        ("egg", "not known"),
    }
    assert all(a["because"] for a in found["hill"])


def test_which_products_hold_or_may_hold(kitchen, capsys):
    _, found = asked(capsys, "--having", "milk", "--kitchen", kitchen)
    assert set(found) == {"hill", "hill-oat"}
    _, found = asked(capsys, "--having", "sesame, almonds", "--kitchen", kitchen)
    assert set(found) == {"hill", "hill-oat", "nuts"}  # nuts of no named kind may be almonds


def test_which_products_are_without(kitchen, capsys):
    _, found = asked(capsys, "--without", "nuts", "--kitchen", kitchen)
    assert set(found) == set()
    _, found = asked(capsys, "--without", "wheat", "--kitchen", kitchen)
    assert set(found) == {
        "hill-oat",
        "nuts",
    }  # oats are a cereal with gluten, and no wheat is known in them
    _, found = asked(capsys, "--without", "gluten", "--kitchen", kitchen)
    assert set(found) == {"nuts"}
    _, found = asked(capsys, "--without", "egg", "--kitchen", kitchen)
    assert set(found) == set()  # egg is handled, and nobody has decided


def test_what_is_no_allergen_is_refused(kitchen, capsys):
    assert main(["allergens", "--having", "bolts", "--kitchen", kitchen]) != 0


def test_one_name_over_other_allergens_is_told(kitchen, capsys):
    main(["check", kitchen, "--json"])
    found = [f for f in json.loads(capsys.readouterr().out) if f["code"] == "same-name"]
    assert {f["message"].split()[0] for f in found} == {"hill", "hill-oat"} and "wheat" in found[0]["message"]


def test_what_nobody_tells_is_not_known_and_may_hold_anything(tmp_path, capsys):
    recipes = (
        "formulations:\n  a: {ingredients: [100 g topping], makes: 4}\nproducts:\n  crisp: {name: Crisp,"
        " of: a, pieces: 4}\n"
    )
    home = str(
        write(tmp_path / "k", INGREDIENTS, recipes, "producer: {name: N, address: A}\nmarkets: [us]\n")
    )
    _, found = asked(capsys, "--product", "crisp", "--kitchen", home)
    assert [(a["allergen"], a["name"], a["part"]) for a in found["crisp"]] == [
        ("", "the make-up of crunchy topping", "not known")
    ]
    assert set(asked(capsys, "--having", "lupin", "--kitchen", home)[1]) == {"crisp"}
    assert set(asked(capsys, "--without", "lupin", "--kitchen", home)[1]) == set()
