"""Scaling a recipe: linear, and every stage balances."""

import json

import pytest

from labelgen import paths
from labelgen.chain import roll_up_folder
from labelgen.cli import main
from labelgen.errors import RecipeError
from labelgen.formulation.scaling import grams_for, scale_stages
from labelgen.pdf.readback import read_back

DEMO = paths.templates("kitchens", "demo")


@pytest.fixture(scope="module")
def rolled():
    return roll_up_folder(DEMO)


@pytest.mark.parametrize(
    "key",
    [
        "lantern-biscuits",
        "oat-thins",
        "lemon-tartlets",
        "hill-loaf",
        "salted-caramels",
        "lantern-biscuits-almond",
    ],
)
def test_ten_packs_hold_ten_times_what_one_holds(rolled, key):
    profile = rolled.profiles[key]
    stages = scale_stages(profile, rolled.kitchen, 10 * profile.pack.grams)
    weighed = {}
    for stage in stages:
        for name, grams, inner in stage.inputs:
            if not inner:
                weighed[name] = weighed.get(name, 0) + grams
    went_in = sum(i.grams for i in profile.ingoing)
    # matter left on utensils is weighed, not packed
    left = sum(s.left / s.output for s in profile.stages if s.left)
    assert stages[-1].output == pytest.approx(10 * profile.pack.grams)
    assert sum(weighed.values()) >= 10 * went_in - 1e-6
    if not left:
        assert sum(weighed.values()) == pytest.approx(10 * went_in)


def test_a_divided_dough_is_mixed_once_for_both_its_uses(rolled):
    """Worked by hand: 12 biscuits a pack of 14 g dough + 3 g red (of 200 g dough + 4 g colour): dough 12 x
    (14 + 3 x 200/204) g.
    """
    profile = rolled.profiles["lantern-biscuits"]
    stages = {s.formulation: s for s in scale_stages(profile, rolled.kitchen, profile.pack.grams)}
    assert stages["lantern-dough"].output == pytest.approx(12 * (14 + 3 * 200 / 204))


def test_using_up_an_ingredient(rolled):
    profile = rolled.profiles["oat-thins"]
    grams = grams_for(profile, rolled.kitchen, ingredient="oats", mass=1000)
    (stage,) = scale_stages(profile, rolled.kitchen, grams)
    assert {n: g for n, g, _ in stage.inputs}["oats"] == pytest.approx(1000)
    with pytest.raises(RecipeError, match="holds no 'saffron'"):
        grams_for(profile, rolled.kitchen, ingredient="saffron", mass=10)


def test_the_sheet_says_every_mass(tmp_path, capsys):
    assert (
        main(
            [
                "weigh",
                "oat-thins",
                "--pieces",
                "320",
                "--kitchen",
                str(DEMO),
                "--out",
                str(tmp_path),
                "--json",
            ]
        )
        == 0
    )
    data = json.loads(capsys.readouterr().out)
    assert data["packs"] == pytest.approx(20)
    _, seen = read_back((tmp_path / "oat-thins-weigh-sheet.pdf").read_bytes())
    words = " ".join(s.text for s in seen)
    assert "Weigh sheet: Oat thins" in words and "Allergens in this batch" in words and "2000 g" in words


@pytest.mark.parametrize(
    "given, word",
    [
        (["--packs", "0"], "cannot be made"),
        (["--packs", "nan"], "cannot be made"),
        (["--all-of", "flour"], "flour"),
    ],
)
def test_what_cannot_be_made_is_said(given, word, capsys):
    assert main(["weigh", "oat-thins", *given, "--kitchen", str(DEMO)]) == 2
    assert word in capsys.readouterr().err


@pytest.mark.parametrize(
    "grams, shown",
    [
        (0.0, "0 g"),
        (0.00078, "0.00078 g"),
        (0.0017, "0.0017 g"),
        (0.02, "0.02 g"),
        (0.0999, "0.10 g"),
        (0.395, "0.40 g"),
        (0.996, "1.0 g"),
        (1.0, "1.0 g"),
        (23.33, "23.3 g"),
        (99.94, "99.9 g"),
        (99.96, "100 g"),
        (119.03, "119 g"),
        (8888.4, "8888 g"),
        (12500, "12\u00a0500 g"),
        (1e-9, "0.000000001 g"),
    ],
)
def test_no_mass_is_shown_as_nothing(grams, shown):
    from labelgen.layout.weigh_sheet import shown_mass

    assert shown_mass(grams) == shown


NESTED = """formulations:
  dough: {ingredients: [300 g flour, 200 g butter, 2 g salt], yields: 490 g}
  rich: {ingredients: [300 g dough, 60 g almond, 0.02 g salt]}
  round: {ingredients: [20 g rich], per: piece, bake: {before: 20 g, after: 18 g, how: weighed}}
products:
  rounds: {name: Rounds, of: round, pieces: 8, unit: cookie, category: cookies}
"""


@pytest.fixture
def nested(tmp_path):
    from tests.kitchens import write

    foods = "".join(
        f"{n}: {{print: {n}, food: usda/{i}}}\n"
        for n, i in (("flour", "20481"), ("butter", "01145"), ("salt", "02047"), ("almond", "12061"))
    )
    return write(tmp_path / "k", foods, NESTED)


@pytest.mark.parametrize(
    "size, pieces", [(["--pieces", "7"], 7), (["--all-of", "butter=1000 g"], None), (["--packs", "0.5"], 4)]
)
def test_nested_stages_with_losses_by_hand(nested, tmp_path, capsys, size, pieces):
    """7 cookies of 20 g: 140 g rich of 360.02 g, so 300/360.02 of it dough; 490 g dough of 502 g weighed
    in.
    """
    assert main(["weigh", "rounds", *size, "--kitchen", str(nested), "--out", str(tmp_path), "--json"]) == 0
    dough, rich, rounds = json.loads(capsys.readouterr().out)["stages"]
    butter = 1000.0 if pieces is None else 20.0 * pieces * 300 / 360.02 * 200 / 490
    inputs = {i["name"]: i["grams"] for i in dough["inputs"]}
    assert inputs == pytest.approx({"flour": butter * 1.5, "butter": butter, "salt": butter / 100}) and dough[
        "output_g"
    ] == pytest.approx(butter * 490 / 200)
    assert {i["name"]: i["grams"] for i in rich["inputs"]} == pytest.approx(
        {
            "dough": dough["output_g"],
            "almond": dough["output_g"] / 5,
            "salt": dough["output_g"] * 0.02 / 300,
        }
    )
    assert rounds["pieces"] == pytest.approx(pieces or butter * 490 / 200 * 360.02 / 300 / 20) and rounds[
        "output_g"
    ] == pytest.approx(18 * rounds["pieces"])


def test_the_sheet_divides_and_asks_for_a_fine_scale(nested, tmp_path):
    main(["weigh", "rounds", "--pieces", "7", "--kitchen", str(nested), "--out", str(tmp_path)])
    _, seen = read_back((tmp_path / "rounds-weigh-sheet.pdf").read_bytes())
    words = " ".join(s.text for s in seen)
    assert (
        "7 of 20.0 g" in words and "7 of 18.0 g" in words and "0.0078 g" in words and "needs a scale" in words
    )


@pytest.mark.parametrize(
    "size",
    [
        ["--all-of", "butter=0 g"],
        ["--all-of", "butter=-1 g"],
        ["--all-of", "butter=1,5 g"],
        ["--pieces", "nan"],
        ["--packs", "0"],
    ],
)
def test_a_batch_of_nothing_is_refused(nested, tmp_path, capsys, size):
    assert main(["weigh", "rounds", *size, "--kitchen", str(nested), "--out", str(tmp_path / "o")]) == 2
    assert "example" in (said := capsys.readouterr().err) or "number" in said or "negative" in said
    assert not (tmp_path / "o").exists()


def test_the_fat_that_frying_adds_stands_on_the_sheet(tmp_path, capsys):
    """12 rings take up 5 g each."""
    from tests.kitchens import write

    kitchen = write(
        tmp_path / "k",
        "flour: {print: flour, food: usda/20481}\noil: {print: peanut oil, food: usda/04042, supplier_lot:"
        " OIL-1}\nmilk: {print: milk, food: usda/01077}\n",
        "formulations:\n  dough: {ingredients: [500 g flour, 300 g milk]}\n  ring: {ingredients: [40 g"
        " dough], per: piece, fry: {before: 40 g, after: 42 g, fat: 5 g, fat_from: oil, how:"
        " weighed}}\nproducts:\n  rings: {name: Rings, of: ring, pieces: 6, unit: ring}\n",
    )
    assert (
        main(
            [
                "weigh",
                "rings",
                "--pieces",
                "12",
                "--kitchen",
                str(kitchen),
                "--out",
                str(tmp_path),
                "--json",
            ]
        )
        == 0
    )
    assert [s["taken_up"] for s in json.loads(capsys.readouterr().out)["stages"]] == [
        {"name": "", "grams": 0.0},
        {"name": "oil", "grams": pytest.approx(60.0)},
    ]
    _, seen = read_back((tmp_path / "rings-weigh-sheet.pdf").read_bytes())
    words = " ".join(s.text for s in seen)
    assert "oil taken up in the heat 60.0 g OIL-1" in words
