"""Foods that a packet names and nothing more, and what lists tell of figures that panels leave open."""

from datetime import date

import pytest

from labelgen.composition.dataset import open_dataset
from labelgen.composition.plain_foods import plain_food
from labelgen.composition.resolve import resolve_ingredient
from labelgen.composition.text.lexicon import find_allergens
from labelgen.paths import read_rows
from labelgen.recipe.models import IngredientSpec
from labelgen.recipe.printed import panel
from labelgen.recipe.yamlfile import Source

DAY = date(2026, 12, 1)


def panel_of(market, serving, **rows):
    typed = {"market": market, "serving": serving, **{k.replace("_", " "): v for k, v in rows.items()}}
    return panel(Source("packets.yaml"), (), typed, market)


def resolved(**fields):
    return resolve_ingredient(IngredientSpec(name="it", **fields), open_dataset(), DAY)


@pytest.mark.parametrize(
    ("printed", "statement", "food"),
    [
        ("Fine sea salt", "", "usda/02047"),
        ("Zucker", "", "usda/19335"),
        ("sucre", "", "usda/19335"),
        ("sugar", "cane sugar", "usda/19335"),
        ("honey / miel", "", "usda/19296"),
        ("salt", "salt, anti-caking agent (E535)", ""),
        ("sugar", "sugar, milk powder", ""),
        ("chocolate", "", ""),
        ("", "", ""),
    ],
)
def test_a_food_without_ingredients_is_known_by_its_whole_printed_name(printed, statement, food):
    assert plain_food(IngredientSpec(name="salt", print_name=printed, statement=statement)) == food


def test_no_food_taken_by_its_name_may_bring_an_allergen():
    rows = [r for r in read_rows("composition", "plain_foods.csv") if r["gives"] == "all"]
    names = [name for row in rows for name in row["names"].split(";")]
    assert names and not [n for n in names if find_allergens(n, kind="name").contains]


def test_what_the_packet_of_salt_leaves_out_is_that_of_salt_and_what_it_states_stays():
    # 590 mg in 1.5 g (21 CFR 101.9(c)(4): to the nearest 10 mg above 140 mg): 39.0 to 39.7 g in 100 g
    made = resolved(print_name="sea salt", panel=panel_of("us", "1.5 g", sodium="590 mg", calories="0"))
    assert made.composition.get("CHOLE")[1] == 0 and made.composition.get("FAT")[1] == 0
    assert made.composition.get("NA")[0] > 37000 and made.disclosed
    assert "food-taken" in {f.code for f in made.findings}


def test_what_is_no_plain_food_lacks_what_nobody_states():
    panel = panel_of("us", "15 g", calories="70", sodium="60 mg")
    made = resolved(print_name="butter biscuit crumb", panel=panel)
    assert made.composition.get("CHOLE")[1] != made.composition.get("CHOLE")[1] and not made.disclosed


@pytest.mark.parametrize(
    ("statement", "none"),
    [
        ("wheat flour, niacin, reduced iron, riboflavin, folic acid", True),
        ("milk, vitamin d3", True),
        ("wheat flour, sugar", False),
        ("wheat flour, honey", False),
        ("wheat flour, chocolate", False),
        ("wheat flour, zqxvb wlkrt", False),
        ("", False),
    ],
)
def test_sugars_are_not_added_where_the_whole_list_was_read_and_names_none(statement, none):
    made = resolved(print_name="it", statement=statement, panel=panel_of("us", "30 g", total_sugars="1 g"))
    assert (made.composition.get("SUGAD")[1] == 0) is none


@pytest.mark.parametrize(
    ("statement", "maltitol"),
    [
        ("cocoa mass, maltitol, cocoa butter", True),
        ("Kakaomasse, Maltit, Kakaobutter", True),
        ("cocoa mass, maltitol, sorbitol, cocoa butter", False),
        ("cocoa mass, maltitol syrup, cocoa butter", False),
        ("cocoa mass, cocoa butter", False),
    ],
)
def test_a_sum_of_polyols_is_the_one_polyol_that_the_list_names(statement, maltitol):
    panel = panel_of("us", "15 g", total_carbohydrate="9 g", sugar_alcohol="7 g")
    made = resolved(print_name="chips", statement=statement, panel=panel)
    low, value, _ = made.composition.get("MALTITOL")
    # 6.5 to 7.5 g in a serving of 14.5 to 15.5 g
    assert (40 < low < value < 52) if maltitol else value != value


def test_an_older_panel_is_read_by_the_daily_values_it_was_printed_by():
    # 30 % of 1,000 mg, and not of today's 1,300 mg
    older = resolved(print_name="it", panel=panel_of("us", "240 g", fat="8 g 12%", calcium="30%"))
    newer = resolved(print_name="it", panel=panel_of("us", "240 g", fat="8 g 10%", calcium="30%"))
    low, _, high = older.composition.get("CA")
    assert low < 125 < high and high < 140
    assert newer.composition.get("CA")[0] > 140
