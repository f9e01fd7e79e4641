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
    """Expanded by the pyld JSON-LD processor (vocabulary schema.org); property names as in the
    msgspec-schemaorg models.
    """
    _code, out = printed(capsys, "almond-pebbles", "--as", "jsonld", "--kitchen", DEMO)
    data = json.loads(out.out)
    assert data.pop("@context") == VOCABULARY.rstrip("/")
    (node,) = jsonld.expand({"@context": {"@vocab": VOCABULARY}, **data})
    assert node["@type"] == [VOCABULARY + "Recipe"]
    assert {k.removeprefix(VOCABULARY) for k in node if not k.startswith("@")} <= set(
        Recipe.__struct_fields__
    )
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
    assert [line["declared"] for line in lines if line["section"] == "nutrition"] == [
        r["declared"] for r in rows
    ]
    assert {line["key"] for line in lines if line["section"] == "contains"} == {
        h["allergen"] for h in declared["contains"]
    }
    nutrition = [line for line in lines if line["section"] == "nutrition"]
    for bound in ("low", "value", "high"):
        assert [line[bound] and float(line[bound]) for line in nutrition] == [
            "" if r[bound] is None else pytest.approx(r[bound], rel=1e-9) for r in rows
        ]
    assert any(float(line["low"]) < float(line["high"]) for line in nutrition if line["low"] and line["high"])


def test_text_for_a_listing_says_what_must_be_read_before_buying(capsys):
    _, out = printed(capsys, "lantern-biscuits", "--as", "text", "--kitchen", DEMO, "--out", "")
    for needed in (
        "Hazelnut butter cookies",
        "Ingredients: ",
        "Contains: Milk, Egg, Wheat",
        "Nutrition Facts",
        "Net Wt",
        "Example Hill Bakes",
    ):
        assert needed in out.out


def test_text_for_a_listing_gives_the_servings_and_their_weight_as_the_label_does(capsys):
    """Servings and serving size belong to the panel, and the size is rounded: 21 CFR 101.9(b)(7), (8)."""
    _, out = printed(capsys, "lantern-biscuits", "--as", "text", "--kitchen", DEMO, "--out", "")
    assert "6 servings per container\nNutrition Facts (2 cookies, 32g)\n" in out.out


def test_a_stopped_declaration_is_not_published(capsys, tmp_path):
    from tests.kitchens import write

    kitchen = write(
        tmp_path,
        "topping: {print: topping, per: 100 g, nutrients: {fat: 1 g}}\n",
        "formulations:\n  a: {ingredients: [100 g topping], makes: 4}\nproducts:\n  p: {name: P, of: a,"
        " pieces: 4}\n",
    )
    code, out = printed(capsys, "p", "--as", "text", "--kitchen", str(kitchen))
    assert code == 1 and not out.out and "not fit to publish" in out.err


def test_a_written_file_is_whole(capsys, tmp_path):
    code, _out = printed(
        capsys, "oat-thins", "--as", "jsonld", "--kitchen", DEMO, "--out", str(tmp_path / "page.json")
    )
    assert (
        code == 0 and json.loads((tmp_path / "page.json").read_text(encoding="utf-8"))["name"] == "Oat thins"
    )


@pytest.mark.parametrize(
    "market, sodium, calories",
    [
        ("us", "45mg", "180 calories"),
        ("eu", None, "541 kcal"),
        ("uk", None, "541 kcal"),
        ("au", "23 mg", "361 kJ"),
    ],
)
def test_salt_is_never_said_to_be_sodium(capsys, market, sodium, calories):
    """Salt is 2.5 times sodium (Regulation (EU) 1169/2011 Annex I): the one must not stand where the other
    is expected.
    """
    _, out = printed(capsys, "lantern-biscuits", "--as", "jsonld", "--market", market, "--kitchen", DEMO)
    nutrition = json.loads(out.out)["nutrition"]
    assert nutrition.get("sodiumContent") == sodium and nutrition["calories"] == calories


@pytest.mark.parametrize("form", ["csv", "pdf"])
def test_a_panel_the_label_goes_without_is_told_as_such(tmp_path, capsys, form):
    """An exemption takes the panel off the label; a shop may still be told the figures, with where they
    are not.
    """
    import shutil

    import pypdf

    folder = tmp_path / "kitchen"
    shutil.copytree(DEMO, folder)
    recipes = folder / "recipes" / "biscuits.yaml"
    recipes.write_text(
        recipes.read_text(encoding="utf-8").replace(
            '{name: "Oat thins",', '{name: "Oat thins", exempt: [local_supply],'
        ),
        encoding="utf-8",
    )
    for product, exempt in (("oat-thins", True), ("hill-loaf", False)):
        code, out = printed(
            capsys,
            product,
            "--as",
            form,
            "--market",
            "eu",
            "--kitchen",
            str(folder),
            *(["--out", str(tmp_path)] if form == "pdf" else []),
        )
        told = (
            pypdf.PdfReader(tmp_path / f"{product}-specification.pdf").pages[0].extract_text()
            if form == "pdf"
            else out.out
        )
        assert code == 0 and ("Not printed on the label" in told) == exempt and "nergy" in told


BOX = {
    "ingredients": (
        "flour: {print: wheat flour, food: usda/20481}\nbutter: {print: butter, food: usda/01145}\nalmond:"
        " {print: almonds, food: usda/12061}\n"
    ),
    "recipes": (
        """formulations:
  a: {ingredients: [20 g flour, 10 g butter], per: piece}
  b: {ingredients: [20 g flour, 9 g almond], per: piece}
products:
  pa: {name: Rounds, of: a, pieces: 6, unit: cookie, category: cookies}
  pb: {name: Squares, of: b, pieces: 6, unit: cookie, category: cookies}
boxes:
  both: {name: Both, holds: {pa: 3, pb: 3}}
"""
    ),
    "kitchen": "producer: {name: Example Hill Bakes, address: 1 Example Hill}\nmarkets: [us, eu]\n",
}


@pytest.fixture
def box(tmp_path):
    from tests.kitchens import write

    return str(write(tmp_path / "k", **BOX))


@pytest.mark.parametrize(
    "market, lists",
    [
        (
            "us",
            (
                "Rounds. Ingredients: wheat flour, butter. Contains: Milk, Wheat.",
                "Squares. Ingredients: wheat flour, almonds. Contains: Wheat, Almond.",
            ),
        ),
        (
            "eu",
            (
                "Rounds. Ingredients: WHEAT flour, butter (MILK).",
                "Squares. Ingredients: WHEAT flour, ALMONDS",
            ),
        ),
    ],
)
def test_a_box_gives_the_list_of_everything_in_it(capsys, box, market, lists):
    """Regulation (EU) 1169/2011, Articles 14 and 21(1)(b): all of it before the purchase, allergens set
    off.
    """
    _, text = printed(capsys, "both", "--as", "text", "--market", market, "--kitchen", box)
    _, table = printed(capsys, "both", "--as", "csv", "--market", market, "--kitchen", box)
    stated = [r["declared"] for r in csv.DictReader(io.StringIO(table.out)) if r["section"] == "ingredients"]
    for wanted, row in zip(lists, stated, strict=True):
        assert wanted in text.out and row.startswith(wanted)


@pytest.mark.parametrize("market", ["us", "eu"])
def test_figures_of_a_box_stand_with_the_product_they_are_of(capsys, box, market):
    _, table = printed(capsys, "both", "--as", "csv", "--market", market, "--kitchen", box)
    columns = {r["column"] for r in csv.DictReader(io.StringIO(table.out)) if r["section"] == "nutrition"}
    assert {c.split(" ")[0] for c in columns} == {"Rounds", "Squares"}
    _, page = printed(capsys, "both", "--as", "jsonld", "--market", market, "--kitchen", box)
    data = json.loads(page.out)
    assert "nutrition" not in data and [part["name"] for part in data["hasPart"]] == ["Rounds", "Squares"]
    figures = [part["nutrition"]["fatContent"] for part in data["hasPart"]]
    assert figures[0] != figures[1]


@pytest.mark.parametrize("market", ["us", "eu", "au"])
def test_a_web_page_always_names_the_allergens(capsys, box, market):
    """A list in bold letters says nothing in JSON-LD."""
    _, page = printed(capsys, "pb", "--as", "jsonld", "--market", market, "--kitchen", box)
    told = json.loads(page.out)["disambiguatingDescription"].lower()
    assert "wheat" in told and "almond" in told


@pytest.mark.parametrize(
    "market, size", [("us", "1 cookie (30g)"), ("eu", "100 g"), ("au", "1 cookie (30 g)")]
)
def test_the_serving_size_is_a_number_and_a_mass(capsys, box, market, size):
    """schema.org servingSize: the serving size, in terms of the number of volume or mass."""
    _, page = printed(capsys, "pa", "--as", "jsonld", "--market", market, "--kitchen", box)
    assert json.loads(page.out)["nutrition"]["servingSize"] == size


def test_a_web_page_cannot_be_broken_out_of(capsys, tmp_path):
    from tests.kitchens import write

    kitchen = write(
        tmp_path / "k",
        BOX["ingredients"],
        BOX["recipes"].replace("name: Rounds", "name: 'R</script><b>'"),
        BOX["kitchen"],
    )
    _, page = printed(capsys, "pa", "--as", "jsonld", "--kitchen", str(kitchen))
    assert "<" not in page.out and json.loads(page.out)["name"] == "R</script><b>"
    # HTML, 4.12.1.3: what a script element may not hold
    assert not any(opening in page.out for opening in ("<!--", "<script", "</script"))


@pytest.mark.parametrize("market", ["us", "eu"])
def test_the_specification_of_a_box_reads_back(capsys, box, tmp_path, market):
    import pypdf

    code, _ = printed(
        capsys, "both", "--as", "pdf", "--market", market, "--kitchen", box, "--out", str(tmp_path / "out")
    )
    text = " ".join(
        "".join(
            page.extract_text() for page in pypdf.PdfReader(tmp_path / "out" / "both-specification.pdf").pages
        ).split()
    )
    assert (
        code == 0 and "Rounds. Ingredients: wheat flour, butter" in text and "Squares. Ingredients:" in text
    )
