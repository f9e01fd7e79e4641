"""Whole labels of Australia and New Zealand from kitchen files, worked by hand from figures that can be
added up on paper.
"""

from datetime import date

import pytest

from labelgen.chain import declare_product, make_label, roll_up_folder
from labelgen.order import Order
from labelgen.pdf.readback import read_back
from tests.kitchens import write

ON = date(2026, 12, 1)
BOTH = pytest.mark.parametrize("market", ["au", "nz"])
#: Invented specifications with round figures, per 100 g.
LARDER = """
flour: {print: wheat flour, contains: [wheat, gluten/wheat], per: 100 g, source: invented,
    nutrients: {energy: 350 kcal, protein: 10 g, fat: 1 g, saturated fat: 0.2 g, total carbohydrate: 76 g,
    fibre: 3 g, sugars: 1 g, sodium: 2 mg, water: 12 g, ash: 1 g}}
butter: {print: butter, contains: [milk], per: 100 g, source: invented, nutrients: {energy: 730 kcal,
    protein: 1 g, fat: 80 g, saturated fat: 52 g, total carbohydrate: 1 g, fibre: 0 g, sugars: 1 g,
    sodium: 600 mg, water: 16 g, ash: 2 g}}
sugar: {print: sugar, contains: [], per: 100 g, source: invented, nutrients: {energy: 400 kcal, protein: 0 g,
    fat: 0 g, saturated fat: 0 g, total carbohydrate: 100 g, fibre: 0 g, sugars: 100 g, sodium: 0 mg,
    water: 0 g, ash: 0 g}}
maltitol: {food: pure/maltitol, print: maltitol}
water: {food: usda/14411, print: water}
chocolate: {print: dark chocolate,
    statement: "cocoa mass, sugar, cocoa butter, emulsifiers (soy lecithin, PGPR), vanilla extract",
    contains: [soy], per: 100 g, source: invented, nutrients: {energy: 560 kcal, protein: 7 g, fat: 40 g,
    saturated fat: 24 g, total carbohydrate: 48 g, fibre: 10 g, sugars: 32 g, sodium: 10 mg, water: 1 g,
    ash: 2 g}}
"""
KITCHEN = (
    'producer: {name: Example Hill Bakes, address: "1 Example Hill, Sampleton NSW 2999"}\nmarkets: [au, nz]\n'
)


def rolled(tmp_path, recipes):
    made = roll_up_folder(write(tmp_path, LARDER, recipes, KITCHEN))
    assert not [f for f in made.findings if f.blocks], made.findings
    return made


def declared(tmp_path, recipes, market, key="thing", **more):
    made = declare_product(rolled(tmp_path, recipes), key, Order(market, ON, **more))
    assert not [f for f in made.findings if f.blocks], made.findings
    return made


def text(runs):
    return "".join(f"*{r.text}*" if r.bold else r.text for r in runs)


def column(made, number):
    return {r.key: r.declared for r in made.panel.columns[number].rows}


# A dough of 500 g flour, 300 g butter and 200 g sugar; pieces of 20 g lose 2 g of water in the oven. Ten
# pieces: 200 g of dough,
# a fifth of it all: 100 g flour, 60 g butter, 40 g sugar; 180 g baked.
SHORTBREAD = """
formulations:
  dough: {ingredients: [500 g flour, 300 g butter, 200 g sugar], yields: 1000 g}
  piece: {ingredients: [20 g dough], per: piece, bake: {before: 20 g, after: 18 g, how: weighed}}
products:
  thing: {name: Butter shortbread, of: piece, pieces: 10, unit: biscuit, best_before: 14 days,
      storage: Keep dry., origin: Made in Australia}
"""


@BOTH
def test_a_shortbread(tmp_path, market):
    """Pack: protein 10 + 0.6 = 10.6 g; fat 1 + 48 = 49; saturated 0.2 + 31.2 = 31.4; total carbohydrate 76
    + 0.6 + 40 = 116.6, of which fibre 3, so 113.6; sugars 1 + 0.6 + 40 = 41.6; sodium 2 + 360 = 362 mg.
    Energy 17 x 10.6 + 37 x 49 + 17 x 113.6 + 8 x 3 = 180.2 + 1813 + 1931.2 + 24 = 3948.4 kJ.
    """
    made = declared(tmp_path, SHORTBREAD, market, lot="A1", made_on=ON)
    # divided by 1.8: 2193.6 kJ, 5.89, 27.22, 17.44, 63.11, 23.11, 201.1
    assert list(column(made, 1).values()) == [
        "2190 kJ",
        "5.9 g",
        "27.2 g",
        "17.4 g",
        "63.1 g",
        "23.1 g",
        "201 mg",
    ]
    # divided by 10: 394.8 kJ, 1.06, 4.9, 3.14, 11.36, 4.16, 36.2
    assert list(column(made, 0).values()) == [
        "395 kJ",
        "1.1 g",
        "4.9 g",
        "3.1 g",
        "11.4 g",
        "4.2 g",
        "36 mg",
    ]
    # butter is in the name: 60 of 180 g finished is 33.3 %
    assert text(made.ingredients) == "*Ingredients: **wheat* flour, butter (*milk*) (33%), sugar."
    assert text(made.allergens) == "*Contains: **wheat, gluten, milk.*"
    assert (
        made.panel.caption == ("Servings per package: 10", "Serving size: 1 biscuit (18 g)")
        and made.net_quantity == "Net 180 g"
    )
    assert made.dates == ("Best before 15 Dec 2026", "Lot A1") and made.storage == "Keep dry."
    assert (
        made.business == ("Example Hill Bakes", "1 Example Hill, Sampleton NSW 2999", "Made in Australia")
        and made.advisories == ()
    )


def maltitol_biscuit(grams):
    """A dough of 1000 g with so much maltitol in place of sugar, baked to 900 g."""
    return f"""
formulations:
  dough: {{ingredients: [500 g flour, 300 g butter, {200 - grams} g sugar, {grams} g maltitol],
      yields: 1000 g}}
  piece: {{ingredients: [20 g dough], per: piece, bake: {{before: 20 g, after: 18 g, how: weighed}}}}
products:
  thing: {{name: Hill rounds, of: piece, pieces: 10, unit: biscuit}}
"""


@BOTH
@pytest.mark.parametrize("grams, warned", [(90, True), (89, False)])
def test_maltitol_on_both_sides_of_ten_per_cent(tmp_path, market, grams, warned):
    """90 g in 900 g baked is 10.0 g per 100 g, 89 g is 9.89. Energy of 900 g with 90 g: 17 x 53 + 37 x 245
    + 17 x (583 - 15 - 90) + 8 x 15 + 13 x 90 = 901 + 9065 + 8126 + 120 + 1170 = 19382, so 2153.6 kJ per
    100 g (total carbohydrate 380 + 3 + 200 = 583).
    """
    made = declared(tmp_path, maltitol_biscuit(grams), market)
    assert made.advisories == (("Excess consumption may have a laxative effect",) if warned else ())
    assert column(made, 1)["maltitol"] == ("10 g" if warned else "9.9 g")
    if warned:
        assert column(made, 1)["energy"] == "2150 kJ"
        # 583 - 15 - 90 = 478 g available of 900
        assert column(made, 1)["carbohydrate"] == "53.1 g"
        assert text(made.ingredients).endswith("butter (*milk*), sugar, sweetener (maltitol).")


def loaf(finished):
    """600 g flour, 10 g sugar and 300 g water, baked to so many grams: what is left of the water is that
    less 610 g.
    """
    return f"""
formulations:
  loaf: {{ingredients: [600 g flour, 10 g sugar, 300 g water], yields: {finished} g, bake: {{before: 910 g,
      after: {finished} g, how: weighed}}}}
products:
  thing: {{name: Hill loaf, of: loaf, net: {finished} g, best_before: 3 days, date_mark: baked on}}
"""


@BOTH
@pytest.mark.parametrize("finished, listed", [(642, False), (643, True)])
def test_added_water_on_both_sides_of_five_per_cent(tmp_path, market, finished, listed):
    """1.2.4-5(3)-(4): 32 of 642 g is 4.98 %, 33 of 643 g is 5.13 %."""
    made = declared(tmp_path, loaf(finished), market, made_on=ON)
    # 33 g of water left stand behind the flour and before 10 g of sugar
    assert text(made.ingredients) == (
        "*Ingredients: **wheat* flour, water, sugar." if listed else "*Ingredients: **wheat* flour, sugar."
    )
    assert made.dates == ("Baked on 1 Dec 2026",)
    # sold by weight and no serving given: the serving is 100 g
    assert (
        made.panel.caption == ("Servings per package: about 6", "Serving size: 100 g")
        and column(made, 0)["protein"] == column(made, 1)["protein"]
    )


def topped(grams):
    return f"""
formulations:
  dough: {{ingredients: [500 g flour, 300 g butter, 200 g sugar], yields: 1000 g}}
  baked: {{ingredients: [20 g dough], per: piece, bake: {{before: 20 g, after: 18 g, how: weighed}}}}
  piece: {{ingredients: [1 piece of baked, {grams} g chocolate], per: piece}}
products:
  thing: {{name: Hill rounds, of: piece, pieces: 10, unit: biscuit, compounds: short}}
  whole: {{name: Hill rounds, of: piece, pieces: 10, unit: biscuit}}
"""


@BOTH
@pytest.mark.parametrize("grams, short", [(0.94, True), (0.95, False)])
def test_a_compound_on_both_sides_of_five_per_cent(tmp_path, market, grams, short):
    """0.94 g of 18.94 g is 4.96 %, 0.95 g of 18.95 g is 5.01 %. Below, allergens and additives are enough;
    never less.
    """
    made = declared(tmp_path, topped(grams), market)
    inside = (
        "emulsifiers (*soy* lecithin, 476)"
        if short
        else "cocoa mass, sugar, cocoa butter, emulsifiers (*soy* lecithin, 476), vanilla extract"
    )
    assert (
        text(made.ingredients)
        == f"*Ingredients: **wheat* flour, butter (*milk*), sugar, dark chocolate ({inside})."
    )
    assert text(made.allergens) == "*Contains: **wheat, gluten, milk, soy.*"


def test_nothing_is_shortened_unless_asked(tmp_path):
    assert "cocoa mass" in text(declared(tmp_path, topped(0.5), "au", "whole").ingredients)


@BOTH
def test_characterising_ingredients_worked_by_hand(tmp_path, market):
    """1.2.10: 8 g chocolate on 92 g of dough baked to 82 g: 8 of 90 g finished is 8.9 %; sugar, stressed
    on the label, 18.4 of 90 is 20.4 %; butter only flavours here.
    """
    recipes = """
formulations:
  dough: {ingredients: [500 g flour, 300 g butter, 200 g sugar], yields: 1000 g}
  baked: {ingredients: [92 g dough], per: piece, bake: {before: 92 g, after: 82 g, how: weighed}}
  piece: {ingredients: [1 piece of baked, 8 g chocolate], per: piece}
products:
  thing: {name: Dark chocolate and butter slice, of: piece, pieces: 1, unit: slice, quantify: [sugar],
      flavours_only: [butter]}
"""
    made = declared(tmp_path, recipes, market)
    assert (
        "dark chocolate (9%)" in text(made.ingredients)
        and "sugar (20%)" in text(made.ingredients)
        and "butter (*milk*), " in text(made.ingredients)
    )


@BOTH
def test_the_printed_label_reads_back_whole(tmp_path, market):
    made = rolled(tmp_path, SHORTBREAD)
    pdf, findings = make_label(made, "thing", Order(market, ON, "A1", ON))
    assert pdf and not [f for f in findings if f.blocks]
    page = "".join("".join(s.text.split()) for s in read_back(pdf)[1])
    for words in (
        "NUTRITION INFORMATION",
        "Average",
        "2190 kJ",
        "Fat, total",
        "Contains: wheat, gluten, milk.",
        "Net 180 g",
        "Made in Australia",
        "Best before 15 Dec 2026",
    ):
        assert "".join(words.split()) in page


def test_a_polyol_named_without_an_amount_stops_the_label(tmp_path):
    """From 5 g per 100 g it would need a row of its own, and nobody says whether it gets there."""
    spec = LARDER.replace('"cocoa mass, sugar,', '"cocoa mass, maltitol,')
    made = roll_up_folder(write(tmp_path, spec, topped(0.95), KITCHEN))
    stopped = [f for f in declare_product(made, "thing", Order("au", ON)).findings if f.blocks]
    assert (
        [f.code for f in stopped] == ["amount-unstated"]
        and "maltitol: ... g" in stopped[0].message
        and "chocolate" in stopped[0].message
    )
    told = roll_up_folder(
        write(
            tmp_path,
            spec.replace("sugars: 32 g, sodium: 10 mg", "sugars: 2 g, maltitol: 30 g, sodium: 10 mg"),
            topped(0.95),
            KITCHEN,
        )
    )
    assert not [f for f in declare_product(told, "thing", Order("au", ON)).findings if f.blocks]


@pytest.mark.parametrize(
    "emulsifier", ["polyglycerol polyricinoleate", "glycerol monostearate", "glycerol esters of wood rosin"]
)
def test_a_substance_made_from_a_polyol_is_not_the_polyol(tmp_path, emulsifier):
    """E476, E471 and E445 are emulsifiers named after glycerol; no row of the panel is about them."""
    made = roll_up_folder(
        write(
            tmp_path,
            LARDER.replace('"cocoa mass, sugar,', f'"cocoa mass, {emulsifier}, sugar,'),
            topped(0.95),
            KITCHEN,
        )
    )
    assert not [
        f for f in declare_product(made, "thing", Order("au", ON)).findings if f.code == "amount-unstated"
    ]
