"""Ratios of a product, worked by hand; general energy factors of CODEX CXG 2-1985: fat 9, protein 4,
carbohydrate 4, alcohol 7 kcal/g.
"""

import pytest

from labelgen.chain import roll_up_folder
from labelgen.formulation.ratios import ratios
from tests.kitchens import write

STATED = (
    "a: {per: 100 g, contains: [], nutrients: {fat: 40 g, protein: 10 g, carbohydrate: 30 g, fibre: 12 g,"
    " polyols: 8 g}}\n"
)


def of(folder, ingredients, lines="100 g a"):
    write(folder, ingredients, f"formulations:\n  f: {{ingredients: [{lines}]}}\nproducts:\n  p: {{of: f}}\n")
    return ratios(roll_up_folder(folder).profiles["p"].per_100g)


def test_worked_by_hand(tmp_path):
    """Net 30 - 12 - 8 = 10 g; 40 : (10 + 10) = 2; energy 360 + 40 + 40 = 440 kcal."""
    got = of(tmp_path, STATED)
    assert got["net_carbohydrate_g"] == pytest.approx(10) and got[
        "net_carbohydrate_with_polyols_g"
    ] == pytest.approx(18)
    assert got["fat_to_protein_and_net_carbohydrate"] == pytest.approx(2)
    assert [
        got[f"energy_share_{k}"] for k in ("fat", "protein", "net_carbohydrate", "alcohol")
    ] == pytest.approx([360 / 440, 40 / 440, 40 / 440, 0])


def test_alcohol_has_its_share(tmp_path):
    """USDA 14037, 80 proof: 33.4 g of alcohol and nothing else with energy."""
    assert of(tmp_path, "a: {food: usda/14037}\n")["energy_share_alcohol"] == pytest.approx(1)


@pytest.mark.parametrize(
    "missing, lost",
    [
        ("fibre", "net_carbohydrate_g"),
        ("carbohydrate", "net_carbohydrate_g"),
        ("fat", "energy_share_fat"),
        ("protein", "energy_share_protein"),
    ],
)
def test_what_is_known_in_part_is_no_ratio(tmp_path, missing, lost):
    """One of two ingredients does not state it: the known half would make the net carbohydrate too little."""
    figures = {"fat": "5 g", "protein": "5 g", "carbohydrate": "60 g", "fibre": "9 g"}
    told = ", ".join(f"{k}: {v}" for k, v in figures.items() if k != missing)
    got = of(tmp_path, STATED + f"b: {{per: 100 g, contains: [], nutrients: {{{told}}}}}\n", "50 g a, 50 g b")
    assert got[lost] is None and got["fat_to_protein_and_net_carbohydrate"] is None


def test_polyols_nobody_states_leave_the_carbohydrate_whole(tmp_path):
    assert of(tmp_path, STATED.replace(", polyols: 8 g", ""))["net_carbohydrate_g"] == pytest.approx(18)
