"""Broken kitchens: each gives a clear finding at its line, exit 1 or 2, and never a traceback."""

import os

import pytest

from labelgen.cli import main
from tests.kitchens import write

GOOD = "a: {food: usda/20081}\n"
DEEP = (
    "formulations:\n"
    + "".join(f"  x{i}: {{ingredients: [1 g x{i + 1}]}}\n" for i in range(3000))
    + "  x3000: {ingredients: [1 g a]}\n"
)
RECIPE = "formulations:\n  d:\n    ingredients: [100 g a]\nproducts:\n  p: {of: d}\n"


@pytest.mark.parametrize(
    "ingredients, recipes, place",
    [
        (GOOD, RECIPE.replace("100 g a", "100 blobs a"), "recipes/all.yaml:3:19"),
        (GOOD, RECIPE.replace("100 g a", "100 g zz"), "recipes/all.yaml:3:19"),
        (GOOD, RECIPE.replace("100 g a", "-100 g a"), "recipes/all.yaml:3:19"),
        (GOOD, RECIPE.replace("100 g a", ".nan g a"), "recipes/all.yaml:3:19"),
        (GOOD, RECIPE.replace("100 g a", "1e308 g a"), "recipes/all.yaml:3:19"),
        (GOOD, RECIPE.replace("100 g a", "0 g a"), "recipes/all.yaml:3:19"),
        (GOOD, RECIPE.replace("100 g a", "1 cup zz"), "recipes/all.yaml:3:19"),
        (GOOD, RECIPE.replace("100 g a", "100 g d"), "recipes/all.yaml:2:3"),
        (GOOD + "a: {food: usda/20080}\n", RECIPE, "ingredients/all.yaml:2:1"),
        ("a: {food: usda/99999}\n", RECIPE, "ingredients/all.yaml:1:1"),
        ("a: {fodo: usda/20081}\n", RECIPE, "ingredients/all.yaml:1:5"),
        (
            "a: {per: 100 g, nutrients: {fat: 9 g, saturated fat: 12 g}}\n",
            RECIPE,
            "ingredients/all.yaml:1:1",
        ),
        ("a: {per: 100 g, nutrients: {glow: 9 g}}\n", RECIPE, "ingredients/all.yaml:1:29"),
        (GOOD, RECIPE + "boxes:\n  b: {holds: {b: 1}}\n", "recipes/all.yaml:7:15"),
        (GOOD, RECIPE + "variants:\n  v: {of: nothing}\n", "recipes/all.yaml:7:7"),
        (GOOD, RECIPE.replace("of: d", "of: dd"), "recipes/all.yaml:5:7"),
        (
            GOOD,
            RECIPE.replace("  d:", "  a:").replace("of: d", "of: a"),
            "recipes/all.yaml:2:3 duplicate-name",
        ),
        (
            GOOD,
            RECIPE.replace("[100 g a]", "[100 g a]\n    bake: {before: 10 g, after: 1 g}"),
            "recipes/all.yaml:4:5",
        ),
        (GOOD, RECIPE.replace("[100 g a]", "[100 g a]\n    yields: 200 g"), "recipes/all.yaml:2:3"),
        (
            GOOD,
            RECIPE.replace("[100 g a]", "[100 g a]\n    bake: {before: 10 g, after: 12 g}"),
            "recipes/all.yaml:4:5 gain-in-cooking",
        ),
        (GOOD, RECIPE.replace("100 g a", "1e-300 g a"), "recipes/all.yaml:5:3 pack-weight"),
        (GOOD, RECIPE.replace("of: d", "of: d, net: 900 kg"), "recipes/all.yaml:5:3 pack-weight"),
        (GOOD, RECIPE.replace("of: d", "of: d, pieces: 1e12"), "recipes/all.yaml:5:14 value"),
        (GOOD, RECIPE.replace("  p:", "  ../../p:"), "recipes/all.yaml:5:3 name-not-a-file"),
        (GOOD, RECIPE + "variants:\n  p: {of: p}\n", "recipes/all.yaml:7:3 duplicate-name"),
        (GOOD, RECIPE + "boxes:\n  p: {holds: {p: 1}}\n", "recipes/all.yaml:7:3 duplicate-name"),
        (GOOD, DEEP, "recipes/all.yaml:2:3 nested-too-deep"),
        (GOOD, "\n".join(["formulations:", *reversed(DEEP.splitlines()[1:])]), "nested-too-deep"),
        (GOOD, "formulations: [}\n", "recipes/all.yaml:1:16"),
        (GOOD, "formulations: 5\n", "recipes/all.yaml:1:1"),
        (
            "größe: {food: usda/20081}\n",
            RECIPE.replace("100 g a", "100 stück größe"),
            "recipes/all.yaml:3:19",
        ),
    ],
)
def test_fault_is_shown_at_its_place(tmp_path, capsys, ingredients, recipes, place):
    assert main(["check", str(write(tmp_path, ingredients, recipes))]) == 1
    assert place in capsys.readouterr().out


@pytest.mark.parametrize(
    "recipes",
    [
        RECIPE.replace("100 g a", "100 g zz"),
        "formulations: 5\n",
        RECIPE + "boxes:\n  b: {holds: {b: 1}}\n",
        RECIPE + "boxes:\n  b: {holds: {p: -1}}\n",
        DEEP,
    ],
)
def test_printing_everything_tells_what_was_not_printed(tmp_path, capsys, recipes):
    kitchen = write(tmp_path / "k", GOOD, recipes)
    assert main(["label", "--all", "--kitchen", str(kitchen), "--out", str(tmp_path / "out")]) in (1, 2)
    said = capsys.readouterr()
    assert "recipes/all.yaml:" in said.out + said.err and not list(tmp_path.rglob("*.pdf"))


def test_one_bad_product_does_not_stop_the_others(tmp_path, capsys):
    kitchen = write(
        tmp_path / "k",
        GOOD,
        RECIPE.replace(
            "products:", "  e:\n    ingredients: [100 g a]\n    yields: 200 g\nproducts:\n  q: {of: e}"
        ),
    )
    assert main(["label", "--all", "--kitchen", str(kitchen), "--out", str(tmp_path / "out")]) == 1
    assert (
        "recipes/all.yaml:4:3 yield-above-input" in (err := capsys.readouterr().err)
        and "is written: q" in err
    )


def test_all_faults_at_once(tmp_path, capsys):
    write(tmp_path, "a: {fodo: x}\nb: {food: usda/00000}\n", RECIPE.replace("100 g a", "100 g zz, -1 g a"))
    assert main(["check", str(tmp_path)]) == 1
    out = capsys.readouterr().out
    assert all(code in out for code in ("unknown-key", "food-unknown", "unknown-ingredient", "is negative"))


@pytest.mark.parametrize("what", ["missing", "file", "empty", "binary", "no-kitchen"])
def test_folders_that_are_no_kitchen(tmp_path, capsys, what):
    folder = tmp_path / "k"
    if what == "file":
        folder.write_text("x")
    elif what != "missing":
        write(folder, GOOD, RECIPE)
        if what == "no-kitchen":
            (folder / "kitchen.yaml").unlink()
        else:
            (folder / "kitchen.yaml").write_bytes(b"" if what == "empty" else bytes(range(256)))
    assert main(["check", str(folder)]) == 1
    assert "kitchen" in capsys.readouterr().out or what in ("missing", "file")


def test_unknown_product_and_usage(tmp_path, capsys):
    write(tmp_path, GOOD, RECIPE)
    assert main(["panel", "q", "--kitchen", str(tmp_path)]) == 2
    assert "no product" in capsys.readouterr().err
    with pytest.raises(SystemExit) as stop:
        main(["panel"])
    assert stop.value.code == 2


def test_a_mistyped_allergen_is_never_dropped(tmp_path, capsys):
    write(
        tmp_path,
        'a: {food: usda/20081, contains: ["hazelnuts, milk"]}\n',
        RECIPE,
        "markets: [us]\nhandles: [shellfish]\n",
    )
    assert main(["check", str(tmp_path)]) == 1
    out = capsys.readouterr().out
    assert "DANGER" in out and "write tree_nut/hazelnut, milk" in out and "write crustacean" in out


def test_a_fault_in_a_product_stops_its_label(tmp_path, capsys):
    write(
        tmp_path,
        GOOD,
        RECIPE.replace("p: {of: d}", "p: {of: d, cut: perhaps}"),
        "producer: {name: A, address: B}\nmarkets: [us]\n",
    )
    assert main(["label", "p", "--kitchen", str(tmp_path), "--out", str(tmp_path)]) == 1
    assert "cut" in capsys.readouterr().out and not list(tmp_path.glob("*.pdf"))


def test_an_ingredient_of_unknown_make_up_stops_the_label(tmp_path, capsys):
    """Figures alone do not tell what is in a topping; a pure substance by its name needs no list."""
    figures = (
        "per: 100 g, nutrients: {energy: 0 kcal, fat: 0 g, saturated fat: 0 g, trans fat: 0 g, cholesterol:"
        " 0 mg, sodium: 0 mg, carbohydrate: 100 g, fibre: 0 g, sugars: 0 g, added sugars: 0 g, protein: 0"
        " g, vitamin d: 0 mcg, calcium: 0 mg, iron: 0 mg, potassium: 0 mg}"
    )
    recipe = RECIPE.replace("100 g a", "100 g a, 20 g top").replace("{of: d}", "{of: d, category: cookies}")
    kitchen = "producer: {name: A, address: B}\nmarkets: [us]\n"
    argv = ["label", "p", "--kitchen", str(tmp_path), "--out", str(tmp_path / "out")]
    write(tmp_path, GOOD + f"top: {{print: topping, {figures}}}\n", recipe, kitchen)
    assert main(argv) == 1 and "DANGER ingredients/all.yaml:2:1 make-up-unknown" in capsys.readouterr().out
    write(tmp_path, GOOD + f"top: {{print: topping, contains: [], {figures}}}\n", recipe, kitchen)
    assert main(argv) == 0
    write(tmp_path, GOOD + f"top: {{print: erythritol, {figures}}}\n", recipe, kitchen)
    assert main(argv) == 0


@pytest.mark.parametrize(
    "recipes",
    [
        RECIPE.replace("[100 g a]", "[100 g a, 50 g buttr]"),
        RECIPE.replace("[100 g a]", "[100 g a, -5 g a]"),
        RECIPE.replace("[100 g a]", "[100 g a, {use: a, amount: .nan}]"),
        RECIPE.replace("[100 g a]", "[100 g a]\n    bake: {loss: lots}"),
        RECIPE.replace("[100 g a]", "[100 g a]\n    makes: 1:30"),
    ],
)
@pytest.mark.parametrize(
    "command",
    [
        ["panel", "p"],
        ["explain", "p", "fat"],
        ["weigh", "p"],
        ["stall"],
        ["compare", "p", "--markets", "us,eu"],
        ["declare", "p"],
        ["allergens", "--text", "flour", "--product", "p"],
    ],
)
def test_a_recipe_read_in_part_gives_no_figures_and_no_allergens(tmp_path, capsys, recipes, command):
    kitchen = write(tmp_path / "k", GOOD, recipes)
    assert (
        main(
            [
                *command,
                "--kitchen",
                str(kitchen),
                *(["--out", str(tmp_path / "out")] if command[0] in ("weigh", "stall") else []),
            ]
        )
        == 1
    )
    said = capsys.readouterr()
    assert "recipes/all.yaml:" in said.err and not said.out and not list(tmp_path.rglob("*.pdf"))


def test_a_missing_line_brings_no_further_faults(tmp_path, capsys):
    """What the missing line would have weighed is not held against the yield or the oven."""
    kitchen = write(
        tmp_path,
        GOOD,
        RECIPE.replace(
            "[100 g a]", "[100 g a, 90 g milk]\n    yields: 185 g\n    bake: {before: 185 g, after: 120 g}"
        ),
    )
    assert main(["check", str(kitchen)]) == 1
    said = capsys.readouterr().out
    assert "unknown-ingredient" in said and "yield-above-input" not in said and "loss-above-water" not in said


@pytest.mark.parametrize("kind", ["pipe", "device", "folder", "loop"])
def test_what_is_no_plain_file_is_refused_at_once(tmp_path, capsys, kind):
    kitchen = write(tmp_path, GOOD, RECIPE)
    odd = kitchen / "recipes" / "odd.yaml"
    {
        "pipe": lambda: os.mkfifo(odd),
        "device": lambda: odd.symlink_to("/dev/zero"),
        "folder": odd.mkdir,
        "loop": lambda: odd.symlink_to("odd.yaml"),
    }[kind]()
    assert main(["check", str(kitchen)]) == 1
    assert "recipes/odd.yaml:1 file-unreadable" in capsys.readouterr().out


@pytest.mark.parametrize(
    "name, good", [('"P\\e[31m"', False), ('"P\\u202Eq"', False), ('"choc\\u00ADolate"', True)]
)
def test_unprintable_characters(tmp_path, capsys, name, good):
    kitchen = write(tmp_path, GOOD, RECIPE.replace("of: d", f"of: d, name: {name}"))
    main(["check", str(kitchen)])
    said = capsys.readouterr().out
    assert ("cannot be printed" in said) is not good


@pytest.mark.parametrize(
    "settings, place",
    [
        ("markets: [us, xx]\n", "kitchen.yaml:1:15 market-unknown"),
        ("markets: []\n", "kitchen.yaml:1:1 market-unknown"),
        ("markets: [../../etc]\n", "kitchen.yaml:1:11 market-unknown"),
        ("markets: [us]\nhandles: [shellfish]\n", "kitchen.yaml:2:1 allergen-code"),
    ],
)
@pytest.mark.parametrize("command", [["check"], ["panel", "p", "--kitchen"]])
def test_faults_of_the_settings(tmp_path, capsys, settings, place, command):
    assert main([*command, str(write(tmp_path, GOOD, RECIPE, settings))]) == 1
    said = capsys.readouterr()
    assert place in said.out + said.err


def test_a_market_in_capitals_is_that_market(tmp_path, capsys):
    assert (
        main(["panel", "p", "--json", "--kitchen", str(write(tmp_path, GOOD, RECIPE, "markets: [US]\n"))])
        == 0
    )
    assert '"market": "us"' in capsys.readouterr().out


@pytest.mark.parametrize(
    "recipes, told",
    [
        ("formulations:\n\td: 1\n", "recipes/all.yaml:2:1 yaml-syntax"),
        ("", "recipes/all.yaml:1 file-empty"),
        ("\n \n", "recipes/all.yaml:1 file-empty"),
    ],
)
@pytest.mark.parametrize(
    "command", [["label", "p"], ["panel", "p"], ["explain", "p", "fat"], ["declare", "p"], ["weigh", "p"]]
)
def test_a_file_that_cannot_be_read_is_told_where_its_product_is_asked_for(
    tmp_path, capsys, recipes, told, command
):
    kitchen = write(tmp_path, GOOD, recipes)
    assert main([*command, "--kitchen", str(kitchen)]) == 2
    assert told in capsys.readouterr().err
    assert main(["check", str(kitchen)]) == 1 and told in capsys.readouterr().out


def test_a_file_of_comments_stops_nothing(tmp_path, capsys):
    kitchen = write(tmp_path, GOOD, RECIPE, "producer: {name: A, address: B}\nmarkets: [us]\n")
    (kitchen / "recipes" / "next.yaml").write_text("# scones, perhaps\n", encoding="utf-8")
    assert main(["check", str(kitchen)]) == 0
    assert "recipes/next.yaml:1 file-empty" in capsys.readouterr().out
