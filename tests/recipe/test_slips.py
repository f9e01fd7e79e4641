"""What could be meant in two ways, or stands where the maker's own words belong: asked, never guessed."""

import pytest

from labelgen.cli import main
from labelgen.recipe.values import language_code
from tests.kitchens import write

LARDER = (
    "flour: {print: wheat flour, food: usda/20481}\nsugar: {print: sugar, food: usda/19335}\nbiscuit-crumb:"
    " {print: crumb, food: usda/20481, contains: []}\n"
)
RECIPES = (
    "formulations:\n  d: {ingredients: [300 g flour, 100 g sugar], makes: 30}\n  e: {ingredients: [1 piece"
    " d, 2 g sugar], per: piece}\nproducts:\n  p: {name: Plain ones, of: d, pieces: 10,"
    " category: cookies, best_before: 14 days}\n  q: {name: Others, of: e, pieces: 10}\n"
)
KITCHEN = "producer: {name: A, address: 1 B}\nmarkets: [us]\n"


def label(tmp_path, capsys, larder=LARDER, recipes=RECIPES, kitchen=KITCHEN, *argv):
    write(tmp_path / "k", larder, recipes, kitchen)
    code = main(["label", "p", "--kitchen", str(tmp_path / "k"), "--out", str(tmp_path / "out"), *argv])
    said = capsys.readouterr()
    return code, said.out + said.err


@pytest.mark.parametrize(
    "old, new, readings",
    [
        ("300 g flour", "1.000 g flour", ("'1 g flour'", "'1000 g flour'")),
        ("300 g flour", "{flour: 1.500 g}", ("'1.5 g'", "'1500 g'")),
        ("300 g flour", "{use: flour, amount: 12.500 g}", ("'12.5 g'", "'12500 g'")),
        ("makes: 30", "makes: 1.200", ("'1.2'", "'1200'")),
        ("makes: 30", "yields: 1.000 g, makes: 30", ("'1 g'", "'1000 g'")),
        ("pieces: 10", "net: 1.000 g", ("'1 g'", "'1000 g'")),
        ("makes: 30", "makes: 30, bake: {before: 1.000 g, after: 900 g}", ("'1 g'", "'1000 g'")),
        ("100 g sugar", "1.000 ml sugar", ("'1 ml sugar'", "'1000 ml sugar'")),
    ],
)
@pytest.mark.parametrize("country", ["us", "eu", "uk"])
def test_a_point_that_may_part_thousands_is_asked_about(tmp_path, capsys, old, new, readings, country):
    assert RECIPES.replace(old, new, 1) != RECIPES
    code, said = label(
        tmp_path, capsys, recipes=RECIPES.replace(old, new, 1), kitchen=KITCHEN + f"country: {country}\n"
    )
    assert code == 1 and all(reading in said for reading in readings), said


@pytest.mark.parametrize(
    "amount",
    [
        "1.250 kg flour",
        "155.179 g flour",
        "0.125 g flour",
        "1.25 g flour",
        "300.0 g flour",
        "1000.000 g flour",
        "0.300 kg flour",
    ],
)
def test_decimals_that_can_be_read_in_one_way_are_read(tmp_path, capsys, amount):
    _code, said = label(tmp_path, capsys, recipes=RECIPES.replace("300 g flour", amount))
    assert "two ways" not in said


@pytest.mark.parametrize(
    "word, code",
    [
        ("de", "de"),
        ("DE", "de"),
        ("deutsch", "de"),
        ("Deutsch", "de"),
        ("German", "de"),
        ("de-AT", "de"),
        ("de_CH", "de"),
        ("Français", "fr"),
        ("fr-CA", "fr"),
        ("italiano", "it"),
        ("Español", "es"),
        ("en-US", "en"),
        ("polski", "pl"),
        ("nb", "no"),
    ],
)
def test_a_language_is_known_however_it_is_named(word, code):
    assert language_code(word) == code


@pytest.mark.parametrize("word", ["", "xx", "klingon", "deu-tsch", "us", 12, None, "d"])
def test_what_is_no_language_is_refused(word):
    with pytest.raises(ValueError, match="is no language"):
        language_code(word)


@pytest.mark.parametrize(
    "languages, market, code, told",
    [
        ("[klingon]", "eu", 1, "is no language"),
        ("[polski]", "eu", 1, "no label can be printed in pl"),
        ("[de, pl]", "eu", 1, "no label can be printed in pl"),
        ("[german]", "us", 1, "no label can be printed in de"),
        ("[english]", "us", 0, "p.pdf"),
    ],
)
def test_a_label_is_never_in_another_language_without_a_word(tmp_path, capsys, languages, market, code, told):
    kitchen = f"producer: {{name: A, address: 1 B}}\nmarkets: [{market}]\nlanguages: {languages}\n"
    found, said = label(tmp_path, capsys, kitchen=kitchen)
    assert told in said and found == code, said


def test_english_in_a_list_that_is_to_be_german_is_told(tmp_path, capsys):
    larder = LARDER.replace("print: sugar", "print: sweet crunchy topping")
    kitchen = "producer: {name: A, address: 1 B}\nmarkets: [eu]\nlanguages: [deutsch]\n"
    code, said = label(tmp_path, capsys, larder=larder, kitchen=kitchen)
    assert code == 1 and "the label is printed in German, and 'sweet crunchy topping'" in said


def test_german_by_its_name_prints_german(tmp_path, capsys):
    from labelgen.pdf.label_words import read_words

    larder = (
        "flour: {print: {en: wheat flour, deutsch: Weizenmehl}, food: usda/20481}\nsugar: {print: {en:"
        " sugar, de: Zucker}, food: usda/19335}\n"
    )
    recipes = RECIPES.replace("name: Plain ones", "name: {en: Plain ones, de: Schlichte}").replace(
        "pieces: 10", "pieces: 10, unit: {en: piece, de: Stück}", 1
    )
    code, said = label(
        tmp_path,
        capsys,
        larder,
        recipes,
        "producer: {name: A, address: 1 B}\nmarkets: [eu]\nlanguages: [deutsch]\n",
    )
    assert code == 0, said
    text = read_words((tmp_path / "out" / "p.pdf").read_bytes()).text
    assert "Zutaten" in text and "Ingredients" not in text


@pytest.mark.parametrize(
    "producer",
    [
        '{name: "Your bakery", address: "Your street, your town"}',
        "{name: Hill Bakes, address: 'Your Street 1, Sampleton'}",
        "{name: TODO, address: 1 Hill}",
        "{name: Hill Bakes, address: xxx}",
    ],
)
def test_a_placeholder_is_sold_by_nobody(tmp_path, capsys, producer):
    kitchen = f"producer: {producer}\nmarkets: [us]\n"
    code, said = label(
        tmp_path,
        capsys,
        LARDER,
        RECIPES,
        kitchen,
        "--lot",
        "A1",
        "--made-on",
        "2026-11-25",
        "--on",
        "2026-11-25",
    )
    assert (
        code == 1
        and "BLOCK kitchen.yaml:1:1 not-ready-producer" in said
        and not list(tmp_path.rglob("*.pdf"))
    )
    code, said = label(tmp_path, capsys, LARDER, RECIPES, kitchen)
    assert code == 0 and "NOT READY TO SELL" in said


@pytest.mark.parametrize(
    "producer",
    [
        "{name: Yourk Bakery, address: 1 Street Road}",
        "{name: Your Daily Bread, address: 12 Townsend Street}",
        "{name: Test Kitchen Bakes, address: 1 Hill}",
    ],
)
def test_names_that_are_somebodys_are_no_placeholders(tmp_path, capsys, producer):
    code, said = label(
        tmp_path,
        capsys,
        LARDER,
        RECIPES,
        f"producer: {producer}\nmarkets: [us]\n",
        "--lot",
        "A1",
        "--made-on",
        "2026-11-25",
        "--on",
        "2026-11-25",
    )
    assert code == 0 and "not-ready" not in said


@pytest.mark.parametrize(
    "recipes, argv, code, told",
    [
        (RECIPES, ["--lot", "P"], 0, "slip-lot"),
        (RECIPES, ["--lot", "plain-ones"], 0, "slip-lot"),
        (RECIPES.replace("14 days", "5 years"), [], 0, "slip-shelf-life"),
        (RECIPES.replace("14 days", "14 years"), [], 1, "best-before"),
        (
            RECIPES.replace("best_before: 14 days", "use_by: 5 days"),
            ["--made-on", "2026-11-01", "--on", "2026-11-25"],
            1,
            "date-passed",
        ),
        (RECIPES, ["--made-on", "2026-11-01", "--on", "2026-11-25"], 0, "date-passed"),
        (RECIPES, ["--made-on", "2027-11-25", "--on", "2026-11-25"], 0, "made-on-ahead"),
        (RECIPES.replace("pieces: 10,", 'pieces: 10, gtin: "4006381333932",'), [], 1, "would have to be 1"),
        (RECIPES.replace("pieces: 10", 'pieces: 10, gtin: "4006381333931"'), [], 1, "gtin-twice"),
        (RECIPES + "variants:\n  v: {of: p, omit: [sugar]}\n", [], 0, "p.pdf"),
        (RECIPES.replace("1 piece d,", "1 oat d,"), [], 0, "p.pdf"),
    ],
)
def test_lots_dates_and_numbers(tmp_path, capsys, recipes, argv, code, told):
    found, said = label(tmp_path, capsys, LARDER, recipes, KITCHEN, *(argv or ["--on", "2026-11-25"]))
    assert found == code and told in said, said


def test_a_word_before_a_formulation_may_be_another_food(tmp_path, capsys):
    """'1 oat d' is no piece of d: the oat-d it means may be undefined, with all its allergens."""
    write(tmp_path, LARDER, RECIPES.replace("1 piece d,", "1 oat d,"), KITCHEN)
    assert main(["label", "q", "--kitchen", str(tmp_path), "--out", str(tmp_path / "out")]) == 1
    assert "'oat' before 'd' is not understood" in capsys.readouterr().err


@pytest.mark.parametrize(
    "own",
    [
        "may_contain: [nutz]",
        "cross_contact: {nutz: a separate room}",
        "tested: {glutenn: '<5 mg/kg, Example Lab, 2026-11-02'}",
        "category: cookeis",
        "show: [fibr]",
        "exempt: [tiny]",
        "date_mark: packed on",
        "serving: 30 gg",
        "unitt: x",
        "package: 10 by 20",
    ],
)
def test_a_word_nobody_knows_is_never_passed_over(tmp_path, capsys, own):
    code, said = label(tmp_path, capsys, recipes=RECIPES.replace("pieces: 10,", f"pieces: 10, {own},"))
    word = own.partition(":")[2].strip(" [{").split(":")[0].rstrip("]")
    assert code == 1 or word in said or own.split(":")[0] in said, said


def test_the_starter_takes_a_name_and_an_address(tmp_path, capsys):
    assert (
        main(["new", str(tmp_path / "k"), "--name", 'Hill "Best" Bakes', "--address", "1 Hill, Sampleton"])
        == 0
    )
    argv = [
        "label",
        "shortbread",
        "--kitchen",
        str(tmp_path / "k"),
        "--out",
        str(tmp_path / "out"),
        "--lot",
        "A1",
    ]
    assert main(argv) == 0 and "not-ready-producer" not in capsys.readouterr().out
