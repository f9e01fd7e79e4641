"""What a fault in a kitchen's files stops: the products and boxes made with it, and nothing else."""

from datetime import date

import pytest

from labelgen.chain import declare_product, roll_up_folder
from labelgen.cli import main
from labelgen.order import Order
from labelgen.recipe.reach import names_in
from tests.kitchens import write

LARDER = """\
flour: {print: wheat flour, food: usda/20481}
oat-flour: {print: oat flour, food: usda/20132}
sugar: {print: sugar, food: usda/19335}
butter: {print: butter, food: usda/01145}
oil: {print: olive oil, food: usda/04053}
"""
RECIPES = """\
formulations:
  dough: {ingredients: [300 g flour, 200 g butter, 100 g sugar], makes: 30}
  filled: {ingredients: [1 piece dough, 5 g butter], per: piece}
  ring: {ingredients: [100 g oat-flour, 50 g sugar], makes: 10, fry: {before: 150 g, after: 150 g, fat: 10 g,
      fat_from: oil}}
products:
  plain: {of: dough, pieces: 10}
  filled: {of: filled, pieces: 10}
  ring: {of: ring, pieces: 5}
variants:
  plain-oat: {of: plain, replace: {flour: oat-flour}}
boxes:
  both: {holds: {plain: 4, ring: 2}}
  oats: {holds: {plain-oat: 4, ring: 2}}
"""
EVERY = {"plain", "filled", "ring", "plain-oat", "both", "oats"}
KITCHEN = "producer: {name: A, address: 1 B}\nmarkets: [us]\n"


def stopped(tmp_path, larder=LARDER, recipes=RECIPES, kitchen=KITCHEN, **further):
    write(tmp_path, larder, recipes, kitchen)
    for name, text in further.items():
        path = tmp_path / name.replace("__", "/").replace("_yaml", ".yaml")
        path.parent.mkdir(exist_ok=True)
        path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return set(roll_up_folder(tmp_path).stops)


def test_a_kitchen_without_faults_stops_nothing(tmp_path):
    assert stopped(tmp_path) == set()


@pytest.mark.parametrize(
    "old, new, reached",
    [
        # an ingredient: whatever uses it, at any depth, in variants and boxes, as frying fat
        ("sugar: {", "sugar: {colour: white, ", EVERY),
        (
            "flour: {print: wheat",
            "flour: {contains: {}, print: wheat",
            {"plain", "filled", "plain-oat", "both", "oats"},
        ),
        ("oat-flour: {", "oat-flour: {contains: {}, ", {"ring", "plain-oat", "both", "oats"}),
        ("oil: {", "oil: {colour: green, ", {"ring", "both", "oats"}),
        # a formulation, also through another and through a variant of its product
        ("dough: {", "dough: {left: much, ", {"plain", "filled", "plain-oat", "both", "oats"}),
        ("filled: {ingredients", "filled: {left: much, ingredients", {"filled"}),
        ("[100 g oat-flour, 50 g sugar]", "[100 g oat-flour, 50 g sugr]", {"ring", "both", "oats"}),
        # a product: with its variants and boxes
        ("plain: {of", "plain: {cut: perhaps, of", {"plain", "plain-oat", "both", "oats"}),
        ("plain-oat: {of", "plain-oat: {claims: {}, of", {"plain-oat", "oats"}),
        ("both: {holds: {plain: 4,", "both: {holds: {plain: -4,", {"both"}),
        ("both: {holds: {plain: 4,", "both: {holds: {plian: 4,", {"both"}),
        # what nothing uses
        ("products:", "  scone: {ingredients: [250 g flor, a pinch of salt]}\nproducts:", set()),
        ("products:", "  scone: {ingredients: [250 g flour], bake: {loss: lots}}\nproducts:", set()),
        ("oil: {", "salt: {foood: usda/02047}\noil: {", set()),
        # a misspelt section: what its text names
        (
            "products:",
            "formulation: {scone: {ingredients: [250 g flour]}}\nproducts:",
            {"plain", "ring", "filled", "plain-oat", "both", "oats"},
        ),
    ],
)
def test_a_fault_stops_what_is_made_with_it(tmp_path, old, new, reached):
    larder, recipes = (text.replace(old, new, 1) for text in (LARDER, RECIPES))
    assert (larder, recipes) != (LARDER, RECIPES)
    assert stopped(tmp_path, larder, recipes) == reached


@pytest.mark.parametrize(
    "kitchen",
    [
        "producer: {nam: A, address: 1 B}\n",
        "markets: [us]\nhandles: [wombats]\n",
        "country: atlantis\n",
        "languages: [12]\nmarkts: [us]\n",
        "[}\n",
    ],
)
def test_a_fault_of_the_settings_stops_everything(tmp_path, kitchen):
    assert stopped(tmp_path, kitchen=kitchen) == EVERY


@pytest.mark.parametrize(
    "text, reached",
    [
        (
            (
                "formulations:\n  scone: {ingredients: [250 g flour, 90 g milk}\nproducts:\n  scones: {of:"
                " scone}\n"
            ),
            set(),
        ),
        (
            "formulations:\n  'Dough': {ingredients: [250 g flour}\n",
            {"plain", "filled", "plain-oat", "both", "oats"},
        ),
        ("formulations: {scone: {ingredients: [}, OAT_FLOUR: {}}", {"ring", "plain-oat", "both", "oats"}),
        ("", EVERY),
        (b"formulations:\n  br\xfbl\xe9: {}\n", EVERY),
    ],
)
def test_a_file_that_cannot_be_read_stops_what_it_could_have_named(tmp_path, text, reached):
    assert stopped(tmp_path, recipes__next_yaml=text) == reached


def test_what_was_defined_in_a_file_that_cannot_be_read_stops_what_refers_to_it(tmp_path):
    larder = "".join(line for line in LARDER.splitlines(True) if not line.startswith("oat-flour"))
    write(tmp_path, larder, RECIPES, KITCHEN)
    (tmp_path / "ingredients" / "oats.yaml").write_text(
        "oat-flour: {print: oat flour, food: usda/20132\n", encoding="utf-8"
    )
    rolled = roll_up_folder(tmp_path)
    assert not {"ring"} & set(rolled.profiles)
    assert {"ring", "plain-oat", "both", "oats"} == set(rolled.stops)


def test_a_pin_that_cannot_be_read_stops_what_would_fall_back_to_the_food_table(tmp_path):
    assert stopped(
        tmp_path, foods__oil_yaml="usda/04053: {name: oil, per: 100 g, packet: 'peanut oil'\n"
    ) == {"ring", "both", "oats"}
    assert stopped(
        tmp_path, foods__oil_yaml="usda/04053: {name: oil, colour: green, database: X, per: 100 g}\n"
    ) == {"ring", "both", "oats"}


def test_the_allergens_a_fault_hides_are_never_left_off_a_label(tmp_path):
    """Milk is only in what could not be read: no label of anything that uses it."""
    write(
        tmp_path,
        LARDER.replace("sugar: {print: sugar,", "sugar: {print: sugar, statement: [sugar, milk powder],"),
        RECIPES,
        KITCHEN,
    )
    rolled = roll_up_folder(tmp_path)
    for key in EVERY:
        assert any(
            f.blocks and "sugar" in f.keys
            for f in declare_product(rolled, key, Order("us", date(2026, 12, 1))).findings
        ), key


def test_labels_of_what_is_whole_are_printed_and_the_rest_is_told(tmp_path, capsys):
    recipes = RECIPES.replace("[100 g oat-flour, 50 g sugar]", "[100 g oat-flour, 50 g sugr]").replace(
        "pieces: 10}", "pieces: 10, category: cookies}"
    )
    write(tmp_path / "k", LARDER, recipes, KITCHEN)
    argv = ["--kitchen", str(tmp_path / "k"), "--out", str(tmp_path / "out")]
    assert main(["label", "plain", *argv]) == 0 and "sugr" not in capsys.readouterr().out
    assert main(["label", "--all", *argv]) == 1
    assert sorted(p.stem for p in (tmp_path / "out").glob("*.pdf")) == ["filled", "plain", "plain-oat"]
    assert "ring, both, oats" in capsys.readouterr().err
    assert main(["label", "both", *argv]) == 1
    assert main(["weigh", "plain", *argv]) == 0 and main(["panel", "plain", *argv[:2]]) == 0


def test_the_poster_marks_what_is_stopped(tmp_path, capsys):
    from labelgen.pdf.label_words import read_words

    recipes = (
        RECIPES.replace("plain: {of", "plain: {cut: perhaps, of")
        .replace("ring: {of", "ring: {name: Oat rings, of")
        .replace("filled: {of", "filled: {name: Filled ones, of")
    )
    write(tmp_path / "k", LARDER, recipes, KITCHEN)
    assert main(["stall", "--kitchen", str(tmp_path / "k"), "--out", str(tmp_path / "out")]) == 1
    assert "plain: nobody can tell what is in it" in capsys.readouterr().err
    poster = " ".join(read_words((tmp_path / "out" / "allergen-poster.pdf").read_bytes()).text.split())
    assert "Oat rings" in poster and "plain (not ready: ask us)" in poster
    cards = read_words((tmp_path / "out" / "product-cards.pdf").read_bytes()).text
    assert "Oat rings" in cards and "plain" not in cards


@pytest.mark.parametrize(
    "first, second, places",
    [
        (
            "larder",
            "Flour: {print: rice flour, food: usda/20061}\n",
            ("Flour", "flour", "ingredients/all.yaml:1:1", "ingredients/b.yaml:1:1"),
        ),
        (
            "larder",
            "OAT_flour: {print: oat flour, food: usda/20132}\n",
            ("OAT_flour", "oat-flour", "ingredients/all.yaml:2:1", "ingredients/b.yaml:1:1"),
        ),
        (
            "larder",
            '"oat  flour": {print: oat flour, food: usda/20132}\n',
            ("oat  flour", "oat-flour", "ingredients/all.yaml:2:1", "ingredients/b.yaml:1:1"),
        ),
        (
            "larder",
            "Dough: {print: dough, food: usda/20061}\n",
            ("Dough", "dough", "ingredients/b.yaml:1:1", "recipes/all.yaml:2:3"),
        ),
        (
            "recipes",
            "formulations:\n  DOUGH: {ingredients: [1 g flour]}\n",
            ("DOUGH", "dough", "recipes/all.yaml:2:3", "recipes/b.yaml:2:3"),
        ),
        (
            "recipes",
            "products:\n  Plain: {of: dough}\n",
            ("Plain", "plain", "recipes/all.yaml:7:3", "recipes/b.yaml:2:3"),
        ),
        (
            "recipes",
            "variants:\n  plain_oat: {of: plain}\n",
            ("plain_oat", "plain-oat", "recipes/all.yaml:11:3", "recipes/b.yaml:2:3"),
        ),
        (
            "recipes",
            "boxes:\n  RING: {holds: {plain: 1}}\n",
            ("RING", "ring", "recipes/all.yaml:9:3", "recipes/b.yaml:2:3"),
        ),
    ],
)
def test_names_that_fold_together_are_refused_with_both_places(tmp_path, capsys, first, second, places):
    write(tmp_path, LARDER, RECIPES, KITCHEN)
    (tmp_path / ("ingredients" if first == "larder" else "recipes") / "b.yaml").write_text(
        second, encoding="utf-8"
    )
    assert main(["check", str(tmp_path)]) == 1
    (told,) = [line for line in capsys.readouterr().out.splitlines() if "duplicate-name" in line]
    assert all(place in told for place in places)
    assert main(["label", "plain", "--kitchen", str(tmp_path), "--out", str(tmp_path / "out")]) == (
        1 if {"flour", "dough", "plain"} & set(places) else 0
    )


def test_names_of_one_file_that_fold_together_stop_what_uses_either(tmp_path):
    assert stopped(tmp_path, LARDER + "Sugar: {print: icing sugar, food: usda/19336}\n") == EVERY
    assert stopped(tmp_path, LARDER + "OIL: {print: olive oil, food: usda/04053}\n") == {
        "ring",
        "both",
        "oats",
    }


def test_names_in_a_broken_text():
    text = "? odd : 1\n'Oat-Flour': {x: [}\n- \"b c\": 2\nvariants: {d_e: {of: f}, g: }  # h: i\nplain text"
    assert names_in(text) >= {"odd", "oat flour", "x", "b c", "variants", "d e", "of", "g"}
    assert not {"f", "plain text"} & names_in(text)
