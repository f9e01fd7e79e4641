"""Every warning prints, in every market and language, in words its reader reads. A warning is voluntary in
all six markets, so the group's name is lawful in it. The words are from common knowledge, those of Annex
II of Regulation (EU) 1169/2011 official.
"""

from datetime import date

import pytest

from labelgen import paths
from labelgen.composition.ingredient_records import AllergenHit
from labelgen.market.allergens.called import plain_name
from labelgen.market.allergens.declaration import declare_allergens

ON = date(2026, 12, 1)
MARKETS = ("us", "eu", "uk", "ca", "au", "nz")
#: code -> the words of which one must stand in a warning, in English.
WORDS = {
    "tree_nut": "nuts",
    "gluten": "gluten",
    "fish": "fish",
    "crustacean": "crustacean",
    "mollusc": "mollusc",
    "mustard": "mustard",
    "celery": "celery",
    "lupin": "lupin",
    "sulphite": "sulphites",
    "tree_nut/pine_nut": "pine nut",
    "gluten/rye": "rye|gluten",
    "mollusc/oyster": "mollusc|oyster",
    "peanut": "peanut",
    "coconut": "coconut",
    "milk/goat": "milk",
}
LANGUAGES = {
    "de": {
        "tree_nut": "Schalenfrüchte",
        "gluten": "Gluten",
        "tree_nut/pine_nut": "Pinienkerne",
        "fish": "Fisch",
        "mollusc/oyster": "Weichtiere",
    },
    "es": {
        "tree_nut": "frutos de cáscara",
        "gluten": "gluten",
        "tree_nut/pine_nut": "piñones",
        "fish": "pescado",
        "mollusc/oyster": "moluscos",
    },
    "fr": {
        "tree_nut": "fruits à coque",
        "gluten": "gluten",
        "tree_nut/pine_nut": "pignons",
        "fish": "poisson",
        "mollusc": "mollusques",
    },
    "it": {
        "tree_nut": "frutta a guscio",
        "gluten": "glutine",
        "tree_nut/pine_nut": "pinoli",
        "fish": "pesce",
        "mollusc/oyster": "molluschi",
    },
}


def warning(market, *codes, held=(), language="", how="kitchen"):
    hits = [AllergenHit(code, "", how=how) for code in codes]
    return declare_allergens(market, ON, [AllergenHit(code, "") for code in held], hits, language).precaution


@pytest.mark.parametrize("how", ["kitchen", "declaration"])
@pytest.mark.parametrize("code", WORDS)
@pytest.mark.parametrize("market", MARKETS)
def test_a_group_or_kind_is_named(market, code, how):
    said = warning(market, code, how=how).lower()
    assert said.startswith(("may contain: ", "may be present: ")) and any(
        word in said for word in WORDS[code].split("|")
    )


@pytest.mark.parametrize(
    "market, language, code",
    [
        (m, lang, c)
        for lang in LANGUAGES
        for m in (("eu", "ca") if lang == "fr" else ("eu",))
        for c in LANGUAGES[lang]
    ],
)
def test_a_group_or_kind_is_named_in_the_labels_language(market, language, code):
    assert LANGUAGES[language][code].lower() in warning(market, code, language=language).lower()


@pytest.mark.parametrize(
    "market, language",
    [
        ("us", ""),
        ("eu", ""),
        ("eu", "de"),
        ("eu", "fr"),
        ("eu", "it"),
        ("ca", ""),
        ("ca", "fr"),
        ("au", ""),
    ],
)
def test_nuts_are_told_beside_a_nut_that_is_held(market, language):
    """In French Canada the regulation calls walnuts "noix" (B.01.010.1), so nuts of any kind need another
    word.
    """
    alone, beside = (
        warning(market, "tree_nut", language=language),
        warning(market, "tree_nut", held=["tree_nut/walnut", "tree_nut/almond"], language=language),
    )
    assert alone == beside != ""


@pytest.mark.parametrize("market", MARKETS)
def test_every_warning_keeps_its_place_beside_others(market):
    said = warning(market, "peanut", "tree_nut", "tree_nut/hazelnut", "celery").lower()
    assert all(word in said for word in ("peanut", "nuts", "hazelnut", "celery"))


@pytest.mark.parametrize("market", ["au", "nz"])
@pytest.mark.parametrize("code", ["wheat", "gluten/wheat", "gluten/spelt"])
def test_wheat_is_told_as_wheat_and_as_gluten(market, code):
    """Standard 1.2.3, Schedule 9: wheat by its name, and gluten besides."""
    assert set(declare_allergens(market, ON, [AllergenHit(code, "", how="declaration")], []).names) == {
        "wheat",
        "gluten",
    }


def test_every_code_has_a_plain_word_in_every_language():
    rows = paths.read_rows("allergens", "plain_names.csv")
    assert all(row[lang] for row in rows for lang in ("en", "de", "es", "fr", "it"))
    named = {row["code"] for row in rows}
    for row in paths.read_rows("allergens", "codes.csv"):
        assert row["group"] in named
        if row["kinds"] not in ("any", "none"):
            assert {f"{row['group']}/{kind}" for kind in row["kinds"].split()} <= named


@pytest.mark.parametrize("language", ["en", "de", "es", "fr", "it"])
def test_a_groups_word_is_never_one_of_its_kinds(language):
    rows = paths.read_rows("allergens", "plain_names.csv")
    for group in ("tree_nut", "gluten"):
        kinds = {row[language] for row in rows if row["code"].startswith(f"{group}/")}
        assert plain_name(group, language) not in kinds
