"""A kitchen whose labels are in one language writes its texts plainly in it; in two, with a slash between."""

import pytest

from labelgen.chain import roll_up_folder
from labelgen.composition.parted import halves

KITCHEN = "producer: {{name: A, address: 1 B}}\nmarkets: [{markets}]\nlanguages: [{languages}]\n"


def read(folder, markets, languages, printed, name="Sablés"):
    files = {
        "kitchen.yaml": KITCHEN.format(markets=markets, languages=languages),
        "ingredients/a.yaml": f"a: {{print: {printed}, contains: [wheat], per: 100 g,"
        " nutrients: {fat: 1 g}}\n",
        "recipes/r.yaml": "formulations: {d: {ingredients: [100 g a]}}\n"
        f"products: {{p: {{name: {name}, of: d, net: 100 g}}}}\n",
    }
    for file, text in files.items():
        (folder / file).parent.mkdir(exist_ok=True)
        (folder / file).write_text(text, encoding="utf-8")
    return roll_up_folder(folder)


@pytest.mark.parametrize(
    ("markets", "languages", "spoken"),
    [
        ("eu", "français", "fr"),
        ("eu", "de", "de"),
        ("eu, us", "fr", ""),
        ("eu", "fr, de", ""),
        ("ca", "fr", ""),
    ],
)
def test_plain_texts_are_in_the_one_language_of_every_label(tmp_path, markets, languages, spoken):
    kitchen = read(tmp_path, markets, languages, "farine de blé").kitchen
    also = kitchen.ingredients["a"].also
    assert also == ({spoken: {"print_name": "farine de blé"}} if spoken else {})


def test_what_is_said_in_a_language_stays_so(tmp_path):
    kitchen = read(tmp_path, "eu", "fr", "{en: flour, fr: farine}").kitchen
    assert kitchen.ingredients["a"].also == {"en": {"print_name": "flour"}, "fr": {"print_name": "farine"}}


@pytest.mark.parametrize(
    ("printed", "english", "french"),
    [
        ("wheat flour / farine de blé", "wheat flour", "farine de blé"),
        ("farine de blé / wheat flour", "wheat flour", "farine de blé"),
    ],
)
def test_a_text_in_both_languages_of_canada_is_taken_as_both_and_told(tmp_path, printed, english, french):
    rolled = read(tmp_path, "ca", "en, fr", printed)
    spec = rolled.kitchen.ingredients["a"]
    assert spec.print_name == english and spec.also["fr"]["print_name"] == french
    assert "wording-parted" in {f.code for f in rolled.findings}


@pytest.mark.parametrize(
    "printed", ["milk / soy", "soy / lait", "milk / œufs", "salt / pepper", "lait / soja", "xylo / zweq"]
)
def test_two_foods_with_a_slash_between_them_are_never_parted(tmp_path, printed):
    """Taken as two languages, each label would leave one of the two out."""
    assert not halves(printed, ("en", "fr"))[2]
    assert read(tmp_path, "ca", "en, fr", printed).kitchen.ingredients["a"].print_name == printed
