"""Drafts: what is called one, or still holds a CHECK, is printed for nobody; all else goes on."""

import json

import pytest

from labelgen.chain import roll_up_folder
from labelgen.cli import main
from tests.kitchens import write
from tests.recipe.test_reach import EVERY, KITCHEN, LARDER, RECIPES

RECIPE = {
    "@type": "Recipe",
    "name": "Scones",
    "recipeYield": "12",
    "recipeIngredient": ["250 g flour", "60 g butter", "100 g icing sugar"],
}


def draft_stops(folder):
    return {
        key
        for key, found in roll_up_folder(folder).stops.items()
        if any(f.code.startswith("draft") for f in found)
    }


@pytest.mark.parametrize(
    "old, new, reached",
    [
        ("sugar: {", "sugar: {draft: true, ", EVERY),
        ("sugar: {", "sugar: {draft: false, ", set()),
        ("oil: {", "oil: {draft: true, ", {"ring", "both", "oats"}),
        ("ring: {of", "ring: {draft: true, of", {"ring", "both", "oats"}),
        ("plain-oat: {of", "plain-oat: {draft: true, of", {"plain-oat", "oats"}),
        ("oats: {holds", "oats: {draft: true, holds", {"oats"}),
        ("dough: {", "dough: {draft: true, ", EVERY - {"ring"}),
        ("formulations:", "draft: true\nformulations:", EVERY),
        ("flour: {print: wheat", "draft: true\nflour: {print: wheat", EVERY),
        # the field is gone, a mark is left: in its line, on one of its own (it may be of either neighbour),
        # in a value
        ("02", "02", set()),
        ("food: usda/04053}", "food: usda/04053}  # CHECK the oil", {"ring", "both", "oats"}),
        ("print: olive oil", "print: CHECK", {"ring", "both", "oats"}),
        ("print: olive oil", 'print: "CHECK: which oil"', {"ring", "both", "oats"}),
        ("  ring: {of", "  # CHECK the name\n  ring: {of", {"filled", "ring", "both", "oats"}),
        # words that are no mark
        ("food: usda/04053}", "food: usda/04053}  # checked 2026-11, CHECKED again", set()),
        ("ring: {of", "ring: {name: CHECKERBOARD RINGS, of", set()),
        ("ring: {of", "ring: {name: CHECK MATE RINGS, of", set()),
    ],
)
def test_a_mark_stops_what_is_made_with_it(tmp_path, old, new, reached):
    larder, recipes = LARDER.replace(old, new, 1), RECIPES.replace(old, new, 1)
    if larder != LARDER:
        recipes = RECIPES
    write(tmp_path, larder, recipes, KITCHEN)
    assert draft_stops(tmp_path) == reached


@pytest.mark.parametrize("mark", ["yes", "1", "perhaps", "[true]", "'true'", "~"])
def test_a_mark_that_is_neither_true_nor_false_stops_too(tmp_path, mark):
    write(tmp_path, LARDER, RECIPES.replace("ring: {of", f"ring: {{draft: {mark}, of"), KITCHEN)
    assert draft_stops(tmp_path) == {"ring", "both", "oats"}


def test_a_drafted_recipe_prints_only_when_every_mark_is_gone(tmp_path, capsys):
    kitchen, out = write(tmp_path / "k", LARDER, RECIPES, KITCHEN), tmp_path / "out"
    (tmp_path / "r.json").write_text(json.dumps(RECIPE), encoding="utf-8")
    argv = ["--kitchen", str(kitchen)]
    assert main(["draft", str(tmp_path / "r.json"), *argv]) == 0
    recipe, larder = kitchen / "recipes" / "scones.yaml", kitchen / "ingredients" / "scones.yaml"
    assert set(roll_up_folder(kitchen).stops) == {"scones"}
    for lot in ([], ["--lot", "A1"]):
        assert main(["label", "scones", *argv, "--out", str(out), *lot]) == 1
        assert "scones is a draft" in capsys.readouterr().out.replace("this file", "scones")
    for form in ("text", "csv", "jsonld", "pdf"):
        assert main(["declare", "scones", "--as", form, *argv, "--out", str(out)]) == 1
        assert "not fit to publish" in capsys.readouterr().err
    assert not out.exists() or not list(out.rglob("*.pdf"))
    # unfinished is fine for weighing, figures and comparing
    assert main(["weigh", "scones", *argv, "--out", str(out)]) == 0 and main(["panel", "scones", *argv]) == 0
    assert (
        main(["explain", "scones", "fat", *argv]) == 0
        and main(["label", "plain", *argv, "--out", str(out)]) == 0
    )
    for file in (recipe, larder):
        file.write_text(file.read_text(encoding="utf-8").replace("draft: true\n", ""), encoding="utf-8")
    assert draft_stops(kitchen) == {"scones"}
    capsys.readouterr()
    assert (
        main(["label", "scones", *argv, "--out", str(out)]) == 1
        and "a CHECK is left in line" in capsys.readouterr().out
    )
    for file in (recipe, larder):
        file.write_text(
            "".join(
                line.partition("# CHECK")[0].rstrip() + "\n"
                for line in file.read_text(encoding="utf-8").splitlines()
            ),
            encoding="utf-8",
        )
    assert draft_stops(kitchen) == set() and main(["label", "scones", *argv, "--out", str(out)]) == 0


def test_a_drafted_recipe_uses_what_the_kitchen_has_however_it_is_written(tmp_path, capsys):
    kitchen = write(
        tmp_path / "k",
        LARDER.replace("oat-flour", "Oat_Flour"),
        RECIPES.replace("oat-flour", "Oat_Flour"),
        KITCHEN,
    )
    (tmp_path / "r.json").write_text(
        json.dumps(RECIPE | {"recipeIngredient": ["100 g oat flour"]}), encoding="utf-8"
    )
    assert main(["draft", str(tmp_path / "r.json"), "--kitchen", str(kitchen)]) == 0
    assert (
        set(roll_up_folder(kitchen).stops) == {"scones"}
        and not (kitchen / "ingredients" / "scones.yaml").exists()
    )
    (tmp_path / "r.json").write_text(json.dumps(RECIPE | {"name": "Plain Oat"}), encoding="utf-8")
    assert main(["draft", str(tmp_path / "r.json"), "--kitchen", str(kitchen)]) == 2


def test_poster_and_cards_mark_a_draft(tmp_path, capsys):
    from labelgen.pdf.label_words import read_words

    write(
        tmp_path / "k",
        LARDER,
        RECIPES.replace("plain: {of", "plain: {draft: true, name: Plain ones, of"),
        KITCHEN,
    )
    assert main(["stall", "--kitchen", str(tmp_path / "k"), "--out", str(tmp_path / "out")]) == 1
    assert "is a draft" in capsys.readouterr().err
    assert "Plain ones (not ready: ask us)" in " ".join(
        read_words((tmp_path / "out" / "allergen-poster.pdf").read_bytes()).text.split()
    )
    assert "Plain ones" not in read_words((tmp_path / "out" / "product-cards.pdf").read_bytes()).text
