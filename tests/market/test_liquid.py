"""Liquids sold by volume: 100 mL stand where other food has 100 g, and the pack's own weight and volume
tell the density.
"""

from datetime import date

import pytest

from labelgen.chain import roll_up_folder
from labelgen.law.pack import Pack
from labelgen.market.declare_food import declare
from labelgen.market.net_quantity import declare_volume
from labelgen.market.nutrition.liquid import household_volume
from labelgen.order import Order
from labelgen.quantity import read_quantity
from tests.kitchens import write
from tests.market.foods import KITCHEN, amounts, line, product, profile

ON = date(2026, 12, 1)


def syrup(market, net=325.0, volume=250.0, **more):
    """A syrup of 1.3 g/mL with 60 g sugars in 100 g: 78 g in 100 mL, 195 g in the bottle."""
    food = amounts(net, CHOCDF=0.6 * net, SUGAR=0.6 * net, SUGAD=0.6 * net, NA=0.1 * net)
    also = {"fr": {"name": "Sirop", "unit": "bouteille"}}
    return declare(
        profile(food, None, [line("sugar", net)]),
        product(
            pieces=None, net=net, volume=volume, category=more.pop("category", "syrups"), also=also, **more
        ),
        KITCHEN,
        Order(market, ON),
    )


@pytest.mark.parametrize(
    "market, heading, energy, carbohydrate, net",
    [
        # 78 g x 17 = 1326 kJ, x 4 = 312 kcal; Regulation (EU) 1169/2011, Articles 23(1), 32(2)
        ("eu", "per 100 ml", "1326 kJ", "78 g", "250 ml"),
        ("uk", "per 100 ml", "1326 kJ", "78 g", "250 ml"),
        # three significant figures, 1.2.8-7; unit quantity 100 mL, 1.2.8-6(1)
        ("au", "Average quantity per 100 mL", "1330 kJ", "78 g", "Net 250 mL"),
        ("nz", "Average quantity per 100 mL", "1330 kJ", "78 g", "Net 250 mL"),
    ],
)
def test_figures_of_a_hundred_millilitres(market, heading, energy, carbohydrate, net):
    d = syrup(market)
    column = next(c for c in d.panel.columns if c.per == "100g")
    rows = {r.tag: r.declared for r in reversed(column.rows)}
    assert (column.heading, rows["ENERC"], rows["CHOAVLDF"], d.net_quantity) == (
        heading,
        energy,
        carbohydrate,
        net,
    )
    assert not [f for f in d.findings if f.blocks]


def test_a_portion_by_volume():
    """30 mL are 39 g, 23.4 g sugars; 250 mL hold 8.3 of them."""
    d = syrup("eu", serving=read_quantity("30 mL")[0])
    portion = d.panel.columns[1]
    assert (portion.heading, portion.grams, d.panel.serving.metric, d.panel.serving.per_container) == (
        "per 30 ml",
        pytest.approx(39),
        "30 ml",
        "This pack contains about 8 portions",
    )
    assert next(r.declared for r in portion.rows if r.tag == "SUGAR") == "23 g"


@pytest.mark.parametrize(
    "market, volume, household, metric, sugars, single",
    [
        # reference amount of syrup 30 mL, 21 CFR 101.12(b): 2 tbsp of 15 mL, 39 g x 0.6 = 23.4 g;
        # 101.9(b)(6): below 60 mL one serving
        ("us", 250, "2 tbsp", "30 mL", "23g", False),
        ("us", 60, "2 tbsp", "30 mL", "23g", False),
        ("us", 59, "1 package", "59 mL", "46g", True),
        # 60 mL in Canada: 4 tbsp of 15 mL, 78 g x 0.6 = 46.8 g; B.01.002A: below 120 mL one serving
        ("ca", 250, "4 tbsp", "60 mL", "47 g", False),
        ("ca", 119, "1 package", "119 mL", "93 g", True),
    ],
)
def test_the_serving_is_a_household_measure(market, volume, household, metric, sugars, single):
    d = syrup(market, net=1.3 * volume, volume=volume)
    serving = d.panel.serving
    assert (serving.household, serving.metric, serving.single) == (household, metric, single)
    assert next(r.declared for r in d.panel.columns[0].rows if r.tag == "SUGAR") == sugars


@pytest.mark.parametrize(
    "market, target, said",
    [
        # 21 CFR 101.9(b)(5)(i): thirds and quarters of a cup of 240 mL, tablespoons, teaspoons; SFCR 241(3):
        # a
        # cup of 250 mL
        ("us", 240, "1 cup"),
        ("us", 360, "1 1/2 cups"),
        ("us", 80, "1/3 cup"),
        ("us", 30, "2 tbsp"),
        ("us", 20, "1 1/3 tbsp"),
        ("us", 5, "1 tsp"),
        ("us", 2.5, "1/2 tsp"),
        ("ca", 250, "1 cup"),
        ("ca", 15, "1 tbsp"),
        ("ca", 60, "4 tbsp"),
        ("ca", 125, "1/2 cup"),
    ],
)
def test_the_nearest_measure(market, target, said):
    assert household_volume(Pack(market, ON), target) == (said, pytest.approx(target))


@pytest.mark.parametrize(
    "market, millilitres, said",
    [
        # 1 fl oz = 29.57 mL, rounded down: 250 / 29.5735 = 8.45; a pint is 16 fl oz, a quart 32, a gallon 128
        # (NIST Handbook 133)
        ("us", 250, "Net 8.4 fl oz (250 mL)"),
        ("us", 473, "Net 15.9 fl oz (473 mL)"),
        ("us", 474, "Net 16 fl oz (1 pt) 474 mL"),
        ("us", 1000, "Net 33.8 fl oz (1 qt 1.8 fl oz) 1 L"),
        ("us", 3786, "Net 1 gal (3.78 L)"),
        ("us", 15, "Net 0.5 fl oz (15 mL)"),
        ("us", 10, "Net 0.33 fl oz (10 mL)"),
        ("eu", 999, "999 ml"),
        ("eu", 1000, "1 l"),
        ("ca", 1500, "1.5 L"),
        ("au", 1500, "Net 1.5 L"),
        ("eu", 12.39, "12.3 ml"),
    ],
)
def test_the_net_quantity_of_a_liquid(market, millilitres, said):
    assert declare_volume(Pack(market, ON), millilitres) == said


def test_what_is_not_held_for_liquids_is_refused():
    assert not syrup("uk", show=["front of pack"]).front and "front-of-pack-liquid" in {
        f.code for f in syrup("uk", show=["front of pack"]).findings
    }


@pytest.mark.parametrize(
    "size, said",
    [
        (
            "net: 250 mL",
            "'250 mL' is a volume: weigh it and give both, for example 'net: 332 g' and 'volume: 250 mL'",
        ),
        ("volume: 250 mL", "nothing says what 250 mL weigh"),
        ("net: 33 g, volume: 250 mL", "0.13 g per mL, and no food weighs that"),
        ("net: 332 g, volume: 250 g", "'250 g' is not a volume"),
        ("net: 332 g, volume: 0 mL", "more than nothing"),
    ],
)
def test_a_size_that_cannot_be_is_told_at_its_place(tmp_path, size, said):
    recipes = (
        "formulations:\n  s: {ingredients: [100 g sugar]}\nproducts:\n  p: {name: Hill syrup, of: s,"
        f" {size}}}\n"
    )
    rolled = roll_up_folder(write(tmp_path, "sugar: {print: sugar, food: usda/19335}\n", recipes))
    told = [f for f in rolled.findings if f.blocks]
    assert len(told) == 1 and said in told[0].message and str(told[0].where).startswith("recipes/")


def test_a_box_of_a_liquid_is_refused(tmp_path):
    from labelgen.chain import declare_product

    recipes = (
        "formulations:\n  s: {ingredients: [100 g sugar]}\nproducts:\n  p: {name: Hill syrup, of: s, net:"
        " 130 g, volume: 100 mL}\nboxes:\n  b: {name: Hill box, holds: {p: 2}}\n"
    )
    rolled = roll_up_folder(write(tmp_path, "sugar: {print: sugar, food: usda/19335}\n", recipes))
    assert "box-liquid" in {
        f.code for f in declare_product(rolled, "b", Order("eu", ON, "", None)).findings if f.blocks
    }


@pytest.mark.parametrize(
    "market, serving, code",
    [
        ("eu", "250 mL", ""),
        ("eu", "260 mL", "serving-too-large"),
        ("au", "1 L", "serving-too-large"),
        ("us", "30 mL", ""),
        ("us", "39 g", ""),
        ("us", "60 mL", "serving-not-lawful"),
        ("ca", "60 mL", ""),
        ("ca", "30 mL", "serving-not-lawful"),
    ],
)
def test_a_serving_that_cannot_stand_is_told(market, serving, code):
    """250 mL in the bottle; the reference amounts are 30 and 60 mL, and 39 g of this syrup are 30 mL."""
    codes = {f.code for f in syrup(market, serving=read_quantity(serving)[0]).findings}
    assert codes & {"serving-too-large", "serving-not-lawful"} == ({code} if code else set())


def test_commands_speak_of_millilitres(tmp_path, capsys):
    from labelgen.cli import main

    kitchen = str(
        write(
            tmp_path,
            "sugar: {print: sugar, food: usda/19335}\n",
            "formulations:\n  s: {ingredients: [100 g sugar]}\nproducts:\n  p: {name: Hill syrup, of: s,"
            " net: 130 g, volume: 100 mL, serving: 30 mL}\n",
        )
    )
    assert main(["panel", "p", "--kitchen", kitchen, "--market", "eu"]) == 0
    out = capsys.readouterr().out
    assert "per 100 mL" in out and "per 100 g " not in out and "serving 30 ml" in out
    assert main(["panel", "p", "--kitchen", kitchen, "--market", "all"]) == 0
    out = capsys.readouterr().out
    assert "eu 100 mL" in out and "au 30 mL serving" in out and "eu 130 g" not in out
    main(["compare", "p", "--kitchen", kitchen, "--markets", "eu,uk"])
    assert "100 mL" in capsys.readouterr().out


@pytest.mark.parametrize("volume, height", [(200, 3), (201, 4)])
def test_the_height_of_the_quantity_goes_by_its_millilitres(volume, height):
    """Directive 76/211/EEC, Annex I, 3.1: 3 mm up to 200 ml, 4 mm above; the syrup weighs 1.3 times as
    much.
    """
    from labelgen.layout.whole_label import lay_out_label

    d = syrup("eu", net=1.3 * volume, volume=volume)
    assert (d.net_grams, d.volume) == (pytest.approx(1.3 * volume), volume)
    (said,) = [s for s in lay_out_label(d).statements if s.role == "net-quantity"]
    assert said.rule.minimum == pytest.approx(height * 72 / 25.4)
