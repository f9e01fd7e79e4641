"""The Contains statement of 21 USC 343(w): every major allergen found is named, by its kind, on the law's
date.
"""

import tomllib
from datetime import date

import pytest

from labelgen import paths
from labelgen.composition.ingredient_allergens import allergens_of
from labelgen.composition.text.lexicon import find_allergens
from labelgen.errors import RuleError
from labelgen.law.pack import read_table
from labelgen.law.tables import TABLES
from labelgen.market.allergens.declaration import declare_allergens, name_in_list
from labelgen.market.allergens.existing_label import compare_label

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
    assert not declared.names and any(
        f.code == "allergen-source-unknown" and "soy" in f.message for f in declared.findings
    )


def test_precaution_names_only_what_the_supplier_states():
    hits, may = allergens_of("x", "", "", "sugar", [], ["milk", "tree_nut/hazelnut"])
    assert declare_allergens("us", ON, hits, may).precaution == "May contain: Milk, Hazelnut."


def test_a_declared_gluten_cereal_is_wheat_once():
    """Wheat includes spelt, khorasan, durum, emmer, einkorn and triticale (from memory; 21 USC 321(qq)
    names wheat).
    """
    hits, may = allergens_of("seasoning", "", "", "", ["gluten/spelt"], [])
    assert declare_allergens("us", ON, hits, may).names == ("Wheat",)
    hits, may = allergens_of("flour", "", "Wheat flour, white", "", ["gluten/wheat"], [])
    assert declare_allergens("us", ON, hits, may).names == ("Wheat",)
    hits, may = allergens_of("malt", "", "", "", ["gluten/barley"], [])
    assert declare_allergens("us", ON, hits, may).names == ()


SIX = ("us", "eu", "uk", "ca", "au", "nz")


def names_of(market, text, on=ON):
    found = find_allergens(text)
    return declare_allergens(market, on, found.contains, found.may_contain).names


@pytest.mark.parametrize("market", SIX)
def test_every_list_is_cited(market):
    """The loader refuses undated and ungraded rules; the sources must exist, whatever else the market
    still lacks.
    """
    cited = {
        k
        for p in paths.reference("citations").glob("*.toml")
        for k in tomllib.loads(p.read_text(encoding="utf-8"))
    }
    for table in ("allergens", "allergen_wording"):
        assert {e.cite for e in read_table(market, TABLES[table])} <= cited


@pytest.mark.parametrize(
    "market, text, names",
    [
        # Regulation (EU) No 1169/2011, Annex II: fourteen substances, nuts a closed list
        (
            "eu",
            "rye flour, whelks, prawns, celery, mustard, lupin flour, sulphur dioxide",
            (
                "rye",
                "crustaceans",
                "celery",
                "mustard",
                "sulphur dioxide and sulphites",
                "lupin",
                "molluscs",
            ),
        ),
        ("eu", "pine nuts, chestnuts, coconut, buckwheat", ()),
        (
            "uk",
            "pecans, spelt flour, sesame seeds, anchovies",
            ("wheat", "fish", "pecan nuts", "sesame seeds"),
        ),
        # Food and Drug Regulations (Canada), B.01.010.1
        (
            "ca",
            "barley malt, pine nuts, mustard seed, cod, sodium metabisulphite",
            ("Barley", "Pine nuts", "Mustard", "Cod", "Sulphites"),
        ),
        ("ca", "triticale flour, celery", ("Wheat", "Triticale")),
        # Standard 1.2.3 and Schedule 9 (Australia, New Zealand): wheat is named, and gluten too
        ("au", "wheat flour, oats, lupin flour, almonds", ("wheat", "gluten", "lupin", "almond")),
        ("nz", "barley, pine nuts, mussels, celery", ("gluten", "mollusc", "pine nut")),
        # 21 USC 343(w): gluten cereals other than wheat, celery, mustard, molluscs and sulphites are no
        # majors
        ("us", "rye flour, barley malt, oats, celery, mustard, mussels, lupin, sulphites", ()),
    ],
)
def test_what_each_market_declares(market, text, names):
    assert names_of(market, text) == names


@pytest.mark.parametrize(
    "market, text, names",
    [
        # 21 USC 321(qq)(2)(A); Annex II 1(a), 6(a), 7(b)
        ("us", "highly refined soybean oil, highly refined peanut oil", ()),
        ("us", "soybean oil", ("Soy",)),
        ("us", "cold-pressed peanut oil", ("Peanut",)),
        ("us", "highly refined soybean oil, soy flour", ("Soy",)),
        ("eu", "wheat glucose syrup, glucose syrup (wheat), fully refined soya oil, lactitol", ()),
        ("eu", "wheat glucose syrup, wheat flour", ("wheat",)),
        (
            "eu",
            (
                "glucose syrup (from wheat), dextrose derived from wheat, dried glucose syrup obtained from"
                " wheat"
            ),
            (),
        ),
        (
            "eu",
            (
                "Glukosesirup (aus Weizen), sirop de glucose issu de blé, jarabe de glucosa (procedente de"
                " trigo), sciroppo di glucosio da frumento"
            ),
            (),
        ),
        ("eu", "glucose syrup from wheat, wheat starch", ("wheat",)),
        ("us", "glucose syrup (from wheat)", ("Wheat",)),
        ("ca", "wheat glucose syrup", ("Wheat",)),
    ],
)
def test_exemptions_hold_only_where_the_market_has_them(market, text, names):
    assert names_of(market, text) == names


@pytest.mark.parametrize(
    "text, name",
    [
        ("refined peanut oil", "Peanut"),
        ("refined soybean oil", "Soy"),
        ("soybean oil (refined)", "Soy"),
        ("RBD soybean oil", "Soy"),
    ],
)
def test_a_merely_refined_oil_is_declared_unless_its_supplier_declares_none(text, name):
    """21 USC 321(qq)(2)(A) exempts highly refined oils only."""
    hits, may = allergens_of("oil", "", "", text, None, None)
    declared = declare_allergens("us", ON, hits, may)
    assert declared.names == (name,) and not declared.asked
    assert [f.code for f in declared.findings] == [
        "allergen-exempt-if"
    ] and "contains: []" in declared.findings[0].message
    hits, may = allergens_of("oil", "", "", text, [], None)
    declared = declare_allergens("us", ON, hits, may)
    assert declared.names == () and [h.allergen for h in declared.asked] == [hits[0].allergen]
    assert [f.code for f in declared.findings] == ["allergen-exempt-if"] and "confirm" in declared.findings[
        0
    ].message


@pytest.mark.parametrize(
    "words, contains, names",
    [
        ("highly refined soybean oil", None, ()),
        ("refined soybean oil", None, ("Soy",)),
        ("refined soybean oil", [], ()),
        ("soybean oil", None, ("Soy",)),
        ("soybean oil, soy lecithin", [], ("Soy",)),
        ("", None, ("Soy",)),
    ],
)
def test_what_is_said_of_an_oil_goes_before_the_name_of_its_food(words, contains, names):
    hits, may = allergens_of("oil", "", "Oil, soybean, salad or cooking", words, contains, None, "usda/04044")
    assert declare_allergens("us", ON, hits, may).names == names


def test_an_oil_never_speaks_for_a_food_roasted_in_it():
    hits, may = allergens_of(
        "nuts",
        "",
        "Peanuts, all types, oil-roasted, with salt",
        "highly refined peanut oil",
        None,
        None,
        "usda/16089",
    )
    assert declare_allergens("us", ON, hits, may).names == ("Peanut",)


def test_a_denied_allergen_that_nothing_exempts_is_declared():
    hits, may = allergens_of("oil", "", "", "soybean oil, tofu", [], None)
    assert declare_allergens("us", ON, hits, may).names == ("Soy",)


@pytest.mark.parametrize(
    "text",
    [
        "highly refined soybean oil, soybean oil",
        "soybean oil, highly refined soybean oil",
        "fully refined soybean oil, hydrogenated soybean oil",
        "highly refined soybean oil, refined soy oil",
        "highly refined soybean oil, soy lecithin",
    ],
)
def test_an_exempt_oil_never_hides_another(text):
    for market in SIX:
        assert any("soy" in name.lower() for name in names_of(market, text)), market


@pytest.mark.parametrize("on, names", [(date(2025, 1, 5), ("Coconut",)), (date(2025, 1, 6), ())])
def test_the_list_of_tree_nuts_changed_on_6_january_2025(on, names):
    """FDA guidance, edition 5 of 6 January 2025: coconut is no longer a tree nut."""
    assert names_of("us", "coconut", on) == names


def test_one_ingredient_that_tells_its_kind_needs_no_group_word():
    hits, may = allergens_of("sauce", "", "", "anchovies, salt", ["fish"], None)
    declared = declare_allergens("us", ON, hits, may)
    assert declared.names == ("Anchovy",) and not declared.findings


def test_europe_has_no_contains_statement_and_the_others_have():
    found = find_allergens("milk")
    runs = {m: declare_allergens(m, ON, found.contains, ()).runs for m in SIX}
    assert not runs["eu"] and not runs["uk"]
    assert "".join(r.text for r in runs["au"]) == "Contains: milk." and all(r.bold for r in runs["au"])


@pytest.mark.parametrize(
    "market, text, codes, printed",
    [
        ("eu", "wheat flour", ("wheat", "gluten/wheat"), "**wheat** flour"),
        ("eu", "ghee", ("milk",), "ghee (**milk**)"),
        ("eu", "spelt flour", ("wheat", "gluten/spelt"), "spelt flour (**wheat**)"),
        ("au", "soy lecithin", ("soy",), "**soy** lecithin"),
        ("eu", "sugar", (), "sugar"),
        ("us", "ghee", ("milk",), "ghee"),
    ],
)
def test_emphasis_in_the_list(market, text, codes, printed):
    runs = name_in_list(market, ON, text, codes)
    assert "".join(f"**{r.text}**" if r.bold else r.text for r in runs) == printed


def test_an_old_label_is_misnamed_when_only_a_derived_word_stands_in_it():
    held = find_allergens("semolina").contains
    got = compare_label("Ingredients: semolina, water", "us", ON, held)
    assert [h.allergen for h in got.misnamed] == ["wheat"] and not got.undeclared
    assert not compare_label("Ingredients: semolina (wheat), water", "us", ON, held).misnamed


def test_an_old_label_that_names_an_allergen_the_recipe_lacks():
    got = compare_label("Ingredients: sugar. Contains: milk.", "us", ON, ())
    assert [h.allergen for h in got.not_found] == ["milk"]


def test_allergens_of_other_markets_are_told_too():
    got = compare_label("Ingredients: celery, coconut, rye", "us", ON)
    assert [h.allergen for h in got.also_found] == ["celery", "gluten/rye"]


def test_an_unknown_market_is_refused():
    with pytest.raises(RuleError, match="market 'xx' is not known"):
        declare_allergens("xx", ON, (), ())


@pytest.mark.parametrize(
    "text, code, severity, cite",
    [
        ("mixed nuts", "allergen-kind", "danger", "usc-21-343"),
        ("sugar, lecithin", "allergen-source-unknown", "warn", "usc-21-343"),
        ("refined soybean oil", "allergen-exempt-if", "warn", "usc-21-321"),
    ],
)
def test_what_is_asked_names_its_ingredient_and_the_rule(text, code, severity, cite):
    """21 USC 343(w) lists, 321(qq) exempts."""
    hits, may = allergens_of("paste", "", "", text, None, None)
    found = {
        (f.code, f.severity, f.where.file, f.citation.partition(" ")[0])
        for f in declare_allergens("us", ON, hits, may).findings
    }
    assert found == {(code, severity, "paste", cite)}


@pytest.mark.parametrize(
    "contains, may, precaution",
    [
        ([], ["milk"], "May contain: Milk."),
        (["milk"], ["milk"], ""),
        (["milk"], ["milk", "egg"], "May contain: Egg."),
        ([], ["celery", "milk"], "May contain: Milk, Celery."),
        ([], None, ""),
    ],
)
def test_a_warning_names_what_the_statement_does_not(contains, may, precaution):
    """Celery, on no list of the United States, comes last and is not lost."""
    hits, warned = allergens_of("x", "", "", "", contains, may)
    assert declare_allergens("us", ON, hits, warned).precaution == precaution


def test_what_a_market_does_not_list_is_kept_apart():
    hits, may = allergens_of("x", "", "", "celery, milk", None, None)
    declared = declare_allergens("us", ON, hits, may)
    assert [h.allergen for h in declared.contains] == ["milk"] and [
        h.allergen for h in declared.not_counted
    ] == ["celery"]


def test_a_name_inside_another_word_names_nothing():
    """Buckwheat is no wheat, and semolina does not say that it is."""
    got = compare_label(
        "Ingredients: semolina, buckwheat flour", "us", ON, find_allergens("semolina").contains
    )
    assert [h.allergen for h in got.misnamed] == ["wheat"]


@pytest.mark.parametrize(
    "name, statement",
    [
        ("highly refined soybean oil", "refined soybean oil"),
        ("refined soybean oil", "highly refined soybean oil"),
    ],
)
def test_an_exempt_oil_of_one_text_never_hides_that_of_another(name, statement):
    """A packet that calls its oil highly refined in one place only: 21 USC 321(qq)(2)(A) exempts no other."""
    hits, may = allergens_of("oil", name, "", statement, None, None)
    assert declare_allergens("us", ON, hits, may).names == ("Soy",) and len(hits) == 2


def test_of_two_texts_for_an_allergen_the_first_is_what_it_rests_on():
    hits, _ = allergens_of("mix", "buttermilk mix", "", "milk powder, sugar", None, None)
    assert [(h.allergen, h.words) for h in hits] == [("milk", "milk powder")]
