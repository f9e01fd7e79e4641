"""What an ingredient names without a figure, and names of additives that a market does not know."""

from datetime import date

import pytest

from labelgen.chain import roll_up_folder
from labelgen.market.declare_food import declare
from labelgen.order import Order
from tests.kitchens import write

ON = date(2026, 11, 25)
KITCHEN = "producer: {name: Example Hill Bakes, address: 1 Example Hill}\n"
FIGURES = (
    "per: 100 g, nutrients: {energy: 400 kcal, fat: 10 g, saturated fat: 1 g, trans fat: 0 g, cholesterol:"
    " 0 mg, sodium: 5 mg, carbohydrate: 70 g, fibre: 5 g, sugars: 2 g, added sugars: 0 g, protein: 8 g,"
    " vitamin d: 0 mcg, calcium: 10 mg, iron: 1 mg, potassium: 90 mg, water: 10 g, ash: 1 g"
)


def declared(folder, ingredients, dough, market, pieces=4, extra=""):
    recipes = (
        f"formulations:\n  d: {{ingredients: [{dough}], makes: {pieces}}}\nproducts:\n  p: {{name: {{en:"
        f" Hill bars, fr: Barres}}, of: d, pieces: {pieces}, unit: {{en: bar, fr: barre}}, category:"
        f" bars{extra}}}\n"
    )
    rolled = roll_up_folder(write(folder, ingredients, recipes, KITCHEN))
    return declare(rolled.profiles["p"], rolled.kitchen.products["p"], rolled.kitchen, Order(market, ON))


def test_a_polyol_nobody_names_is_absent(tmp_path):
    """Erythritol 20 g of 120 g, in nuts whose sheet says nothing of polyols: 20 g are declared,
    B.01.402(6), not "20 to 27".
    """
    ingredients = (
        f"nuts: {{print: {{en: almonds, fr: amandes}}, contains: [tree_nut/almond], {FIGURES}}}}}\nery:"
        " {print: {en: erythritol, fr: érythritol}, food: pure/erythritol}\n"
    )
    d = declared(tmp_path, ingredients, "100 g nuts, 20 g ery", "ca")
    rows = {r.key: (r.label, r.declared) for r in d.panel.columns[0].rows}
    assert rows["sugar_alcohol"] == ("Erythritol", "5 g") and not [f for f in d.findings if f.blocks]


@pytest.mark.parametrize(
    "market, nuts, stopped",
    [
        # Regulation (EU) 1169/2011, Annex III, 2.4: more than 10 % polyols; 20 g of 220 g may be 9.1 %, 20 of
        # 120 g may be 16.7 %
        ("eu", 200, False),
        ("eu", 100, True),
        ("uk", 100, True),
        # B.01.402(6): an added sugar alcohol has its row whatever it comes to
        ("ca", 200, True),
        ("au", 100, True),
        ("nz", 100, True),
        # 21 CFR 184.1835: no row by law, and 20 g are far from 50 g of sorbitol
        ("us", 100, False),
    ],
)
def test_a_polyol_named_without_its_amount(tmp_path, market, nuts, stopped):
    ingredients = (
        f"nuts: {{print: {{en: almonds, fr: amandes}}, contains: [], {FIGURES}}}}}\nsweet: {{print: {{en:"
        " drops, fr: bonbons}, statement: {en: 'sweetener (maltitol), cocoa butter', fr: 'édulcorant"
        f" (maltitol), beurre de cacao'}}, contains: [], {FIGURES}}}}}\n"
    )
    d = declared(tmp_path, ingredients, f"{nuts} g nuts, 20 g sweet", market)
    told = [f.message for f in d.findings if f.code == "amount-unstated" and f.blocks]
    assert bool(told) is stopped and all("sweet names maltitol" in m for m in told)
    if market in ("eu", "uk"):
        assert d.identity.endswith("with sweetener")


def test_caffeine_without_its_amount_is_never_printed_as_none(tmp_path):
    """Annex III, 4.2 wants the milligrams beside the words."""
    ingredients = f"mix: {{print: energy mix, statement: 'sugar, caffeine', contains: [], {FIGURES}}}}}\n"
    d = declared(tmp_path, ingredients, "60 g mix", "eu")
    assert [f.blocks for f in d.findings if f.code == "amount-unstated"] == [True]


@pytest.mark.parametrize(
    "market, statement, printed",
    [
        # 21 CFR 101.22(k)(1), 101.4(a)(1): certified colours by their names
        ("us", "Glaze (sugar, color (Yellow 5), emulsifier (E472e1))".replace("E472e1", "E999"), ["E999"]),
        ("us", "sugar, colours (E102, E129), acid (E330)", []),
        # B.01.010(3): the common name of each colour, "tartrazine", "allura red"
        ("ca", "sugar, colours (E102, E129), acid (citric acid)", []),
        ("ca", "sugar, acid (E999)", ["E999"]),
        ("eu", "sugar, acid (E330)", []),
        ("au", "sugar, acid (E330)", []),
    ],
)
def test_numbers_stand_only_where_they_are_names(tmp_path, market, statement, printed):
    ingredients = (
        f"glaze: {{print: {{en: glaze, fr: glaçage}}, statement: {{en: '{statement}', fr: 'sucre, colorant"
        f" (tartrazine)'}}, contains: [], {FIGURES}}}}}\n"
    )
    d = declared(tmp_path, ingredients, "60 g glaze", market)
    told = [f.message for f in d.findings if f.code == "additive-number" and f.blocks]
    assert len(told) == len(printed) and all(n in m for n, m in zip(printed, told))
    said = "".join(r.text for r in d.ingredients)
    names = {"us": "colors (Yellow 5, Red 40)", "ca": "colours (tartrazine, allura red)"}.get(market)
    assert "E102" not in statement or names in said


def test_numbers_in_a_name_with_brackets_are_found(tmp_path):
    ingredients = (
        "bp: {print: {en: 'baking powder (raising agents (E450, E500), corn starch)', fr: 'poudre à"
        f" lever (E450)'}}, contains: [], {FIGURES}}}}}\n"
    )
    assert any(
        "E450 (sodium acid pyrophosphate), E500 (baking soda)" in f.message
        for f in declared(tmp_path, ingredients, "60 g bp", "us").findings
    )
    (told,) = [
        f for f in declared(tmp_path, ingredients, "60 g bp", "au").findings if f.code == "additive-number"
    ]
    assert told.severity == "warn" and "E450 (450), E500 (500)" in told.message
    only_french = ingredients.replace("E450, E500", "monocalcium phosphate, baking soda")
    second = [
        f for f in declared(tmp_path, only_french, "60 g bp", "ca").findings if f.code == "additive-number"
    ]
    assert len(second) == 1 and second[0].blocks and "E450" in second[0].message


@pytest.mark.parametrize(
    "sweeteners, figures, said",
    [
        ("sweetener (sorbitol)", "sorbitol: 40 g", "with sugars and sweetener"),
        ("sweeteners (sorbitol, aspartame)", "sorbitol: 40 g", "with sugars and sweeteners"),
        ("sweeteners (sorbitol, xylitol)", "sorbitol: 20 g, xylitol: 20 g", "with sugars and sweeteners"),
        ("sweetener (aspartame)", "polyols: 0 g", "with sugars and sweetener"),
    ],
)
def test_several_sweeteners_beside_sugar_take_the_plural(tmp_path, sweeteners, figures, said):
    """Regulation (EU) 1169/2011, Annex III, 2.2: 'with sugar(s) and sweetener(s)'."""
    own = FIGURES.replace("added sugars: 0 g", f"added sugars: 2 g, {figures}")
    assert declared(
        tmp_path,
        f"mix: {{print: sweet mix, statement: 'sugar, {sweeteners}', contains: [], {own}}}}}\n",
        "60 g mix",
        "eu",
    ).identity.endswith(said)


@pytest.mark.parametrize(
    "market, printed",
    [("ca", "Ingredients: Honey."), ("eu", "Ingredients: honey."), ("au", "Ingredients: honey.")],
)
def test_a_food_of_one_ingredient_is_all_of_it(tmp_path, market, printed):
    """B.01.008.3 does not group a sweetening agent by itself; a quantity of 100 % tells nobody anything."""
    recipes = (
        "formulations:\n  d: {ingredients: [340 g honey]}\nproducts:\n  p: {name: {en: Hill honey, fr:"
        " Miel}, identity: {en: Honey, fr: Miel}, of: d, net: 340 g, category: honey}\n"
    )
    rolled = roll_up_folder(
        write(
            tmp_path,
            "honey: {print: {en: honey, fr: miel}, food: usda/19296, contains: []}\n",
            recipes,
            KITCHEN,
        )
    )
    d = declare(rolled.profiles["p"], rolled.kitchen.products["p"], rolled.kitchen, Order(market, ON))
    assert "".join(r.text for r in d.ingredients) == printed


@pytest.mark.parametrize(
    "claims, stopped", [("", False), (", claims: [no added sugar]", True), (", claims: [vegan]", False)]
)
def test_a_claim_on_sugars_wants_every_sugar_alcohol(tmp_path, claims, stopped):
    """21 CFR 101.9(c)(6)(iv): the row is voluntary until a claim is made on sugars or sugar alcohols."""
    ingredients = (
        "sweet: {print: drops, statement: 'sweetener (maltitol), cocoa butter', contains: [],"
        f" {FIGURES}}}}}\nery: {{print: erythritol, food: pure/erythritol}}\n"
    )
    d = declared(tmp_path, ingredients, "60 g sweet, 20 g ery", "us", extra=claims)
    assert bool([f for f in d.findings if f.code == "amount-unstated" and f.blocks]) is stopped


@pytest.mark.parametrize(
    "market, nuts, stopped",
    [("au", 110, False), ("au", 100, True), ("nz", 100, True), ("eu", 100, False), ("us", 100, False)],
)
def test_polyols_of_an_unknown_kind(tmp_path, market, nuts, stopped):
    """1.2.8-6 and S11-2(3): each named from 5 g per 100 g on; 60 g in 100 g of 10 g syrup are 6 g of 120 g
    (5.0 %) or of 130 g (4.6 %).
    """
    own = FIGURES.replace("sodium: 5 mg", "polyols: 60 g, sodium: 5 mg")
    ingredients = (
        f"nuts: {{print: almonds, contains: [], {FIGURES}}}}}\nsweet: {{print: sweet syrup, contains: [],"
        f" {own}}}}}\n"
    )
    d = declared(tmp_path, ingredients, f"{nuts + 10} g nuts, 10 g sweet", market)
    assert (
        bool(
            [
                f
                for f in d.findings
                if f.code == "polyol-kind-unknown" and f.blocks and "sweet states" in f.message
            ]
        )
        is stopped
    )
