"""The Contains statement of 21 USC 343(w): every major allergen found is named, by its kind, on the law's date."""

from datetime import date

import pytest

from labelgen.composition.allergens import allergens_of
from labelgen.market.allergens import declare_allergens

ON = date(2026, 12, 1)


@pytest.mark.parametrize(
    "text, names",
    [
        ("spelt flour, ghee", ("Milk", "Wheat")),
        ("brazil nuts, pine nuts", ("Brazil Nut", "Pine Nut")),
        ("anchovy paste, prawns", ("Anchovy", "Shrimp")),
        ("tahini, egg white powder, groundnut flour, tofu", ("Egg", "Peanut", "Soy", "Sesame")),
        ("coconut, oat flour, sugar", ()),
    ],
)
def test_names(text, names):
    hits, may = allergens_of("x", "", "", text, None, None)
    assert declare_allergens("us", ON, hits, may).names == names


def test_a_kind_the_table_does_not_list_is_still_declared():
    hits, may = allergens_of("x", "", "", "smoked haddock", None, None)
    assert declare_allergens("us", ON, hits, may).names == ("Haddock",)


def test_an_unnamed_kind_stops_the_label():
    """The law wants the kind of nut or fish (343(w)(2)): "nuts" alone cannot be printed."""
    hits, may = allergens_of("x", "", "", "sugar, mixed nuts, fish", None, None)
    assert {f.severity for f in declare_allergens("us", ON, hits, may).findings} == {"danger"}


def test_a_word_of_unknown_source_is_asked_about_not_guessed():
    hits, may = allergens_of("x", "", "", "sugar, lecithin", None, None)
    declared = declare_allergens("us", ON, hits, may)
    assert not declared.names and any(f.code == "allergen-source-unknown" and "soy" in f.message for f in declared.findings)


def test_precaution_names_only_what_the_supplier_states():
    hits, may = allergens_of("x", "", "", "sugar", [], ["milk", "tree_nut/hazelnut"])
    assert declare_allergens("us", ON, hits, may).precaution == "May contain: Milk, Hazelnut."


def test_a_declared_gluten_cereal_is_wheat_once():
    """Wheat includes spelt, khorasan, durum, emmer, einkorn and triticale (from memory; 21 USC 321(qq) names wheat)."""
    hits, may = allergens_of("seasoning", "", "", "", ["gluten/spelt"], [])
    assert declare_allergens("us", ON, hits, may).names == ("Wheat",)
    hits, may = allergens_of("flour", "", "Wheat flour, white", "", ["gluten/wheat"], [])
    assert declare_allergens("us", ON, hits, may).names == ("Wheat",)
    hits, may = allergens_of("malt", "", "", "", ["gluten/barley"], [])
    assert declare_allergens("us", ON, hits, may).names == ()
