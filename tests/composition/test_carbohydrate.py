"""What "carbohydrate" means on a sheet. Regulation (EU) No 1169/2011, Annex I, point 8, and Standard 1.1.2
leave fibre out of carbohydrate; 21 CFR 101.9(c)(6) and the Canadian Food and Drug Regulations do not. Annex
XIV gives fibre 2 kcal/g.

Bran with 5 g fat, 60 g carbohydrate, 25 g fibre, 8 g protein: 45 + 240 + 32 = 317 kcal without the fibre's
energy. Read without the fibre that is 317 + 2 x 25 = 367 kcal; read with it at most 317 kcal, and 217 to 267
kcal where fibre counts nothing or 2.
"""

import pytest

from labelgen.chain import roll_up_folder
from labelgen.cli import main
from tests.kitchens import write

RECIPE = (
    "formulations:\n  d: {ingredients: [100 g x], makes: 1}\nproducts:\n  p: {name: Bran, of: d, category:"
    " cookies}\n"
)


def kitchen(folder, markets, carbohydrate="carbohydrate", energy="", fibre="25.0 g", food=""):
    stated = (
        f"{f'energy: {energy}, ' if energy else ''}fat: 5.0 g, saturates: 1.0 g, {carbohydrate}: 60.0 g,"
        f" sugars: 3.0 g, {f'fibre: {fibre}, ' if fibre else ''}protein: 8.0 g, salt: 0.50 g"
    )
    sheet = f"x: {{print: bran, contains: [], {food}per: 100 g, nutrients: {{{stated}}}}}\n"
    return write(
        folder,
        sheet,
        RECIPE,
        f"producer: {{name: Example Hill Bakes, address: 1 Example Hill}}\nmarkets: [{markets}]\n",
    )


def read(folder):
    found = roll_up_folder(folder)
    composition = found.resolved["x"].composition
    codes = {
        (f.code, f.severity)
        for f in found.findings
        if f.code in ("carbohydrate-meaning", "energy-unlikely", "energy-impossible")
    }
    return composition.get("CHOCDF")[1], composition.get("CHOAVLDF")[1], codes


NOTE, STOP = {("carbohydrate-meaning", "note")}, {("carbohydrate-meaning", "block")}


@pytest.mark.parametrize(
    "markets, word, energy, total, told",
    [
        ("uk", "carbohydrate", "367 kcal", 85, NOTE),
        ("eu, au", "carbohydrates", "367 kcal", 85, NOTE),
        ("nz", "carbohydrate", "1535 kJ", 85, NOTE),
        ("uk", "carbohydrate", "", 85, NOTE),  # nothing speaks against the markets
        ("us", "carbohydrate", "", 60, NOTE),
        ("us", "carbohydrate", "317 kcal", 60, NOTE),
        ("ca", "carbohydrate", "267 kcal", 60, NOTE),
        ("us", "carbohydrate", "220 kcal", 60, NOTE),
        # the energy contradicts the markets, or nothing tells: no figure is taken
        ("uk", "carbohydrate", "267 kcal", 60, STOP),
        ("us", "carbohydrate", "367 kcal", 60, STOP),
        ("us, uk", "carbohydrate", "", 60, STOP),
        # markets that differ: the energy decides
        ("us, uk", "carbohydrate", "367 kcal", 85, NOTE),
        ("us, uk", "carbohydrate", "267 kcal", 60, NOTE),
        ("uk, us", "carbohydrate", "1535 kJ / 367 kcal", 85, NOTE),
        # the maker said which
        ("uk", "total carbohydrate", "267 kcal", 60, set()),
        ("us", "available carbohydrate", "367 kcal", 85, set()),
        ("us, uk", "available carbohydrate", "", 85, set()),
        # an energy that neither reading gives is told whoever reads it
        ("uk", "carbohydrate", "470 kcal", 85, {*NOTE, ("energy-unlikely", "warn")}),
        ("us", "total carbohydrate", "367 kcal", 60, {("energy-unlikely", "warn")}),
    ],
)
def test_which_carbohydrate_is_meant(tmp_path, markets, word, energy, total, told):
    assert read(kitchen(tmp_path, markets, word, energy)) == (
        pytest.approx(total),
        pytest.approx(total - 25),
        told,
    )


def test_where_no_fibre_is_stated_the_word_means_what_the_markets_say(tmp_path):
    """Without a fibre nobody knows the total of a European sheet, and the carbohydrate without it is
    known; so the other way round.
    """
    total, available, told = read(kitchen(tmp_path / "uk", "uk", fibre=""))
    assert available == pytest.approx(60) and not told
    total, available, told = read(kitchen(tmp_path / "us", "us", fibre=""))
    assert total == pytest.approx(60) and available != available and not told


def test_a_little_fibre_is_not_asked_about(tmp_path):
    assert read(kitchen(tmp_path, "us, uk", fibre="0.4 g"))[2] == set()


def test_available_carbohydrate_over_a_food_takes_the_foods_fibre_along(tmp_path):
    """USDA 20081: 76.31 g carbohydrate, 2.7 g of it fibre: 60 g without fibre are 60 x 76.31/73.61 g with
    it.
    """
    total, available, _ = read(kitchen(tmp_path, "uk", fibre="", food="food: usda/20081, "))
    assert available == pytest.approx(60) and total == pytest.approx(60 * 76.31 / 73.61)


def test_the_sheet_prints_what_it_says_and_stops_in_the_same_words_everywhere(tmp_path, capsys):
    fine = kitchen(tmp_path / "fine", "uk", energy="367 kcal")
    assert main(["panel", "p", "--kitchen", str(fine), "--market", "uk"]) == 0
    out = capsys.readouterr().out
    assert "367 kcal" in out and "Carbohydrate                60 g" in out
    wrong = kitchen(tmp_path / "wrong", "uk", energy="267 kcal")
    said = []
    for command in (
        ["check", str(wrong)],
        ["label", "p", "--kitchen", str(wrong), "--out", str(tmp_path / "out")],
    ):
        assert main([*command, "--market", "uk"]) == 1
        said.append(capsys.readouterr().out)
    for text in said:
        assert (
            "85 g in all" in text
            and "35 g without" in text
            and "'available carbohydrate: 60.0 g' or 'total carbohydrate: 60.0 g'" in text
        )
    assert not (tmp_path / "out" / "p.pdf").exists()


@pytest.mark.parametrize(
    "typed, prints", [("available carbohydrate", "367 kcal"), ("total carbohydrate", "267 kcal")]
)
def test_what_is_advised_may_be_typed(tmp_path, capsys, typed, prints):
    """60 g without the fibre: 45 + 240 + 32 + 50 = 367 kcal; 60 g with it are 35 g: 45 + 140 + 32 + 50 =
    267 kcal.
    """
    main(["panel", "p", "--kitchen", str(kitchen(tmp_path, "uk", typed)), "--market", "uk"])
    assert prints in capsys.readouterr().out
