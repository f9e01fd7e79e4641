"""Drafts from schema.org Recipes (https://schema.org/Recipe)."""

import json

import pytest

from labelgen.cli import main
from labelgen.recipe.read import read_kitchen
from tests.kitchens import write

RECIPE = {
    "@context": "https://schema.org",
    "@graph": [
        {"@type": "WebPage", "name": "page"},
        {
            "@type": ["Recipe"],
            "name": 'Barley rounds: "plain"',
            "recipeYield": ["24 rounds"],
            "recipeIngredient": [
                "250 g butter, softened",
                "1 1/2 cups plain flour (sifted)",
                "2 large eggs",
                "a pinch of salt",
                "100 g Zzyzx powder",
                "½ tsp baking soda",
            ],
        },
    ],
}


@pytest.fixture
def kitchen(tmp_path):
    return write(
        tmp_path / "k",
        "water: {print: water, food: usda/14411}\n",
        "formulations:\n  a: {ingredients: [100 g water]}\nproducts:\n  p: {name: P, of: a}\n",
    )


def drafted(kitchen, tmp_path, capsys, recipe):
    file = tmp_path / "recipe.json"
    file.write_text(recipe if isinstance(recipe, str) else json.dumps(recipe), encoding="utf-8")
    code = main(["draft", str(file), "--kitchen", str(kitchen), "--json"])
    out = capsys.readouterr()
    return code, json.loads(out.out) if code == 0 else out.err


def test_a_draft_loads_and_flags_every_line(kitchen, tmp_path, capsys):
    code, data = drafted(kitchen, tmp_path, capsys, RECIPE)
    assert code == 0 and data["makes"] == 24 and all(line["doubts"] for line in data["lines"])
    names = {line["written"]: (line["amount"], line["name"], line["food"]) for line in data["lines"]}
    assert names["250 g butter, softened"] == ("250 g", "butter", "usda/01145")
    assert names["1 1/2 cups plain flour (sifted)"][:2] == ("1 1/2 cups", "plain-flour")
    assert names["a pinch of salt"] == ("", "", None)
    read, findings = read_kitchen(kitchen)
    assert data["product"] in read.products and len(read.formulations["barley-rounds-plain-dough"].lines) == 5
    (stop,) = [f for f in findings if f.code != "draft"]
    assert (
        stop.blocks
        and "? a pinch of salt" in stop.message
        and stop.where.file == "recipes/barley-rounds-plain.yaml"
    )


@pytest.mark.parametrize(
    "written, amount, name",
    [
        ("1 stick (113g) unsalted butter", "113g", "unsalted-butter"),
        ("1 can (14 oz) sweetened condensed milk", "14 oz", "sweetened-condensed-milk"),
        ("1 (8 oz) package cream cheese", "8 oz", "cream-cheese"),
        ("1 cup (120 g) plain flour", "120 g", "plain-flour"),
        ("200 g (7 oz) dark chocolate", "200 g", "dark-chocolate"),
        ("&frac12; cup sugar", "½ cup", "sugar"),
        ("<b>250g</b> butter", "250g", "butter"),
        ("100 g dark chocolate 70%", "100 g", "dark-chocolate-70"),
        ("1 1/2 cups sugar", "1 1/2 cups", "sugar"),
        ("3 large eggs", "3 large", "eggs"),
        ("2 Extra-large eggs, beaten", "2 extra large", "eggs"),
        ("1 small organic egg", "1 small", "egg"),
    ],
)
def test_an_amount_in_brackets_is_taken_where_it_is_the_whole(
    kitchen, tmp_path, capsys, written, amount, name
):
    (line,) = drafted(
        kitchen, tmp_path, capsys, {"@type": "Recipe", "name": "r", "recipeIngredient": [written, "", None]}
    )[1]["lines"]
    assert (line["amount"], line["name"]) == (amount, name)


@pytest.mark.parametrize(
    "written",
    [
        "1 cup milk + 1 tbsp vinegar",
        "1 cup plus 2 tablespoons flour",
        "2-3 cups flour",
        "2 to 3 tablespoons honey",
        "10–12 dates",
        "2 x 400g tins tomatoes",
        "100g/3½oz butter",
        "4 oz./115g cheddar",
        "1.000 g Mehl",
        "5",
        "1 stick butter",
        "2 cans (400 g) chickpeas",
        "1 cup milk, 2 eggs",
        "250 ml milk and 1 egg",
        "a knob of butter",
    ],
)
def test_what_could_be_read_in_two_ways_stops_the_recipe(kitchen, tmp_path, capsys, written):
    """A food lost on the way in takes its allergens with it."""
    (line,) = drafted(
        kitchen, tmp_path, capsys, {"@type": "Recipe", "name": "r", "recipeIngredient": [written]}
    )[1]["lines"]
    assert line["amount"] == line["name"] == ""
    assert main(["check", str(kitchen)]) == 1 and written in capsys.readouterr().out


def test_an_ingredient_of_the_kitchen_is_not_written_again(kitchen, tmp_path, capsys):
    drafted(
        kitchen,
        tmp_path,
        capsys,
        {"@type": "Recipe", "name": "r", "recipeIngredient": ["100 g water", "50 g butter"]},
    )
    read, findings = read_kitchen(kitchen)
    assert {f.code for f in findings} == {"draft"} and set(read.ingredients) == {"water", "butter"}


def test_nothing_is_written_over(kitchen, tmp_path, capsys):
    drafted(kitchen, tmp_path, capsys, RECIPE)
    before = {p: p.read_bytes() for p in kitchen.rglob("*.yaml")}
    code, err = drafted(kitchen, tmp_path, capsys, RECIPE)
    assert (
        code == 2
        and "there already" in err
        and before == {p: p.read_bytes() for p in kitchen.rglob("*.yaml")}
    )


@pytest.mark.parametrize(
    "recipe, words",
    [
        ("{", "is not JSON"),
        ({"@type": "Article"}, "holds no schema.org Recipe"),
        ("[" * 5000, "is not JSON"),
        ("null", "holds no"),
        (json.dumps({"@type": "Recipe"}), ""),
    ],
)
def test_other_files_are_refused_or_drafted_empty(kitchen, tmp_path, capsys, recipe, words):
    code, said = drafted(kitchen, tmp_path, capsys, recipe)
    assert (code, words in said) == (2, True) if words else code == 0


def test_texts_cannot_break_out_of_their_line(kitchen, tmp_path, capsys):
    nasty = RECIPE["@graph"][1] | {
        "name": "x\nproducts: {evil: 1}",
        "recipeIngredient": ["250 g butter\n  - 1 g poison", '1 g "}]#: {'],
    }
    code, _ = drafted(kitchen, tmp_path, capsys, nasty)
    read, findings = read_kitchen(kitchen)
    assert (
        code == 0 and "evil" not in read.products and not [f for f in findings if f.code.startswith("yaml")]
    )


@pytest.mark.parametrize(
    "written",
    [
        "250 g Mehl",
        "125 ml Milch",
        "100 g noisettes",
        "100 g burro",
        "3 Eier",
        "100 g quoted sugar",
        "100 g choclate",
    ],
)
def test_a_food_is_proposed_only_when_it_was_named(kitchen, tmp_path, capsys, written):
    """Nearest by its letters, "Mehl" (flour) is pecans, "burro" (butter) a fish: a wheat or milk allergen
    would be lost.
    """
    (line,) = drafted(
        kitchen, tmp_path, capsys, {"@type": "Recipe", "name": "r", "recipeIngredient": [written]}
    )[1]["lines"]
    assert line["amount"] and line["food"] is None and "food" in " ".join(line["doubts"])
    assert main(["check", str(kitchen)]) == 1


@pytest.mark.parametrize(
    "written, why",
    [
        ("1 cup peanut butter or tahini", "choice"),
        ("1 tsp salt/pepper", "choice"),
        ("1 heaping cup flour", "tells no weight"),
        ("2 T sugar", "tells no weight"),
        ("2 EL Zucker", "tells no weight"),
        ("1 recipe pie dough", "tells no weight"),
        ("1 knob butter", "tells no weight"),
        ("1 c. à soupe de sucre", "not English"),
        ("250 g de farine", "not English"),
        ("0 g sugar", "nothing"),
        ("100 g " + "sugar " * 50, "too long"),
        ("1 tsp zzyz and qqpp", "several foods"),
        ("3 or 4 eggs", "tells no weight"),
    ],
)
def test_what_tells_no_one_amount_of_one_food_is_left_to_the_maker(kitchen, tmp_path, capsys, written, why):
    (line,) = drafted(
        kitchen, tmp_path, capsys, {"@type": "Recipe", "name": "r", "recipeIngredient": [written]}
    )[1]["lines"]
    assert line["amount"] == line["name"] == "" and why in line["doubts"][0]


@pytest.mark.parametrize(
    "told, makes",
    [
        ("24 cookies", 24),
        (["12", "12 cakes"], 12),
        (["", None, "12"], 12),
        ({"@type": "QuantitativeValue", "value": 30, "unitText": "cookies"}, 30),
        (24, 24),
        ("Makes about 2 dozen", None),
        ("two dozen", None),
        ("8-10 servings", None),
        ("1 (9-inch) cake", None),
        ("12,000 cookies", None),
        ("2.5", None),
        ("-3", None),
        ("0", None),
        (1e300, None),
        ("", None),
        (True, None),
        ("1 cake, about 900 g", None),
        ("half a dozen (6)", None),
    ],
)
def test_a_yield_is_read_only_where_it_is_one_number(kitchen, tmp_path, capsys, told, makes):
    """ "2 dozen" are not two pieces."""
    data = drafted(
        kitchen,
        tmp_path,
        capsys,
        {"@type": "Recipe", "name": "r", "recipeIngredient": ["100 g water"], "recipeYield": told},
    )[1]
    assert data["makes"] == makes and any("yield" in d for d in data["doubts"])


@pytest.mark.parametrize(
    "kind", ["https://schema.org/Recipe", "http://schema.org/Recipe", "schema:Recipe", ["Thing", "Recipe"]]
)
@pytest.mark.parametrize("page", [False, True])
def test_a_recipe_is_found_however_its_type_is_written(kitchen, tmp_path, capsys, kind, page):
    text = json.dumps(
        {
            "@graph": [
                {
                    "mainEntity": {
                        "@type": kind,
                        "name": "r",
                        "recipeIngredient": "100 g water\n• 50 g butter",
                    }
                }
            ]
        }
    )
    text = (
        f'<html><script>1 < 2</script><script type="application/ld+json">{text}</script></html>'
        if page
        else f"\ufeff{text}"
    )
    assert [line["name"] for line in drafted(kitchen, tmp_path, capsys, text)[1]["lines"]] == [
        "water",
        "butter",
    ]


def test_further_recipes_of_a_file_are_told(kitchen, tmp_path, capsys):
    data = drafted(
        kitchen,
        tmp_path,
        capsys,
        [{"@type": "Recipe", "name": n, "recipeIngredient": ["100 g water"]} for n in "ab"],
    )[1]
    assert data["product"] == "a" and any("only the first recipe was read" in d for d in data["doubts"])


def test_a_name_without_end_makes_a_file_all_the_same(kitchen, tmp_path, capsys):
    code, data = drafted(
        kitchen,
        tmp_path,
        capsys,
        {"@type": "Recipe", "name": "round " * 900, "recipeIngredient": ["100 g water"]},
    )
    assert code == 0 and len(data["product"]) <= 60


def test_a_file_that_is_too_large_says_only_that(kitchen, tmp_path, capsys):
    code, said = drafted(
        kitchen,
        tmp_path,
        capsys,
        json.dumps({"@type": "Recipe", "name": "r", "recipeIngredient": ["1 g sugar"] * 500_000}),
    )
    assert code == 2 and "is larger than" in said and "not JSON" not in said
