"""Figures given by volume. A litre of whole milk weighs about 1.03 kg; USDA SR24 (01077) gives a cup of it
244 g.

65 kcal, 3.6 g fat, 4.7 g carbohydrate and 3.4 g protein in 100 ml: by hand 100/103 of it in 100 g, or
100/(244 x 100/236.588).
"""

import re

import pytest

from labelgen.chain import roll_up_folder
from tests.kitchens import write

SHEET = "energy: 65 kcal, fat: 3.60 g, carbohydrate: 4.70 g, sugars: 4.70 g, protein: 3.40 g"
PANEL = (
    "market: uk, per: 100 ml, energy: 65 kcal, fat: 3.6 g, carbohydrate: 4.7 g, sugars: 4.7 g, protein: 3.4 g"
)


def fat_of(folder, entry):
    found = roll_up_folder(
        write(
            folder, f"x: {{print: cream, contains: [milk], {entry}}}\n", "products: {}\n", "markets: [uk]\n"
        )
    )
    return found.resolved["x"].composition.get("FAT")[1], [
        f.message for f in found.findings if f.code == "per-not-mass"
    ]


@pytest.mark.parametrize("figures", [f"per: 100 ml, nutrients: {{{SHEET}}}", f"panel: {{{PANEL}}}"])
@pytest.mark.parametrize(
    "weight, grams",
    [
        ("density: 1.03 g/ml", 103),
        ("density: 1.03 kg/l", 103),
        ("density: 1030 g/l", 103),
        ("weighs: {100 ml: 103 g}", 103),
        ("weighs: {1 l: 1030 g}", 103),
        ("food: usda/01077", 244 / 236.588 * 100),
    ],
)
def test_a_volume_is_as_heavy_as_its_density_says(tmp_path, figures, weight, grams):
    fat, told = fat_of(tmp_path, f"{weight}, {figures}")
    assert fat == pytest.approx(360 / grams, rel=1e-4) and not told


@pytest.mark.parametrize("figures", [f"per: 100 ml, nutrients: {{{SHEET}}}", f"panel: {{{PANEL}}}"])
def test_without_a_density_it_is_refused_and_the_advice_holds(tmp_path, figures):
    """What is advised, with the weight filled in, gives the hand sum; typed as it stands it is refused,
    not read as something.
    """
    fat, told = fat_of(tmp_path / "a", figures)
    assert fat != fat and len(told) == 1
    advised = re.findall(r"'([a-z]+: [^']*)'", told[0])
    assert len(advised) == 2 and all("..." in a for a in advised)
    for n, advice in enumerate(advised):
        filled = advice.replace("...", "103" if "weighs" in advice else "1.03")
        assert fat_of(tmp_path / f"b{n}", f"{filled}, {figures}")[0] == pytest.approx(360 / 103)
        bare = roll_up_folder(
            write(
                tmp_path / f"c{n}",
                f"x: {{print: cream, contains: [milk], {advice}, {figures}}}\n",
                "products: {}\n",
            )
        )
        assert any(f.blocks for f in bare.findings)


def test_a_household_measure_is_a_basis_like_any_other(tmp_path):
    """A tablespoon of the maker's own 15 g; a piece of 12 g; a measure nobody weighed is refused."""
    assert fat_of(tmp_path / "a", "weighs: {1 tbsp: 15 g}, per: 1 tbsp, nutrients: {fat: 3 g}")[
        0
    ] == pytest.approx(20)
    assert fat_of(tmp_path / "b", "weighs: {biscuit: 12 g}, per: 1 biscuit, nutrients: {fat: 3 g}")[
        0
    ] == pytest.approx(25)
    assert len(fat_of(tmp_path / "c", "per: 1 biscuit, nutrients: {fat: 3 g}")[1]) == 1


@pytest.mark.parametrize("density", ["30 g", "103", "0.001 g/ml", "heavy", "1.03 lb/ml"])
def test_what_is_no_density(tmp_path, density):
    found = roll_up_folder(
        write(
            tmp_path,
            f"x: {{print: cream, contains: [milk], density: {density}, nutrients: {{fat: 3 g}}}}\n",
            "products: {}\n",
        )
    )
    assert any(f.blocks and "density" in f.message for f in found.findings)


def test_milk_weighs_what_milk_of_the_table_weighs(tmp_path):
    """244 g a US cup of 236.588 ml (USDA); nothing else of that food is taken."""
    write(
        tmp_path,
        f"x: {{print: Vollmilch, contains: [milk], per: 100 ml, nutrients: {{{SHEET}}}}}\n",
        "products: {}\n",
    )
    made = roll_up_folder(tmp_path).resolved["x"]
    assert made.composition.get("FAT")[1] == pytest.approx(360 / (244 / 236.588 * 100))
    assert made.food_id == "" and made.composition.get("CA")[1] != made.composition.get("CA")[1]
