"""Supplier statements: read, printed, read again.

The forms follow 21 CFR 101.4 (nesting, "2% or less"), Regulation (EU) No 1169/2011 Annex VII Part C (class
then name or E number) and Standard 1.2.4 of the Australia New Zealand code (code numbers in brackets).
"""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from labelgen.composition.ingredient_records import StatementItem
from labelgen.composition.text.lexicon import survey
from labelgen.composition.text.statement import bracket_depth, print_statement, read_statement
from tests.allergens.test_foods_and_texts import rows


def names(text):
    return [i.name for i in read_statement(text).items]


@pytest.mark.parametrize(
    "text, expected",
    [
        ("sugar, salt", ["sugar", "salt"]),
        ("Ingredients: sugar, salt.", ["sugar", "salt"]),
        ("INGREDIENTS: SUGAR, PALM OIL, FD&C RED 40.", ["sugar", "palm oil", "FD&C red 40"]),
        ("sugar; salt; and pepper", ["sugar", "salt", "pepper"]),
        ("flour, salt and yeast", ["flour", "salt", "yeast"]),
        ("oil, mono- and diglycerides", ["oil", "mono- and diglycerides"]),
        ("natural and artificial flavor", ["natural and artificial flavor"]),
        ("Sugar\nButter\nEggs", ["Sugar", "Butter", "Eggs"]),
        ("sugar*, cocoa mass†, **salt** (*Organic)", ["sugar", "cocoa mass", "salt"]),
        ("palm and/or canola oil, salt", ["palm and/or canola oil", "salt"]),
        ("one or more of: palm oil, canola oil", ["one or more of"]),
        ("", []),
        ("...", []),
    ],
)
def test_items_are_separated(text, expected):
    assert names(text) == expected


def test_nesting_to_any_depth_and_any_bracket():
    (item,) = read_statement("dough [flour {wheat flour, iron (ferrous sulphate)}, water]").items
    assert item.name == "dough" and [i.name for i in item.items] == ["flour", "water"]
    assert item.items[0].items[1].items[0].name == "ferrous sulphate"


@pytest.mark.parametrize(
    "text",
    [
        "cocoa 12%",
        "cocoa (12%)",
        "cocoa (12 %)",
        "12% cocoa",
        "cocoa 12.0%",
        "cocoa: 12 %",
        "cocoa (min. 12%)",
    ],
)
def test_percentages(text):
    (item,) = read_statement(text).items
    assert (item.name, item.percent) == ("cocoa", 12.0)


def test_decimal_commas_do_not_separate():
    assert [(i.name, i.percent) for i in read_statement("Butter 12,5 %, Salz 1,2%").items] == [
        ("Butter", 12.5),
        ("Salz", 1.2),
    ]


def test_a_percentage_that_belongs_to_the_name_stays():
    assert names("2% milk, 100% durum semolina") == ["2% milk", "100% durum semolina"]


@pytest.mark.parametrize(
    "text, expected",
    [
        ("emulsifier: soy lecithin", [("soy lecithin", "emulsifier", "")]),
        ("emulsifiers (E322, E 471)", [("E322", "emulsifier", "E322"), ("E471", "emulsifier", "E471")]),
        (
            "Emulsifiers: E322, E471; salt",
            [("E322", "emulsifier", "E322"), ("E471", "emulsifier", "E471"), ("salt", "", "")],
        ),
        ("colour (E129)", [("E129", "colour", "E129")]),
        ("colour E129", [("E129", "colour", "E129")]),
        (
            "raising agents (450, 500)",
            [("E450", "raising agent", "E450"), ("E500", "raising agent", "E500")],
        ),
        ("raising agent (E450(i))", [("E450i", "raising agent", "E450i")]),
        ("lecithin (E322)", [("lecithin", "", "E322")]),
        ("leavening (baking soda)", [("baking soda", "raising agent", "")]),
        ("preservative (INS 223)", [("E223", "preservative", "E223")]),
    ],
)
def test_function_classes_and_numbers(text, expected):
    assert [(i.name, i.function, i.e_number) for i in read_statement(text).items] == expected


@pytest.mark.parametrize(
    "phrase",
    [
        "contains 2% or less of: salt, yeast",
        "contains less than 2% of the following: salt, yeast",
        "less than 2% of salt, yeast",
        "Contains 2 percent or less of salt, yeast",
        "2% or less of each of the following: salt, yeast",
        "CONTAINS 2% OR LESS OF: SALT, YEAST",
        "contains less than 1% of salt, yeast",
    ],
)
def test_the_small_ingredients_behind_their_phrase(phrase):
    items = read_statement(f"flour, {phrase}.").items
    assert [(i.name.lower(), i.minor) for i in items] == [("flour", False), ("salt", True), ("yeast", True)]


def test_declarations_and_warnings_are_no_items():
    s = read_statement(
        "Ingredients: sugar, whey (milk). Contains: milk, soy. May contain nuts. "
        "Produced in a facility that also handles wheat. Store in a cool place."
    )
    assert [i.name for i in s.items] == ["sugar", "whey"]
    assert {h.allergen for h in s.contains} == {"milk", "soy"}
    assert {"tree_nut", "wheat"} <= {h.allergen for h in s.may_contain}


@pytest.mark.parametrize(
    "text, depth",
    [
        ("flour (wheat, salt", 1),
        ("flour ([wheat, salt", 2),
        ("flour wheat), salt", -1),
        ("flour (wheat [hard]), salt", 0),
    ],
)
def test_brackets_are_counted_and_the_text_is_read_all_the_same(text, depth):
    assert read_statement(text).items and bracket_depth(text) == depth


def test_printing():
    items = read_statement(
        "dough (flour, water), emulsifiers: E322, E471; contains 2% or less of: salt, yeast"
    ).items
    assert (
        print_statement(items)
        == "dough (flour, water), emulsifiers (E322, E471), contains 2% or less of: salt, yeast"
    )
    assert print_statement(items, "dispersed").startswith("flour, water, emulsifiers (E322, E471)")
    with pytest.raises(ValueError, match="nested or dispersed"):
        print_statement(items, "poetic")


word = st.sampled_from(
    [
        "sugar",
        "salt",
        "cocoa",
        "butter",
        "wheat",
        "flour",
        "milk",
        "powder",
        "rice",
        "starch",
        "oil",
        "egg",
        "white",
        "water",
        "yeast",
        "lecithin",
        "vanilla",
        "extract",
    ]
)
name = st.lists(word, min_size=1, max_size=3).map(" ".join)


def items(children):
    def made(values):
        n, subs, percent, function, number = values
        if number and function:
            n = number
        return StatementItem(n, tuple(subs), percent, function, number if not subs or not function else "")

    return st.tuples(
        name,
        children,
        st.none() | st.sampled_from([1.0, 2.5, 12.0, 70.0]),
        st.sampled_from(["", "", "", "emulsifier", "colour", "raising agent"]),
        st.sampled_from(["", "", "E322", "E450i"]),
    ).map(made)


tree = st.recursive(st.just(()), lambda c: st.lists(items(c), min_size=1, max_size=4), max_leaves=12)


@given(tree)
def test_printed_items_read_back_the_same(made):
    once = read_statement(print_statement(tuple(made))).items
    printed = print_statement(once)
    assert read_statement(printed).items == once
    assert print_statement(read_statement(printed).items) == printed


@given(st.text(alphabet="abe ,;()[]{}:.%&*23E-\n'", max_size=60) | st.text(max_size=80))
def test_any_text_read_and_printed_reads_back_the_same(text):
    once = read_statement(text).items
    printed = print_statement(once)
    assert read_statement(printed).items == once
    assert print_statement(read_statement(printed).items) == printed


WORDS = [
    "sugar",
    "milk",
    "E322",
    "emulsifier",
    "colours",
    "(",
    ")",
    "[",
    "]",
    ",",
    ";",
    ":",
    "12%",
    "and",
    "&",
    "contains",
    "2% or less of",
    "may contain",
    "free from",
    "Ingredients:",
    "one or more of:",
    ".",
    "*",
    "/",
    "salt",
    "CONTAINS:",
    "E 471",
    "0%",
]


@example("12% 0% 0% 0%")
@given(st.lists(st.sampled_from(WORDS), max_size=25).map(" ".join))
def test_any_label_words_read_and_printed_read_back_the_same(text):
    once = read_statement(text).items
    assert read_statement(print_statement(once)).items == once


@given(st.text(max_size=120))
def test_nothing_crashes_the_reader(text):
    print_statement(read_statement(text).items)


def leaves(function):
    numbers = st.sampled_from(["", "E322", "E471"]) if function else st.just("")
    return st.builds(
        StatementItem,
        name,
        st.just(()),
        st.none() | st.sampled_from([0.5, 12.0, 70.0]),
        st.just(function),
        numbers,
    )


compound = st.recursive(
    leaves("") | leaves("emulsifier") | leaves("colour"),
    lambda inner: st.builds(
        StatementItem, name, st.lists(inner, min_size=2, max_size=4).map(tuple), st.none() | st.just(30.0)
    ),
    max_leaves=12,
)


@given(st.lists(compound, min_size=1, max_size=5), st.lists(leaves(""), max_size=3))
def test_every_part_of_a_tree_is_kept(first, small):
    """Names, nesting, percentages, classes, numbers and the mark of the small ingredients come back
    exactly.
    """
    made = (*first, *(replace(i, minor=True) for i in small))
    assert read_statement(print_statement(made)).items == made


@given(st.lists(compound, min_size=1, max_size=4), st.sampled_from(["*", "†", "¹", "®"]))
def test_footnote_marks_and_warnings_change_no_item(made, mark):
    text = print_statement(tuple(made))
    marked = text.replace(", ", f"{mark}, ")
    assert (
        read_statement(f"Ingredients: {marked}. May contain traces of nuts. {mark} organic").items[
            : len(made)
        ]
        == read_statement(text).items[: len(made)]
    )


@pytest.mark.parametrize("row", [*rows("packets.csv"), *rows("texts.csv")], ids=lambda r: r["text"][:40])
def test_no_allergen_of_a_packet_is_lost_between_its_text_and_its_items(row):
    seen = survey(print_statement(read_statement(row["text"]).items))
    kept = {h.allergen for h in (*seen.listed, *seen.declared)}
    assert not {h.allergen for h in survey(row["text"]).listed} - kept


@pytest.mark.parametrize(
    "text",
    [
        "(" * 20_000,
        "sugar (" * 2_500 + "x" + ")" * 2_500,
        "milk and " * 2_200,
        "emulsifier: " * 1_600,
        "made in a " * 2_000,
        "no milk or " * 1_800,
        "milk: yes; egg: no; " * 1_000,
        "kann " * 4_000,
        ". " * 10_000,
        "a" * 20_000,
        "milkeggwheat" * 1_600,
    ],
)
def test_hostile_packets_are_read(text):
    items = read_statement(text).items
    assert read_statement(print_statement(items)).items == items
