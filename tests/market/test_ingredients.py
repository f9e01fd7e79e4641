"""The ingredient statement of 21 CFR 101.4: order by ingoing weight, compounds, the tail, water."""

from datetime import date

import pytest

from labelgen.law.pack import read_pack
from labelgen.market.statement.ingredients import declare_ingredients
from tests.market.foods import amounts, kitchen, line, product, profile

US = read_pack("us", date(2026, 12, 1))


def statement(lines, pack=None, **kitchen_parts):
    runs, entries, findings = declare_ingredients(
        US,
        profile(pack or amounts(sum(i.grams for i in lines)), lines=lines),
        kitchen(**kitchen_parts),
        product(),
        30.0,
    )
    assert [(r.bold, r.text) for r in runs[:1]] == [(True, "Ingredients: ")] and not runs[1].bold
    return runs[1].text, entries, findings


def test_descending_weight_and_one_mention_across_formulations():
    lines = [
        line("flour", 100),
        line("sugar", 60, ("whole", "dough")),
        line("butter", 110, ("whole", "dough")),
        line("sugar", 55, ("whole", "icing")),
    ]
    text, entries, _ = statement(lines)
    assert text == "sugar, butter, flour." and [e.grams for e in entries] == [115, 110, 100]
    assert sum(e.share for e in entries) == pytest.approx(1)


def test_two_specifications_of_one_name_are_one_entry():
    text, entries, _ = statement(
        [line("almonds", 30), line("almonds-ground", 30, print_name="almonds"), line("sugar", 50)]
    )
    assert text == "almonds, sugar." and entries[0].ingredients == ("almonds", "almonds-ground")


def test_a_named_formulation_is_a_compound():
    lines = [
        line("flour", 100),
        line("sugar", 40, ("whole", "curd")),
        line("lemon juice", 60, ("whole", "curd")),
        line("sugar", 10),
    ]
    text, entries, _ = statement(lines, compounds=[("curd", "lemon curd")])
    # both names mean 100 g: the alphabet decides between equal weights
    assert text == "flour, lemon curd (lemon juice, sugar), sugar."
    assert [e.name for e in entries[1].entries] == ["lemon juice", "sugar"]


def test_compounds_nest():
    lines = [
        line("flour", 90),
        line("cream", 30, ("whole", "cake", "icing")),
        line("sugar", 50, ("whole", "cake")),
    ]
    text, _, _ = statement(lines, compounds=[("cake", "cake pieces"), ("icing", "icing")])
    assert text == "flour, cake pieces (sugar, icing (cream))."


def test_the_products_own_name_is_no_compound():
    text, _, _ = statement([line("flour", 90), line("sugar", 50)], compounds=[("whole", "biscuit")])
    assert text == "flour, sugar."


def test_the_suppliers_ingredients_stand_in_brackets():
    lines = [line("flour", 60), line("chocolate", 40, print_name="dark chocolate")]
    text, _, findings = statement(
        lines, specs=[("chocolate", "cocoa mass 55%, sugar, cocoa butter, soy lecithin (E322).")]
    )
    assert text == "flour, dark chocolate (cocoa mass, sugar, cocoa butter, soy lecithin)." and not findings


@pytest.mark.parametrize(
    "name, packet, wanted",
    [
        ("whey powder", "sweet whey powder (milk)", "sweet whey powder (milk)"),
        ("red colour", "FD&C Red No. 40", "Red 40"),
        ("color", "color: tartrazine (E102)", "color (Yellow 5)"),
        ("color", "beet juice", "color (beet juice)"),
        ("dark chocolate", "chocolate (sugar, cocoa mass)", "dark chocolate (sugar, cocoa mass)"),
        ("soy lecithin", "lecithin", "soy lecithin"),
    ],
)
def test_a_packet_of_one_item_is_named_once(name, packet, wanted):
    """21 CFR 101.4(b)(2) asks for the components of an ingredient; the one component of a packet is the
    ingredient.
    """
    text, _, _ = statement([line("flour", 60), line("it", 40, print_name=name)], specs=[("it", packet)])
    assert text == f"flour, {wanted}."


def test_a_print_name_that_hides_a_sub_ingredient_is_found():
    lines = [line("flour", 60), line("chips", 40, print_name="chocolate chips (sugar, cocoa mass)")]
    _, _, findings = statement(lines, specs=[("chips", "sugar, cocoa mass, milk fat")])
    assert [f.code for f in findings] == ["sub-ingredients-hidden"] and "milk fat" in findings[0].message


@pytest.mark.parametrize("salt, tail", [(2.0, True), (2.1, False)])
def test_two_percent_tail(salt, tail):
    """(a)(2): 2 g in 100 g may stand in the tail, 2.1 g may not."""
    text, _, _ = statement(
        [line("flour", 97 - salt), line("salt", salt), line("yeast", 1.5), line("seeds", 1.5)]
    )
    assert text.startswith("flour. Contains 2% or less of: salt") is tail
    assert "Contains 2% or less of: " in text and text.index("salt") < text.index("seeds") < text.index(
        "yeast"
    )


def test_the_tail_is_judged_on_the_finished_weight_too():
    """1.9 g of 100 g as added is 2.1 % of the 90 g that leave the oven."""
    lines = [line("flour", 97), line("salt", 1.9), line("yeast", 0.6), line("seeds", 0.5)]
    text, _, _ = statement(lines, pack=amounts(90))
    assert text == "flour, salt. Contains 2% or less of: yeast, seeds."


def test_water_is_listed_unless_all_is_driven_off():
    lines = [line("sugar", 60), line("water", 30, water=100)]
    assert statement(lines, pack=amounts(70, WATER=10))[0] == "sugar, water."
    assert statement(lines, pack=amounts(60, WATER=0.01))[0] == "sugar."
    unknown = [line("sugar", 60), line("syrup", 30, water=float("nan"))]
    assert statement(unknown, pack=amounts(60, WATER=0.01))[0] == "sugar, syrup."


def test_entries_carry_their_allergens():
    _, entries, _ = statement(
        [line("flour", 60, contains=["wheat"]), line("marzipan", 40, contains=["tree_nut/almond", "egg"])]
    )
    assert [e.allergens for e in entries] == [("wheat",), ("egg", "tree_nut/almond")]


@pytest.mark.parametrize(
    "name, grams, flour, lawful",
    [
        # 21 CFR 101.4(b)(14): fats and oils only, and only where they are not the heaviest
        ("palm and/or soybean oil", 99, 100, True),
        ("palm and/or soybean oil", 100, 100, False),
        ("honey and/or molasses", 5, 100, False),
        ("vegetable oil (palm, soybean)", 120, 100, True),
    ],
)
def test_alternatives_are_for_fats_that_do_not_predominate(name, grams, flour, lawful):
    _, _, found = statement([line("flour", flour), line("fat", grams, print_name=name)])
    assert ("alternatives" not in {f.code for f in found}) is lawful


def test_functions_and_colours_in_the_words_of_the_united_states():
    """101.4(b)(16), 101.22(k)(1): leavening with its members; certified colours by name, from any name
    they have elsewhere.
    """
    specs = [
        ("powder", "raising agents (sodium acid pyrophosphate, sodium bicarbonate), cornstarch"),
        ("sprinkles", "sugar, colours (E129, tartrazine), stabiliser (gum arabic)"),
    ]
    text, _, _ = statement(
        [line("flour", 90), line("powder", 6, print_name="baking powder"), line("sprinkles", 4)],
        specs=specs,
    )
    assert (
        text
        == "flour, baking powder (leavening (sodium acid pyrophosphate, sodium bicarbonate), cornstarch),"
        " sprinkles (sugar, colors (Red 40, Yellow 5), stabilizer (gum arabic))."
    )


@pytest.mark.parametrize(
    "name, added",
    [("dried apricots", " (sulfites)"), ("apricots with sulphur dioxide", ""), ("sulfited apricots", "")],
)
def test_sulfites_stand_in_the_list(name, added):
    """21 CFR 101.100(a)(4): no major allergen, yet named in the list; an ingredient whose name does not
    say it gets it in brackets.
    """
    text, _, _ = statement([line("flour", 60), line("it", 40, print_name=name, contains=["sulphite"])])
    assert text == f"flour, {name}{added}."


def test_one_small_ingredient_needs_no_tail():
    assert statement([line("flour", 99), line("salt", 1)])[0] == "flour, salt."


def test_what_stands_inside_a_compound_is_ordered_and_told_by_its_own_weights():
    """What two formulations of one printed name hold is one compound: 30 + 25 g sugar go before 50 g lemon
    juice inside it.
    """
    lines = [
        line("flour", 200),
        line("sugar", 30, ("whole", "curd")),
        line("lemon juice", 50, ("whole", "curd")),
        line("sugar", 25, ("whole", "top")),
    ]
    text, entries, _ = statement(lines, compounds=[("curd", "lemon curd"), ("top", "lemon curd")])
    assert text == "flour, lemon curd (sugar, lemon juice)."
    assert [(e.grams, round(e.share, 4)) for e in entries] == [
        (200, round(200 / 305, 4)),
        (105, round(105 / 305, 4)),
    ]
    assert [e.grams for e in entries[1].entries] == [55, 50]


@pytest.mark.parametrize(
    "names, told",
    [
        # 21 CFR 101.22(j): the common or usual name and a separate description of its function
        (["potassium sorbate"], "preservative (potassium sorbate)"),
        (["TBHQ", "sodium benzoate"], "preservatives (TBHQ, sodium benzoate)"),
        (["TBHQ"], "preservative (TBHQ)"),
        # what serves other ends too stays as it is written
        (["citric acid"], "citric acid"),
        (["ascorbic acid"], "ascorbic acid"),
        # (k)(2): a color that is exempt from certification, as part 73 calls it
        (["annatto"], "annatto extract color"),
        (["paprika extract"], "paprika oleoresin color"),
        # (k)(1): a certified one by its name
        (["FD&C Yellow No. 5"], "Yellow 5"),
    ],
)
def test_preservatives_and_colors_tell_what_they_do(names, told):
    text, _, _ = statement([line("flour", 1000), *(line(n, 40 - i) for i, n in enumerate(names))])
    assert told in text, text
