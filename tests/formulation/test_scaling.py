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


@pytest.mark.parametrize("key", ["lantern-biscuits", "oat-thins", "lemon-tartlets", "hill-loaf", "salted-caramels", "lantern-biscuits-almond"])
def test_ten_packs_hold_ten_times_what_one_holds(rolled, key):
    profile = rolled.profiles[key]
    stages = scale_stages(profile, rolled.kitchen, 10 * profile.pack.grams)
    weighed = {}
    for stage in stages:
        for name, grams, inner in stage.inputs:
            if not inner:
                weighed[name] = weighed.get(name, 0) + grams
    went_in = sum(i.grams for i in profile.ingoing)
    left = sum(s.left / s.output for s in profile.stages if s.left)  # matter left on utensils is weighed, not packed
    assert stages[-1].output == pytest.approx(10 * profile.pack.grams)
    assert sum(weighed.values()) >= 10 * went_in - 1e-6
    if not left:
        assert sum(weighed.values()) == pytest.approx(10 * went_in)


def test_a_divided_dough_is_mixed_once_for_both_its_uses(rolled):
    """Worked by hand: 12 biscuits a pack of 14 g dough + 3 g red (of 200 g dough + 4 g colour): dough 12 x (14 + 3 x 200/204) g."""
    profile = rolled.profiles["lantern-biscuits"]
    stages = {s.formulation: s for s in scale_stages(profile, rolled.kitchen, profile.pack.grams)}
    assert stages["lantern-dough"].output == pytest.approx(12 * (14 + 3 * 200 / 204))


def test_using_up_an_ingredient(rolled):
    profile = rolled.profiles["oat-thins"]
    grams = grams_for(profile, rolled.kitchen, ingredient="oats", mass=1000)
    (stage,) = scale_stages(profile, rolled.kitchen, grams)
    assert dict((n, g) for n, g, _ in stage.inputs)["oats"] == pytest.approx(1000)
    with pytest.raises(RecipeError, match="holds no 'saffron'"):
        grams_for(profile, rolled.kitchen, ingredient="saffron", mass=10)


def test_the_sheet_says_every_mass(tmp_path, capsys):
    assert main(["weigh", "oat-thins", "--pieces", "320", "--kitchen", str(DEMO), "--out", str(tmp_path), "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["packs"] == pytest.approx(20)
    _, seen = read_back((tmp_path / "oat-thins-weigh-sheet.pdf").read_bytes())
    words = " ".join(s.text for s in seen)
    assert "Weigh sheet: Oat thins" in words and "Allergens in this batch" in words and "2000 g" in words


@pytest.mark.parametrize("given, word", [(["--packs", "0"], "cannot be made"), (["--packs", "nan"], "cannot be made"), (["--all-of", "flour"], "flour")])
def test_what_cannot_be_made_is_said(given, word, capsys):
    assert main(["weigh", "oat-thins", *given, "--kitchen", str(DEMO)]) == 2
    assert word in capsys.readouterr().err
