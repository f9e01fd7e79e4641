"""Serving sizes of 21 CFR 101.9(b): units, cut units, single packs, weights, second columns; reference
amount 30 g unless said.
"""

from datetime import date

import pytest

from labelgen.law.figure_tables import ReferenceAmount
from labelgen.law.pack import read_pack
from labelgen.market.nutrition.reference import likely_categories
from labelgen.market.nutrition.serving import cut_parts, declare_serving
from labelgen.quantity import Quantity, read_quantity
from tests.market.foods import amounts, product, profile

US = read_pack("us", date(2026, 12, 1))


def serving(grams, pieces=None, category="cookies", **more):
    result, findings = declare_serving(
        US, product(pieces=pieces, category=category, **more), profile(amounts(grams), pieces)
    )
    return result, {f.code for f in findings}


@pytest.mark.parametrize(
    "piece, household",
    [
        # (b)(2)(i)(A): up to 50 % of the reference amount, whole units nearest to it
        (5.0, "6 cookies"),
        (7.0, "4 cookies"),
        (12.0, "3 cookies"),
        (14.0, "2 cookies"),
        (15.0, "2 cookies"),
        # exactly half-way goes up, (b)(5)(ix): 30 / 12 = 2.5
        (20 / 3, "5 cookies"),  # 4.5 units
        # (B): above 50 and below 67 %, one or two
        (15.1, "2 cookies"),
        (20.0, "2 cookies"),
        # (C): 67 % to below 200 %, one
        (20.1, "1 cookie"),
        (30.0, "1 cookie"),
        (59.9, "1 cookie"),
        # (D): from 200 %, the part that approximates the reference amount
        (60.0, "1/2 cookie"),
        (90.0, "1/3 cookie"),
        (120.0, "1/4 cookie"),
    ],
)
def test_discrete_units(piece, household):
    assert serving(piece * 20, 20)[0].household == household


def test_two_or_one_by_the_makers_choice():
    one = Quantity("1 cookie", "count", count=1.0, unit="cookie")
    assert serving(16.0 * 20, 20, serving=one)[0].household == "1 cookie"
    result, codes = serving(14.0 * 20, 20, serving=one)
    assert result.household == "2 cookies" and "serving-not-lawful" in codes


@pytest.mark.parametrize("grams, single", [(59.9, True), (60.0, False)])
def test_a_pack_below_200_percent_is_one_serving(grams, single):
    """(b)(6); its metric figure equals the one of the net quantity, which never rounds up."""
    result, _ = serving(grams, 4)
    assert result.single is single
    if single:
        assert (result.household, result.metric, result.per_container, result.grams) == (
            "1 package",
            "59.9g",
            "",
            59.9,
        )
    else:
        assert result.per_container == "2 servings per container"


def test_a_single_piece_is_named_by_its_unit():
    assert serving(100.0, 1, category="muffins", unit="muffin")[0].household == "1 muffin"


@pytest.mark.parametrize(
    "grams, pieces, columns",
    [
        (59.9, 4, ()),
        (60.0, 4, ("Per container",)),
        (90.0, 4, ("Per container",)),
        (90.1, 4, ()),
        # a unit of 200 to 300 % inside a pack of several
        (3 * 60.0, 3, ("Per cookie",)),
        (3 * 90.0, 3, ("Per cookie",)),
        (3 * 91.0, 3, ()),
        (3 * 59.9, 3, ()),
    ],
)
def test_second_columns(grams, pieces, columns):
    """(b)(12)(i) and (b)(2)(i)(D): at least 200 % and up to and including 300 %."""
    result, codes = serving(grams, pieces)
    assert tuple(heading for heading, _ in result.extra) == columns
    assert ("dual-column" in codes) is bool(columns)


@pytest.mark.parametrize(
    "grams, category, household",
    # a cake of 640 g against 80 g: an eighth; 700 g: 1/9 is 77.8 g; a pie of 1000 g against 125 g: an eighth;
    # 1.1 kg: 1/9 is 122.2 g
    [
        (640, "cake_medium", "1/8 cake"),
        (700, "cake_medium", "1/9 cake"),
        (1000, "pies", "1/8 cake"),
        (1100, "pies", "1/9 cake"),
        (560, "cake_medium", "1/8 cake"),
    ],
)
def test_large_units_cut(grams, category, household):
    """(b)(2)(ii). 560 g has no seventh: 1/6 (93.3 g) and 1/8 (70 g) are 13.3 and 10 away, so an eighth
    would be nearer.
    """
    result, _ = serving(float(grams), None, category, cut=True, unit="cake")
    assert result.household == household and result.extra == ()


def test_only_lawful_fractions():
    assert (
        cut_parts(US)[:12] == (2, 3, 4, 5, 6, 8, 9, 10, 12, 15, 16, 18)
        and 7 not in cut_parts(US)
        and 14 not in cut_parts(US)
    )


@pytest.mark.parametrize(
    "count, line",
    [
        (7.0, "7 servings per container"),
        (5.4, "about 5 servings per container"),
        (4.74, "about 4.5 servings per container"),
        (2.25, "about 2.5 servings per container"),
    ],
)
def test_servings_per_container(count, line):
    """(b)(8)(i): a cup of 120 g, so that a quarter of it is the reference amount of 30 g."""
    result, _ = serving(count * 30, None, weighs={"cup": Quantity("120 g", "mass", grams=120.0)})
    assert result.per_container == line


def test_sold_by_weight_states_ounces():
    """(b)(5): 50 g of bread is 1.79 oz, in steps of 0.5 oz 2 oz of 28 g."""
    result, codes = serving(752.0, None, "bread")
    assert (result.household, result.metric, result.grams) == (
        "2 oz",
        "56g",
        56.0,
    ) and "not-ready-serving-measure" in codes


@pytest.mark.parametrize(
    "asked, ounces, metric",
    # the reference amount of bread is 50 g; a maker's own 60 g or 8 g changes neither figure
    [("60 g", "2 oz", "56g"), ("8 g", "2 oz", "56g"), ("2 oz", "2 oz", "56g")],
)
def test_ounces_and_their_grams_say_the_same(asked, ounces, metric):
    """(b)(5)(viii): one ounce in a serving size is 28 g."""
    quantity = read_quantity(asked)[0]
    result, codes = serving(752.0, None, "bread", serving=quantity, serving_looks="about a 1-inch slice")
    assert (result.household, result.metric) == (ounces, f"{metric}/about a 1-inch slice") and not codes


@pytest.mark.parametrize(
    "category, measure, weight, household, metric",
    [
        # 101.9(b)(2)(iii), (b)(5)(i): the measure nearest to the reference amount; granola is 60 g
        ("granola", "cup", 90.0, "2/3 cup", "60g"),
        ("granola", "1/2 cup", 45.0, "2/3 cup", "60g"),
        # 60 g are 0.75 cup of 80 g, and 0.7 cup of 86 g: 2/3 is 2.7 g away, 3/4 4.5 g
        ("granola", "cup", 80.0, "3/4 cup", "60g"),
        ("granola", "cup", 86.0, "2/3 cup", "57g"),
        # honey and jams: 1 tablespoon
        ("honey", "tbsp", 21.0, "1 tbsp", "21g"),
        ("honey", "tablespoon", 21.0, "1 tbsp", "21g"),
        ("honey", "1/4 cup", 84.0, "1 tbsp", "21g"),
    ],
)
def test_a_measure_that_the_maker_weighed(category, measure, weight, household, metric):
    result, codes = serving(454.0, None, category, weighs={measure: Quantity("", "mass", grams=weight)})
    assert (result.household, result.metric) == (household, metric) and not codes


def test_a_cup_asked_for_is_held_against_the_reference_amount():
    cup = {"cup": Quantity("90 g", "mass", grams=90.0)}
    for asked, told in (("2/3 cup", False), ("60 g", False), ("1 cup", True), ("40 g", True)):
        result, codes = serving(454.0, None, "granola", weighs=cup, serving=read_quantity(asked)[0])
        assert result.household == "2/3 cup" and ("serving-not-lawful" in codes) is told
    assert (
        "not-ready-serving-measure" in serving(454.0, None, "granola", serving=read_quantity("2/3 cup")[0])[1]
    )


def test_honey_without_a_weighed_spoon_is_not_ready():
    assert "not-ready-serving-measure" in serving(454.0, None, "honey")[1]


def test_a_measured_reference_amount_needs_a_weight():
    result, codes = serving(250.0, None, "dessert_toppings", serving=Quantity("38 g", "mass", grams=38.0))
    assert (result.household, result.metric) == ("2 tbsp", "38g") and not codes
    assert "not-ready-serving-measure" in serving(250.0, None, "dessert_toppings")[1]


def test_without_a_category_one_piece_and_a_hint():
    result, findings = declare_serving(
        US, product(pieces=12, name="Fudge squares"), profile(amounts(240), 12)
    )
    assert result.household == "1 cookie" and [(f.code, f.severity) for f in findings] == [
        ("not-ready-serving-category", "warn")
    ]
    assert "candies" in findings[0].message
    assert likely_categories(US, product(name="Cheesecake"))[0] == "cake_heavy"


@pytest.mark.parametrize(
    "category, severity, near", [("cokies", "block", "cookies"), ("dry_breads", "warn", "bread")]
)
def test_a_category_no_market_knows_stops_the_label(category, severity, near):
    """The panel would rest on another serving than its maker chose; dry_breads is a row of Canada's table
    alone.
    """
    _, findings = declare_serving(US, product(pieces=12, category=category), profile(amounts(240), 12))
    (f,) = [f for f in findings if f.code.endswith("serving-category")]
    assert f.severity == severity and near in f.message.split("likely ")[1]


@pytest.mark.parametrize(
    "key, grams",
    # rows of 101.12(b) table 2 whose 2015 and current values agree, typed a second time
    [
        ("cookies", 30),
        ("brownies", 40),
        ("bread", 50),
        ("cake_heavy", 125),
        ("cake_medium", 80),
        ("cake_light", 55),
        ("pies", 125),
        ("crackers", 15),
        ("waffles", 85),
        ("nuts", 30),
        ("marshmallows", 30),
    ],
)
def test_reference_amounts(key, grams):
    assert US.entry(ReferenceAmount, key).amount == grams


@pytest.mark.parametrize(
    "piece, held, household, metric, line",
    [
        # a product's serving in a variety pack comes from its own reference amount, 101.9(b)(4); five
        # caramels are no package
        (8.4, 5, "4 cookies", "34g", "about 1 serving per container"),
        (23.0, 1, "1 cookie", "23g", "1 serving per container"),
        # the box holds less than a serving
        (8.4, 2, "2 cookies", "17g", "1 serving per container"),
        (25.0, 8, "1 cookie", "25g", "8 servings per container"),
    ],
)
def test_pieces_in_a_box_are_no_package(piece, held, household, metric, line):
    found, _ = serving(piece * held, held, boxed=True)
    assert (found.household, found.metric, found.per_container, found.extra) == (
        household,
        metric,
        line,
        (),
    )


def test_a_pack_sold_by_itself_is_one_serving_below_two_reference_amounts():
    """101.9(b)(6): the same five caramels, packed and sold by themselves."""
    found, _ = serving(42.0, 5)
    assert found.household == "1 package" and found.per_container == ""
