"""The statement of ingredients of Standard 1.2.4 and the required names of Schedule 9."""

from datetime import date

import pytest

from labelgen.law.pack import read_pack
from labelgen.market.allergens.declaration import declare_allergens
from labelgen.market.statement.ingredients import declare_ingredients
from tests.market.foods import amounts, kitchen, line, product, profile

ON = date(2026, 12, 1)
BOTH = pytest.mark.parametrize("market", ["au", "nz"])


def printed(market, *lines, finished=None, asked=None, **parts):
    food = profile(amounts(finished or sum(i.grams for i in lines)), lines=lines)
    runs, _, _ = declare_ingredients(
        read_pack(market, ON), food, kitchen(**parts), asked or product(name="Hill thing"), 30.0
    )
    hits = [h for i in lines for h in i.ingredient.contains]
    contains = declare_allergens(market, ON, hits, [])
    return "".join(f"*{r.text}*" if r.bold else r.text for r in runs[1:]), "".join(
        r.text for r in contains.runs
    )


@BOTH
@pytest.mark.parametrize(
    "name, codes, listed, summary",
    [
        # Schedule 9: spelt counts as wheat; wheat is named with gluten, the other cereals in the summary as
        # gluten alone
        ("spelt flour", ["gluten/spelt", "wheat"], "spelt flour (*wheat*)", "wheat, gluten"),
        ("plain flour", ["wheat", "gluten/wheat"], "plain flour (*wheat*)", "wheat, gluten"),
        ("barley malt", ["gluten/barley"], "*barley* malt", "gluten"),
        ("rolled oats", ["gluten/oats"], "rolled *oats*", "gluten"),
        ("rye meal", ["gluten/rye"], "*rye* meal", "gluten"),
        # every tree nut by its own name; never "nuts"
        ("frangipane", ["tree_nut/almond"], "frangipane (*almond*)", "almond"),
        (
            "praline",
            ["tree_nut/hazelnut", "tree_nut/pecan"],
            "praline (*hazelnut*, *pecan*)",
            "hazelnut, pecan",
        ),
        ("tahini", ["sesame"], "tahini (*sesame*)", "sesame"),
        ("tofu", ["soy"], "tofu (*soy*)", "soy"),
        ("cream", ["milk"], "cream (*milk*)", "milk"),
        ("milk powder", ["milk"], "*milk* powder", "milk"),
        ("lupin flour", ["lupin"], "*lupin* flour", "lupin"),
        ("dried apricots", ["sulphite"], "dried apricots (*sulphites*)", "sulphites"),
        # not among the listed substances
        ("celery salt", ["celery"], "celery salt", ""),
        ("coconut", ["tree_nut/coconut"], "coconut", ""),
    ],
)
def test_required_names(market, name, codes, listed, summary):
    statement, contains = printed(
        market, line("thing", 60, print_name=name, contains=codes), line("sugar", 40)
    )
    assert statement == f"{listed}, sugar." and contains == (f"Contains: {summary}." if summary else "")


@BOTH
def test_the_name_is_repeated_for_every_ingredient(market):
    """A separate word for each ingredient that is or contains the substance."""
    statement, contains = printed(
        market,
        line("butter", 50, contains=["milk"]),
        line("cream", 30, contains=["milk"]),
        line("milk powder", 20, contains=["milk"]),
    )
    assert statement == "butter (*milk*), cream (*milk*), *milk* powder." and contains == "Contains: milk."


@BOTH
@pytest.mark.parametrize(
    "name, supplier, listed",
    [
        # class and code number, Schedules 7 and 8 (numbers of the Codex, from memory)
        ("baking soda", "", "raising agent (500)"),
        ("xanthan gum", "", "thickener (415)"),
        ("citric acid", "", "acidity regulator (330)"),
        ("annatto", "", "colour (160b)"),
        ("red mix", "colours (E129, E102)", "red mix (colours (129, 102))"),
        (
            "improver",
            "emulsifier (E472e), flour treatment agent (ascorbic acid)",
            "improver (emulsifier (472e), flour treatment agent (300))",
        ),
        # the source of an allergen must stay in sight, the name of a sweetener stays too, and a class as a
        # name takes the Code's word
        ("soy lecithin", "", "emulsifier (soy lecithin)"),
        ("erythritol", "", "sweetener (erythritol)"),
        ("color", "beet juice concentrate", "colour (beet juice concentrate)"),
        # vitamins in flour are no colours
        (
            "plain flour",
            "wheat, niacin, riboflavin, folic acid",
            "plain flour (wheat, niacin, riboflavin, folic acid)",
        ),
    ],
)
def test_additives(market, name, supplier, listed):
    statement, _ = printed(
        market, line("thing", 60, print_name=name), line("sugar", 40), specs=[("thing", supplier)]
    )
    assert statement == f"{listed}, sugar."


@BOTH
def test_neighbours_of_one_class_share_its_name(market):
    statement, _ = printed(
        market,
        line("flour", 90),
        line("soda", 3, print_name="baking soda"),
        line("sapp", 2, print_name="sodium acid pyrophosphate"),
    )
    assert statement == "flour, raising agents (500, 450)."


@BOTH
def test_order_is_by_weight_as_added_and_nothing_stands_in_a_tail(market):
    """1.2.4-5: descending ingoing weight; 40 g of a wet fruit baked to less still stands before 39 g of
    sugar.
    """
    statement, _ = printed(
        market,
        line("flour", 100),
        line("sugar", 39),
        line("apple", 40, water=85),
        line("salt", 1),
        line("cloves", 0.5),
        finished=150,
    )
    assert statement == "flour, apple, sugar, salt, cloves."


@BOTH
def test_small_and_large_shares_round_differently(market):
    """Nearest half below 5 %, else the nearest whole: 4.3 of 100 g is 4.5 %, 4.2 is 4 %, 5.4 is 5 %."""
    for grams, text in ((4.3, "4.5%"), (4.2, "4%"), (5.4, "5%"), (5.5, "6%")):
        statement, _ = printed(
            market, line("honey", grams), line("oats", 100 - grams), asked=product(name="Honey bar")
        )
        assert f"honey ({text})" in statement


SAUCE = [("sauce", "tomato, sugar, milk powder, thickener (1422)")]


@BOTH
@pytest.mark.parametrize(
    "grams, finished, listed",
    [
        (4.9, 100, "sauce (*milk* powder, thickener (1422))"),
        (5.0, 100, "sauce (tomato, sugar, *milk* powder, thickener (1422))"),
        (4.9, 98, "sauce (tomato, sugar, *milk* powder, thickener (1422))"),
    ],
)
def test_a_small_compound_may_tell_its_allergens_and_additives_only(market, grams, finished, listed):
    """1.2.4-5(5)-(8): below 5 % of the food; 4.9 g are 5 % of the 98 g that leave the oven."""
    lines = [line("flour", 100 - grams), line("sauce", grams, print_name="sauce", contains=["milk"])]
    statement, _ = printed(
        market, *lines, finished=finished, specs=SAUCE, asked=product(name="Hill thing", compounds="short")
    )
    assert statement == f"flour, {listed}."
    whole, _ = printed(market, *lines, finished=finished, specs=SAUCE)
    assert whole == "flour, sauce (tomato, sugar, *milk* powder, thickener (1422))."


@BOTH
@pytest.mark.parametrize(
    "finished, listed",
    [
        (99, "flour, sugar."),
        (100, "flour, sugar."),
        (101, "flour, sugar, water."),
        (130, "flour, water, sugar."),
    ],
)
def test_added_water_counts_by_what_is_left_of_it(market, finished, listed):
    """1.2.4-3(2): 95 g of all else leave 5 of 100 g, which is 5 %, unlisted; of 101 g 6 g, of 130 g 35 g,
    more than the sugar.
    """
    lines = [line("flour", 61), line("sugar", 34), line("water", 60, water=100)]
    assert printed(market, *lines, finished=finished)[0] == listed
