"""Roll-ups worked by hand, with invented foods so plain that every sum can be done in the head.

100 g of each: flour 70 g carbohydrate, 10 g protein, 20 g water; butter 80 g fat, 20 g water; sugar 100 g
carbohydrate; milk 5 g carbohydrate, 5 g fat, 90 g water; water; oil 100 g fat; rum 40 g alcohol, 60 g water;
nuts 50 g fat, 25 g protein, 25 g carbohydrate; egg 10 g fat, 15 g protein, 75 g water (one weighs 50 g, a cup
of milk 240 g). The mass balance (what goes in less what is lost comes out) is that of FAO/INFOODS, Guidelines
for recipe calculation (from memory).
"""

import pytest

from labelgen.chain import roll_up_folder
from tests.kitchens import write

KEYS = {"FAT": "fat", "CHOCDF": "carbohydrate", "PROCNT": "protein", "WATER": "water", "ALC": "alcohol"}
FOODS = {
    "flour": (0, 70, 10, 20, 0),
    "butter": (80, 0, 0, 20, 0),
    "sugar": (0, 100, 0, 0, 0),
    "milk": (5, 5, 0, 90, 0),
    "water": (0, 0, 0, 100, 0),
    "oil": (100, 0, 0, 0, 0),
    "rum": (0, 0, 0, 60, 40),
    "nuts": (50, 25, 25, 0, 0),
    "egg": (10, 0, 15, 75, 0),
}
WEIGHS = {"egg": "{each: 50 g}", "milk": "{1 cup: 240 g}"}
INGREDIENTS = "".join(
    f"{name}: {{print: {name}, contains: [], weighs: {WEIGHS.get(name, '{bag: 1000 g}')}, per: 100 g,"
    f" nutrients: {{{', '.join(f'{word}: {x} g' for word, x in zip(KEYS.values(), held))}}}}}\n"
    for name, held in FOODS.items()
)


def rolled(folder, formulations: str, product: str):
    lines = "".join(f"  {line.strip()}\n" for line in formulations.strip().splitlines())
    write(folder, INGREDIENTS, f"formulations:\n{lines}products:\n  p: {{name: Thing, {product}}}\n")
    found = roll_up_folder(folder)
    assert "p" in found.profiles, [f.message for f in found.findings]
    return found.profiles["p"]


#: (formulations, product, grams of the pack, {nutrient: grams in the pack})
CASES = {
    "a plain mix": (
        "d: {ingredients: [100 g flour, 50 g sugar]}",
        "of: d",
        150,
        {"CHOCDF": 70 + 50, "PROCNT": 10, "WATER": 20},
    ),
    # 100 + 50 + 100 = 250 in; 20 + 10 + 90 = 120 water; 50 lost
    "a bake loses water only": (
        "d: {ingredients: [100 g flour, 50 g butter, 100 g milk], bake: {before: 250 g, after: 200 g}}",
        "of: d",
        200,
        {"FAT": 40 + 5, "CHOCDF": 75, "WATER": 120 - 50},
    ),
    # 10 % of the 250 g stay in the bowl: nine tenths of everything
    "left on utensils": (
        "d: {ingredients: [100 g flour, 50 g butter, 100 g milk], left: 10 %}",
        "of: d",
        225,
        {"FAT": 45 * 0.9, "WATER": 120 * 0.9},
    ),
    # 240 of 250 g came out of the bowl without heat: 24/25 of everything
    "a yield is matter left behind": (
        "d: {ingredients: [150 g flour, 100 g butter], yields: 240 g}",
        "of: d",
        240,
        {"FAT": 80 * 0.96, "PROCNT": 15 * 0.96},
    ),
    # a tenth left, then a fifth of what is left lost as water: 100 -> 90 -> 72; water 0.9 x (60 x 0.2 + 40) -
    # 18
    "left, then baked": (
        "d: {ingredients: [60 g flour, 40 g water], left: 10 %, bake: {before: 100 g, after: 80 g}}",
        "of: d",
        72,
        {"CHOCDF": 42 * 0.9, "WATER": 0.9 * 52 - 18},
    ),
    # weighed as 10 pieces before and after; the whole batch is 300 g: 300 x 45/50
    "a loss weighed on a few pieces": (
        "d: {ingredients: [200 g flour, 100 g milk], bake: {before: 50 g, after: 45 g}}",
        "of: d",
        270,
        {"CHOCDF": 145, "WATER": 40 + 90 - 30},
    ),
    "a division of a dough": (
        "a: {ingredients: [300 g flour, 200 g butter]}\nb: {ingredients: [100 g a, 20 g sugar]}",
        "of: b",
        120,
        {"FAT": 160 / 5, "CHOCDF": 210 / 5 + 20},
    ),
    # a is 500 g with 160 g fat; b takes 250 g of it and 50 g oil: 300 g with 130 g fat; c takes 60 g of that:
    # a fifth
    "a division of a division": (
        (
            "a: {ingredients: [300 g flour, 200 g butter]}\nb: {ingredients: [250 g a, 50 g oil]}\nc:"
            " {ingredients: [60 g b]}"
        ),
        "of: c",
        60,
        {"FAT": (80 + 50) / 5, "CHOCDF": 105 / 5},
    ),
    # one dough in both parts: 40 g of it plain, 24 g in 30 g of a sweet one
    "a dough used twice": (
        (
            "a: {ingredients: [300 g flour, 200 g butter]}\ns: {ingredients: [80 g a, 20 g sugar]}\nf:"
            " {ingredients: [40 g a, 30 g s]}"
        ),
        "of: f",
        70,
        {"FAT": 0.32 * (40 + 24), "CHOCDF": 0.42 * 64 + 6},
    ),
    # the scraps rolled out again: 100 g rest of the dough with 20 g flour
    "scraps rolled out again": (
        (
            "a: {ingredients: [300 g flour, 200 g butter]}\nr: {ingredients: [100 g a, 20 g flour]}\nf:"
            " {ingredients: [60 g a, 60 g r]}"
        ),
        "of: f",
        120,
        {"FAT": 0.32 * (60 + 50), "CHOCDF": 0.42 * 110 + 7},
    ),
    "a piece of two parts": (
        "a: {ingredients: [60 g flour, 40 g butter]}\nf: {ingredients: [10 g a, 2 g sugar], per: piece}",
        "of: f, pieces: 6",
        72,
        {"FAT": 6 * 3.2, "CHOCDF": 6 * (4.2 + 2)},
    ),
    "pieces of a batch": (
        "a: {ingredients: [60 g flour, 40 g butter], makes: 20}",
        "of: a, pieces: 5",
        25,
        {"FAT": 32 / 4},
    ),
    # 12 g before, 9 g after: the piece of 12 g holds 2.4 + 0 g water of 12 x (0.36 flour... ) 60 g flour and
    # 40 g milk: 48 of 100 g are water
    "a baked piece": (
        (
            "a: {ingredients: [60 g flour, 40 g milk]}\nf: {ingredients: [12 g a], per: piece, bake:"
            " {before: 12 g, after: 9 g}}"
        ),
        "of: f, pieces: 4",
        36,
        {"CHOCDF": 4 * 12 * 0.44, "WATER": 4 * (12 * 0.48 - 3)},
    ),
    "iced after the oven": (
        (
            "a: {ingredients: [60 g flour, 40 g milk]}\nb: {ingredients: [12 g a], per: piece, bake:"
            " {before: 12 g, after: 9 g}}\nf: {ingredients: [1 piece b, 3 g sugar], per: piece}"
        ),
        "of: f, pieces: 2",
        24,
        {"CHOCDF": 2 * (12 * 0.44 + 3), "WATER": 2 * (12 * 0.48 - 3)},
    ),
    "two baked pieces stuck together": (
        (
            "a: {ingredients: [10 g flour], per: piece, bake: {before: 10 g, after: 9 g}}\nf: {ingredients:"
            " [2 piece a, 5 g butter], per: piece}"
        ),
        "of: f, pieces: 3",
        69,
        {"FAT": 12, "CHOCDF": 3 * 14, "WATER": 3 * (4 - 2 + 1)},
    ),
    "a batch by its count": (
        "a: {ingredients: [90 g sugar, 10 g butter]}\nf: {ingredients: [0.5 batch a, 50 g flour]}",
        "of: f",
        100,
        {"FAT": 4, "CHOCDF": 45 + 35},
    ),
    # boiled 200 -> 150, then baked with flour 250 -> 220: 50 and 30 g of water gone
    "boiled, then baked": (
        (
            "s: {ingredients: [100 g sugar, 100 g water], boil: {before: 200 g, after: 150 g}}\nf:"
            " {ingredients: [150 g s, 100 g flour], bake: {before: 250 g, after: 220 g}}"
        ),
        "of: f",
        220,
        {"CHOCDF": 170, "WATER": 100 - 50 + 20 - 30},
    ),
    # half of the syrup: half of its water loss too
    "half of what was boiled": (
        (
            "s: {ingredients: [100 g sugar, 100 g water], boil: {before: 200 g, after: 150 g}}\nf:"
            " {ingredients: [75 g s]}"
        ),
        "of: f",
        75,
        {"CHOCDF": 50, "WATER": 25},
    ),
    # boil 300 -> 240, dry 240 -> 200, bake 200 -> 190
    "three heats in a row": (
        (
            "a: {ingredients: [200 g flour, 100 g water], boil: {before: 300 g, after: 240 g}}\nb:"
            " {ingredients: [240 g a], dry: {before: 240 g, after: 200 g}}\nc: {ingredients: [200 g b],"
            " bake: {before: 200 g, after: 190 g}}"
        ),
        "of: c",
        190,
        {"CHOCDF": 140, "PROCNT": 20, "WATER": 140 - 60 - 40 - 10},
    ),
    "caramel that loses of everything": (
        (
            "a: {ingredients: [100 g sugar, 100 g milk], boil: {before: 200 g, after: 150 g, loses:"
            " everything}}"
        ),
        "of: a",
        150,
        {"CHOCDF": 105 * 0.75, "WATER": 90 * 0.75},
    ),
    "an egg is fifty grams": (
        "d: {ingredients: [3 egg, 50 g sugar]}",
        "of: d",
        200,
        {"FAT": 15, "PROCNT": 22.5, "CHOCDF": 50},
    ),
    "half an egg": ("d: {ingredients: [1/2 egg, 75 g sugar]}", "of: d", 100, {"PROCNT": 3.75}),
    "a cup and a half of milk": (
        "d: {ingredients: [1 1/2 cup milk, 140 g flour]}",
        "of: d",
        500,
        {"FAT": 18, "CHOCDF": 18 + 98, "WATER": 324 + 28},
    ),
    "sold by weight": (
        "d: {ingredients: [100 g flour, 100 g butter]}",
        "of: d, net: 50 g",
        50,
        {"FAT": 20, "CHOCDF": 17.5},
    ),
    "baked and sold by weight": (
        "d: {ingredients: [100 g flour, 100 g milk], bake: {before: 200 g, after: 160 g}}",
        "of: d, net: 80 g",
        80,
        {"CHOCDF": 37.5, "WATER": (20 + 90 - 40) / 2},
    ),
    # 40 g go in, 5 g of fat are taken up, 42 g come out: 3 g of water gone
    "fried piece": (
        (
            "d: {ingredients: [40 g flour], per: piece, fry: {before: 40 g, after: 42 g, fat: 5 g,"
            " fat_from: oil}}"
        ),
        "of: d, pieces: 2",
        84,
        {"FAT": 10, "CHOCDF": 56, "WATER": 2 * (8 - 3)},
    ),
    # 5 g on every 100 g: 25 g on 500 g; 500 x 0.96 out, 500 + 25 - 480 = 45 g of water gone
    "frying fat follows the batch": (
        (
            "d: {ingredients: [400 g flour, 100 g water], fry: {before: 100 g, after: 96 g, fat: 5 g,"
            " fat_from: oil}}"
        ),
        "of: d",
        480,
        {"FAT": 25, "CHOCDF": 280, "WATER": 80 + 100 - 45},
    ),
    # a tenth stays in the bowl: 450 g are fried and take up 22.5 g
    "frying fat follows what is fried": (
        (
            "d: {ingredients: [400 g flour, 100 g water], left: 10 %, fry: {before: 100 g, after: 96 g,"
            " fat: 5 g, fat_from: oil}}"
        ),
        "of: d",
        432,
        {"FAT": 22.5, "CHOCDF": 252},
    ),
    # a batch twice as large, weighed on the same 100 g
    "twice the batch, twice the fat": (
        (
            "d: {ingredients: [800 g flour, 200 g water], fry: {before: 100 g, after: 96 g, fat: 5 g,"
            " fat_from: oil}}"
        ),
        "of: d",
        960,
        {"FAT": 50, "CHOCDF": 560},
    ),
    # half of the fried batch goes into the next stage
    "half of what was fried": (
        (
            "d: {ingredients: [400 g flour, 100 g water], fry: {before: 100 g, after: 96 g, fat: 5 g,"
            " fat_from: oil}}\nf: {ingredients: [240 g d, 60 g sugar]}"
        ),
        "of: f",
        300,
        {"FAT": 12.5, "CHOCDF": 200},
    ),
    # fat without a weighed lot: 30 g on the whole of 500 g; out 500 x 0.9 = 450
    "frying fat of an estimated loss": (
        "d: {ingredients: [400 g flour, 100 g water], fry: {loss: 10 %, fat: 30 g, fat_from: oil}}",
        "of: d",
        450,
        {"FAT": 30, "CHOCDF": 280},
    ),
    # 100 g butter hold 80 g fat, of which 20 g drain off: 60 left; 100 -> 75 g, so 5 g of water too
    "fat drained off": (
        "d: {ingredients: [100 g butter], bake: {before: 100 g, after: 75 g, fat: -20 g}}",
        "of: d",
        75,
        {"FAT": 60, "WATER": 15},
    ),
    "nothing is heated, no alcohol goes": (
        "d: {ingredients: [50 g rum, 100 g sugar]}",
        "of: d",
        150,
        {"ALC": 20, "WATER": 30},
    ),
    "fried, then filled": (
        (
            "d: {ingredients: [40 g flour], per: piece, fry: {before: 40 g, after: 42 g, fat: 5 g,"
            " fat_from: oil}}\nf: {ingredients: [1 piece d, 8 g sugar], per: piece}"
        ),
        "of: f",
        50,
        {"FAT": 5, "CHOCDF": 36, "WATER": 5},
    ),
    # boil 200 -> 150; fry 5 g on 100 g of 250; bake 245 -> 230
    "boiled, fried and baked": (
        (
            "s: {ingredients: [100 g sugar, 100 g water], boil: {before: 200 g, after: 150 g}}\nd:"
            " {ingredients: [150 g s, 100 g flour], fry: {before: 100 g, after: 98 g, fat: 5 g, fat_from:"
            " oil}}\nf: {ingredients: [245 g d], bake: {before: 245 g, after: 230 g}}"
        ),
        "of: f",
        230,
        {"FAT": 12.5, "CHOCDF": 170, "WATER": 100 - 50 + 20 - (250 + 12.5 - 245) - 15},
    ),
    "nuts pressed on a piece": (
        (
            "a: {ingredients: [50 g flour, 50 g butter]}\nf: {ingredients: [20 g a, 4 g nuts], per: piece,"
            " bake: {before: 24 g, after: 22 g}}"
        ),
        "of: f, pieces: 10",
        220,
        {"FAT": 10 * (8 + 2), "PROCNT": 10 * (1 + 1), "WATER": 10 * (4 - 2)},
    ),
    "a third of a piece short": (
        "a: {ingredients: [30 g sugar], makes: 4}\nf: {ingredients: [3 piece a, 7.5 g oil]}",
        "of: f",
        30,
        {"CHOCDF": 22.5, "FAT": 7.5},
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_a_roll_up_worked_by_hand(name, tmp_path):
    formulations, product, grams, expected = CASES[name]
    profile = rolled(tmp_path, formulations, product)
    assert profile.pack.grams == pytest.approx(grams)
    assert {k: profile.pack.get(k)[1] for k in expected} == pytest.approx(expected)
    # the trail of every ingredient adds up to the pack, and every stage balances
    for key in expected:
        if key != "WATER":
            assert sum(i.amounts.get(key)[1] for i in profile.ingoing) == pytest.approx(expected[key])
    for stage in profile.stages:
        assert (
            stage.input - stage.left - stage.water_loss - stage.alcohol_loss + stage.fat_change
            == pytest.approx(stage.output)
        )


def test_alcohol_goes_first_by_its_retention_factor(tmp_path):
    """USDA Table of Nutrient Retention Factors, Release 6, alcohol baked 25 minutes keeps 45 %: of rum
    with 33.4 g in 100 g (USDA SR24, 14050) a fifth of a batch of 500 g; what the oven takes is alcohol
    first by that factor, the rest water.
    """
    recipe = (
        "formulations:\n  d: {ingredients: [100 g r, 400 g f], bake: {before: 500 g, after: 450"
        " g}}\nproducts:\n  p: {name: Cake, of: d}\n"
    )
    write(tmp_path, "r: {food: usda/14050}\nf: {food: usda/20081}\n", recipe)
    profile = roll_up_folder(tmp_path).profiles["p"]
    (rum,) = [i for i in profile.ingoing if i.ingredient.name == "r"]
    (stage,) = profile.stages
    poured = rum.ingredient.composition.get("ALC")[1]
    assert (
        profile.pack.get("ALC")[1] == pytest.approx(poured - stage.alcohol_loss)
        and 0 < stage.alcohol_loss < poured
    )
    assert stage.alcohol_loss + stage.water_loss == pytest.approx(50)
    water = (
        rum.ingredient.composition.get("WATER")[1]
        + 4
        * next(i for i in profile.ingoing if i.ingredient.name == "f").ingredient.composition.get("WATER")[1]
    )
    assert profile.pack.get("WATER")[1] == pytest.approx(water - stage.water_loss)


# 100 g flour and 100 g milk: 110 g water, 90 g not water; 10 to 30 % lost: 140 to 180 g come out, counted as
# 160 g.
DOUBT = "d: {ingredients: [100 g flour, 100 g milk], makes: 10, bake: {loss: 10-30 %}}"


def test_water_is_least_where_the_batch_is_lightest(tmp_path):
    """A pack of 4 of 10 pieces weighs 56 to 72 g, of which 36 g are no water; 100 g of it, and 100 g sold
    by weight, hold (140 - 90)/140 to (180 - 90)/180 of water, and the fat of 5 g in 180 to 140 g.
    """
    expected = [100 * (out - 90) / out for out in (140, 160, 180)]
    pieces = rolled(tmp_path, DOUBT, "of: d, pieces: 4")
    assert pieces.pack.get("WATER") == pytest.approx((20, 28, 36)) and pieces.per_100g.get(
        "WATER"
    ) == pytest.approx(expected)
    assert pieces.pack.get("FAT") == pytest.approx((2, 2, 2)) and pieces.per_100g.get("FAT") == pytest.approx(
        [100 * 5 / out for out in (180, 160, 140)]
    )
    sold = rolled(tmp_path, DOUBT, "of: d, net: 100 g")
    assert sold.pack.get("WATER") == pytest.approx(expected) and sold.per_100g.get("WATER") == pytest.approx(
        expected
    )


def test_water_of_a_mass_of_something_of_unsure_weight(tmp_path):
    """16 g of it hold 9 g that is no water where 160 g came out, 16 x 90/180 = 8 g to 16 x 90/140 g; 10 g
    flour hold 2 g water.
    """
    profile = rolled(tmp_path, DOUBT + "\nf: {ingredients: [16 g d, 10 g flour]}", "of: f")
    assert profile.pack.get("WATER") == pytest.approx((2 + 16 - 16 * 90 / 140, 2 + 7, 2 + 8))


def test_a_count_of_something_of_unsure_weight_takes_its_water_along(tmp_path):
    """One of ten pieces weighs 14 to 18 g, of which 9 g are no water."""
    profile = rolled(tmp_path, DOUBT + "\nf: {ingredients: [1 piece d, 10 g flour], makes: 1}", "of: f")
    assert profile.pack.get("WATER") == pytest.approx((2 + 5, 2 + 7, 2 + 9)) and profile.per_100g.get(
        "WATER"
    ) == pytest.approx((100 * 7 / 24, 100 * 9 / 26, 100 * 11 / 28))


@pytest.mark.parametrize("loss, lightest", [("40-60 %", 90), ("45 %", 92), ("10-50 %", 100)])
def test_no_estimate_goes_below_what_is_not_water(tmp_path, loss, lightest):
    """90 of 200 g are no water. 60 % lost would leave 80 g: 90 g is the least. 45 % and a fifth of it
    leave 92 g, a tenth and a half 100 g: nothing holds these up. The fat, 5 g, is densest in the lightest.
    """
    profile = rolled(
        tmp_path,
        f"d: {{ingredients: [100 g flour, 100 g milk], bake: {{loss: {loss}}}}}",
        "of: d, net: 50 g",
    )
    assert profile.pack.get("FAT")[2] == pytest.approx(50 * 5 / lightest)


@pytest.mark.parametrize("market, prints", [("uk", True), ("us", False)])
def test_a_panel_per_100_g_doubts_what_an_estimate_leaves_open(tmp_path, market, prints):
    """Ten pieces counted as 160 g may weigh 140 to 180 g: 75 g of carbohydrate are 41.7 to 53.6 g per 100
    g, and always 7.5 g a piece, which is what a serving of pieces says.
    """
    from datetime import date

    from labelgen.law.pack import read_pack
    from labelgen.market.nutrition.nutrition_panel import declare_panel
    from labelgen.market.nutrition.robustness import find_doubts

    found = roll_up_folder(
        write(
            tmp_path,
            INGREDIENTS,
            f"formulations:\n  {DOUBT}\nproducts:\n  p: {{name: Thing, of: d, pieces: 4, unit: cookie,"
            " category: cookies}\n",
        )
    )
    profile, pack = found.profiles["p"], read_pack(market, date(2026, 12, 1))
    column = declare_panel(pack, found.kitchen.products["p"], profile)[0].columns[0]
    row = next(r for r in column.rows if r.tag in ("CHOCDF", "CHOAVLDF"))
    if not prints:
        assert row.low == row.high == pytest.approx(7.5 * round(column.grams / 16))
        return
    low, value, high = profile.per_100g.get("CHOCDF")
    assert (low, value, high) == pytest.approx((7500 / 180, 7500 / 160, 7500 / 140))
    fat = next(r for r in column.rows if r.tag == "FAT")
    assert (fat.low, fat.value, fat.high) == pytest.approx(
        (500 / 180, 500 / 160, 500 / 140)
    ) and not fat.robust
    (doubt,) = [d for d in find_doubts(pack, column, profile) if d.row.tag == "FAT"]
    assert doubt.weigh == ("d",) and doubt.measure == ()
