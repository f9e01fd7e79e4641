"""Figures no food can have, and very unusual ones. Ceilings are the share of an element in its purest
compound, from atomic masses (Na 22.99, Cl 35.45, C 12.01, O 16.00, H 1.008, Ca 40.08); the richest foods
are those of USDA SR24.
"""

import csv

import pytest

from labelgen import paths
from labelgen.chain import roll_up_folder
from labelgen.composition.ceilings import ceiling, check_ceilings
from labelgen.composition.dataset import open_dataset
from labelgen.composition.fdc import read_food
from labelgen.composition.ingredient_records import Figure, Stated
from labelgen.errors import Where
from labelgen.nutrients import INDEX, KEYS, UNITS
from tests.kitchens import write

SR24 = [open_dataset().food(i) for i, _ in open_dataset().names() if i.startswith("usda/")]


def told(folder, entry: str, extra: str = ""):
    write(folder, f"x: {{{entry}}}\n", "products: {}\n")
    if extra:
        (folder / "foods").mkdir()
        (folder / "foods" / "a.yaml").write_text(extra)
    return [
        (f.code, f.severity, f.message)
        for f in roll_up_folder(folder).findings
        if f.code.startswith(("figure-", "parts-", "energy-", "part-"))
    ]


@pytest.mark.parametrize(
    "words",
    [
        "iron: 9 g",
        "vitamin d: 500 mg",
        "sodium: 45 g",
        "salt: 102 g",
        "potassium: 60 g",
        "zinc: 1 g",
        "selenium: 0.1 g",
        "vitamin c: 50 g",
        "vitamin b12: 5 mg",
        "caffeine: 40 g",
        "energy: 3700 kcal",
        "iodine: 9 g",
        "folate: 1 g",
        "cholesterol: 32 g",
        "phosphorus: 33 g",
    ],
)
@pytest.mark.parametrize(
    "entry",
    [
        "contains: [], per: 100 g, nutrients: {%s}",
        "food: usda/19335, nutrients: {%s}",
        "contains: [], panel: {market: us, serving: 100 g, %s}",
        "contains: [], per: 10 g, nutrients: {%s}",
    ],
)
def test_no_food_holds_so_much(tmp_path, words, entry):
    if "panel" in entry and not words.startswith(("iron", "sodium", "potassium", "vitamin d")):
        pytest.skip("not a row of that panel")
    found = [t for t in told(tmp_path, f"print: flour, {entry % words}") if t[1] == "block"]
    assert found and found[0][0] in ("figure-impossible", "energy-impossible", "parts-exceed-food"), found


@pytest.mark.parametrize(
    "name, words",
    [
        ("salt", "sodium: 39.34 g"),
        ("salt", "salt: 100 g"),
        ("sea salt", "salt: 99.8 g"),
        ("sodium carbonate", "sodium: 43.4 g"),
        ("lye (sodium hydroxide)", "sodium: 57 g"),
        ("baking soda", "sodium: 27.4 g"),
        ("cream of tartar", "potassium: 16.5 g"),
        ("chalk", "calcium: 40.0 g"),
        ("ferrous fumarate", "iron: 32.9 g"),
        ("iron powder", "iron: 100 g"),
        ("vitamin D3 powder, 100,000 IU/g", "vitamin d: 250 mg"),
        ("ascorbic acid (vitamin C)", "vitamin c: 100 g"),
        ("vitamin and mineral premix", "iron: 9 g"),
        ("zinc oxide", "zinc: 80 g"),
        ("caffeine", "caffeine: 100 g"),
        ("cod liver oil", "vitamin d: 250 mcg"),
        ("sodium metabisulphite", "sulphur dioxide: 67 g"),
        ("nutritional yeast", "niacin: 350 mg"),
        ("kelp", "iodine: 0.6 g"),
    ],
)
def test_pure_substances_and_rich_foods_may_be_entered(tmp_path, name, words):
    """NaCl 39.34 % sodium, Na2CO3 43.38 %, NaOH 57.48 %, CaCO3 40.04 % calcium, FeC4H2O4 32.9 % iron."""
    assert not [
        t
        for t in told(tmp_path, f"print: '{name}', contains: [], per: 100 g, nutrients: {{{words}}}")
        if t[1] == "block"
    ]


@pytest.mark.parametrize(
    "name", ["iron-fortified flour", "flour with ferrous fumarate", "vitamin bread", "flour"]
)
def test_a_food_with_a_substance_in_its_name_is_still_a_food(tmp_path, name):
    assert told(tmp_path, f"print: '{name}', contains: [], per: 100 g, nutrients: {{iron: 9 g}}")[0][:2] == (
        "figure-impossible",
        "block",
    )


@pytest.mark.parametrize(
    "entry, slip",
    [
        ("per: 100 g, nutrients: {iron: 9 g}", "mg typed as g?"),
        ("per: 100 g, nutrients: {selenium: 900 mg}", "mcg typed as mg?"),
        ("per: 5 g, nutrients: {iron: 100 mg}", "a figure for 100 g typed for 5 g?"),
        ("per: 100 g, nutrients: {energy: 1535 kcal}", "kJ typed as kcal?"),
    ],
)
def test_the_likely_slip_is_named(tmp_path, entry, slip):
    code, severity, message = told(tmp_path, f"print: flour, contains: [], {entry}")[0]
    assert (code, severity) == ("figure-impossible", "block") and slip in message


def test_a_very_unusual_figure_is_asked_about(tmp_path):
    """USDA SR24: the richest of its cereal grains and pasta has far less than 200 mg iron, the richest
    food of all 123.6 mg.
    """
    ((code, severity, message),) = told(tmp_path / "a", "food: usda/20081, nutrients: {iron: 200 mg}")
    assert (
        (code, severity) == ("figure-unusual", "warn")
        and "Cereal Grains and Pasta" in message
        and "200 mg" in message
    )
    ((code, severity, message),) = told(
        tmp_path / "b", "print: herbs, contains: [], nutrients: {iron: 150 mg}"
    )
    assert (code, severity) == ("figure-unusual", "warn") and "Spices, thyme, dried" in message
    assert not told(tmp_path / "c", "food: usda/20081, nutrients: {iron: 4.6 mg}") and not told(
        tmp_path / "d", "print: thyme, contains: [], nutrients: {iron: 120 mg}"
    )


@pytest.mark.parametrize(
    "words, blocks",
    [
        ("carbohydrate: 70 g, protein: 10 g, calcium: 25 g", True),
        ("fat: 60 g, sodium: 30 g, potassium: 15 g", True),
        ("carbohydrate: 70 g, protein: 10 g, calcium: 10 g", False),
        ("carbohydrate: 60 g, water: 50 g", True),
        ("salt: 60 g, sugars: 50 g, carbohydrate: 50 g", False),
        ("potassium: 40 g, calcium: 30 g, magnesium: 20 g, sodium: 20 g", True),
        ("carbohydrate: 30 g, protein: 70.2 g", False),
    ],
)
def test_parts_never_outweigh_the_food(tmp_path, words, blocks):
    """Sodium in salt weighs 24 g of the 60: what is stated is 24 + 50 g."""
    assert (
        any(
            t[0] == "parts-exceed-food"
            for t in told(tmp_path, f"print: premix, contains: [], per: 100 g, nutrients: {{{words}}}")
        )
        == blocks
    )


@pytest.mark.parametrize(
    "words, code",
    [
        ("fat: 12 g, saturates: 12.4 g", None),
        ("fat: 12.0 g, saturates: 12.4 g", "part-exceeds-whole"),
        ("available carbohydrate: 60 g, sugars: 60.4 g", None),
        ("carbohydrate: 30.0 g, fibre: 33.0 g", "part-exceeds-whole"),
        ("energy: 1535 kJ / 367 kcal", None),
        ("energy: 1535 kJ (367 kcal)", None),
        ("energy: 1535 kJ / 450 kcal", "figure"),
        ("energy: 367 kcal / 1535 kJ", None),
    ],
)
def test_figures_are_held_against_each_other_to_their_last_digit(tmp_path, words, code):
    write(
        tmp_path, f"x: {{print: mix, contains: [], per: 100 g, nutrients: {{{words}}}}}\n", "products: {}\n"
    )
    assert {f.code for f in roll_up_folder(tmp_path).findings if f.blocks} == ({code} if code else set())


def test_a_stated_energy_is_held_against_the_figures_of_the_food_below(tmp_path):
    """USDA 20081: 0.98 g fat, 76.31 g carbohydrate, 2.7 g of it fibre, 10.33 g protein: 345 to 355 kcal;
    butter oil cannot have 100.
    """
    ((code, severity, message),) = told(tmp_path / "a", "food: usda/20081, nutrients: {energy: 200 kcal}")
    assert (code, severity) == ("energy-unlikely", "warn") and "200 kcal" in message and "345 kcal" in message
    assert not told(tmp_path / "b", "food: usda/20081, nutrients: {energy: 350 kcal}")
    assert told(tmp_path / "c", "food: usda/01003, nutrients: {energy: 100 kcal}")[0][:2] == (
        "energy-impossible",
        "block",
    )


def test_a_pinned_food_is_held_to_the_same(tmp_path):
    pin = (
        "fdc/1: {name: Flour, database: USDA FoodData Central, kind: Foundation, published: '2020',"
        " fetched: '2026-11-01', per: 100 g, nutrients: {CHOCDF: 70 g, FE: 9 g}}\n"
    )
    assert ("figure-impossible", "block") in [
        t[:2] for t in told(tmp_path, "print: flour, contains: [], food: fdc/1", pin)
    ]


def test_a_fetched_figure_that_cannot_be_is_left_out_and_told():
    food = read_food(
        {
            "fdcId": 1,
            "description": "Flour",
            "dataType": "Foundation",
            "foodNutrients": [
                {"nutrient": {"number": "303", "unitName": "mg"}, "amount": 9000},
                {"nutrient": {"number": "204", "unitName": "g"}, "amount": 1.2},
            ],
        }
    )
    assert "FE" not in food.values and food.values["FAT"] == 1.2 and "9000 mg" in food.doubts[0]


def test_added_sugars_never_exceed_the_sugars(tmp_path):
    assert [
        t[:2]
        for t in told(
            tmp_path / "a",
            "print: jam, contains: [], added_sugars: 60 g, nutrients: {carbohydrate: 62 g, sugars: 40 g}",
        )
    ] == [("part-exceeds-whole", "block")]
    assert not told(
        tmp_path / "b",
        "print: jam, contains: [], added_sugars: 40 g, nutrients: {carbohydrate: 62 g, sugars: 40 g}",
    )


def test_no_food_of_the_table_is_refused_or_asked_about():
    faults = []
    for food in SR24:
        figures = {
            k: Figure(v, v, v, f"{k} {v}", Where("?"))
            for k in KEYS
            if (v := food.composition.value[INDEX[k]]) == v
        }
        faults += [
            f"{food.name}: {f.message}"
            for f in check_ceilings(Stated(figures), "x", (food.name,), food.group)
        ]
    assert len(SR24) > 6000 and not faults


def test_every_nutrient_told_in_milligrams_has_a_ceiling():
    with open(paths.reference("composition", "ceilings.csv"), encoding="utf-8", newline="") as f:
        rows = list(csv.DictReader(f))
    assert {k for k in KEYS if UNITS[k] != "g"} <= {r["key"] for r in rows}
    assert (
        all(r["grade"] for r in rows if r["key"] != "*")
        and all(float(r["richest"] or 0) <= 100 for r in rows)
        and all(0 < float(r["most"]) <= (902 if r["key"] == "ENERC" else 170) for r in rows if r["most"])
    )
    assert (
        ceiling("NA").most == pytest.approx(39_340 * 1.02)
        and ceiling("FE").most == pytest.approx(1236)
        and ceiling("FE", ("iron",)).most == pytest.approx(102_000)
    )
