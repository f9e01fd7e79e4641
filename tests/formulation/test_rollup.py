"""The roll-up against official recipes, a worked example, and laws of arithmetic that hold for every
kitchen.
"""

import json
from pathlib import Path

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from labelgen.chain import roll_up_folder
from labelgen.nutrients import INDEX
from tests.kitchens import write

CASES = json.loads((Path(__file__).parents[1] / "vectors" / "recipe_rollup_cases.json").read_text())
#: Half the last published digit, plus a tenth of that digit for ties.
TOLERANCE = {"FASAT_g": 0.00055, "FIBTG_g": 0.055, "VITD_ug": 0.055} | dict.fromkeys(
    ("ENERC_kcal", "CHOLE_mg", "NA_mg", "K_mg", "CA_mg", "MG_mg", "P_mg"), 0.55
)
PAIR = "a: {food: usda/20081}\nb: {food: usda/19335}\n"


def profile_of(folder, key="p"):
    rolled = roll_up_folder(folder)
    assert key in rolled.profiles, [f.message for f in rolled.findings]
    return rolled.profiles[key]


@pytest.mark.parametrize("case", CASES, ids=[c["name"] for c in CASES])
def test_official_recipes(case, tmp_path):
    """USDA Food and Nutrient Database for Dietary Studies 2015-2016: ingredients, moisture change, published
    result.

    How to read a case: ``ingredients`` are SR foods by NDB number with grams; the batch loses
    ``moisture_change_pct`` of its raw weight as water; ``compare_keys`` are the nutrients whose ingredient
    values did not change between the releases; the tolerance is half the last digit USDA published.
    """
    raw = sum(i["grams"] for i in case["ingredients"])
    after = raw * (1 + case["moisture_change_pct"] / 100)
    bake = f", bake: {{before: {raw:.6f} g, after: {after:.6f} g}}" if case["moisture_change_pct"] else ""
    ids = sorted({i["sr_id"] for i in case["ingredients"]})
    lines = ", ".join(f"{i['grams']} g i{i['sr_id']}" for i in case["ingredients"])
    write(
        tmp_path,
        "".join(f"i{n}: {{food: usda/{n}}}\n" for n in ids),
        f"formulations:\n  all: {{ingredients: [{lines}]{bake}}}\nproducts:\n  p: {{of: all}}\n",
    )
    amounts = profile_of(tmp_path).per_100g
    for key in case["compare_keys"]:
        assert amounts.get(key.split("_")[0])[1] == pytest.approx(
            case["published_per_100g"][key], abs=TOLERANCE.get(key, 0.0055)
        ), key


def test_worked_example_with_a_retention_factor(tmp_path):
    """Mixed method (yield by recipe, retention by ingredient), worked by hand on an invented composition.

    300 g A (a flour: protein 10, fat 1, water 12 g, sodium 2 mg, thiamin 0.5 mg, of which baking leaves 80
    %), 200 g water, 50 g C (fat 80, water 16 g, sodium 600 mg): 550 g raw, 480 g baked. Protein 30.0/480 =
    6.25 g; fat (3 + 40)/480 = 8.958 g; sodium (6 + 300)/480 = 63.75 mg; water (36 + 200 + 8 - 70)/480 = 36.25
    g; thiamin 1.5 x 0.80/480 = 0.25 mg per 100 g.
    """
    ingredients = (
        "a: {food: usda/20081, per: 100 g, nutrients: {protein: 10 g, fat: 1 g, carbohydrate: 76 g, water:"
        " 12 g, sodium: 2 mg, thiamin: 0.5 mg}}\nw: {per: 100 g, contains: [], nutrients: {protein: 0 g,"
        " fat: 0 g, water: 100 g, sodium: 0 mg, thiamin: 0 mg}}\nc: {per: 100 g, contains: [], nutrients:"
        " {protein: 0 g, fat: 80 g, water: 16 g, sodium: 600 mg, thiamin: 0 mg}}\n"
    )
    write(
        tmp_path,
        ingredients,
        "formulations:\n  d: {ingredients: [300 g a, 200 g w, 50 g c], bake: {before: 550 g, after: 480"
        " g}}\nproducts:\n  p: {of: d}\n",
    )
    per = profile_of(tmp_path).per_100g
    assert [round(per.get(k)[1], 3) for k in ("PROCNT", "FAT", "NA", "WATER", "THIA")] == [
        6.25,
        8.958,
        63.75,
        36.25,
        0.25,
    ]


def test_retention_is_applied_by_heating_method_and_can_be_switched_off(tmp_path):
    """USDA Retention Factors Release 6, code 0301 FLOUR/MEAL,BAKED keeps 80 % of thiamin and all of the
    iron.
    """
    recipes = (
        "formulations:\n  d: {ingredients: [100 g a], bake: {before: 100 g, after: 95 g}}\nproducts:\n  p:"
        " {of: d}\n"
    )
    write(tmp_path, PAIR, recipes)
    kept = profile_of(tmp_path)
    write(tmp_path, PAIR, recipes, "markets: [us]\nretention: false\n")
    whole = profile_of(tmp_path)
    assert kept.pack.get("THIA")[1] == pytest.approx(0.8 * whole.pack.get("THIA")[1])
    assert kept.pack.get("FE")[1] == whole.pack.get("FE")[1]
    assert "0301" in kept.ingoing[0].retained and not whole.ingoing[0].retained


def test_a_loss_above_the_water_present_is_refused_with_both_figures(tmp_path):
    write(
        tmp_path,
        PAIR,
        "formulations:\n  d: {ingredients: [100 g b], bake: {before: 100 g, after: 90 g}}\nproducts:\n  p:"
        " {of: d}\n",
    )
    (finding,) = [f for f in roll_up_folder(tmp_path).findings if f.blocks]
    assert (
        finding.code == "loss-above-water"
        and "10.0 g" in finding.message
        and "0.0 g of water" in finding.message
    )


def test_a_count_takes_the_portion_that_says_just_that(tmp_path):
    """USDA 01123: one large egg is 50 g, one extra large 56 g."""
    write(
        tmp_path,
        "egg: {food: usda/01123}\n",
        "formulations:\n  d: {ingredients: [2 large egg, 1 extra large egg]}\nproducts:\n  p: {of: d}\n",
    )
    assert [i.grams for i in profile_of(tmp_path).ingoing] == [100.0, 56.0]


def test_unknown_is_not_zero(tmp_path):
    """One ingredient states no sodium: the sum says how much of the mass it does not cover, and has no
    upper bound.
    """
    write(
        tmp_path,
        "a: {food: usda/20081}\nx: {per: 100 g, contains: [], nutrients: {fat: 1 g}}\n",
        "formulations:\n  d: {ingredients: [60 g a, 40 g x]}\nproducts:\n  p: {of: d}\n",
    )
    pack = profile_of(tmp_path).pack
    assert pack.coverage("NA") == pytest.approx(0.6)
    assert pack.get("NA")[1] == pytest.approx(1.2) and pack.get("NA")[2] == float("inf")


grams = st.floats(1, 5000).map(lambda x: round(x, 2))


@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    a=grams,
    b=grams,
    loss=st.floats(0, 0.05).map(lambda x: round(x, 4)),
    part=st.floats(0.05, 0.95).map(lambda x: round(x, 3)),
    left=st.integers(0, 20),
)
def test_arithmetic_of_any_kitchen(tmp_path, a, b, loss, part, left):
    """Inputs - losses = output; low <= value <= high; nesting changes nothing; nutrients are linear in the
    amounts.
    """
    raw = a + b
    after = raw * (1 - loss * a / raw)
    cook = f"bake: {{before: {raw} g, after: {after} g}}, left: {left} %"
    write(
        tmp_path,
        PAIR,
        f"formulations:\n  f: {{ingredients: [{a} g a, {b} g b], {cook}}}\nproducts:\n  p: {{of: f}}\n",
    )
    flat = profile_of(tmp_path)
    for stage in flat.stages:
        assert (
            stage.input - stage.left - stage.water_loss - stage.alcohol_loss + stage.fat_change
            == pytest.approx(stage.output)
        )
    known = ~np.isnan(flat.pack.value)
    assert (flat.pack.low[known] <= flat.pack.value[known] + 1e-9).all() and (
        flat.pack.value[known] <= flat.pack.high[known] + 1e-9
    ).all()
    nested = (
        f"formulations:\n  one: {{ingredients: [{a * part} g a]}}\n  two: {{ingredients: [{a * part} g one,"
        f" {a - a * part} g a]}}\n  f: {{ingredients: [{a} g two, {b} g b], {cook}}}\nproducts:\n  p: {{of:"
        " f}\n"
    )
    write(tmp_path, PAIR, nested)
    np.testing.assert_allclose(
        profile_of(tmp_path).pack.value[known], flat.pack.value[known], rtol=1e-6, atol=1e-9
    )
    double = (
        f"formulations:\n  f: {{ingredients: [{2 * a} g a, {2 * b} g b], bake: {{before: {2 * raw} g,"
        f" after: {2 * after} g}}, left: {left} %}}\nproducts:\n  p: {{of: f}}\n"
    )
    write(tmp_path, PAIR, double)
    np.testing.assert_allclose(
        profile_of(tmp_path).pack.value[known], 2 * flat.pack.value[known], rtol=1e-6, atol=1e-9
    )


def test_a_doubt_about_a_shared_formulation_is_told_with_every_product(tmp_path):
    write(
        tmp_path,
        PAIR,
        "formulations:\n  base: {ingredients: [90 g a, 10 g b], bake: {loss: 5 %}}\n  one: {ingredients:"
        " [50 g base]}\n  two: {ingredients: [20 g base]}\nproducts:\n  p: {of: one}\n  q: {of: two}\n",
    )
    profiles = roll_up_folder(tmp_path).profiles
    assert all("loss-estimated" in {f.code for f in profiles[key].findings} for key in "pq")


def test_products_rolled_up_together_are_as_those_alone(tmp_path):
    """Recipes of different lengths share one product of arrays; the trail of each adds up to its pack."""
    recipes = (
        "formulations:\n  s: {ingredients: [3 g b]}\n  l: {ingredients: [90 g a, 10 g b, 40 g s, 7 g a],"
        " bake: {before: 147 g, after: 145 g}}\n"
    )
    write(tmp_path, PAIR, recipes + "products:\n  p: {of: l}\n  q: {of: s}\n")
    together = roll_up_folder(tmp_path).profiles
    for key, of in (("p", "l"), ("q", "s")):
        write(tmp_path, PAIR, recipes + f"products:\n  {key}: {{of: {of}}}\n")
        alone = profile_of(tmp_path, key)
        np.testing.assert_array_equal(together[key].pack.value, alone.pack.value)
        for end in ("low", "value", "high"):
            parts = sum(np.nan_to_num(getattr(i.amounts, end), posinf=0) for i in together[key].ingoing)
            whole = np.nan_to_num(getattr(together[key].pack, end), posinf=0)
            dry = [
                i
                for k, i in INDEX.items()
                if k != "WATER" and np.isfinite(getattr(together[key].pack, end)[i])
            ]
            np.testing.assert_allclose(parts[dry], whole[dry], rtol=1e-9, atol=1e-12)


CREAM = "a: {food: usda/20081}\nc: {food: usda/01053}\nw: {food: usda/14411}\n"


def test_a_mass_of_something_of_unsure_weight_brings_more_the_lighter_it_is(tmp_path):
    """100 g cream boiled down by 10 to 20 %: 9 g of it hold the fat of 9/90 to 9/80 of the batch; a count
    takes its share, whatever it weighs.
    """
    recipes = (
        "formulations:\n  s: {ingredients: [100 g c], makes: 10, boil: {loss: 10-20 %}}\n  by-mass:"
        " {ingredients: [9 g s, 10 g a], left: 5 %}\n  by-count: {ingredients: [1 piece s, 10 g"
        " a]}\nproducts:\n  p: {of: by-mass}\n  q: {of: by-count}\n"
    )
    write(tmp_path, CREAM, recipes)
    cream, flour = 36.08, 0.98  # g of fat in 100 g: USDA 01053 (later release), 20081
    expected = [0.95 * (cream * 9 / out + flour * 10 / 100) for out in (90, 85, 80)]
    assert profile_of(tmp_path).pack.get("FAT") == pytest.approx(expected)
    low, value, high = profile_of(tmp_path, "q").pack.get("FAT")
    assert low == value == high == pytest.approx(cream / 10 + flour / 10)


@pytest.mark.parametrize(
    "boil",
    [
        "loss: 90 %",
        "loss: 60 %",
        "loss: 85-94 %",
        "loss: 90 %, loses: everything",
        "loss: 99 %, loses: everything",
    ],
)
def test_bounds_of_what_is_boiled_down_far_hold_its_figures(tmp_path, boil):
    """100 g cream and 900 g water hold 42 g that is not water: no lighter can it get."""
    write(
        tmp_path,
        CREAM,
        f"formulations:\n  s: {{ingredients: [100 g c, 900 g w], boil: {{{boil}}}}}\n  f: {{ingredients: [5"
        " g s, 10 g a]}\nproducts:\n  p: {of: s, net: 5 g}\n  q: {of: f}\n",
    )
    for key in "pq":
        pack = profile_of(tmp_path, key).pack
        for tag in ("FAT", "PROCNT", "CHOCDF", "ENERC"):
            low, value, high = pack.get(tag)
            assert 0 < low < value < high, tag
        if "everything" not in boil:
            assert pack.get("FAT")[2] <= pack.grams * 36.08 / 42


def test_a_loss_that_may_leave_nothing_is_refused(tmp_path):
    write(
        tmp_path,
        CREAM,
        "formulations:\n  s: {ingredients: [100 g w], boil: {loss: 99-100 %}}\nproducts:\n  p: {of: s, net:"
        " 1 g}\n",
    )
    assert any("leaves nothing" in f.message for f in roll_up_folder(tmp_path).findings)


def test_a_gram_of_pieces_whose_loss_is_estimated_is_in_doubt_and_a_piece_is_not(tmp_path):
    """100 g cream in 10 pieces, boiled down by 10 to 20 %: a piece holds a tenth of the fat, 100 g what is
    in 100 of 80 to 90 g.
    """
    write(
        tmp_path,
        CREAM,
        "formulations:\n  s: {ingredients: [100 g c], makes: 10, boil: {loss: 10-20 %}}\nproducts:\n  p:"
        " {of: s, pieces: 4}\n",
    )
    profile = profile_of(tmp_path)
    assert profile.per_piece.get("FAT") == pytest.approx((3.608, 3.608, 3.608))
    assert profile.per_100g.get("FAT") == pytest.approx([100 * 36.08 / out for out in (90, 85, 80)])


def table_figures(folder, food):
    write(
        folder,
        f"x: {{food: usda/{food}}}\n",
        "formulations:\n  d: {ingredients: [100 g x]}\nproducts:\n  p: {of: d}\n",
    )
    return profile_of(folder).pack


def test_a_crust_of_the_table_baked_is_the_baked_crust_of_the_table(tmp_path):
    """USDA SR24 has a pie crust "prepared from recipe" both unbaked (18402) and baked (18336): taken to
    the water of the latter, the former is the latter, to what USDA rounded.
    """
    baked = table_figures(tmp_path, "18336")
    dry = (100 - 19.7) / (100 - 9.8)  # water of 18402 and 18336
    write(
        tmp_path,
        "x: {food: usda/18402}\n",
        f"formulations:\n  d: {{ingredients: [1000 g x], bake: {{before: 1000 g, after: {1000 * dry:.4f}"
        " g}}\nproducts:\n  p: {of: d}\n",
    )
    ours = profile_of(tmp_path).per_100g
    # not fibre: 3.4 g unbaked and 1.7 g baked cannot both be true
    for key in ("ENERC", "PROCNT", "FAT", "CHOCDF", "NA", "FE", "WATER"):
        assert ours.get(key)[1] == pytest.approx(baked.get(key)[1], rel=0.015, abs=0.06), key


def test_a_crust_of_the_table_is_what_its_ingredients_make(tmp_path):
    """USDA SR24 18402 from flour, shortening, water and salt: its protein, fat and sodium say how much of
    each went in (none of the 100 g is left over), and the other figures follow.
    """
    crust = table_figures(tmp_path, "18402")
    foods = {n: table_figures(tmp_path / n, n) for n in ("20081", "04615", "02047")}

    def per_gram(food, key):
        return foods[food].get(key)[1] / 100

    flour = crust.get("PROCNT")[1] / per_gram("20081", "PROCNT")
    shortening = (crust.get("FAT")[1] - flour * per_gram("20081", "FAT")) / per_gram("04615", "FAT")
    salt = (crust.get("NA")[1] - flour * per_gram("20081", "NA")) / per_gram("02047", "NA")
    water = 100 - flour - shortening - salt
    lines = f"{flour:.4f} g f, {shortening:.4f} g s, {salt:.4f} g n, {water:.4f} g w"
    write(
        tmp_path,
        "f: {food: usda/20081}\ns: {food: usda/04615}\nn: {food: usda/02047}\nw: {food: usda/14411}\n",
        f"formulations:\n  d: {{ingredients: [{lines}]}}\nproducts:\n  p: {{of: d}}\n",
    )
    ours = profile_of(tmp_path).per_100g
    for key, share in (("ENERC", 0.02), ("CHOCDF", 0.02), ("WATER", 0.04), ("FE", 0.05), ("K", 0.1)):
        assert ours.get(key)[1] == pytest.approx(crust.get(key)[1], rel=share), key
