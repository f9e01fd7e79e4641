"""--json prints JSON and nothing else, whatever the command."""

import json

import pytest

from labelgen.cli import COMMANDS, main

#: For each command, words that make it say something of the starter kitchen (in k/).
ASKED = {
    "new": [["new", "other"]],
    "demo": [["demo", "demo", "--out", "out"]],
    "check": [["check", "k"], ["check", "k", "--market", "eu"], ["check", "nowhere"]],
    "panel": [
        ["panel", "shortbread"],
        ["panel", "shortbread", "--market", "all"],
        ["panel", "shortbread", "--fit", "60x90mm"],
    ],
    "explain": [["explain", "shortbread", "fat"]],
    "compare": [
        ["compare", "shortbread", "shortbread-oat"],
        ["compare", "shortbread", "--markets", "us,eu"],
    ],
    "label": [
        ["label", "shortbread", "--out", "out"],
        ["label", "shortbread", "--out", "out", "--stock", "a4-4", "--copies", "5"],
    ],
    "stock": [["stock"], ["stock", "letter-4"]],
    "preflight": [["preflight", "out/shortbread.pdf", "--product", "shortbread"]],
    "stall": [["stall", "--out", "out"]],
    "declare": [["declare", "shortbread"]],
    "allergens": [
        ["allergens", "--text", "rye"],
        ["allergens", "--text", "rye", "--product", "shortbread"],
    ],
    "foods": [["foods", "search", "rye flour"], ["foods", "show", "usda/20064"]],
    "round": [["round", "total_fat", "4.75"]],
    "law": [["law", "salt", "--market", "eu"]],
    "weigh": [["weigh", "shortbread", "--packs", "3", "--out", "out"]],
    "draft": [["draft", "recipe.json"]],
    "ledger": [["ledger", "ingredient", "butter"]],
    "status": [["status"]],
    "help": [["help"], ["help", "packets"]],
}


def test_every_command_is_asked():
    assert set(ASKED) == set(COMMANDS)


@pytest.fixture(scope="module")
def bench(tmp_path_factory):
    """A starter kitchen, a label of it, a lot in its ledger and a recipe to draft."""
    folder = tmp_path_factory.mktemp("bench")
    assert (
        main(
            [
                "new",
                str(folder / "k"),
                "--name",
                "Example Hill Bakes",
                "--address",
                "1 Example Hill, Sampleton",
            ]
        )
        == 0
    )
    for lot in ([], ["--lot", "A1"]):
        assert (
            main(["label", "shortbread", "--kitchen", str(folder / "k"), "--out", str(folder / "out"), *lot])
            == 0
        )
    recipe = {
        "@context": "https://schema.org",
        "@type": "Recipe",
        "name": "Tea loaf",
        "recipeIngredient": ["200 g flour", "2 large eggs"],
    }
    (folder / "recipe.json").write_text(json.dumps(recipe), encoding="utf-8")
    return folder


@pytest.mark.parametrize("words", [w for every in ASKED.values() for w in every], ids=" ".join)
def test_json_is_all_there_is(bench, monkeypatch, capsys, words):
    monkeypatch.chdir(bench)
    kitchen = (
        []
        if words[0] in ("new", "demo", "check", "stock", "round", "law", "foods", "help")
        else ["--kitchen", "k"]
    )
    code = main([*words, *kitchen, "--json"])
    assert code == (1 if "nowhere" in words else code) and code < 2
    assert json.loads(capsys.readouterr().out)
