"""Nutrition information panels worked by hand: Standard 1.2.8, Schedules 11 and 12."""

from datetime import date

import pytest

from labelgen.law.pack import read_pack
from labelgen.market.nutrition.nutrition_panel import declare_panel
from tests.market.foods import amounts, partly, product, profile

ON = date(2026, 12, 1)
AU = read_pack("au", ON)
# A pack of 8 biscuits of 25 g, 200 g in all. Per 100 g; total carbohydrate by difference holds the fibre.
BISCUIT = {
    "PROCNT": 6.5,
    "FAT": 18.0,
    "FASAT": 10.05,
    "CHOCDF": 52.5,
    "FIBTG": 2.5,
    "SUGAR": 21.3,
    "NA": 312.4,
}


def panel_of(per_100g, grams=200.0, pieces=8, pack=AU, **more):
    food = amounts(grams, **{k: v * grams / 100 for k, v in per_100g.items()})
    return declare_panel(pack, product(pieces=pieces, unit="biscuit", **more), profile(food, pieces))


def figures(panel, column):
    return {r.key: r.declared for r in panel.columns[column].rows}


@pytest.mark.parametrize("market", ["au", "nz"])
def test_a_biscuit_worked_by_hand(market):
    panel, findings = panel_of(BISCUIT, pack=read_pack(market, ON))
    assert (panel.title, panel.caption) == (
        "NUTRITION INFORMATION",
        ("Servings per package: 8", "Serving size: 1 biscuit (25 g)"),
    )
    assert [c.heading for c in panel.columns] == [
        "Average quantity per serving",
        "Average quantity per 100 g",
    ]
    # available carbohydrate 52.5 - 2.5 = 50; energy 17 x 6.5 + 37 x 18 + 17 x 50 + 8 x 2.5 = 110.5 + 666 +
    # 850 + 20 = 1646.5
    assert list(figures(panel, 1).items()) == [
        ("energy", "1650 kJ"),
        ("protein", "6.5 g"),
        ("fat", "18 g"),
        ("saturated", "10.1 g"),
        ("carbohydrate", "50 g"),
        ("sugars", "21.3 g"),
        ("sodium", "312 mg"),
    ]
    # a quarter of each: 411.6, 1.625, 4.5, 2.5125, 12.5, 5.325, 78.1
    assert list(figures(panel, 0).values()) == [
        "412 kJ",
        "1.6 g",
        "4.5 g",
        "2.5 g",
        "12.5 g",
        "5.3 g",
        "78 mg",
    ]
    assert [(r.label, r.indent) for r in panel.columns[0].rows] == [
        ("Energy", 0),
        ("Protein", 0),
        ("Fat, total", 0),
        ("— saturated", 1),
        ("Carbohydrate", 0),
        ("— sugars", 1),
        ("Sodium", 0),
    ]
    assert (
        not any(r.percent for c in panel.columns for r in c.rows) and panel.footnote == "" and findings == ()
    )


def test_percent_of_the_daily_intake_when_asked():
    """1.2.8-8: 411.6/8700 = 4.7 %, 1.625/50 = 3.25, 4.5/70 = 6.4, 2.5125/24 = 10.5 (10.469), 12.5/310 =
    4.03, 5.325/90 = 5.9, 78.1/2300 = 3.4.
    """
    panel, _ = panel_of(BISCUIT, show=["daily intake"])
    assert [r.percent for r in panel.columns[0].rows] == ["5%", "3%", "6%", "10%", "4%", "6%", "3%"]
    assert (
        not any(r.percent for r in panel.columns[1].rows)
        and panel.percent_heading == "% Daily intake* (per serving)"
    )
    assert "average adult diet of 8 700 kJ" in panel.footnote
    with_fibre, _ = panel_of(BISCUIT, show=["daily intake", "fibre"])
    # fibre 0.625 g of 30 g: 2.08 %; its amount is below 1 g
    assert [(r.declared, r.percent) for r in with_fibre.columns[0].rows if r.key == "fibre"] == [
        ("LESS THAN 1 g", "2%")
    ]


@pytest.mark.parametrize(
    "fat, sodium, energy_carb, serving, whole",
    [
        # a serving of 5 g: a twentieth. Fat 20 g gives 1 g, sodium 100 mg gives 5 mg; energy 37 x 20 + 17 x
        # 3.53 = 800.0 gives 40 kJ
        (20.0, 100.0, 3.53, ["40 kJ", "1 g", "5 mg"], ["800 kJ", "20 g", "100 mg"]),
        # just below: 0.995 g, 4.995 mg; 37 x 19.9 + 17 x 3.53 = 796.3 gives 39.8 kJ
        (
            19.9,
            99.9,
            3.53,
            ["LESS THAN 40 kJ", "LESS THAN 1 g", "LESS THAN 5 mg"],
            ["796 kJ", "19.9 g", "100 mg"],
        ),
    ],
)
def test_words_for_small_amounts_judge_each_column_on_its_own(fat, sodium, energy_carb, serving, whole):
    panel, _ = panel_of({"FAT": fat, "CHOCDF": energy_carb, "NA": sodium}, grams=100, pieces=20)
    for column, texts in ((0, serving), (1, whole)):
        shown = figures(panel, column)
        assert [shown["energy"], shown["fat"], shown["sodium"]] == texts
    assert figures(panel, 0)["protein"] == "0 g" and figures(panel, 0)["carbohydrate"] == "LESS THAN 1 g"


def test_a_food_of_maltitol_and_fibre():
    """S11-2, S11-3: of 60 g total carbohydrate 8 are fibre and 25 maltitol, 27 are left; 17 x 7 + 37 x 20
    + 17 x 27 + 8 x 8 + 13 x 25 = 119 + 740 + 459 + 64 + 325 = 1707 kJ; in Calories 1707 / 4.18 = 408.4.
    Maltitol is declared by itself from 5 g per 100 g.
    """
    panel, _ = panel_of(
        {"PROCNT": 7, "FAT": 20, "CHOCDF": 60, "FIBTG": 8, "POLYL": 25, "MALTITOL": 25}, show=["calories"]
    )
    shown = figures(panel, 1)
    assert (shown["energy"], shown["calories"], shown["carbohydrate"], shown["maltitol"]) == (
        "1710 kJ",
        "(408 Cal)",
        "27 g",
        "25 g",
    )
    assert [r.joined for r in panel.columns[0].rows][:2] == [False, True] and panel.energy_joiner == " "


@pytest.mark.parametrize(
    "polyols, rows",
    [
        ({"MALTITOL": 4.99}, []),
        ({"MALTITOL": 5.0}, ["maltitol"]),
        ({"ERYTHRITOL": 3.0, "XYLITOL": 2.0}, ["erythritol", "xylitol"]),
        ({"ERYTHRITOL": 3.0, "XYLITOL": 1.99}, []),
        # organic acids are never declared by themselves
        ({"OA": 6.0}, []),
    ],
)
def test_substances_of_the_second_list_are_declared_from_five_grams(polyols, rows):
    held = sum(v for k, v in polyols.items() if k != "OA")
    panel, _ = panel_of(dict(CHOCDF=40, POLYL=held, **polyols))
    assert [r.key for r in panel.columns[0].rows if r.key.upper() in polyols] == rows


def test_polydextrose_counts_five_not_eight():
    """20 g fibre of which 12 polydextrose: 8 x 8 + 5 x 12 = 124 kJ; available carbohydrate 30 - 20 = 10:
    170. In all 294.
    """
    panel, _ = panel_of({"CHOCDF": 30, "FIBTG": 20, "POLYDEXTROSE": 12})
    assert (
        figures(panel, 1)["energy"] == "294 kJ"
        and figures(panel, 1)["carbohydrate"] == "10 g"
        and figures(panel, 1)["polydextrose"] == "12 g"
    )


def test_alcohol_and_organic_acids():
    """29 x 5 + 13 x 2 + 17 x (10 - 2) = 145 + 26 + 136 = 307 kJ."""
    panel, _ = panel_of({"CHOCDF": 10, "OA": 2, "ALC": 5})
    assert figures(panel, 1)["energy"] == "307 kJ" and figures(panel, 1)["carbohydrate"] == "8 g"


def test_fibre_nobody_told_leaves_carbohydrate_open():
    """Carbohydrate by difference less an unknown fibre is not a known figure: it stops the panel until the
    fibre is given.
    """
    food = partly(amounts(200, CHOCDF=100, FIBTG=2), "FIBTG", covered=0.5, high=30)
    panel, findings = declare_panel(AU, product(pieces=8), profile(food, 8))
    row = next(r for r in panel.columns[1].rows if r.key == "carbohydrate")
    assert row.low == pytest.approx(35) and row.high == pytest.approx(49) and not row.robust
    assert [f.code for f in findings if f.blocks] == ["figure-missing"]


@pytest.mark.parametrize(
    "claims, rows",
    [
        ((), []),
        (("source of fibre",), ["fibre"]),
        (("low sugar",), ["fibre"]),
        (("low salt",), ["potassium"]),
        (("low cholesterol",), ["trans", "polyunsaturated", "monounsaturated", "cholesterol"]),
        (("low saturated fat",), ["trans", "polyunsaturated", "monounsaturated"]),
    ],
)
def test_rows_that_claims_call(claims, rows):
    food = {**BISCUIT, "FATRN": 0.2, "FAPU": 1.5, "FAMS": 5, "CHOLE": 12, "K": 120, "FIBTG": 2.5}
    panel, _ = panel_of(food, claims=claims)
    assert [r.key for r in panel.columns[0].rows if r.key not in figures(panel_of(BISCUIT)[0], 0)] == rows


def test_absent_fibre_is_shown_as_nothing():
    panel, _ = panel_of({**BISCUIT, "FIBTG": 0.0}, claims=["low sugar"])
    assert figures(panel, 0)["fibre"] == "0 g"


def test_a_vitamin_carries_its_recommended_intake_per_serving():
    """1.2.8-9: 16 mg per 100 g is 4 mg per serving, a tenth of 40 mg."""
    panel, _ = panel_of({**BISCUIT, "VITC": 16.0}, show=["vitamin c"])
    assert figures(panel, 0)["vitamin_c"] == "4 mg (10% RDI)" and figures(panel, 1)["vitamin_c"] == "16 mg"


def test_the_makers_serving():
    from labelgen.quantity import Quantity

    by_mass, _ = panel_of(BISCUIT, serving=Quantity("50 g", "mass", grams=50.0))
    assert (
        by_mass.caption == ("Servings per package: 4", "Serving size: 50 g")
        and figures(by_mass, 0)["fat"] == "9 g"
    )
    by_count, _ = panel_of(BISCUIT, serving=Quantity("3 biscuits", "count", count=3, unit="biscuit"))
    assert by_count.caption == ("Servings per package: about 3", "Serving size: 3 biscuits (75 g)")


def test_a_pack_is_one_serving_when_it_is_one_piece():
    panel, _ = panel_of(BISCUIT, grams=40, pieces=1)
    assert (
        panel.caption == ("Servings per package: 1", "Serving size: 1 biscuit (40 g)")
        and figures(panel, 0)["energy"] == "659 kJ"
    )


@pytest.mark.parametrize("fibre, told", [(7.99, False), (8.0, True)])
def test_a_row_by_choice_is_a_claim(fibre, told):
    """1.2.8, text of 2013: fibre below 2 g per serving is none; 8 g per 100 g is 2 g in 25 g. Any other
    voluntary row is.
    """
    found = [f.code for f in panel_of({**BISCUIT, "FIBTG": fibre}, show=["fibre"])[1]]
    assert ("row-is-a-claim" in found) is told
    assert "row-is-a-claim" in [f.code for f in panel_of({**BISCUIT, "K": 1.0}, show=["potassium"])[1]]
    assert "row-is-a-claim" not in [
        f.code
        for f in panel_of({**BISCUIT, "K": 1.0}, show=["calories", "daily intake"], claims=["low salt"])[1]
    ]


def test_parts_of_the_fibre_stand_below_it():
    rows = panel_of({**BISCUIT, "FIBSOL": 1.0}, show=["soluble fibre"])[0].columns[1].rows
    assert [(r.label, r.declared, r.indent) for r in rows][6:8] == [
        ("Dietary fibre", "2.5 g", 0),
        ("— soluble", "1 g", 1),
    ]
