"""Which declared figures could flip, and what to measure to settle them."""

import json

import pytest

from labelgen.cli import main
from tests.kitchens import write

SHEET = (
    "trans fat: 0 g, cholesterol: 0 mg, sodium: 0 mg, fibre: 0 g, added sugars: 0 g, vitamin d: 0 mcg,"
    " calcium: 0 mg, iron: 0 mg, potassium: 0 mg"
)


def rows_of(folder, capsys, market="us"):
    main(["panel", "p", "--kitchen", str(folder), "--market", market, "--json"])
    return {r["key"]: r for r in json.loads(capsys.readouterr().out)["rows"]}


def kitchen(folder, a_fat, b_fat, grams_a=60, grams_b=40):
    """Two ingredients whose fat is known so well, all else exactly; ten pieces of 10 g."""
    sheet = (
        "{{contains: [], per: 100 g, nutrients: {{energy: 0 kcal, fat: {}, saturated fat: 0 g,"
        " carbohydrate: 0 g, sugars: 0 g, protein: 0 g, " + SHEET + "}}}}"
    )
    write(
        folder,
        f"a: {sheet.format(a_fat)}\nb: {sheet.format(b_fat)}\n",
        f"formulations:\n  d: {{ingredients: [{grams_a} g a, {grams_b} g b], makes: 10}}\nproducts:\n  p:"
        " {of: d}\n",
    )
    return folder


def test_a_figure_well_inside_its_step_is_robust(tmp_path, capsys):
    """6 g of a at 48-52 % and 4 g of b at 50 %: 4.88 to 5.12 g prints as 5g throughout, 21 CFR
    101.9(c)(2).
    """
    rows = rows_of(kitchen(tmp_path, "50 ± 2 g", "50 g"), capsys)
    assert rows["total_fat"]["declared"] == "5g" and rows["total_fat"]["low"] == pytest.approx(4.88)
    # 4.88/78 and 5.12/78 are 6.3 and 6.6 percent: the percentage flips, so the row does
    assert not rows["total_fat"]["robust"] and rows["total_fat"]["could_print"] == ["5g", "5g"]
    assert rows["protein"]["robust"] and rows["protein"]["measure"] == []
    assert rows_of(kitchen(tmp_path, "50 ± 0.5 g", "50 g"), capsys)["total_fat"]["robust"]


def test_the_widest_share_is_measured_first(tmp_path, capsys):
    """Widths 4 g x 60 and 10 g x 40 per 100 g: 37.5 and 62.5 percent of the doubt. With b known, 4.38 to
    4.62 g is 4.5g and 6 % whatever a is.
    """
    rows = rows_of(kitchen(tmp_path, "45 ± 2 g", "45 ± 5 g"), capsys)
    assert rows["total_fat"]["declared"] == "4.5g" and rows["total_fat"]["could_print"] == ["4g", "5g"]
    assert rows["total_fat"]["measure"] == [{"ingredient": "b", "share": 0.625}]


def test_all_that_is_needed_is_named(tmp_path, capsys):
    """At 47.5 g a serving holds 4.75 g, right on a boundary: only both settle it."""
    rows = rows_of(kitchen(tmp_path, "47.5 ± 2 g", "47.5 ± 5 g"), capsys)
    assert [m["ingredient"] for m in rows["total_fat"]["measure"]] == ["b", "a"]


def test_an_unbounded_unknown_comes_first(tmp_path, capsys):
    write(
        tmp_path,
        "a: {food: usda/20081}\nb: {contains: [], per: 100 g, nutrients: {fat: 1 g}}\n",
        "formulations:\n  d: {ingredients: [60 g a, 40 g b], makes: 10}\nproducts:\n  p: {of: d}\n",
    )
    sodium = rows_of(tmp_path, capsys)["sodium"]
    assert sodium["measure"] == [{"ingredient": "b", "share": 1.0}] and sodium["could_print"][1] == ""


def test_energy_is_shared_out_by_the_method_of_the_whole_product(tmp_path, capsys):
    """Erythritol calls for the method of 101.9(c)(1)(i)(C), in which almonds of unknown soluble fibre
    leave the doubt.
    """
    write(
        tmp_path,
        "almonds: {food: usda/12061}\nsweet: {food: pure/erythritol}\n",
        "formulations:\n  d: {ingredients: [60 g almonds, 40 g sweet], makes: 1}\nproducts:\n  p: {of: d}\n",
    )
    calories = rows_of(tmp_path, capsys)["calories"]
    assert not calories["robust"] and calories["measure"] == [{"ingredient": "almonds", "share": 1.0}]


def test_an_estimated_loss_is_weighed(tmp_path, capsys):
    """Sold by net weight, the loss of 10 to 30 % decides how much goes into a pack."""
    write(
        tmp_path,
        "a: {food: usda/20081}\nw: {food: usda/14411}\n",
        "formulations:\n  d: {ingredients: [60 g a, 40 g w], bake: {loss: 10-30 %}}\nproducts:\n  p: {of:"
        " d, net: 80 g}\n",
    )
    carbohydrate = rows_of(tmp_path, capsys)["total_carbohydrate"]
    assert not carbohydrate["robust"] and carbohydrate["weigh"] == ["d"]


def test_the_terminal_says_what_to_measure(tmp_path, capsys):
    kitchen(tmp_path, "45 ± 2 g", "45 ± 5 g")
    main(["panel", "p", "--kitchen", str(tmp_path)])
    out = capsys.readouterr().out
    assert "4.5g ?" in out and "Total Fat (4g to 5g)" in out and "measure b" in out
