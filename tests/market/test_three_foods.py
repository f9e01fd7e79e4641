"""Three foods in six markets, every row worked by hand from the sheets below: an iced biscuit with
colours, a bar with polyols and fibre in chocolate, a baked slice with nuts, dried fruit, rum, lupin and
mustard. Factors, rounding and reference values: 21 CFR 101.9(c), Regulation (EU) 1169/2011 Annexes XIII to
XV with the guidance of December 2012, Food and Drug Regulations B.01.401, Food Standards Code Standard
1.2.8 and Schedule 11. The packets are invented.
"""

from datetime import date

import pytest

from labelgen.chain import roll_up_folder
from labelgen.market.declare_food import declare
from labelgen.order import Order
from tests.kitchens import write

ON = date(2026, 11, 25)
KITCHEN = "producer: {name: Example Hill Bakes, address: 1 Example Hill}\n"
INGREDIENTS = """
flour: {print: {en: wheat flour, fr: farine de blé}, contains: [wheat], per: 100 g,
    nutrients: {energy: 350 kcal, fat: 1.2 g, saturated fat: 0.2 g, trans fat: 0 g, cholesterol: 0 mg,
    sodium: 2 mg, carbohydrate: 76 g, fibre: 3 g, sugars: 0.8 g, added sugars: 0 g, protein: 10.4 g,
    vitamin d: 0 mcg, calcium: 15 mg, iron: 1.2 mg, potassium: 110 mg, water: 12 g, ash: 0.4 g},
    source: invented sheet}
butter: {print: {en: butter, fr: beurre}, contains: [milk], per: 100 g, nutrients: {energy: 740 kcal,
    fat: 82 g, saturated fat: 52 g, trans fat: 3 g, cholesterol: 215 mg, sodium: 10 mg, carbohydrate: 0.6 g,
    fibre: 0 g, sugars: 0.6 g, added sugars: 0 g, protein: 0.6 g, vitamin d: 0 mcg, calcium: 18 mg,
    iron: 0 mg, potassium: 25 mg, water: 16.5 g, ash: 0.3 g}, source: invented sheet}
sugar: {print: {en: sugar, fr: sucre}, contains: [], per: 100 g, nutrients: {energy: 400 kcal, fat: 0 g,
    saturated fat: 0 g, trans fat: 0 g, cholesterol: 0 mg, sodium: 0 mg, carbohydrate: 100 g, fibre: 0 g,
    sugars: 100 g, added sugars: 100 g, protein: 0 g, vitamin d: 0 mcg, calcium: 0 mg, iron: 0 mg,
    potassium: 0 mg, water: 0 g, ash: 0 g}, source: invented sheet}
egg: {print: {en: egg, fr: oeuf}, contains: [egg], per: 100 g, nutrients: {energy: 143 kcal, fat: 9.5 g,
    saturated fat: 3.1 g, trans fat: 0 g, cholesterol: 372 mg, sodium: 142 mg, carbohydrate: 0.7 g,
    fibre: 0 g, sugars: 0.4 g, added sugars: 0 g, protein: 12.6 g, vitamin d: 2 mcg, calcium: 56 mg,
    iron: 1.8 mg, potassium: 138 mg, water: 76 g, ash: 1.1 g}, source: invented sheet}
baking-powder: {print: {en: "baking powder (sodium acid pyrophosphate, baking soda, corn starch)",
    fr: "poudre à lever (pyrophosphate acide de sodium, bicarbonate de sodium, amidon de maïs)"},
    contains: [], per: 100 g, nutrients: {energy: 120 kcal, fat: 0 g, saturated fat: 0 g, trans fat: 0 g,
    cholesterol: 0 mg, sodium: 9000 mg, carbohydrate: 30 g, fibre: 0 g, sugars: 0 g, added sugars: 0 g,
    protein: 0 g, vitamin d: 0 mcg, calcium: 10 mg, iron: 0 mg, potassium: 20 mg, water: 5 g, ash: 65 g},
    source: invented sheet}
icing: {print: {en: icing, fr: glaçage},
    statement: {en: "icing sugar, water, dried egg white, colours (E102, E129), acid (E330),
      emulsifier (soya lecithin)",
      fr: "sucre glace, eau, blanc d'oeuf séché, colorants (tartrazine, rouge allura), acide (acide citrique),
      émulsifiant (lécithine de soja)"}, contains: [egg, soy], per: 100 g, nutrients: {energy: 340 kcal,
      fat: 0.2 g, saturated fat: 0 g, trans fat: 0 g, cholesterol: 0 mg, sodium: 30 mg, carbohydrate: 84 g,
      fibre: 0 g, sugars: 84 g, added sugars: 84 g, protein: 1.5 g, vitamin d: 0 mcg, calcium: 2 mg,
      iron: 0 mg, potassium: 20 mg, water: 14 g, ash: 0.3 g}, source: invented sheet}
almond: {print: {en: ground almonds, fr: amandes moulues}, contains: [tree_nut/almond], per: 100 g,
    nutrients: {energy: 600 kcal, fat: 51 g, saturated fat: 4 g, trans fat: 0 g, cholesterol: 0 mg,
    sodium: 1 mg, carbohydrate: 20 g, fibre: 11 g, sugars: 4.5 g, added sugars: 0 g, protein: 21 g,
    vitamin d: 0 mcg, calcium: 260 mg, iron: 3.7 mg, potassium: 720 mg, water: 5 g, ash: 3 g},
    source: invented sheet}
erythritol: {print: {en: erythritol, fr: érythritol}, contains: [], food: pure/erythritol}
inulin: {print: {en: inulin, fr: inuline}, contains: [], food: pure/inulin, nutrients: {calcium: 0 mg,
    iron: 0 mg, potassium: 0 mg, sodium: 0 mg}, source: invented sheet}
lowcarb-choc: {print: {en: dark chocolate with sweetener, fr: chocolat noir avec édulcorant},
    statement: "cocoa mass, sweetener (maltitol), cocoa butter, emulsifier (soya lecithin)", contains: [soy],
    may_contain: [milk], per: 100 g, nutrients: {energy: 480 kcal, fat: 38 g, saturated fat: 23 g,
    trans fat: 0 g, cholesterol: 0 mg, sodium: 8 mg, carbohydrate: 52 g, fibre: 9 g, sugars: 0.6 g,
    added sugars: 0 g, maltitol: 38 g, polyols: 38 g, protein: 6.5 g, vitamin d: 0 mcg, calcium: 50 mg,
    iron: 8 mg, potassium: 550 mg, water: 1 g, ash: 2.5 g}, source: invented sheet}
walnut: {print: {en: walnuts, fr: noix}, contains: [tree_nut/walnut], per: 100 g,
    nutrients: {energy: 660 kcal, fat: 65 g, saturated fat: 6 g, trans fat: 0 g, cholesterol: 0 mg,
    sodium: 2 mg, carbohydrate: 14 g, fibre: 7 g, sugars: 2.6 g, added sugars: 0 g, protein: 15 g,
    vitamin d: 0 mcg, calcium: 98 mg, iron: 2.9 mg, potassium: 440 mg, water: 4 g, ash: 2 g},
    source: invented sheet}
apricot: {print: {en: dried apricots, fr: abricots secs},
    statement: {en: "dried apricots, preservative (sulphur dioxide)",
    fr: "abricots secs, agent de conservation (anhydride sulfureux)"}, contains: [sulphite], per: 100 g,
    nutrients: {energy: 240 kcal, fat: 0.5 g, saturated fat: 0 g, trans fat: 0 g, cholesterol: 0 mg,
    sodium: 10 mg, carbohydrate: 63 g, fibre: 7.3 g, sugars: 53 g, added sugars: 0 g, protein: 3.4 g,
    vitamin d: 0 mcg, calcium: 55 mg, iron: 2.7 mg, potassium: 1160 mg, sulphites: 40 mg, water: 30 g,
    ash: 2.6 g}, source: invented sheet}
rum: {print: {en: rum, fr: rhum}, contains: [], per: 100 g, nutrients: {energy: 231 kcal, fat: 0 g,
    saturated fat: 0 g, trans fat: 0 g, cholesterol: 0 mg, sodium: 1 mg, carbohydrate: 0 g, fibre: 0 g,
    sugars: 0 g, added sugars: 0 g, protein: 0 g, alcohol: 33.4 g, vitamin d: 0 mcg, calcium: 0 mg,
    iron: 0.1 mg, potassium: 2 mg, water: 66.6 g, ash: 0 g}, source: invented sheet}
lupin: {print: {en: lupin flour, fr: farine de lupin}, contains: [lupin], per: 100 g,
    nutrients: {energy: 350 kcal, fat: 10 g, saturated fat: 1.5 g, trans fat: 0 g, cholesterol: 0 mg,
    sodium: 15 mg, carbohydrate: 40 g, fibre: 30 g, sugars: 3 g, added sugars: 0 g, protein: 38 g,
    vitamin d: 0 mcg, calcium: 180 mg, iron: 4 mg, potassium: 1000 mg, water: 8 g, ash: 4 g},
    source: invented sheet}
mustard: {print: {en: mustard, fr: moutarde},
    statement: {en: "water, mustard seeds, spirit vinegar, salt, celery",
    fr: "eau, graines de moutarde, vinaigre d'alcool, sel, céleri"}, contains: [mustard, celery], per: 100 g,
    nutrients: {energy: 66 kcal, fat: 4 g, saturated fat: 0.2 g, trans fat: 0 g, cholesterol: 0 mg,
    sodium: 1100 mg, carbohydrate: 5 g, fibre: 3 g, sugars: 1 g, added sugars: 0 g, protein: 4 g,
    vitamin d: 0 mcg, calcium: 58 mg, iron: 1.5 mg, potassium: 138 mg, water: 83 g, ash: 3.5 g},
    source: invented sheet}
"""
RECIPES = """
formulations:
  dough: {ingredients: [300 g flour, 150 g butter, 120 g sugar, 50 g egg, 6 g baking-powder]}
  baked: {ingredients: [20 g dough], per: piece, bake: {before: 20 g, after: 17.5 g, how: weighed}}
  star: {ingredients: [1 piece of baked, 5 g icing], per: piece}
  bar-mix: {ingredients: [300 g almond, 150 g erythritol, 80 g inulin, 60 g butter, 50 g egg]}
  bar-core: {ingredients: [32 g bar-mix], per: piece, bake: {before: 32 g, after: 30 g, how: weighed}}
  bar: {ingredients: [1 piece of bar-core, 10 g lowcarb-choc], per: piece}
  pastry: {ingredients: [250 g flour, 40 g lupin, 140 g butter, 10 g mustard, 60 g sugar]}
  filling: {ingredients: [160 g walnut, 120 g apricot, 40 g rum, 40 g sugar, 50 g egg]}
  slice: {ingredients: [30 g pastry, 40 g filling], per: piece, bake: {before: 70 g, after: 62 g,
      how: weighed}}
products:
  stars: {name: Hill stars, identity: {en: Iced butter biscuits, fr: Biscuits au beurre glacés}, of: star,
      pieces: 8, unit: {en: biscuit, fr: biscuit}, category: cookies}
  bars: {name: Hill bars, identity: {en: Almond bars with erythritol and dark chocolate,
      fr: Barres aux amandes}, of: bar, pieces: 5, unit: {en: bar, fr: barre}, category: grain_bars_filled}
  slices: {name: Hill slices, identity: {en: Walnut and apricot slices with rum,
      fr: Tranches aux noix et abricots au rhum}, of: slice, pieces: 6, unit: {en: slice, fr: tranche},
      category: pies}
"""


def labels(folder, ingredients=INGREDIENTS, recipes=RECIPES):
    rolled = roll_up_folder(write(folder, ingredients, recipes, KITCHEN))
    assert not [f for f in rolled.findings if f.blocks]
    return lambda product, market: declare(
        rolled.profiles[product], rolled.kitchen.products[product], rolled.kitchen, Order(market, ON)
    )


@pytest.fixture(scope="module")
def made(tmp_path_factory):
    return labels(tmp_path_factory.mktemp("three"))


def rows(declaration, column=0):
    return [(r.key, r.declared, r.percent) for r in declaration.panel.columns[column].rows]


def said(runs):
    return "".join(r.text for r in runs)


def test_the_biscuit(made):
    """Dough 626 g; 20 g of it bake to 17.5 g, with 5 g icing 22.5 g: fat 131.35 / 626 x 20 + 0.01 = 4.207 g,
    saturated 2.561, trans 4.5 / 626 x 20 = 0.144, carbohydrate 351.05 / 626 x 20 + 4.2 = 15.416, fibre 0.288,
    available 15.128, sugars 8.146, added 120 / 626 x 20 + 4.2 = 8.034, protein 1.302, sodium 632 / 626 x 20 +
    1.5 = 21.69 mg, cholesterol 16.25 mg, potassium 14.98 mg, calcium 3.31 mg, iron 0.144 mg.
    US: 4 x 1.302 + 4 x 15.416 + 9 x 4.207 = 104.7 kcal. Canada: fibre at 2: 104.2. Per 100 g, x 100 /
    22.5: fat 18.70, saturated 11.38, carbohydrate 67.24, sugars 36.20, protein 5.79, sodium 96.4 mg =
    0.241 g salt, fibre 1.28; 37 x 18.70 + 17 x 67.24 + 17 x 5.79 + 8 x 1.28 = 1943 kJ, 9, 4, 4 and 2: 463
    kcal; a serving 437 kJ.
    """
    assert rows(made("stars", "us")) == [
        ("calories", "100", ""),
        ("total_fat", "4g", "5%"),
        ("saturated_fat", "2.5g", "13%"),
        ("trans_fat", "0g", ""),
        ("cholesterol", "15mg", "5%"),
        ("sodium", "20mg", "1%"),
        ("total_carbohydrate", "15g", "6%"),
        ("dietary_fiber", "0g", "0%"),
        ("total_sugars", "8g", ""),
        ("added_sugars", "8g", "16%"),
        ("protein", "1g", ""),
        ("vitamin_d", "0mcg", "0%"),
        ("calcium", "0mg", "0%"),
        ("iron", "0mg", "0%"),
        ("potassium", "0mg", "0%"),
    ]
    for market in ("eu", "uk"):
        assert rows(made("stars", market)) == [
            ("energy_kj", "1943 kJ", "23%"),
            ("energy_kcal", "463 kcal", ""),
            ("fat", "19 g", "27%"),
            ("saturates", "11 g", "57%"),
            ("carbohydrate", "67 g", "26%"),
            ("sugars", "36 g", "40%"),
            ("protein", "5.8 g", "12%"),
            ("salt", "0.24 g", "4%"),
        ]
    assert rows(made("stars", "ca")) == [
        ("calories", "100", ""),
        ("fat", "4 g", "6%"),
        ("saturated", "2.5 g", ""),
        ("trans", "0.1 g", ""),
        ("sat_plus_trans", "", "14%"),
        ("carbohydrate", "15 g", ""),
        ("fibre", "0 g", "0%"),
        ("sugars", "8 g", "8%"),
        ("protein", "1 g", ""),
        ("cholesterol", "15 mg", ""),
        ("sodium", "20 mg", "1%"),
        ("potassium", "10 mg", "0%"),
        ("calcium", "0 mg", "0%"),
        ("iron", "0.1 mg", "1%"),
    ]
    for market in ("au", "nz"):
        assert [t for _, t, _ in rows(made("stars", market))] == [
            "437 kJ",
            "1.3 g",
            "4.2 g",
            "2.6 g",
            "15.1 g",
            "8.1 g",
            "22 mg",
        ]
        assert [t for _, t, _ in rows(made("stars", market), 1)] == [
            "1940 kJ",
            "5.8 g",
            "18.7 g",
            "11.4 g",
            "67.2 g",
            "36.2 g",
            "96 mg",
        ]


def test_what_the_biscuit_says(made):
    """Flour 9.58 g, icing 5, butter 4.79, sugar 3.83, egg 1.60. Butter, in the name: 4.79 of 22.5 g
    finished is 21.3 %. The colours by each market's names; the warning of Regulation (EC) 1333/2008, Annex
    V in Europe alone.
    """
    inside = {
        "us": (
            "icing (icing sugar, water, dried egg white, colors (Yellow 5, Red 40), acid (citric acid),"
            " emulsifier (soya lecithin)), butter,"
        ),
        "ca": (
            "Icing (icing sugar, water, dried egg white, colours (tartrazine, allura red), acid (citric"
            " acid), emulsifier (soya lecithin)), Butter,"
        ),
        "eu": (
            "icing (icing sugar, water, dried egg white, colours (E102, E129), acid (E330), emulsifier"
            " (soya lecithins)), butter (milk) (21%),"
        ),
        "au": (
            "icing (icing sugar, water, dried egg white, colours (102, 129), acid (330), emulsifier (soya"
            " lecithin)), butter (milk) (21%),"
        ),
    }
    for market, text in inside.items():
        d = made("stars", market)
        assert text in said(d.ingredients)
        assert any("adverse effect on activity" in t for t in d.advisories) is (market == "eu")
    assert said(made("stars", "us").allergens) == "Contains: Milk, Egg, Wheat, Soy."
    assert (
        said(made("stars", "ca").allergens) == "Contains: Wheat, Eggs, Milk, Soy."
        and said(made("stars", "ca").second.allergens) == "Contient : Blé, Oeufs, Lait, Soja."
    )
    assert (
        said(made("stars", "au").allergens) == "Contains: wheat, gluten, egg, milk, soy."
        and made("stars", "eu").allergens == ()
    )
    assert [made("stars", m).net_quantity for m in ("us", "eu", "ca", "au")] == [
        "Net Wt 6.3 oz (180g)",
        "180 g",
        "180 g",
        "Net 180 g",
    ]


def test_the_bar(made):
    """32 of 640 g mix bake to 30 g, with 10 g chocolate 40 g: fat 14.15 g, saturated 4.54, trans 0.09,
    protein 4.13, carbohydrate 19.58 (inulin 96 %), fibre 6.15 (inulin 90 %), erythritol 7.5, maltitol 3.8, so
    available carbohydrate 13.43 and without polyols 2.13; sodium 4.8 mg. US, method (C): 4 x 4.13 + 9 x 14.15
    + 4 x 2.13 + 2 x 6.15 + 2.1 x 3.8 + 0 = 172.6 kcal. Canada: 3.0 x 3.8 and 0.2 x 7.5 for the
    polyols: 177.6. Europe, per 100 g: 37 x 35.4 + 17 x 5.3 + 10 x 9.5 + 0 x 18.75 + 17 x 10.3 + 8 x 15.4 =
    1793 kJ; 434 kcal.
    Australia: 13 x 9.5 + 1 x 18.75 for the polyols: 1840 kJ, a bar 736 kJ; carbohydrate 5.3 g per 100 g
    without them.
    """
    assert rows(made("bars", "us"))[:2] == [("calories", "170", ""), ("total_fat", "14g", "18%")]
    assert {k: (t, p) for k, t, p in rows(made("bars", "us"))}["total_carbohydrate"] == ("20g", "7%")
    assert (
        rows(made("bars", "eu"))
        == rows(made("bars", "uk"))
        == [
            ("energy_kj", "1793 kJ", "21%"),
            ("energy_kcal", "434 kcal", ""),
            ("fat", "35 g", "51%"),
            ("saturates", "11 g", "57%"),
            ("carbohydrate", "34 g", "13%"),
            ("sugars", "2.5 g", "3%"),
            ("protein", "10 g", "21%"),
            ("salt", "0.03 g", "1%"),
        ]
    )
    assert rows(made("bars", "ca")) == [
        ("calories", "180", ""),
        ("fat", "14 g", "19%"),
        ("saturated", "4.5 g", ""),
        ("trans", "0.1 g", ""),
        ("sat_plus_trans", "", "23%"),
        ("carbohydrate", "20 g", ""),
        ("fibre", "6 g", "22%"),
        ("sugars", "1 g", "1%"),
        ("sugar_alcohol", "11 g", ""),
        ("protein", "4 g", ""),
        ("cholesterol", "15 mg", ""),
        ("sodium", "0 mg", "0%"),
        ("potassium", "175 mg", "5%"),
        ("calcium", "50 mg", "4%"),
        ("iron", "1.5 mg", "8%"),
    ]
    for market in ("au", "nz"):
        assert [t for _, t, _ in rows(made("bars", market))] == [
            "736 kJ",
            "4.1 g",
            "14.1 g",
            "4.5 g",
            "2.1 g",
            "1 g",
            "LESS THAN 5 mg",
            "7.5 g",
            "3.8 g",
        ]
        assert [t for _, t, _ in rows(made("bars", market), 1)] == [
            "1840 kJ",
            "10.3 g",
            "35.4 g",
            "11.3 g",
            "5.3 g",
            "2.5 g",
            "12 mg",
            "18.8 g",
            "9.5 g",
        ]
    assert made("bars", "eu").identity == "Almond bars with erythritol and dark chocolate with sweeteners"
    assert made("bars", "eu").advisories == ("Excessive consumption may produce laxative effects",) and made(
        "bars", "au"
    ).advisories == ("Excess consumption may have a laxative effect",)


@pytest.mark.parametrize("chocolate, warned", [(10.7, False), (10.72, True)])
def test_maltitol_alone_on_both_sides_of_ten_per_cent(tmp_path, chocolate, warned):
    """0.38 x 10.7 = 4.066 of 40.7 g is 9.99 %; 0.38 x 10.72 = 4.0736 of 40.72 g is 10.004 % (Annex III,
    2.4; Schedule 9).
    """
    d = labels(
        tmp_path,
        recipes=RECIPES.replace("10 g lowcarb-choc", f"{chocolate} g lowcarb-choc").replace(
            "150 g erythritol, 80 g inulin", "230 g inulin"
        ),
    )
    for market in ("eu", "uk", "au", "nz"):
        assert any("laxative" in t for t in d("bars", market).advisories) is warned


def test_the_slice(made):
    """30 g pastry of 500 and 40 g filling of 410 bake from 70 to 62 g. Walnuts 15.61 g, flour 15, apricots
    11.71, butter 8.4, sugar 7.50, egg 4.88, rum 3.90, lupin 2.4, mustard 0.6. Fat 18.00 g, saturated 5.52,
    trans 0.25, available carbohydrate 26.40, fibre 3.14, total 29.53, sugars 14.39, protein 5.90, alcohol
    1.30, sodium 16.8 mg, cholesterol 36.2 mg; calcium 32.9, iron 1.15, potassium 254.7 mg. Europe, per 100
    g (/ 0.62): 37 x 29.03 + 17 x 42.57 + 17 x 9.52 + 8 x 5.06 + 29 x 2.10 = 2061 kJ; 494.5 kcal prints
    495. US and Canada serve two (124 g: 62 / 125 = 0.496 is at most half; 62 / 110 = 0.56, two are
    nearest): 2 x (4 x 5.90 + 4 x 29.53 + 9 x 18.00 + 7 x 1.30) = 625.7 kcal; with fibre at 2: 613.
    Potassium 509 mg: 510; Canada 500, 500 / 3400 = 14.7 %.
    """
    assert (
        rows(made("slices", "eu"))
        == rows(made("slices", "uk"))
        == [
            ("energy_kj", "2061 kJ", "25%"),
            ("energy_kcal", "495 kcal", ""),
            ("fat", "29 g", "41%"),
            ("saturates", "8.9 g", "45%"),
            ("carbohydrate", "43 g", "16%"),
            ("sugars", "23 g", "26%"),
            ("protein", "9.5 g", "19%"),
            ("salt", "0.07 g", "1%"),
        ]
    )
    us = made("slices", "us")
    assert (us.panel.serving.household, us.panel.serving.metric, us.panel.serving.per_container) == (
        "2 slices",
        "124g",
        "3 servings per container",
    )
    assert rows(us) == [
        ("calories", "630", ""),
        ("total_fat", "36g", "46%"),
        ("saturated_fat", "11g", "55%"),
        ("trans_fat", "0.5g", ""),
        ("cholesterol", "70mg", "24%"),
        ("sodium", "35mg", "1%"),
        ("total_carbohydrate", "59g", "21%"),
        ("dietary_fiber", "6g", "22%"),
        ("total_sugars", "29g", ""),
        ("added_sugars", "15g", "30%"),
        ("protein", "12g", ""),
        ("vitamin_d", "0mcg", "0%"),
        ("calcium", "70mg", "6%"),
        ("iron", "2.3mg", "15%"),
        ("potassium", "510mg", "10%"),
    ]
    # 372 g are 2.98 reference amounts of 125 g: a column for the pack, 101.9(b)(12)(i)
    assert us.panel.columns[1].heading == "Per container" and rows(us, 1)[0][1] == "1880"
    assert rows(made("slices", "ca")) == [
        ("calories", "610", ""),
        ("fat", "36 g", "48%"),
        ("saturated", "11 g", ""),
        ("trans", "0.5 g", ""),
        ("sat_plus_trans", "", "58%"),
        ("carbohydrate", "59 g", ""),
        ("fibre", "6 g", "22%"),
        ("sugars", "29 g", "29%"),
        ("protein", "12 g", ""),
        ("cholesterol", "70 mg", ""),
        ("sodium", "35 mg", "2%"),
        ("potassium", "500 mg", "15%"),
        ("calcium", "75 mg", "6%"),
        ("iron", "2.25 mg", "13%"),
    ]
    for market in ("au", "nz"):
        assert [t for _, t, _ in rows(made("slices", market))] == [
            "1280 kJ",
            "5.9 g",
            "18 g",
            "5.5 g",
            "26.4 g",
            "14.4 g",
            "17 mg",
        ]


def test_what_the_slice_says(made):
    """Of 62 g finished: walnuts 25.2 %, apricots 18.9 %, rum 6.3 %. Celery, mustard and lupin are declared
    where the law lists them; 400 mg/kg sulphur dioxide in the apricots are 75.5 mg/kg of the slice.
    """
    eu = said(made("slices", "eu").ingredients)
    assert (
        "walnuts (25%), wheat flour, dried apricots (19%)" in eu and "rum (6%), lupin flour, mustard (" in eu
    )
    bold = [r.text for r in made("slices", "eu").ingredients if r.bold]
    assert [
        w
        for w in ("walnuts", "wheat", "sulphur dioxide", "milk", "egg", "lupin", "mustard", "celery")
        if w not in bold
    ] == []
    assert said(made("slices", "us").allergens) == "Contains: Milk, Egg, Wheat, Walnut."
    assert said(made("slices", "ca").allergens) == "Contains: Wheat, Walnuts, Eggs, Milk, Mustard, Sulphites."
    assert (
        said(made("slices", "au").allergens)
        == "Contains: wheat, gluten, egg, milk, lupin, walnut, sulphites."
    )


@pytest.mark.parametrize("per_100g, declared", [(5.2, False), (5.3, True)])
def test_sulphites_on_both_sides_of_ten_milligrams(tmp_path, per_100g, declared):
    """11.707 of 62 g are 18.883 %: of 52 mg/kg 9.82 mg/kg are left, of 53 mg/kg 10.01."""
    d = labels(tmp_path, INGREDIENTS.replace("sulphites: 40 mg", f"sulphites: {per_100g} mg"))
    assert all(
        ("ulphites" in said(d("slices", market).allergens)) is declared for market in ("ca", "au", "nz")
    )
    assert all(
        any("sulphur" in r.text for r in d("slices", market).ingredients if r.bold) is declared
        for market in ("eu", "uk")
    )
