"""The lexicon's data and its reading: scope of denials and warnings, reasons, spelling."""

from __future__ import annotations

import csv

import pytest
from hypothesis import given
from hypothesis import strategies as st

from labelgen import paths
from labelgen.composition.text.folded_words import key_of, read_words
from labelgen.composition.text.lexicon import find_allergens, spoken, survey
from labelgen.composition.text.terms import read_lexicon

CODES = {
    "milk",
    "egg",
    "fish",
    "crustacean",
    "mollusc",
    "peanut",
    "soy",
    "sesame",
    "wheat",
    "celery",
    "mustard",
    "lupin",
    "sulphite",
    "tree_nut",
    "gluten",
    "coconut",
    "chestnut",
    "shea",
    "beech_nut",
    "butternut",
    "chinquapin",
    "ginkgo",
    "hickory",
    "pili",
    "lychee",
    "cola_nut",
    "palm_nut",
}
GROUPS = {"tree_nut", "gluten", "fish", "crustacean", "mollusc"}


def data_rows():
    with paths.reference("allergens", "lexicon.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def contains(text, **kw):
    return {h.allergen for h in find_allergens(text, **kw).contains}


def may(text):
    return {h.allergen for h in find_allergens(text).may_contain}


def test_every_row_is_usable():
    for row in data_rows():
        for code in (row["contains"] + " " + row["typical"] + " " + row["may"]).split():
            group, _, species = code.partition("/")
            assert group in CODES and (not species or group in GROUPS), row
        assert row["grade"] in ("read", "read-secondary", "memory") and row["source"], row
    assert len(read_lexicon().every_term()) > 5000


def test_wheat_words_name_both_wheat_and_its_gluten():
    for term in read_lexicon().every_term():
        codes = term.contains + term.typical
        assert ("wheat" in codes) <= ("gluten/wheat" in codes or "gluten/triticale" in codes), term


@pytest.mark.parametrize(
    "text", ["almond", "Almonds", "ALMONDS", "al\u00admonds", "almonds*", "Al­monds", "**Almonds**"]
)
def test_spelling_does_not_hide_an_allergen(text):
    assert contains(text) == {"tree_nut/almond"}


@pytest.mark.parametrize(
    "one, two",
    [
        ("soya flour", "soy-flour"),
        ("soy bean", "soybeans"),
        ("sulphur dioxide", "Sulfur Dioxide"),
        ("anchovies", "anchovy"),
        ("crème fraîche", "creme fraiche"),
        ("yoghurt", "yogurt"),
        ("hydrolysed whey", "hydrolyzed whey"),
        ("pea-nuts", "peanuts"),
    ],
)
def test_spellings_mean_the_same(one, two):
    assert contains(one) == contains(two) != set()


def test_words_cut_by_a_line_break_are_joined():
    assert contains("sugar, skimmed milk pow-\nder, hazel-\nnuts") == {"milk", "tree_nut/hazelnut"}


def test_a_false_friend_does_not_reach_across_a_comma():
    assert contains("cocoa, butter") == {"milk"}
    assert contains("coconut, milk") == {"coconut", "milk"}
    assert contains("Cocoa\nButter\nSugar") == {"milk"}
    assert contains("sugar, cocoa\nbutter, salt") == set()


def test_scope_of_denials():
    assert contains("free from milk, egg and soy") == set()
    assert contains("oats, gluten free") == {"gluten/oats"}
    assert contains("milk, wheat and dairy free margarine") >= {"milk", "wheat"}
    assert contains("no salt butter") == {"milk"}
    assert contains("cage-free eggs, fat free milk") == {"egg", "milk"}
    assert contains("lactose free milk") == {"milk"}
    assert contains("Does not contain nuts. Contains milk.") == {"milk"}


def test_scope_of_warnings():
    text = "Ingredients: sugar, milk. May contain nuts and soy. Contains milk."
    assert contains(text) == {"milk"} and may(text) == {"tree_nut", "soy"}
    assert contains("sugar (may contain milk), egg") == {"egg"}


def test_group_words_give_way_to_their_members():
    assert contains("Contains tree nuts (almonds, pecans)") == {"tree_nut/almond", "tree_nut/pecan"}
    assert contains("tree nuts") == {"tree_nut"}
    assert contains("almonds (nuts)") == {"tree_nut/almond"}


def test_a_word_that_differs_between_languages_is_read_in_the_language_of_its_neighbours():
    assert contains("orzo, olive oil") == {"wheat", "gluten/wheat"}
    assert contains("latte, orzo, mandorle, zucchero") == {"milk", "gluten/barley", "tree_nut/almond"}


def test_hits_carry_their_reason():
    hit = find_allergens("sugar, whey powder").contains[0]
    assert hit.words == "whey powder" and "whey powder" in hit.because and hit.how == "statement"
    hit = find_allergens("lecithin").may_contain[0]
    assert "lecithin" in hit.because and "ask" in hit.because and hit.how == "statement"
    assert find_allergens("may contain milk").may_contain[0].how == "declaration"


def test_survey_keeps_list_and_declaration_apart():
    seen = survey("Ingredients: flour, butter. Contains: wheat.")
    assert {h.allergen for h in seen.listed} == {"wheat", "gluten/wheat", "milk"}
    assert {h.allergen for h in seen.declared} == {"wheat", "gluten/wheat"}


def test_unknown_kind_is_refused():
    with pytest.raises(ValueError, match="statement, name, food"):
        find_allergens("milk", kind="poem")


def test_spoken_names():
    assert [spoken(c) for c in ("tree_nut/brazil", "tree_nut/pine_nut", "gluten/barley", "milk")] == [
        "Brazil nut",
        "pine nut",
        "barley",
        "milk",
    ]


def test_keys_bring_plurals_together():
    for one, many in [
        ("cookie", "cookies"),
        ("berry", "berries"),
        ("potato", "potatoes"),
        ("radish", "radishes"),
        ("cheese", "cheeses"),
    ]:
        assert key_of(one) == key_of(many)
    assert key_of("cod") != key_of("code")


@given(st.text(max_size=200))
def test_any_text_is_read_without_failing(text):
    find_allergens(text)
    assert all(w.start < w.end or w.text == "," for w in read_words(text))


@given(
    st.lists(
        st.sampled_from(
            ["sugar", "salt", "whey powder", "cocoa butter", "eggs", "soy lecithin", "rice flour"]
        ),
        min_size=1,
        max_size=8,
    )
)
def test_an_allergen_is_found_wherever_it_stands_in_a_list(items):
    expected = {{"whey powder": "milk", "eggs": "egg", "soy lecithin": "soy"}.get(i) for i in items} - {None}
    assert contains(", ".join(items)) == expected
    assert contains("Ingredients: " + "; ".join(i.upper() for i in items) + ".") == expected


@pytest.mark.parametrize(
    "text, contains, asked",
    [
        ("soya lecithin (E322)", {"soy"}, set()),
        ("sunflower lecithin (E322)", set(), set()),
        ("lecithin (sunflower) [INS 322]", set(), set()),
        ("Rapslecithin E322", set(), set()),
        ("lecithin (egg) (E322)", {"egg"}, set()),
        ("lecithin (E322)", set(), {"soy", "egg"}),
        ("sunflower lecithin, E322", set(), {"soy", "egg"}),
        ("emulsifiers (lecithin (E322), E471)", set(), {"soy", "egg"}),
    ],
)
def test_the_number_of_a_lecithin_says_no_more_than_its_name(text, contains, asked):
    """E322 is lecithin, Regulation (EC) No 1333/2008, Annex II; a name that tells the plant tells it of
    its number too.
    """
    seen = find_allergens(f"sugar, {text}, salt")
    assert {h.allergen for h in seen.contains} == contains and {h.allergen for h in seen.may_contain} == asked
