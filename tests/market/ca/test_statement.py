"""The Canadian ingredient list in both languages: Food and Drug Regulations B.01.008.2, B.01.008.3,
B.01.010.1, B.01.010.3.
"""

from datetime import date

import pytest

from labelgen.law.pack import Pack
from labelgen.market.allergens.declaration import declare_allergens
from labelgen.market.second_language import in_language
from labelgen.market.statement.ingredients import declare_ingredients
from labelgen.recipe.models import IngredientSpec
from tests.market.foods import KITCHEN, amounts, line, product, profile

CA = Pack("ca", date(2026, 11, 25))


def listed(parts, sugars=20.0, language="", also=None, statements=None):
    """(printed list, findings) of ingredients given as name -> grams; sugars: grams in a pack of 100 g,
    the serving.
    """
    specs = {
        name: IngredientSpec(
            name=name,
            print_name=name,
            statement=(statements or {}).get(name, ""),
            also={"fr": (also or {}).get(name, {})},
        )
        for name in parts
    }
    kitchen = KITCHEN.model_copy(update={"ingredients": specs})
    made = profile(amounts(100, SUGAR=sugars, WATER=5), lines=[line(n, g) for n, g in parts.items()])
    said, found, pack = product(), (), CA
    if language:
        spoken = in_language(language, said, kitchen, made)
        said, kitchen, made, found, pack = (
            spoken.product,
            spoken.kitchen,
            spoken.profile,
            spoken.findings,
            Pack("ca", CA.on, language),
        )
    runs, _, doubts = declare_ingredients(pack, made, kitchen, said, 100.0)
    return "".join(r.text for r in runs), (*doubts, *found)


def test_sugars_stand_together_at_their_common_weight():
    """B.01.008.3: "Sugars (fancy molasses, brown sugar, sugar)", heaviest first inside: 40 + 35 + 30 = 105
    g beats 100 g of flour.
    """
    parts = {"flour": 100, "brown sugar": 35, "sugar": 30, "fancy molasses": 40, "butter": 90}
    text, _ = listed(parts)
    assert text == "Ingredients: Sugars (fancy molasses, brown sugar, sugar), Flour, Butter."
    parts["fancy molasses"] = 34  # 34 + 35 + 30 = 99 g: behind the flour
    assert listed(parts)[0] == "Ingredients: Flour, Sugars (brown sugar, fancy molasses, sugar), Butter."


@pytest.mark.parametrize(
    "parts, sugars, text",
    [
        # the only one has "sugar" in its name
        ({"flour": 100, "icing sugar": 30}, 20, "Flour, Icing sugar."),
        ({"flour": 100, "honey": 30}, 20, "Flour, Sugars (honey)."),  # the only one has not
        ({"flour": 100, "sugar": 1, "honey": 1}, 0.49, "Flour, Honey, Sugar."),  # below 0.5 g a serving
        ({"flour": 100, "sugar": 1, "honey": 1}, 0.5, "Flour, Sugars (honey, sugar)."),
        ({"flour": 100, "sugar-free syrup": 30, "sugar": 10}, 10, "Flour, Sugar-free syrup, Sugar."),
        # B.01.001, sugars-based ingredient (c): added in place of a sweetening agent; a lemon's for its taste
        ({"oats": 100, "apple juice concentrate": 30}, 20, "Oats, Sugars (apple juice concentrate)."),
        ({"oats": 100, "lemon juice concentrate": 30}, 20, "Oats, Lemon juice concentrate."),
        ({"oats": 100, "corn syrup solids": 30}, 20, "Oats, Sugars (corn syrup solids)."),
        ({"oats": 100, "whey protein concentrate": 30}, 20, "Oats, Whey protein concentrate."),
        # no sugars-based ingredient
        ({"flour": 100, "maltitol": 30, "chocolate": 20}, 10, "Flour, Maltitol, Chocolate."),
    ],
)
def test_when_no_group_is_formed(parts, sugars, text):
    assert listed(parts, sugars)[0] == f"Ingredients: {text}"


def test_a_drink_of_juice_concentrate_alone_has_no_group():
    """B.01.008.3(4)(b): juice that holds no sweetening agent, reconstituted or not."""

    def said(parts):
        kitchen = KITCHEN.model_copy(
            update={"ingredients": {n: IngredientSpec(name=n, print_name=n) for n in parts}}
        )
        made = profile(amounts(1000, SUGAR=100, WATER=880), lines=[line(n, g) for n, g in parts.items()])
        drink = product(net=1000.0, volume=960.0)
        return "".join(r.text for r in declare_ingredients(CA, made, kitchen, drink, 250.0)[0])

    assert "Sugars" not in said({"water": 800, "apple juice concentrate": 200})
    assert "Sugars (apple juice concentrate, sugar)" in said(
        {"water": 800, "apple juice concentrate": 150, "sugar": 50}
    )


def test_what_may_stand_last_stands_last():
    """B.01.008.2: flavours, additives and seasonings of at most 2 percent together, but never salt."""
    parts = {"flour": 100, "baking powder": 6, "salt": 1, "cinnamon": 2, "water": 40, "vanilla extract": 1}
    assert listed(parts)[0] == "Ingredients: Flour, Water, Salt, Baking powder, Cinnamon, Vanilla extract."
    parts |= {"cinnamon": 4, "salt": 3}  # 4 g of 154 g are 2.6 percent
    assert listed(parts)[0] == "Ingredients: Flour, Water, Cinnamon, Salt, Baking powder, Vanilla extract."


def test_french_has_the_same_order_and_groups():
    parts = {"flour": 100, "honey": 30, "sugar": 30, "butter": 50, "hazelnuts": 50}
    english, french = listed(parts)[0], listed(parts, language="fr")[0]
    assert english == "Ingredients: Flour, Sugars (honey, sugar), Butter, Hazelnuts."
    assert french == "Ingrédients : Farine, Sucres (miel, sucre), Beurre, Noisettes."


def test_the_makers_wording_goes_before_the_list():
    text, found = listed(
        {"flour": 100, "butter": 10}, language="fr", also={"butter": {"print_name": "beurre de baratte"}}
    )
    assert text == "Ingrédients : Farine, Beurre de baratte."
    (note,) = (f for f in found if f.code == "wording-from-list")
    assert "flour = farine" in note.message and "butter" not in note.message


def test_a_suppliers_list_is_worded_item_by_item_or_asked_for():
    statements = {
        "dark chocolate": "cocoa mass, sugar, emulsifiers (soy lecithin, sunflower lecithin), vanilla"
    }
    text, _ = listed({"flour": 100, "dark chocolate": 10}, language="fr", statements=statements)
    assert (
        text == "Ingrédients : Farine, Chocolat noir (pâte de cacao, sucre, émulsifiants (lécithine de soja,"
        " lécithine de tournesol), vanille)."
    )
    text, found = listed(
        {"flour": 100, "dark chocolate": 10},
        language="fr",
        statements={"dark chocolate": "cocoa mass, moon dust"},
    )
    (missing,) = (
        f
        for f in found
        if f.code == "wording-missing" and f.severity == "block" and "dark chocolate" in f.message
    )
    begun = "pâte de cacao, ..."
    assert f'statement: {{en: "cocoa mass, moon dust", fr: "{begun}"}}' in missing.message
    _, found = listed(
        {"dark chocolate": 10},
        language="fr",
        statements={"dark chocolate": "cocoa mass, moon dust"},
        also={"dark chocolate": {"statement": begun}},
    )
    assert any(f.blocks and "dark chocolate" in f.message for f in found), (
        "the gap of the finding is no wording"
    )
    text, found = listed(
        {"dark chocolate": 10},
        language="fr",
        statements={"dark chocolate": "cocoa mass, moon dust"},
        also={"dark chocolate": {"statement": "pâte de cacao, poussière de lune"}},
    )
    assert text == "Ingrédients : Chocolat noir (pâte de cacao, poussière de lune)."


def test_what_cannot_be_worded_blocks_and_says_what_to_type():
    _, found = listed({"flour": 100, "hill dust": 2}, language="fr")
    told = [f for f in found if f.code == "wording-missing"]
    assert all(f.blocks for f in told)
    assert any("""print: {en: "hill dust", fr: "..."}""" in f.message for f in told)
    assert any('name: {en: "Thing"' in f.message for f in told), "the product's own name is its identity here"


def test_a_sweet_ingredient_outside_the_group_is_asked_about():
    from labelgen.nutrients import INDEX

    sweet = line("date paste", 40)
    sweet.ingredient.composition.value[INDEX["SUGAR"]] = 60.0
    kitchen = KITCHEN.model_copy(update={"ingredients": {"date paste": IngredientSpec(name="date paste")}})
    _, _, found = declare_ingredients(
        CA, profile(amounts(100, SUGAR=30), lines=[sweet]), kitchen, product(), 100.0
    )
    assert [f.code for f in found] == ["sugars-group"] and "date paste" in found[0].message


def test_allergens_in_both_languages():
    """B.01.010.1 table, English and French texts; the example "Contains: Wheat, Milk, Eggs, Almonds"."""
    from labelgen.composition.ingredient_records import AllergenHit

    hits = [
        AllergenHit(c, c, "dough")
        for c in (
            "wheat",
            "gluten/wheat",
            "milk",
            "egg",
            "tree_nut/almond",
            "gluten/oats",
            "tree_nut/walnut",
            "soy",
            "sulphite",
        )
    ]

    def printed(language):
        declared = declare_allergens(
            "ca", CA.on, hits, [AllergenHit("peanut", "p", "dough", how="declaration")], language
        )
        return declared.runs, set(declared.runs[1].text.rstrip(".").split(", ")), declared.precaution

    runs, names, warned = printed("")
    assert runs[0].text == "Contains: " and runs[0].bold and warned == "May contain: Peanuts."
    assert names == {"Wheat", "Milk", "Eggs", "Almonds", "Oats", "Walnuts", "Soy", "Sulphites"}
    runs, names, warned = printed("fr")
    assert runs[0].text == "Contient : " and runs[0].bold and warned == "Peut contenir : Arachides."
    assert names == {"Blé", "Lait", "Oeufs", "Amandes", "Avoine", "Noix", "Soja", "Sulfites"}


@pytest.mark.parametrize(
    "code, english, french",
    [
        ("mollusc/oyster", "Oyster", "Huître"),
        ("fish/cod", "Cod", "Morue"),
        ("crustacean/shrimp", "Shrimp", "Crevette"),
        ("fish/sheefish", "Sheefish", "Poisson"),
    ],
)
def test_fish_and_shellfish_go_by_their_kind_in_both_languages(code, english, french):
    """B.01.010.1 table: the common name of the species; one without a French name here by its group, never
    in English.
    """
    from labelgen.composition.ingredient_records import AllergenHit

    said = [
        declare_allergens("ca", CA.on, [AllergenHit(code, code, "paste")], [], language).runs[1].text
        for language in ("", "fr")
    ]
    assert said == [f"{english}.", f"{french}."]


def test_malt_extract_is_no_flavour():
    """B.01.008.2: flavours may stand last; malt extract is a sugars-based ingredient at its weight (Annex 1
    of the inspection agency's page on the list of ingredients).
    """
    assert (
        listed({"flour": 100, "barley malt extract": 20, "butter": 10, "almond extract": 15})[0]
        == "Ingredients: Flour, Sugars (barley malt extract), Butter, Almond extract."
    )
