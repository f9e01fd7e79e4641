"""Every language of an ingredient is read and counts, and is held against the first; a key is only asked
about.
"""

from datetime import date

import pytest

from labelgen.composition.dataset import open_dataset
from labelgen.composition.resolve import resolve_ingredient
from labelgen.recipe.read import read_kitchen
from tests.kitchens import write

ON = date(2026, 11, 25)

CODES = ("languages-differ", "key-sounds-like", "declaration-misses")


def resolved(folder, line):
    write(folder, f"x: {line}\n" if not line.startswith("key ") else f"{line[4:]}\n", "")
    spec = next(iter(read_kitchen(folder)[0].ingredients.values()))
    found = resolve_ingredient(spec, open_dataset(), ON)
    return found, [(f.code, f.severity) for f in found.findings if f.code in CODES]


MILK_AND_NUT = (
    "{statement: {en: 'sugar, glucose syrup (maize), flavouring', de: 'Zucker, Glukosesirup (Mais),"
    " Vollmilchpulver, Haselnüsse, Aroma'}}"
)


def test_what_only_the_second_language_names_counts_and_is_told(tmp_path):
    found, told = resolved(tmp_path, MILK_AND_NUT)
    assert {h.allergen for h in found.contains} == {"milk", "tree_nut/hazelnut"}
    assert told == [("languages-differ", "danger")] * 2
    differing = [f for f in found.findings if f.code == "languages-differ"]
    assert (
        str(differing[0].where).endswith("all.yaml:1:1")
        and "milk under 'de:' (\"Vollmilchpulver\") and not under 'en:'" in differing[0].message
    )


@pytest.mark.parametrize(
    "line, contains, may, told",
    [
        (
            "{print: {en: sugar crunch, de: Haselnusskrokant}}",
            {"tree_nut/hazelnut"},
            set(),
            [("languages-differ", "danger")],
        ),
        (
            "{statement: {en: 'sugar, milk powder', fr: 'sucre'}}",
            {"milk"},
            set(),
            [("languages-differ", "danger")],
        ),
        (
            "{statement: {en: 'sugar, cocoa', fr: 'sucre, cacao. Peut contenir des arachides'}}",
            set(),
            {"peanut"},
            [("languages-differ", "warn")],
        ),
        ("{statement: {en: 'sugar, lecithin', de: 'Zucker, Sojalecithin'}}", {"soy"}, set(), []),
        (
            (
                "{statement: {en: 'sugar, milk powder', de: 'Zucker, Milchpulver', fr: 'sucre, lait en"
                " poudre', it: 'zucchero, latte in polvere', es: 'azúcar, leche en polvo'}}"
            ),
            {"milk"},
            set(),
            [],
        ),
        ("{print: {en: hazelnut paste, fr: pâte de noisettes}}", {"tree_nut/hazelnut"}, set(), []),
        ("{statement: {en: 'barley flakes', it: 'fiocchi di orzo'}}", {"gluten/barley"}, set(), []),
        # a declaration settles which of the two is right; a word whose source is not told is a hint
        (
            "{statement: {en: sugar, de: 'Zucker, Milchpulver'}, contains: [milk]}",
            {"milk"},
            set(),
            [("languages-differ", "warn")],
        ),
        (
            "{statement: {en: glucose syrup, de: 'Glukosesirup (Weizen)'}}",
            {"wheat", "gluten/wheat"},
            set(),
            [],
        ),
    ],
)
def test_languages_are_held_against_each_other(tmp_path, line, contains, may, told):
    found, findings = resolved(tmp_path, line)
    assert (
        {h.allergen for h in found.contains} == contains
        and may <= {h.allergen for h in found.may_contain}
        and findings == told
    )


@pytest.mark.parametrize(
    "line, contains, asked, told",
    [
        ("malto: {statement: maltodextrin (wheat)}", {"wheat", "gluten/wheat"}, {"gluten/barley"}, []),
        ("soyoil: {print: rapeseed oil, contains: []}", set(), set(), [("key-sounds-like", "warn")]),
        ("soyoil: {print: rapeseed oil}", set(), {"soy"}, []),
        ("mehl: {print: rice flour, contains: []}", set(), set(), [("key-sounds-like", "warn")]),
        (
            "hazelnut-paste: {print: filling, statement: 'sugar, palm oil'}",
            set(),
            {"tree_nut/hazelnut"},
            [],
        ),
        # a key that prints because nothing else does is read as what is printed
        (
            "hazelnut-paste: {contains: []}",
            {"tree_nut/hazelnut"},
            set(),
            [("declaration-misses", "danger")],
        ),
        ("hazelnut_paste: {statement: 'sugar, palm oil'}", {"tree_nut/hazelnut"}, set(), []),
    ],
)
def test_a_key_is_asked_about_unless_it_prints(tmp_path, line, contains, asked, told):
    found, findings = resolved(tmp_path, f"key {line}")
    assert (
        {h.allergen for h in found.contains} == contains
        and asked <= {h.allergen for h in found.may_contain}
        and findings == told
    )


def test_a_key_tells_no_make_up(tmp_path):
    found, _ = resolved(
        tmp_path, "key erythritol: {print: sweet mix, per: 100 g, nutrients: {carbohydrate: 100 g}}"
    )
    assert not found.disclosed
