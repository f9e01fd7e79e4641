"""What allergen codes stand for, when one names another, and what a supplier's own declaration makes of
the words beside it.
"""

import pytest

from labelgen.composition.ingredient_allergens import (
    allergen_words,
    allergens_of,
    code_fault,
    declaration_gaps,
    is_allergen,
    is_listed,
    names,
    printed_name,
    told_once,
)
from labelgen.errors import Where
from labelgen.recipe.models import IngredientSpec


@pytest.mark.parametrize(
    "code, known",
    [
        *(
            (code, True)
            for code in (
                "milk",
                "milk/goat",
                "fish/tuna",
                "soy",
                "tree_nut",
                "tree_nut/pine_nut",
                "gluten",
                "gluten/kamut",
            )
        ),
        *(
            (code, False)
            for code in (
                "",
                "/",
                "fish/",
                "soy/",
                "soy/lecithin",
                "tree_nut/acorn",
                "gluten/maize",
                "nuts",
                "honey",
            )
        ),
    ],
)
def test_which_codes_there_are(code, known):
    """A group with "any" kind takes each, one with "none" takes none, the others those of the table."""
    assert (code_fault(code) == "") is known
    assert not is_allergen(code) or known or "/" in code


def test_what_is_no_code_is_told_what_to_write():
    assert code_fault("bolts").endswith(
        "write one of milk, egg, fish, crustacean, mollusc, peanut, soy, sesame, wheat, celery, mustard,"
        " lupin, sulphite, tree_nut, gluten, coconut, chestnut"
    )
    assert code_fault("gluten/rye bread").startswith(
        "'gluten/rye bread' is no allergen code: write 'gluten/rye'"
    )


@pytest.mark.parametrize(
    "declared, code, named",
    [
        ({"milk"}, "milk", True),
        ({"milk"}, "egg", False),
        (set(), "milk", False),
        ({"fish"}, "fish/cod", True),
        ({"fish/cod"}, "fish", True),
        ({"fish/cod"}, "fish/tuna", False),
        ({"tree_nut/almond"}, "tree_nut/cashew", False),
        ({"gluten"}, "wheat", True),
        ({"gluten/spelt"}, "wheat", True),
        ({"wheat"}, "gluten/spelt", True),
        ({"gluten/barley"}, "wheat", False),
        ({"wheat"}, "gluten/rye", False),
        ({"wheat"}, "gluten", False),
        ({"gluten/rye"}, "gluten", True),
        ({"gluten/rye"}, "gluten/barley", False),
    ],
)
def test_when_a_declaration_names_an_allergen(declared, code, named):
    """A group names its kinds; a kind its group only where no more is known; wheat goes by any of its
    cereals, and no other cereal by it.
    """
    assert names(declared, code) is named


@pytest.mark.parametrize(
    "codes, told",
    [
        (["wheat", "gluten/wheat", "milk", "milk"], ("gluten/wheat", "milk")),
        (["milk", "wheat"], ("milk", "wheat")),
        (["wheat", "gluten/barley"], ("wheat", "gluten/barley")),
        ([], ()),
    ],
)
def test_wheat_is_told_once(codes, told):
    assert told_once(codes) == told


@pytest.mark.parametrize(
    "code, words",
    [
        ("milk", "milk"),
        ("tree_nut", "tree nut"),
        ("tree_nut/pine_nut", "pine nut"),
        ("gluten", "gluten"),
        ("gluten/rye", "rye (gluten)"),
        ("fish/red-snapper", "red snapper"),
    ],
)
def test_codes_in_words(code, words):
    assert allergen_words(code) == words


@pytest.mark.parametrize(
    "code, listed", [("milk", True), ("gluten/rye", True), ("coconut", False), ("honey", False)]
)
def test_what_some_market_lists(code, listed):
    assert is_listed(code) is listed


@pytest.mark.parametrize(
    "key, name, statement, printed",
    [
        ("oat-flakes", "rolled oats", "oats", "rolled oats"),
        ("oat_flakes", "", "", "oat flakes"),
        ("chips", "", "cocoa mass", "cocoa mass"),
        ("choc-chips", "", "cocoa mass, sugar", "choc chips"),
    ],
)
def test_the_name_that_prints(key, name, statement, printed):
    """A packet of one item prints as that item, one of several by the words of the key."""
    assert printed_name(key, name, statement) == printed


def test_a_declaration_denies_what_it_leaves_out_and_takes_nothing_away():
    hits, _ = allergens_of("mix", "", "", "milk powder, egg powder", ["milk", "sesame"], None)
    assert [(h.allergen, h.denied, h.how == "declaration") for h in hits] == [
        ("egg", True, False),
        ("milk", False, False),
        ("sesame", False, True),
    ]
    assert {h.ingredient for h in hits} == {"mix"} and "mix" in hits[-1].because
    assert not any(h.denied for h in allergens_of("mix", "", "", "milk powder", None, None)[0])


def test_a_warning_goes_before_a_doubt_and_yields_to_what_is_held():
    """Lecithin may be of soy: the supplier's own warning of it is one, and no longer a question."""
    _, may = allergens_of("mix", "", "", "milk, lecithin", None, ["soy", "milk", "peanut"])
    assert {h.allergen: h.how for h in may if h.allergen in ("soy", "milk", "peanut")} == {
        "soy": "declaration",
        "peanut": "declaration",
    }
    assert all(h.ingredient == "mix" and "mix" in h.because for h in may)


def test_a_list_of_the_packet_settles_what_a_food_is_usually_made_of():
    """Of margarine the table's name leaves open whether it holds milk or soy; a list, or a declaration,
    tells.
    """
    asked = {
        h.allergen for h in allergens_of("spread", "spread", "Margarine, regular, hard", "", None, None)[1]
    }
    assert (
        asked
        and not allergens_of(
            "spread", "spread", "Margarine, regular, hard", "sunflower oil, water", None, None
        )[1]
    )
    assert not allergens_of("spread", "spread", "Margarine, regular, hard", "", [], None)[1]


@pytest.mark.parametrize(
    "words, code, severity",
    [
        ("soy lecithin", "soy", "danger"),
        ("celery salt", "celery", "warn"),
        ("refined soybean oil", "soy", "warn"),
    ],
)
def test_what_a_declaration_leaves_out_is_told_at_its_place(words, code, severity):
    """Every market lists soy, some list celery, and some exempt a refined oil."""
    spec = IngredientSpec(name="mix", statement=words, contains=(), where=Where("ingredients/all.yaml", 3))
    (found,) = declaration_gaps(spec, allergens_of("mix", "", "", words, (), None)[0])
    assert (found.code, found.severity, found.where) == (
        "declaration-misses",
        severity,
        spec.where,
    ) and code in found.message
