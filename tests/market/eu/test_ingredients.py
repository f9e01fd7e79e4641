"""The ingredient list of the European Union: Regulation (EU) No 1169/2011, Articles 18 to 22, Annexes II,
VII and VIII.
"""

from dataclasses import replace
from datetime import date

import pytest

from labelgen.law.pack import read_pack
from labelgen.market.statement.additives import additive_of
from labelgen.market.statement.ingredients import CAPITALS, declare_ingredients
from tests.market.foods import amounts, kitchen, line, product, profile

EU = read_pack("eu", date(2026, 12, 1))


def statement(lines, finished=None, asked=None, market=EU, **parts):
    food = profile(amounts(finished or sum(i.grams for i in lines)), lines=lines)
    runs, entries, findings = declare_ingredients(
        market, food, kitchen(**parts), asked or product(name="Hill thing"), 30.0
    )
    assert runs[0].text == "Ingredients: " and runs[0].bold
    return "".join(f"*{r.text}*" if r.bold else r.text for r in runs[1:]), entries, findings


def test_allergens_are_emphasised_where_they_stand():
    """Article 21(1)(b); a name that does not show the allergen gets it in brackets, Notice 2017/C 428/01."""
    text, _, _ = statement(
        [
            line("flour", 60, print_name="wheat flour", contains=["wheat"]),
            line("ghee", 30, contains=["milk"]),
            line("sugar", 10),
        ]
    )
    assert text == "*wheat* flour, ghee (*milk*), sugar."


def test_capitals_are_the_alternative():
    text, _, _ = statement(
        [
            line("flour", 60, print_name="wheat flour", contains=["wheat"]),
            line("ghee", 30, contains=["milk"]),
        ],
        asked=product(name="Hill thing", show=[CAPITALS]),
    )
    assert text == "*WHEAT* flour, ghee (*MILK*)."


def test_suppliers_words_are_emphasised_inside_the_brackets():
    chocolate = line("chocolate", 40, print_name="milk chocolate", contains=["milk", "soy"])
    text, entries, _ = statement(
        [line("oats", 60, contains=["gluten/oats"]), chocolate],
        specs=[("chocolate", "sugar, cocoa butter, whole milk powder, emulsifier (soya lecithin)")],
    )
    assert (
        text == "*oats*, milk chocolate (sugar, cocoa butter, whole *milk* powder, emulsifier (*soya*"
        " lecithins))."
    )
    assert [e.allergens for e in entries[1].entries] == [(), (), ("milk",), ("soy",)]


def test_a_declared_allergen_whose_word_the_list_hides_stands_with_the_likely_item_or_the_whole():
    chocolate = line("chocolate", 40, contains=["soy", "tree_nut/almond"])
    text, _, _ = statement(
        [line("sugar", 60), chocolate], specs=[("chocolate", "cocoa mass, sugar, emulsifier (lecithin)")]
    )
    assert text == "sugar, chocolate (*almond*) (cocoa mass, sugar, emulsifier (lecithins (*soya*)))."


def test_additives_stand_behind_their_class():
    """Annex VII, Part C; neighbours of one class share its name."""
    text, _, _ = statement(
        [
            line("flour", 60),
            line("soda", 3, print_name="baking soda"),
            line("tartar", 2, print_name="cream of tartar"),
            line("erythritol", 20),
        ]
    )
    assert text == "flour, sweetener (erythritol), raising agents (sodium carbonates, potassium tartrates)."


@pytest.mark.parametrize(
    "words, number, name",
    [
        ("FD&C Red No. 40", "E129", "allura red AC"),
        ("E471", "E471", "mono- and diglycerides of fatty acids"),
        ("organic sunflower lecithin", "E322", "organic sunflower lecithins"),
        ("potassium bitartrate", "E336", "potassium tartrates"),
    ],
)
def test_additives_by_any_name(words, number, name):
    """Names after Regulation (EC) No 1333/2008, Annex II, Part B (from memory)."""
    found = additive_of(words)
    assert (found.number, found.named("name")) == (number, name)
    assert additive_of("butter") is None and additive_of("caramel") is None


@pytest.mark.parametrize("loaf, listed", [(1450, True), (1092, False), (1093, True), (1000, False)])
def test_added_water(loaf, listed):
    """Annex VII, Part A, 1: flour 1000, yeast 20, salt 18 g weigh 1038 g. A loaf of 1450 g holds 412 g of
    added water, 28 %: second in the list. Of 1092 g 54 g would be 4.95 %, not listed; of 1093 g 55 g are
    5.03 %, listed.
    """
    text, entries, _ = statement(
        [line("flour", 1000), line("water", 650, water=100), line("yeast", 20), line("salt", 18)],
        finished=loaf,
    )
    assert text == ("flour, water, yeast, salt." if listed else "flour, yeast, salt.")
    assert not listed or next(e for e in entries if e.name == "water").grams == pytest.approx(loaf - 1038)


def quid(name, lines, finished, **more):
    text, _, found = statement(lines, finished, product(name=name, **more))
    return text, [f.code for f in found]


def test_quantity_after_moisture_loss():
    """Guidance of the United Kingdom: 200 g sultanas in 1000 g batter, 800 g baked: 200 / 800 = 25 %."""
    assert quid("Sultana cake", [line("batter", 800), line("sultanas", 200)], 800) == (
        "batter, sultanas (25%).",
        ["quantity-declared"],
    )


def test_quantity_of_butter_biscuits():
    """Commission notice 2017/C 393/05: 50 g butter in 195 g dough, 169 g baked: 50 / 169 = 29.6 %, nearest
    whole 30 %.
    """
    lines = [line("flour", 145), line("butter", 50, contains=["milk"])]
    assert quid("Butter biscuits", lines, 169)[0] == "flour, butter (*milk*) (30%)."


@pytest.mark.parametrize("finished, text", [(100, "100%"), (99, "101 g per 100 g")])
def test_quantity_above_the_whole(finished, text):
    """Annex VIII, 3(a): 100 g of fruit in 100 g is 100 %; in 99 g it is 101 g to 100 g of the finished
    food.
    """
    assert (
        quid("Apple leather", [line("apple", 100), line("lemon", 10)], finished)[0]
        == f"apple ({text}), lemon."
    )


def test_quantities_that_together_pass_the_whole():
    """60 g and 50 g in 100 g finished are 110 % together: grams per 100 g for both."""
    text, _ = quid("Apple and pear leather", [line("apple", 60), line("pear", 50)], 100)
    assert text == "apple (60 g per 100 g), pear (50 g per 100 g)."


def test_no_moisture_lost():
    """Annex VIII, 3: 30 g of 120 g mixed and sold at 120 g are 25 %."""
    assert (
        quid("Seed mix with pepitas", [line("oats", 90), line("pepitas", 30)], 120)[0]
        == "oats, pepitas (25%)."
    )


def test_which_ingredients_a_name_stresses():
    nutty = [line("flour", 60), line("peanut butter", 30), line("butter", 10)]
    assert quid("Peanut butter cookies", nutty, 100)[0] == "flour, peanut butter (30%), butter."
    assert quid("Butter cookies", nutty, 100)[0] == "flour, peanut butter, butter (10%)."
    assert (
        quid("Almond biscuits", [line("almond flour", 40), line("wheat flour", 60)], 100)[0]
        == "wheat flour, almond flour (40%)."
    )
    assert quid("Plain biscuits", nutty, 100) == ("flour, peanut butter, butter.", [])


def named(name, *ingredients, language="fr"):
    """The ingredients whose quantity a name in another language calls for."""
    food = [line(i, 30.0) for i in ingredients]
    entries = declare_ingredients(
        replace(EU, language=language),
        profile(amounts(120), lines=food),
        kitchen(),
        product(name=name),
        30.0,
    )[1]
    return [e.name for e in entries if e.quantity]


@pytest.mark.parametrize(
    "language, name, ingredients, stressed",
    [
        ("fr", "Tartelettes à la crème de citron", ["jus de citron", "sucre à glacer"], ["jus de citron"]),
        ("fr", "Pain d’avoine", ["flocons d’avoine", "huile d’olive"], ["flocons d’avoine"]),
        ("fr", "Biscuits au beurre", ["beurre", "beurre de cacao"], ["beurre"]),
        ("es", "Galletas de mantequilla", ["mantequilla", "mantequilla de cacahuete"], ["mantequilla"]),
        (
            "it",
            "Biscotti al latte e nocciole",
            ["latte", "latte di cocco", "nocciole"],
            ["latte", "nocciole"],
        ),
        ("de", "Kekse mit Sahne und Honig", ["Honig", "saure Sahne"], ["Honig"]),
        ("de", "Rumkuchen", ["Rum", "Weizenmehl"], ["Rum"]),
        ("de", "Mohnkuchen", ["Mohn", "Weizenmehl"], ["Mohn"]),
        ("de", "Zitronentörtchen", ["Zitronensaft", "Weizenmehl"], ["Zitronensaft"]),
        ("de", "Butterkekse", ["Butter", "Buttermilch", "Eier"], ["Butter"]),
        ("de", "Eiskonfekt mit Reis", ["Eier", "Reismehl"], ["Reismehl"]),
    ],
)
def test_little_words_of_a_name_in_another_language_stress_nothing(language, name, ingredients, stressed):
    """Article 22(1)(a): the ingredient that appears in the name, not "à", "d’" or a form of food."""
    assert sorted(named(name, *ingredients, language=language)) == sorted(stressed)


def test_quantities_asked_for_and_waived():
    lines = [line("flour", 60), line("honey", 8), line("vanilla", 1)]
    text, _ = quid("Vanilla biscuits", lines, 69, quantify=["honey"], flavours_only=["vanilla"])
    assert text == "flour, honey (12%), vanilla."
    assert quid("Biscuits", lines, 69, quantify=["figs"])[1] == ["quantify-unknown"]
    assert quid("Biscuits", lines, 69, flavours_only=["vanila"])[1] == ["flavours-unknown"]


def test_compounds_dissolved():
    """Annex VII, Part E: the ingredients of a compound may take their own places in the list."""
    lines = [
        line("flour", 50),
        line("sugar", 20),
        line("sugar", 40, ("whole", "curd")),
        line("lemon", 30, ("whole", "curd")),
    ]
    named = {"compounds": [("curd", "lemon curd")]}
    assert statement(lines, **named)[0] == "lemon curd (sugar, lemon), flour, sugar."
    assert (
        statement(lines, asked=product(name="Hill thing", compounds="dissolved"), **named)[0]
        == "sugar, flour, lemon."
    )


def test_a_suppliers_list_is_dissolved_only_with_its_percentages():
    chips = [line("flour", 60), line("chips", 40)]
    dissolved = product(name="Hill thing", compounds="dissolved")
    assert (
        statement(chips, asked=dissolved, specs=[("chips", "sugar 60%, cocoa mass 40%")])[0]
        == "flour, sugar, cocoa mass."
    )
    assert (
        statement(chips, asked=dissolved, specs=[("chips", "sugar, cocoa mass")])[0]
        == "flour, chips (sugar, cocoa mass)."
    )


def test_exempt_derivatives_are_not_emphasised():
    """Annex II, 1(a): glucose syrups of wheat."""
    syrup = line("glucose-syrup", 40, print_name="wheat glucose syrup")
    hit = replace(
        line("x", 1, contains=["wheat"]).ingredient.contains[0],
        words="wheat glucose syrup",
        derived="glucose-syrup",
    )
    syrup = replace(syrup, ingredient=replace(syrup.ingredient, contains=(hit,)))
    assert statement([line("sugar", 60), syrup])[0] == "sugar, wheat glucose syrup."


@pytest.mark.parametrize(
    "grams, allergens, lawful", [(1.9, [], True), (2.0, [], False), (1.9, ["gluten/oats"], False)]
)
def test_alternatives_below_two_percent(grams, allergens, lawful):
    """Annex VII, Part A, 7: each below 2 % of the finished food, no allergen."""
    _, _, found = statement(
        [
            line("flour", 100 - grams),
            line("seeds", grams, print_name="poppy seeds and/or pepitas", contains=allergens),
        ]
    )
    assert ("alternatives" not in {f.code for f in found}) is lawful


@pytest.mark.parametrize(
    "name, lawful",
    [
        ("poppy seeds and/or pepitas", True),
        ("poppy seeds, pepitas and/or linseed", False),
        ("poppy seeds or pepitas or linseed", False),
    ],
)
def test_no_more_than_two_are_left_open(name, lawful):
    """Annex VII, Part A, 7: at least one of no more than two; 1.9 g of 100 g is below 2 %."""
    _, _, found = statement([line("flour", 98.1), line("seeds", 1.9, print_name=name)])
    assert ("alternatives" not in {f.code for f in found}) is lawful


@pytest.mark.parametrize(
    "name, number",
    [
        # colour index numbers as published by the Society of Dyers and Colourists (from memory); certified
        # lakes, 21 CFR part 82
        ("CI 19140", "E102"),
        ("CI 15985", "E110"),
        ("CI 14720", "E122"),
        ("CI 16255", "E124"),
        ("CI 16035", "E129"),
        ("CI 47005", "E104"),
        ("Yellow No. 5 Lake", "E102"),
        ("FD&C Red No. 40 Lake", "E129"),
        ("Ponceau 4 R", "E124"),
        ("yellow no. 6 lake", "E110"),
    ],
)
def test_colours_by_further_names(name, number):
    assert additive_of(name).number == number
