"""Whole declarations of invented foods, worked by hand: Regulation (EU) No 1169/2011, Annexes I, XIII and
XIV, and the rounding of the Commission's guidance of December 2012. Great Britain took the same rules
over, so every label is declared for both.
"""

from datetime import date

import pytest

from labelgen.law.pack import read_pack
from labelgen.market.advisories import declare_advisories
from labelgen.market.declare_food import declare
from labelgen.order import Order
from labelgen.quantity import read_quantity
from tests.market.foods import KITCHEN, amounts, kitchen, line, product, profile

ON = date(2026, 12, 1)
MARKETS = pytest.mark.parametrize("market", ["eu", "uk"])


def label(market, per_100g, grams=250, pieces=10, lines=(), maker=KITCHEN, **more):
    food = amounts(grams, **{k: v * grams / 100 for k, v in per_100g.items()})
    return declare(
        profile(food, pieces, lines),
        product(**{"name": "Hill biscuits", "unit": "biscuit", **more}),
        maker,
        Order(market, ON),
    )


def column(declaration, number=0):
    return {r.key: (r.declared, r.percent) for r in declaration.panel.columns[number].rows}


SHORTBREAD = {
    "FAT": 26.4,
    "FASAT": 16.5,
    "CHOCDF": 63.0,
    "FIBTG": 1.8,
    "SUGAR": 18.05,
    "PROCNT": 5.95,
    "NA": 180,
}


@MARKETS
def test_shortbread(market):
    """Carbohydrate 63.0 - 1.8 fibre = 61.2 g. Salt 0.180 g x 2.5 = 0.45 g.
    kJ: 37 x 26.4 + 17 x 61.2 + 17 x 5.95 + 8 x 1.8 = 976.8 + 1040.4 + 101.15 + 14.4 = 2132.75.
    kcal: 9 x 26.4 + 4 x 61.2 + 4 x 5.95 + 2 x 1.8 = 237.6 + 244.8 + 23.8 + 3.6 = 509.8.
    Of the reference intakes: 2132.75 / 8400 = 25.4 %, 26.4 / 70 = 37.7 %, 16.5 / 20 = 82.5 %, 61.2 / 260 =
    23.5 %, 18.05 / 90 = 20.06 %, 5.95 / 50 = 11.9 %, 0.45 / 6 = 7.5 %.
    """
    d = label(market, SHORTBREAD)
    assert [c.heading for c in d.panel.columns] == ["per 100 g"] and d.panel.title == "Nutrition declaration"
    assert list(column(d).items()) == [
        ("energy_kj", ("2133 kJ", "25%")),
        ("energy_kcal", ("510 kcal", "")),
        ("fat", ("26 g", "38%")),
        ("saturates", ("17 g", "83%")),
        ("carbohydrate", ("61 g", "24%")),
        ("sugars", ("18 g", "20%")),
        ("protein", ("6.0 g", "12%")),
        ("salt", ("0.45 g", "8%")),
    ]
    assert d.panel.footnote == "*Reference intake of an average adult (8 400 kJ/2 000 kcal)"
    assert d.net_quantity == "250 g" and not d.allergens and not [f for f in d.findings if f.blocks]


@MARKETS
def test_shortbread_with_a_portion(market):
    """Two of ten biscuits in 250 g are 50 g, half of every figure above: 1066.4 kJ is 12.7 % of 8400,
    254.9 kcal; fat 13.2 g is 18.9 %, saturates 8.25 g 41.25 %, carbohydrate 30.6 g 11.8 %, sugars 9.025 g
    10.03 %, protein 2.975 g 5.95 %, salt 0.225 g 3.75 %. The column per 100 g then shows no percentage.
    """
    d = label(market, SHORTBREAD, serving=read_quantity("2 biscuit", "uk")[0])
    assert [c.heading for c in d.panel.columns] == ["per 100 g", "per 2 biscuits (50 g)"]
    assert d.panel.caption == ("Portion: 2 biscuits (50 g)", "This pack contains 5 portions")
    assert column(d)["fat"] == ("26 g", "") and column(d, 1) == {
        "energy_kj": ("1066 kJ", "13%"),
        "energy_kcal": ("255 kcal", ""),
        "fat": ("13 g", "19%"),
        "saturates": ("8.3 g", "41%"),
        "carbohydrate": ("31 g", "12%"),
        "sugars": ("9.0 g", "10%"),
        "protein": ("3.0 g", "6%"),
        "salt": ("0.23 g", "4%"),
    }


@MARKETS
def test_polyols_and_fibre(market):
    """58 g total carbohydrate with 12 g fibre, 20 g erythritol and 5 g maltitol: 46 g carbohydrate, 25 g of
    it polyols.
    kJ: 37 x 30 + 17 x (46 - 25) + 10 x (25 - 20) + 17 x 9.96 + 8 x 12 = 1110 + 357 + 50 + 169.32 + 96 =
    1782.32.
    kcal: 9 x 30 + 4 x 21 + 2.4 x 5 + 4 x 9.96 + 2 x 12 = 270 + 84 + 12 + 39.84 + 24 = 429.84.
    Two sweeteners, and 25 g of them are more than 10 g: Annex III, 2.1 and 2.4.
    """
    d = label(
        market,
        {
            "FAT": 30,
            "FASAT": 10.04,
            "CHOCDF": 58,
            "FIBTG": 12,
            "POLYL": 25,
            "ERYTHRITOL": 20,
            "MALTITOL": 5,
            "SUGAR": 4.95,
            "PROCNT": 9.96,
            "NA": 5,
        },
        show=["polyols", "fibre"],
    )
    assert [(k, v[0]) for k, v in column(d).items()] == [
        ("energy_kj", "1782 kJ"),
        ("energy_kcal", "430 kcal"),
        ("fat", "30 g"),
        ("saturates", "10 g"),
        ("carbohydrate", "46 g"),
        ("sugars", "5.0 g"),
        ("polyols", "25 g"),
        ("fibre", "12 g"),
        ("protein", "10.0 g"),
        ("salt", "<0.01 g"),
    ]
    assert column(d)["polyols"][1] == column(d)["fibre"][1] == ""  # there is no reference intake for them
    assert d.identity == "Hill biscuits with sweeteners" and d.advisories == (
        "Excessive consumption may produce laxative effects",
    )


@MARKETS
@pytest.mark.parametrize(
    "fat, saturates, sodium, texts",
    [
        (0.5, 0.1, 5, ("<0.5 g", "<0.1 g", "<0.01 g")),
        (0.51, 0.11, 5.1, ("0.5 g", "0.1 g", "0.01 g")),
        (9.94, 9.94, 399, ("9.9 g", "9.9 g", "1.00 g")),
        (10, 10, 400, ("10 g", "10 g", "1.0 g")),
        (0, 0, 0, ("0 g", "0 g", "0 g")),
    ],
)
def test_meringues_on_both_sides_of_every_bracket(market, fat, saturates, sodium, texts):
    """5 mg sodium is 0.0125 g salt, 5.1 mg is 0.01275 g; 399 mg is 0.9975 g, below 1 g to two decimals."""
    d = label(market, {"FAT": fat, "FASAT": saturates, "CHOCDF": 80, "SUGAR": 80, "PROCNT": 5, "NA": sodium})
    assert tuple(column(d)[k][0] for k in ("fat", "saturates", "salt")) == texts


@MARKETS
@pytest.mark.parametrize("calcium, stands", [(119.9, False), (120, True)])
def test_a_mineral_stands_only_in_a_significant_amount(market, calcium, stands):
    """Annex XIII A: 15 % of 800 mg calcium are 120 mg per 100 g."""
    d = label(market, {**SHORTBREAD, "CA": calcium}, show=["calcium"])
    assert ("calcium" in column(d)) is stands and (
        "not-significant" in {f.code for f in d.findings}
    ) is not stands
    assert not stands or column(d)["calcium"] == ("120 mg", "15%")


@MARKETS
@pytest.mark.parametrize(
    "per_100g, words",
    [
        ({"MALTITOL": 10, "POLYL": 10}, []),
        ({"MALTITOL": 10.01, "POLYL": 10.01}, ["Excessive consumption may produce laxative effects"]),
        ({"POLYL": 10}, []),
        ({"POLYL": 10.01}, ["Excessive consumption may produce laxative effects"]),
        ({"GLYCEROL": 15, "POLYL": 15}, []),
        ({"GLYCYRR": 9.9}, []),
        ({"GLYCYRR": 10}, ["Contains liquorice"]),
        ({"GLYCYRR": 399}, ["Contains liquorice"]),
        (
            {"GLYCYRR": 400},
            ["Contains liquorice – people suffering from hypertension should avoid excessive consumption"],
        ),
    ],
)
def test_statements_by_amount(market, per_100g, words):
    """Annex III, 2.4 and 3: more than 10 g polyols per 100 g; 100 mg/kg and 4 g/kg glycyrrhizinic acid are
    10 and 400 mg per 100 g.
    """
    assert list(label(market, {**SHORTBREAD, **per_100g}).advisories) == words


@MARKETS
@pytest.mark.parametrize(
    "name, identity, words",
    [
        ("liquorice extract", "Hill biscuits", []),
        ("aspartame", "Hill biscuits with sweetener", ["Contains a source of phenylalanine"]),
        ("E951", "Hill biscuits with sweetener", ["Contains aspartame (a source of phenylalanine)"]),
        (
            "FD&C Yellow 5",
            "Hill biscuits",
            ["Tartrazine: may have an adverse effect on activity and attention in children"],
        ),
        (
            "E102",
            "Hill biscuits",
            ["E102: may have an adverse effect on activity and attention in children"],
        ),
        ("Blue 1", "Hill biscuits", []),
    ],
)
def test_statements_by_name(market, name, identity, words):
    """Annex III, 2.1, 2.3, 3.1 (not needed beside the word liquorice); Regulation (EC) No 1333/2008, Annex
    V.
    """
    d = label(
        market,
        {**SHORTBREAD, "GLYCYRR": 20 if name == "liquorice extract" else 0},
        lines=[line("flour", 240), line("x", 10, print_name=name)],
    )
    assert d.identity == identity and list(d.advisories) == words


@MARKETS
@pytest.mark.parametrize(
    "function, identity",
    [("humectant", "Hill biscuits"), ("sweetener", "Hill biscuits with sugars and sweetener")],
)
def test_a_polyol_listed_as_a_humectant_is_no_sweetener_there(market, function, identity):
    """Annex III, 2.1 speaks of sweeteners: sorbitol is authorised as a humectant too, Regulation (EC) No
    1333/2008, Annex II.
    """
    food = {**SHORTBREAD, "SORBITOL": 2, "POLYL": 2, "SUGAD": 15}
    d = label(
        market,
        food,
        lines=[line("flour", 240), line("paste", 10)],
        maker=kitchen([("paste", f"almonds, sugar, {function} (sorbitol)")]),
    )
    assert d.identity == identity


@MARKETS
def test_sugar_beside_sweetener_and_caffeine(market):
    d = label(
        market,
        {**SHORTBREAD, "XYLITOL": 1, "SUGAD": 15, "CAFFN": 32},
        lines=[line("sugar", 240), line("caffeine", 1)],
    )
    assert d.identity == "Hill biscuits with sugars and sweetener"
    assert d.advisories == (
        "Contains caffeine. Not recommended for children or pregnant women (32 mg per 100 g)",
    )


@pytest.mark.parametrize(
    "market, on, severity",
    [
        ("eu", date(2022, 2, 6), None),
        ("eu", date(2022, 2, 7), "warn"),
        ("eu", date(2022, 8, 6), "warn"),
        ("eu", date(2022, 8, 7), "block"),
        ("uk", ON, None),
    ],
)
def test_titanium_dioxide(market, on, severity):
    """Regulation (EU) 2022/63: banned from 7 February 2022, food made before may be sold until 7 August
    2022; Great Britain did not follow.
    """
    food = profile(
        amounts(250, **SHORTBREAD),
        10,
        [line("flour", 240), line("white", 1, print_name="titanium dioxide")],
    )
    found = [
        f.severity
        for f in declare(food, product(), KITCHEN, Order(market, on)).findings
        if f.code == "not-allowed-titanium-dioxide"
    ]
    assert found == ([severity] if severity else [])


def test_a_warning_is_judged_on_the_most_there_may_be():
    """Regulation (EU) No 1169/2011, Annex III, 2.4: more than 10 % added polyols; 9.5 g stated may be 10.2
    g. What nobody states adds nothing.
    """
    for most, said in ((10.0, ()), (10.2, ("Excessive consumption may produce laxative effects",))):
        sweet = amounts(10, POLYL=(9.0, 9.5, most))
        food = profile(
            amounts(100, POLYL=9.5),
            lines=[
                line("sorbitol", 10, food=sweet),
                line("flour", 90, food=amounts(90, unknown=["POLYL"])),
            ],
        )
        assert declare_advisories(read_pack("eu", date(2026, 12, 1)), food, 30, "flour").texts == said


@MARKETS
@pytest.mark.parametrize(
    "per_100ml, name, words",
    [
        ({"CAFFN": 15}, "Hill fizz", []),
        (
            {"CAFFN": 15.6},
            "Hill fizz",
            [
                "High caffeine content. Not recommended for children or pregnant or breast-feeding women"
                " (16 mg per 100 ml)"
            ],
        ),
        ({"CAFFN": 40}, "Iced coffee", []),
        ({"GLYCYRR": 0.9}, "Hill fizz", []),
        ({"GLYCYRR": 1}, "Hill fizz", ["Contains liquorice"]),
        (
            {"GLYCYRR": 5},
            "Hill fizz",
            ["Contains liquorice – people suffering from hypertension should avoid excessive consumption"],
        ),
    ],
)
def test_statements_of_drinks(market, per_100ml, name, words):
    """Annex III, 3.1, 3.3 and 4.1: above 150 mg/l caffeine unless named coffee or tea; 10 and 50 mg/l
    glycyrrhizinic acid. 1.25 g/mL.
    """
    drink = {"CHOCDF": 10, "SUGAR": 10, **{k: v / 1.25 for k, v in per_100ml.items()}}
    assert (
        list(label(market, drink, 250, None, name=name, identity=name, net=250.0, volume=200.0).advisories)
        == words
    )
