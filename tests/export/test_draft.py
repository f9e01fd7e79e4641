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
            "@type": ["Recipe"], "name": "Barley rounds: \"plain\"", "recipeYield": ["24 rounds"],
            "recipeIngredient": ["250 g butter, softened", "1 1/2 cups plain flour (sifted)", "2 large eggs", "a pinch of salt", "100 g Zzyzx powder", "½ tsp baking soda"],
        },
    ],
}  # fmt: skip


@pytest.fixture
def kitchen(tmp_path):
    return write(tmp_path / "k", "water: {print: water, food: usda/14411}\n", "formulations:\n  a: {ingredients: [100 g water]}\nproducts:\n  p: {name: P, of: a}\n")


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
    assert not findings and data["product"] in read.products
    assert len(read.formulations["barley-rounds-plain-dough"].lines) == 5
    text = (kitchen / "recipes" / "barley-rounds-plain.yaml").read_text(encoding="utf-8")
    assert "CHECK not read: a pinch of salt" in text


def test_nothing_is_written_over(kitchen, tmp_path, capsys):
    drafted(kitchen, tmp_path, capsys, RECIPE)
    before = {p: p.read_bytes() for p in kitchen.rglob("*.yaml")}
    code, err = drafted(kitchen, tmp_path, capsys, RECIPE)
    assert code == 2 and "there already" in err and before == {p: p.read_bytes() for p in kitchen.rglob("*.yaml")}


@pytest.mark.parametrize(
    "recipe, words",
    [("{", "is not JSON"), ({"@type": "Article"}, "holds no schema.org Recipe"), ("[" * 5000, "is not JSON"), ("null", "holds no"), (json.dumps({"@type": "Recipe"}), "")],
)
def test_other_files_are_refused_or_drafted_empty(kitchen, tmp_path, capsys, recipe, words):
    code, said = drafted(kitchen, tmp_path, capsys, recipe)
    assert (code, words in said) == (2, True) if words else code == 0


def test_texts_cannot_break_out_of_their_line(kitchen, tmp_path, capsys):
    nasty = RECIPE["@graph"][1] | {"name": "x\nproducts: {evil: 1}", "recipeIngredient": ["250 g butter\n  - 1 g poison", "1 g \"}]#: {"]}
    code, _ = drafted(kitchen, tmp_path, capsys, nasty)
    read, findings = read_kitchen(kitchen)
    assert code == 0 and "evil" not in read.products and not [f for f in findings if f.code.startswith("yaml")]
