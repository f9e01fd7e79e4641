"""``labelgen check --fix``: what is a slip of the pen is mended, all else stays as it is typed."""

import json
from pathlib import Path

import pytest

from labelgen.cli import main
from tests.kitchens import write

INGREDIENTS = """\
# what stands on the shelf
flour: {print: wheat flour, food: usda/20481}
butter: {print: butter, food: usda/01145}   # salted
chips:
  print: chocolate chips
  statment: sugar, cocoa mass, emulsifier: soy lecithin
  contains: [soy]
  panel: {market: us, serving: 15 g, calories: 70, fat: 4.5 g, carbohydrate: 9 g, sugars: 8 g, protein: 1 g}
"""
RECIPES = """\
formulations:
  dough: {ingredients: [300 g flour, 200 g buter, 50 g chips], makes: 30}
products:
  bars: {name: Bars, of: dogh, pieces: 10, storage: Keep dry, and cool, categry: cookies}
"""


def _files(folder: Path) -> dict[str, bytes]:
    return {str(p.relative_to(folder)): p.read_bytes() for p in folder.rglob("*.yaml")}


def test_slips_are_shown_then_written_then_taken_back(tmp_path, capsys):
    write(
        tmp_path,
        INGREDIENTS,
        RECIPES,
        "producer: {name: Hill, address: 1 Hill Road, Sampleton} # us\nmarket: [us]\n",
    )
    before = _files(tmp_path)
    assert main(["check", str(tmp_path), "--fix"]) == 1
    told = capsys.readouterr().out
    assert _files(tmp_path) == before and "--fix --yes" in told
    assert '+  statement: "sugar, cocoa mass, emulsifier: soy lecithin"' in told
    assert main(["check", str(tmp_path), "--fix", "--yes"]) == 0
    after = {name: data.decode() for name, data in _files(tmp_path).items()}
    assert after == {
        "kitchen.yaml": 'producer: {name: Hill, address: "1 Hill Road, Sampleton"} # us\nmarkets: [us]\n',
        "ingredients/all.yaml": INGREDIENTS.replace(
            "statment: sugar, cocoa mass, emulsifier: soy lecithin",
            'statement: "sugar, cocoa mass, emulsifier: soy lecithin"',
        ),
        "recipes/all.yaml": RECIPES.replace("buter", "butter")
        .replace("dogh", "dough")
        .replace("Keep dry, and cool", '"Keep dry, and cool"')
        .replace("categry", "category"),
    }
    capsys.readouterr()
    assert main(["check", str(tmp_path), "--fix"]) == 0
    assert main(["check", str(tmp_path), "--undo"]) == 0 and _files(tmp_path) == before
    assert main(["check", str(tmp_path), "--undo"]) == 2
    assert "nothing to take back" in capsys.readouterr().err


def test_what_was_edited_since_is_not_overwritten(tmp_path, capsys):
    write(tmp_path, INGREDIENTS, RECIPES)
    assert main(["check", str(tmp_path), "--fix", "--yes", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["written"]
    recipes = tmp_path / "recipes" / "all.yaml"
    recipes.write_text(recipes.read_text() + "# mine\n")
    kept = _files(tmp_path)
    assert main(["check", str(tmp_path), "--undo"]) == 2 and _files(tmp_path) == kept
    assert "was edited since" in capsys.readouterr().err


@pytest.mark.parametrize(
    "kitchen, mended",
    [
        ("producer:\nname: Hill\naddress: '1 Hill'\n", "producer:\n  name: Hill\n  address: '1 Hill'\n"),
        ("producer:\n    name: Hill\naddress: x\n", "producer:\n    name: Hill\n    address: x\n"),
        (
            "producer: {name: 'Hill', address: 1 Hill, Sampleton, Upper End}\n",
            "producer: {name: 'Hill', address: \"1 Hill, Sampleton, Upper End\"}\n",
        ),
        (
            "producer:\r\n  name: Hill: Bakes\r\n  address: x\r\n",
            'producer:\r\n  name: "Hill: Bakes"\r\n  address: x\r\n',
        ),
        ("producer: {name: Hill, adress: x}\n", "producer: {name: Hill, address: x}\n"),
    ],
)
def test_each_kind_of_slip(tmp_path, kitchen, mended, capsys):
    write(tmp_path, "flour: {print: flour, food: usda/20481}\n", "products: {}\n")
    (tmp_path / "kitchen.yaml").write_bytes(kitchen.encode())
    main(["check", str(tmp_path), "--fix", "--yes"])
    assert (tmp_path / "kitchen.yaml").read_bytes().decode() == mended, capsys.readouterr().out


@pytest.mark.parametrize(
    "typed, known, fixed",
    [
        ("butttter", "butter", False),
        ("buttre", "butter", True),
        ("oat milk", "goat milk", False),
        ("rye flour", "rice flour", False),
    ],
)
def test_another_food_is_no_slip(tmp_path, typed, known, fixed):
    """Oat milk is not goat milk, one letter apart though they are: an edit may change no allergen."""
    recipe = f"formulations:\n  dough: {{ingredients: [300 g {typed}], makes: 30}}\n"
    write(tmp_path, f"{known}: {{print: {known}, food: usda/01145}}\n", recipe, "markets: [us]\n")
    main(["check", str(tmp_path), "--fix", "--yes"])
    assert ((tmp_path / "recipes/all.yaml").read_text() != recipe) == fixed
