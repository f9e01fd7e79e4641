"""The forms other programs read: checked with general-purpose validators."""

import csv
import io
import json

import jsonschema
import pytest
from msgspec_schemaorg.models import NutritionInformation, Recipe
from pyld import jsonld

from labelgen import paths
from labelgen.cli import main

DEMO = str(paths.templates("kitchens", "demo"))
VOCABULARY = "https://schema.org/"


def printed(capsys, *args):
    code = main(["declare", *args])
    return code, capsys.readouterr()


def test_json_keeps_to_the_published_schema(capsys):
    """JSON Schema 2020-12, judged by the jsonschema package."""
    schema = json.loads(printed(capsys, "--schema")[1].out)
    jsonschema.Draft202012Validator.check_schema(schema)
    code, out = printed(capsys, "--kitchen", DEMO, "--on", "2026-11-25")
    declared = json.loads(out.out)
    assert code == 0 and len(declared) >= 6
    for one in declared:
        jsonschema.validate(one, schema)
        assert {h["allergen"] for h in one["contains"]} and all(h["because"] for h in one["contains"])
    del declared[0]["panel"]
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(declared[0], schema)


def test_jsonld_uses_only_terms_of_the_vocabulary(capsys):
    """Expanded by the pyld JSON-LD processor (vocabulary schema.org); property names as in the msgspec-schemaorg models."""
    code, out = printed(capsys, "almond-pebbles", "--as", "jsonld", "--kitchen", DEMO)
    data = json.loads(out.out)
    assert data.pop("@context") == VOCABULARY.rstrip("/")
    (node,) = jsonld.expand({"@context": {"@vocab": VOCABULARY}, **data})
    assert node["@type"] == [VOCABULARY + "Recipe"]
    assert {k.removeprefix(VOCABULARY) for k in node if not k.startswith("@")} <= set(Recipe.__struct_fields__)
    (nutrition,) = node[VOCABULARY + "nutrition"]
    names = {k.removeprefix(VOCABULARY) for k in nutrition if not k.startswith("@")}
    assert {"calories", "fatContent", "servingSize"} <= names <= set(NutritionInformation.__struct_fields__)
    assert data["nutrition"]["calories"] == "150 calories"


def test_csv_holds_every_row(capsys):
    _, out = printed(capsys, "oat-thins", "--as", "csv", "--kitchen", DEMO)
    lines = list(csv.DictReader(io.StringIO(out.out)))
    _, out = printed(capsys, "oat-thins", "--kitchen", DEMO)
    declared = json.loads(out.out)
    rows = [r for c in declared["panel"]["columns"] for r in c["rows"]]
    assert [line["declared"] for line in lines if line["section"] == "nutrition"] == [r["declared"] for r in rows]
    assert {line["key"] for line in lines if line["section"] == "contains"} == {h["allergen"] for h in declared["contains"]}


def test_text_for_a_listing_says_what_must_be_read_before_buying(capsys):
    _, out = printed(capsys, "lantern-biscuits", "--as", "text", "--kitchen", DEMO, "--out", "")
    for needed in ("Hazelnut butter cookies", "Ingredients: ", "Contains: Milk, Egg, Wheat", "Nutrition Facts", "Net Wt", "Example Hill Bakes"):
        assert needed in out.out


def test_text_for_a_listing_gives_the_servings_and_their_weight_as_the_label_does(capsys):
    """Servings and serving size belong to the panel, and the size is rounded: 21 CFR 101.9(b)(7), (8)."""
    _, out = printed(capsys, "lantern-biscuits", "--as", "text", "--kitchen", DEMO, "--out", "")
    assert "6 servings per container\nNutrition Facts (2 cookies, 32g)\n" in out.out


def test_a_stopped_declaration_is_not_published(capsys, tmp_path):
    from tests.kitchens import write

    kitchen = write(tmp_path, "topping: {print: topping, per: 100 g, nutrients: {fat: 1 g}}\n", "formulations:\n  a: {ingredients: [100 g topping], makes: 4}\nproducts:\n  p: {name: P, of: a, pieces: 4}\n")
    code, out = printed(capsys, "p", "--as", "text", "--kitchen", str(kitchen))
    assert code == 1 and not out.out and "not fit to publish" in out.err


def test_a_written_file_is_whole(capsys, tmp_path):
    code, out = printed(capsys, "oat-thins", "--as", "jsonld", "--kitchen", DEMO, "--out", str(tmp_path / "page.json"))
    assert code == 0 and json.loads((tmp_path / "page.json").read_text(encoding="utf-8"))["name"] == "Oat thins"


@pytest.mark.parametrize("market, sodium, calories", [("us", "45mg", "180 calories"), ("eu", None, "541 kcal"), ("uk", None, "541 kcal"), ("au", "23 mg", "361 kJ")])
def test_salt_is_never_said_to_be_sodium(capsys, market, sodium, calories):
    """Salt is 2.5 times sodium (Regulation (EU) 1169/2011 Annex I): the one must not stand where the other is expected."""
    _, out = printed(capsys, "lantern-biscuits", "--as", "jsonld", "--market", market, "--kitchen", DEMO)
    nutrition = json.loads(out.out)["nutrition"]
    assert nutrition.get("sodiumContent") == sodium and nutrition["calories"] == calories


@pytest.mark.parametrize("form", ["csv", "pdf"])
def test_a_panel_the_label_goes_without_is_told_as_such(tmp_path, capsys, form):
    """An exemption takes the panel off the label; a shop may still be told the figures, with where they are not."""
    import shutil

    import pypdf

    folder = tmp_path / "kitchen"
    shutil.copytree(DEMO, folder)
    recipes = folder / "recipes" / "biscuits.yaml"
    recipes.write_text(recipes.read_text(encoding="utf-8").replace('{name: "Oat thins",', '{name: "Oat thins", exempt: [local_supply],'), encoding="utf-8")
    for product, exempt in (("oat-thins", True), ("hill-loaf", False)):
        code, out = printed(capsys, product, "--as", form, "--market", "eu", "--kitchen", str(folder), *(["--out", str(tmp_path)] if form == "pdf" else []))
        told = pypdf.PdfReader(tmp_path / f"{product}-specification.pdf").pages[0].extract_text() if form == "pdf" else out.out
        assert code == 0 and ("Not printed on the label" in told) == exempt and "nergy" in told
