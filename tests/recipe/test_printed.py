"""Panels typed as packets print them, in the countries' own words and marks -> what they say of 100 g."""

from datetime import date

import pytest

from labelgen.composition.packet import read_panel
from labelgen.errors import UnitError
from labelgen.nutrients import compound_of, key_of
from labelgen.quantity import plain_numbers
from labelgen.recipe.models import INSIGNIFICANT
from labelgen.recipe.printed import figures, panel, plain_figure
from labelgen.recipe.times import spelt
from labelgen.recipe.yamlfile import Source

DAY = date(2026, 12, 1)


def read(typed, country="us"):
    source = Source("packets.yaml")
    made = panel(source, (), typed, country)
    stated = read_panel("it", made, DAY, country=country)
    return made, stated, [f.code for f in (*source.findings, *stated.findings) if f.blocks]


@pytest.mark.parametrize(
    ("typed", "key", "low", "high"),
    [
        # each figure within half of its last digit or of the step of its market's rounding, by hand
        ({"market": "uk", "per": "100 g", "Energy": "1447 kJ / 341 kcal"}, "ENERC", 340, 342.5),
        ({"market": "eu", "per": "100 g", "Fett": "3,5 g"}, "FAT", 3.45, 3.55),
        ({"market": "eu", "pro 100 g": None, "davon gesättigte Fettsäuren": "0,2 g"}, "FASAT", 0.15, 0.25),
        ({"market": "Deutschland", "Salz": "1,2 g"}, "NA", 459, 501),
        ({"market": "eu", "dont sucres": "< 0,5 g"}, "SUGAR", 0, 0.5),
        ({"market": "eu", "di cui zuccheri": "4,8 g"}, "SUGAR", 4.75, 4.85),
        ({"market": "eu", "de las cuales azúcares": "4,8 g"}, "SUGAR", 4.75, 4.85),
        (
            {"market": "au", "serving": "5 g", "Energy": "152 kJ | 3040 kJ", "Fat, total": "4.1 g | 81.5 g"},
            "FAT",
            81.4,
            81.6,
        ),
        (
            {"market": "au", "serving": "5 g", "Energy": "3040 kJ | 152 kJ", "Fat, total": "81.5 g | 4.1 g"},
            "FAT",
            81.4,
            81.6,
        ),
        ({"market": "nz", "- saturated": "less than 1 g"}, "FASAT", 0, 1),
        ({"market": "au", "salt": "2.5 g"}, "NA", 979, 1021),
        ({"market": "us", "serving": "1 cup (30g)", "total fat": "0g"}, "FAT", 0, 1.7),
        ({"market": "us", "serving size": "2 cookies (28 g)", "sodium": "140mg"}, "NA", 460, 540),
        (
            {"market": "us", "serving": "30 g", "not a significant source of": "trans fat and cholesterol"},
            "CHOLE",
            0,
            7,
        ),
        ({"market": "us", "serving": "30 g", "Protein (g)": 3}, "PROCNT", 8, 12),
        ({"market": "ca", "serving": "30 g", "fat / lipides": "2 g", "sodium": "5 mg"}, "FAT", 5.7, 8.5),
        ({"market": "ca", "serving": "30 g", "Lipides": "2,5 g"}, "FAT", 7.3, 9.4),
        ({"market": "uk", "fat": "Nil"}, "FAT", 0, 0.5),
        ({"market": "uk", "carbohydrate": "Trace"}, "CHOAVLDF", 0, 0.5),
    ],
)
def test_a_panel_as_printed(typed, key, low, high):
    _, stated, blocking = read(typed)
    assert not blocking
    figure, grams = stated.figures[key], stated.grams
    assert low <= figure.low * 100 / grams[2] and figure.high * 100 / grams[0] <= high
    assert figure.low <= figure.value <= figure.high


def test_fibre_beside_a_smaller_carbohydrate_is_usual_outside_north_america():
    sheet = {"carbohydrate": "13.3 g", "of which sugars": "1 g", "fibre": "32.6 g"}
    assert not read({"market": "eu", **sheet})[2] and not read({"market": "au", **sheet}, "au")[2]
    assert read({"market": "us", "serving": "100 g", "carbohydrate": "13 g", "fibre": "33 g"})[1].figures


@pytest.mark.parametrize(
    ("serving", "energies"),
    [("5 g", "152 kJ | 1000 kJ"), ("50 g", "152 kJ | 3040 kJ")],
)
def test_columns_that_do_not_fit_the_serving_are_told(serving, energies):
    assert (
        "panel-figure"
        in read({"market": "au", "serving": serving, "energy": energies, "fat": "1 g | 2 g"})[2]
    )


def test_a_figure_in_one_column_of_two_is_never_guessed():
    typed = {"market": "au", "serving": "5 g", "energy": "152 kJ | 3040 kJ", "sodium": "600 mg"}
    _, stated, blocking = read(typed)
    assert blocking == ["panel-figure"] and "NA" not in stated.figures


def test_what_tells_nothing_of_the_food_is_passed_over_and_shows_an_older_form():
    made, _, blocking = read(
        {
            "market": "us",
            "serving": "30 g",
            "servings per container": 8,
            "calories from fat": 0,
            "total fat": "0 g",
        }
    )
    assert list(made.figures) == ["total fat"] and made.older and not blocking


def test_names_of_what_is_not_significant_are_taken_one_by_one():
    made, _, blocking = read(
        {"serving": "30 g", "Not a significant source of": "dietary fiber, iron and potassium"}
    )
    assert {n: p.text for n, p in made.figures.items()} == dict.fromkeys(
        ["dietary fiber", "iron", "potassium"], INSIGNIFICANT
    )
    assert not blocking


def test_an_unknown_word_of_a_panel_is_still_told():
    assert read({"serving": "30 g", "glow": "1 g"})[2] == ["nutrient-unknown"]


def test_figures_of_a_sheet_may_give_energy_on_two_lines():
    source = Source("sheets.yaml")
    found = figures(
        source, (), {"Energie kJ": 1, "Brennwert": "1447 kJ", "kcal": "341 kcal", "Fett": "1,5 g"}, "eu"
    )
    assert found["ENERC"].text == "1447 kJ / 341 kcal" and found["FAT"].text == "1.5 g"


@pytest.mark.parametrize(
    ("said", "country", "plain"),
    [
        ("3,5 g", "eu", "3.5 g"),
        ("0,125 g", "eu", "0.125 g"),
        ("1,250 kg", "eu", "1.250 kg"),
        ("1,200 mg", "us", "1200 mg"),
        ("1,234,567", "us", "1,234,567"),
        ("3,5 g", "us", "3,5 g"),
        ("2,5 g", "ca", "2.5 g"),
    ],
)
def test_marks_of_decimals_and_thousands_are_those_of_the_country(said, country, plain):
    assert plain_numbers(said, country) == plain


@pytest.mark.parametrize(("said", "country"), [("1,000 g", "eu"), ("1,200 mg", "ca")])
def test_a_mark_that_may_be_either_is_asked_about(said, country):
    with pytest.raises(UnitError, match="two ways"):
        plain_numbers(said, country)


@pytest.mark.parametrize(
    ("said", "plain"),
    [
        ("nil", "0 g"),
        ("Spuren", "trace"),
        ("weniger als 0,5 g", "<0.5 g"),
        ("moins de 1 g", "<1 g"),
        ("1 447 kJ (341 kcal)", "1447 kJ (341 kcal)"),
    ],
)
def test_words_for_amounts_in_label_languages(said, plain):
    assert plain_figure(said, "Fett", "eu") == plain


@pytest.mark.parametrize(
    ("word", "key"),
    [
        ("Kohlenhydrate", "CHOCDF"),
        ("Matières grasses", "FAT"),
        ("of which saturates", "FASAT"),
        ("Eiweiß", "PROCNT"),
        ("Ballaststoffe", "FIBTG"),
        ("Sel", "NA"),
        ("fibre / fibres", "FIBTG"),
        ("Fat (g)", "FAT"),
    ],
)
def test_names_of_nutrients_in_label_languages(word, key):
    assert key_of(word) == key


def test_salt_in_any_language_is_no_sodium():
    assert [compound_of(w) for w in ("Salz", "sel", "salt", "sodium", "Natrium")] == ["salt"] * 3 + [""] * 2


@pytest.mark.parametrize(
    ("said", "span"),
    [
        ("4 Wochen", "4 weeks"),
        ("15 jours", "15 days"),
        ("tres meses", "3 months"),
        ("1 anno", "1 years"),
        ("soon", "soon"),
    ],
)
def test_shelf_lives_in_label_languages(said, span):
    assert spelt(said) == span
