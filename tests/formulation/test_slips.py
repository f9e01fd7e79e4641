"""Likely slips of the pen: asked about with both figures, and never of ordinary recipes. Sums by hand."""

from pathlib import Path

import pytest

from labelgen.chain import roll_up_folder
from labelgen.cli import main
from labelgen.paths import templates
from tests.kitchens import write

ORDINARY = Path(__file__).parents[1] / "vectors" / "ordinary-kitchen"
LARDER = """\
flour: {print: wheat flour, food: usda/20481}
sugar: {print: sugar, food: usda/19335}
butter: {print: butter, food: usda/01145}
water: {print: water, food: usda/14411}
salt: {print: salt, food: usda/02047}
yeast: {print: dried yeast, food: usda/18375}
"""
SHORT = (
    "formulations:\n  d: {ingredients: [300 g flour, 200 g butter, 100 g sugar], MORE}\nproducts:\n  p:"
    " {of: d, OWN}\n"
)
LOAF = (
    "formulations:\n  d: {ingredients: [500 g flour, 320 g water, SALT salt, YEAST yeast], bake: {loss: 12"
    " %}}\nproducts:\n  p: {of: d}\n"
)
KITCHEN = "producer: {name: A, address: 1 B}\nmarkets: [us]\n"


def slips(folder):
    rolled = roll_up_folder(folder)
    every = {f for p in rolled.profiles.values() for f in p.findings} | set(rolled.findings)
    return sorted({(f.code, f.message) for f in every if f.code.startswith("slip-")})


@pytest.mark.parametrize(
    "folder",
    [ORDINARY, templates("kitchens", "demo"), templates("kitchens", "starter")],
    ids=lambda p: p.name,
)
def test_ordinary_recipes_are_not_asked_about(folder):
    assert slips(folder) == [] and len(roll_up_folder(folder).stops) == 0


def test_there_are_thirty_ordinary_recipes_of_many_kinds():
    assert len(roll_up_folder(ORDINARY).profiles) >= 30


@pytest.mark.parametrize(
    "more, own, code, figures",
    [
        ("yields: 60 g, makes: 30", "pieces: 10", "slip-yield", ("60 g", "600 g", "90 %")),
        ("yields: 430 g, makes: 30", "pieces: 10", "slip-yield", ("430 g", "28 %")),
        (
            "makes: 30, bake: {before: 6000 g, after: 5500 g, how: weighed}",
            "pieces: 10",
            "slip-before",
            ("6000 g", "600 g"),
        ),
        (
            "makes: 30, bake: {before: 60 g, after: 55 g, how: weighed}",
            "pieces: 10",
            "slip-before",
            ("60 g", "600 g"),
        ),
        ("makes: 30", "pieces: 1200", "slip-pieces", ("1200",)),
        # 600 g in 3 pieces: 200 g cookies pass, one of 600 g does not
        ("makes: 1", "pieces: 1, unit: cookie", "slip-piece", ("600 g", "250 g")),
        ("makes: 12000", "pieces: 10, unit: cookie", "slip-piece", ("0.05 g", "2 g")),
        ("makes: 12000", "pieces: 10", "slip-piece", ("0.05 g", "0.3 g")),
        ("left: 2 %", "net: 6 kg", "slip-net", ("6000 g", "588 g")),
        ("left: 2 %", "net: 20 kg", "slip-pack", ("20000 g",)),
    ],
)
def test_a_likely_slip_is_asked_about_with_both_figures(tmp_path, more, own, code, figures):
    found = dict(slips(write(tmp_path, LARDER, SHORT.replace("MORE", more).replace("OWN", own), KITCHEN)))
    assert code in found and all(figure in found[code] for figure in figures), found


@pytest.mark.parametrize(
    "more, own",
    [
        ("yields: 560 g, makes: 30", "pieces: 10"),
        # one piece weighed for all
        ("makes: 30, bake: {before: 20 g, after: 18.5 g, how: weighed}", "pieces: 10"),
        # a tenth, and one of ten
        ("makes: 10, bake: {before: 60 g, after: 55 g, how: weighed}", "pieces: 10"),
        ("makes: 30, bake: {before: 300 g, after: 278 g, how: weighed}", "pieces: 10"),  # a tray
        ("makes: 3", "pieces: 1, unit: cookie"),
        ("left: 2 %", "net: 1.2 kg"),
    ],
)
def test_what_is_usual_is_not_asked_about(tmp_path, more, own):
    assert slips(write(tmp_path, LARDER, SHORT.replace("MORE", more).replace("OWN", own), KITCHEN)) == []


def test_the_line_that_would_make_the_figures_agree_is_named(tmp_path):
    """3000 g of flour: 3300 g in, 600 g before the oven is no part of ten; 300 g would make it 600 g."""
    recipes = (
        SHORT.replace("300 g flour", "3 kg flour")
        .replace("MORE", "yields: 590 g, makes: 30")
        .replace("OWN", "pieces: 10")
    )
    (found,) = slips(write(tmp_path, LARDER, recipes, KITCHEN))
    assert found[0] == "slip-yield" and "with 300 g of flour instead of 3000 g they would agree" in found[1]


@pytest.mark.parametrize(
    "salt, yeast, codes",
    [
        ("10 g", "7 g", []),
        ("100 g", "7 g", ["slip-salt"]),
        ("10 g", "90 g", ["slip-yeast"]),
        ("18 g", "25 g", []),
    ],
)
def test_salt_and_yeast_beyond_any_dough(tmp_path, salt, yeast, codes):
    """100 of 927 g of dough, baked to 816 g, are 12 g of salt in 100 g; 90 of 920 g of yeast are a tenth."""
    found = slips(write(tmp_path, LARDER, LOAF.replace("SALT", salt).replace("YEAST", yeast), KITCHEN))
    assert [code for code, _ in found] == codes
    assert all("12.1 g of salt" in said and "salt" in said for code, said in found if code == "slip-salt")


def test_a_slip_is_told_with_the_label_and_stops_nothing(tmp_path, capsys):
    recipes = SHORT.replace("MORE", "yields: 60 g, makes: 30").replace("OWN", "pieces: 10, category: cookies")
    write(tmp_path / "k", LARDER, recipes, KITCHEN)
    assert main(["label", "p", "--kitchen", str(tmp_path / "k"), "--out", str(tmp_path / "out")]) == 0
    assert "warn recipes/all.yaml:2:3 slip-yield" in capsys.readouterr().out
