"""Products, variants and markets side by side: what appears is told first."""

import json

import pytest

from labelgen.chain import roll_up_folder
from labelgen.cli import main
from tests.kitchens import write

INGREDIENTS = """
flour: {food: usda/20081, statement: wheat flour}
butter: {food: usda/01145}
coconut-flour: {food: usda/fdc-flour-coconut, print: coconut flour}
whey-powder: {food: usda/01115, print: whey powder}
secret-mix: {per: 100 g, nutrients: {fat: 1 g}}
"""
RECIPES = """
formulations:
  d: {ingredients: [60 g flour, 30 g coconut-flour, 20 g coconut-flour], makes: 10}
  plain: {ingredients: [60 g flour], makes: 10}
products:
  bites: {name: Coconut bites, of: d}
variants:
  bites-whey: {of: bites, replace: {coconut-flour: whey-powder}}
  bites-butter: {of: bites, add: {d: 10 g butter}}
  bites-bare: {of: bites, omit: [coconut-flour]}
  bites-secret: {of: bites, replace: {coconut-flour: secret-mix}}
"""


@pytest.fixture
def folder(tmp_path):
    return write(
        tmp_path,
        INGREDIENTS,
        RECIPES,
        'producer: {name: Example Hill Bakes, address: "1 Example Hill, Sampleton"}\nmarkets: [us]\n',
    )


def compared(folder, capsys, *words):
    main(["compare", *words, "--kitchen", str(folder), "--on", "2026-12-01", "--json"])
    return json.loads(capsys.readouterr().out)


def test_whey_for_coconut_flour_shows_milk_where_it_was_absent(folder, capsys):
    data = compared(folder, capsys, "bites", "bites-whey")
    assert [a["allergen"] for a in data["allergens"]["appear"]] == ["milk"]
    assert (
        "whey" in data["allergens"]["appear"][0]["because"]
        and data["allergens"]["appear"][0]["in"] == "bites-whey"
    )
    assert data["words"][0].startswith("Milk appears: bites-whey contains it")
    assert data["statements"]["only"] == [["coconut flour"], ["whey powder"]]
    by_tag = {n["tag"]: n for n in data["nutrition"]}
    # 50 g of 110 g: coconut flour 16.14, whey powder 12.93 g of protein per 100 g (FoodData Central; USDA
    # 01115)
    assert by_tag["PROCNT"]["per_100g"][0] - by_tag["PROCNT"]["per_100g"][1] == pytest.approx(
        (16.14 - 12.93) * 50 / 110, abs=0.01
    )
    assert by_tag["PROCNT"]["differs"]


def test_the_other_way_round_milk_goes(folder, capsys):
    data = compared(folder, capsys, "bites-whey", "bites")
    assert [a["allergen"] for a in data["allergens"]["disappear"]] == ["milk"]
    # coconut left the list of tree nuts: Food Allergen Labeling guidance, fifth edition, January 2025
    assert {a["allergen"]: a["listed"] for a in data["allergens"]["all"]} == {
        "milk": True,
        "wheat": True,
        "gluten/wheat": True,
        "coconut": False,
    }
    assert "Coconut (not on the market's list) appears" in " ".join(data["words"])


def test_added_and_omitted_in_one_line(folder, capsys):
    data = compared(folder, capsys, "bites", "bites-butter", "bites-bare")
    states = {a["allergen"]: a["states"] for a in data["allergens"]["all"]}
    assert states["milk"] == ["not found", "contains", "not found"] and data["words"][0].startswith(
        "Milk: bites not found; bites-butter contains"
    )
    assert data["statements"]["only"][1] == ["butter"]


def test_an_untold_make_up_is_not_known(folder, capsys):
    """Unknown is not "not found"."""
    data = compared(folder, capsys, "bites-whey", "bites-secret")
    states = {a["allergen"]: a["states"] for a in data["allergens"]["all"]}
    assert states["milk"] == ["contains", "not known"] and any("secret-mix" in w for w in data["words"])


def test_one_product_in_several_markets(folder, capsys):
    """Sodium and salt are two rows, as are carbohydrate with and without fibre; US 21 CFR 101.9,
    Regulation (EU) 1169/2011.
    """
    data = compared(folder, capsys, "bites-whey", "--markets", "us,eu")
    rows = {n["label"]: n for n in data["nutrition"]}
    assert rows["Sodium"]["declared"][1] == "" and rows["Salt"]["declared"][0] == ""
    assert rows["Salt"]["per_100g"][0] == pytest.approx(rows["Sodium"]["per_100g"][0] * 2.5 / 1000)
    assert [s["per"] for s in data["sides"]] == ["serving of 11g", "100 g"]
    assert data["sides"][1]["allergens_declared"] == ["wheat", "milk"]


def test_claims_side_by_side(folder, capsys):
    """A claim asked for by one product only, and what the other market makes of it."""
    write(
        folder,
        INGREDIENTS,
        RECIPES.replace(
            "{name: Coconut bites, of: d}", "{name: Coconut bites, of: d, claims: [milk free]}"
        ).replace("bites-bare: {of: bites,", "bites-bare: {of: bites, claims: [],"),
        'producer: {name: Example Hill Bakes, address: "1 Example Hill, Sampleton"}\nmarkets: [us]\n',
    )
    data = compared(folder, capsys, "bites", "bites-whey", "bites-bare")
    (claim,) = data["claims"]
    assert claim["claim"] == "milk free" and claim["verdicts"][2] == "not asked for"
    assert claim["verdicts"][1].startswith("refused: ") and "whey" in claim["verdicts"][1]


def test_the_terminal_puts_allergens_first_and_needs_two_sides(folder, capsys):
    main(["compare", "bites", "bites-whey", "--kitchen", str(folder), "--on", "2026-12-01"])
    out = capsys.readouterr().out
    assert out.splitlines()[0] == "Allergens" and "Milk appears" in out.splitlines()[1]
    assert main(["compare", "bites", "--kitchen", str(folder)]) == 2
    assert "--markets" in capsys.readouterr().err


def test_faults_that_stop_both_sides_are_told_once(tmp_path, capsys):
    folder = write(
        tmp_path,
        INGREDIENTS,
        RECIPES.replace(
            "20 g coconut-flour], makes: 10",
            "20 g coconut-flour], makes: 10, bake: {loss: 90 %, how: estimated}",
        ),
    )
    assert main(["compare", "bites", "bites-whey", "--kitchen", str(folder)]) == 1
    assert capsys.readouterr().err.count(" d: ") == 1


def test_a_claim_asked_for_and_the_same_one_in_a_name_are_one(tmp_path, capsys):
    folder = write(
        tmp_path,
        "oats: {food: usda/20038, statement: oats, print: oats, contains: []}\nbutter: {food: usda/01145}\n",
        "formulations:\n  d: {ingredients: [100 g oats], makes: 10}\nproducts:\n  oaty: {name: Oaty, of: d,"
        " pieces: 10, claims: [vegan]}\nvariants:\n  rich: {of: oaty, name: Vegan oaty, claims: [],"
        " replace: {oats: butter}}\n",
        "producer: {name: Example Hill Bakes, address: x}\nmarkets: [eu]\n",
    )
    [claim] = compared(folder, capsys, "oaty", "rich")["claims"]
    assert (
        claim["claim"] == "vegan"
        and claim["verdicts"][0] == "allowed"
        and claim["verdicts"][1].startswith("refused: butter brings milk")
    )


def test_what_is_added_needs_no_formulation_where_there_is_one(tmp_path):
    """A plain list is added to the product's one formulation; where there are several, and for a name that
    is none, the fault says what to type.
    """
    recipes = (
        RECIPES.replace("add: {d: 10 g butter}", "add: [10 g butter, 5 g flour]")
        + "  two: {of: wrapped, add: 10 g butter}\n  none: {of: bites, add: {butter: 10 g}}\n"
    )
    recipes = recipes.replace(
        "products:",
        "  whole: {ingredients: [20 g d, 5 g flour], makes: 1}\nproducts:\n  wrapped: {name: Wrapped, of:"
        " whole}",
    )
    write(tmp_path, INGREDIENTS, recipes)
    rolled = roll_up_folder(tmp_path)
    assert [i.ingredient.name for i in rolled.profiles["bites-butter"].ingoing][-2:] == ["butter", "flour"]
    two, none = (
        next(f for f in rolled.findings if f.where.line == line)
        for line in (
            recipes.splitlines().index(x) + 1
            for x in recipes.splitlines()
            if x.startswith(("  two:", "  none:"))
        )
    )
    assert "'add: {d: [20 g sugar]}'" in two.message and "whole, d" in two.message
    assert "'add: {d: [20 g sugar]}'" in none.message


def test_a_variant_may_lose_its_own_weight_in_the_oven(tmp_path):
    """Without its eggs a dough holds less water: 100 g flour hold about 12 g (USDA 20081), so 20 g cannot
    be lost, 5 g can.
    """
    recipes = (
        "formulations:\n  d: {ingredients: [100 g flour, 50 g egg], makes: 10, bake: {before: 150 g, after:"
        " 120 g, how: weighed}}\nproducts:\n  p: {name: P, of: d, pieces: 10}\nvariants:\n  dry: {of: p,"
        " omit: [egg]}\n  weighed: {of: p, omit: [egg], bake: {before: 100 g, after: 95 g, how: weighed}}\n"
    )
    write(tmp_path, "flour: {food: usda/20081}\negg: {food: usda/01123}\n", recipes)
    rolled = roll_up_folder(tmp_path)
    (fault,) = [f for f in rolled.findings if f.code == "loss-above-water"]
    assert "d@dry" in fault.message and "give the variant its own, 'bake:" in fault.message
    assert rolled.profiles["weighed"].pack.grams == pytest.approx(95) and rolled.profiles[
        "p"
    ].pack.grams == pytest.approx(120)
