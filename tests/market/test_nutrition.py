"""The panel: a food worked by hand on both sides of its thresholds, rows that come and go, and what is not
known.
"""

from dataclasses import replace
from datetime import date

import pytest

from labelgen.law.pack import read_pack
from labelgen.market.nutrition.nutrition_panel import declare_panel
from tests.market.foods import amounts, line, partly, product, profile

US = read_pack("us", date(2026, 12, 1))
# A pack of 8 cookies of 32 g each; the reference amount of cookies is 30 g, so one cookie (107 %) is the
# serving.
# The figures are 8 times those of one cookie, which stand in the test.
COOKIE = {
    "FAT": 7.5,
    "FASAT": 3.2,
    "FATRN": 0.1,
    "CHOLE": 14.9,
    "NA": 117.4,
    "CHOCDF": 20.4,
    "FIBTG": 0.6,
    "SUGAR": 9.6,
    "SUGAD": 9.4,
    "PROCNT": 2.2,
    "VITD": 0.1,
    "CA": 12.0,
    "FE": 0.9,
    "K": 60.0,
}


def eight(**changes):
    return amounts(256, **{k: v * 8 for k, v in {**COOKIE, **changes}.items()})


def panel_of(pack, pieces=8, category="cookies", **more):
    return declare_panel(US, product(category=category, pieces=pieces, **more), profile(pack, pieces))


def printed(panel, column=0):
    return {
        r.key: (r.label.replace("{amount}", r.declared) if "{amount}" in r.label else r.declared, r.percent)
        for r in panel.columns[column].rows
    }


def test_a_whole_panel_worked_by_hand():
    panel, findings = panel_of(eight())
    assert (panel.serving.household, panel.serving.metric, panel.serving.per_container) == (
        "1 cookie",
        "32g",
        "8 servings per container",
    )
    assert list(printed(panel).items()) == [
        ("calories", ("160", "")),  # 4 x 2.2 + 4 x 20.4 + 9 x 7.5 = 157.9, nearest 10
        ("total_fat", ("8g", "10%")),  # 7.5 is half-way: up; 7.5/78 = 9.6 %
        ("saturated_fat", ("3g", "16%")),  # 3.2 to the nearest 0.5; 16.0 %
        ("trans_fat", ("0g", "")),  # below 0.5
        ("cholesterol", ("15mg", "5%")),  # 14.9 to the nearest 5; 4.97 %
        ("sodium", ("115mg", "5%")),  # 117.4 to the nearest 5; 5.1 %
        ("total_carbohydrate", ("20g", "7%")),  # 7.4 %
        ("dietary_fiber", ("less than 1g", "2%")),  # 2.1 %
        ("total_sugars", ("10g", "")),
        ("added_sugars", ("Includes 9g Added Sugars", "19%")),  # 18.8 %
        ("protein", ("2g", "")),
        ("vitamin_d", ("0mcg", "0%")),  # 0.5 % of 20 mcg
        ("calcium", ("0mg", "0%")),  # 0.92 % of 1300 mg
        ("iron", ("0.9mg", "6%")),  # 5.0 % is half-way between 4 and 6: up
        ("potassium", ("60mg", "2%")),  # 1.3 %
    ]
    assert not [f for f in findings if f.blocks]
    assert all(r.robust and r.covered == 1 for r in panel.columns[0].rows)


def test_the_same_panel_on_the_other_side_of_each_threshold():
    panel, _ = panel_of(
        eight(
            FAT=7.49,
            FASAT=3.25,
            FATRN=0.5,
            CHOLE=1.9,
            NA=140.1,
            CHOCDF=20.5,
            FIBTG=0.49,
            CA=13.0,
            FE=0.89,
            VITD=0.2,
        )
    )
    texts = printed(panel)
    assert (
        texts["total_fat"] == ("7g", "10%")
        and texts["saturated_fat"] == ("3.5g", "16%")
        and texts["trans_fat"] == ("0.5g", "")
    )
    assert (
        texts["cholesterol"] == ("0mg", "0%")
        and texts["sodium"] == ("140mg", "6%")
        and texts["total_carbohydrate"] == ("21g", "7%")
    )
    assert (
        texts["dietary_fiber"] == ("0g", "0%")
        and texts["calcium"] == ("10mg", "2%")
        and texts["iron"] == ("0.9mg", "4%")
    )
    assert texts["vitamin_d"] == ("0.2mcg", "2%")


def test_legal_order_names_and_weight():
    """101.9(c): order; (d)(1)(iv): only the six un-indented names are bold."""
    rows = (
        panel_of(
            eight(FAMS=2, FAPU=1, POLYL=1, XYLITOL=1), show=["polyunsaturated fat", "POLYL", "vitamin c"]
        )[0]
        .columns[0]
        .rows
    )
    assert [(r.label, r.indent, r.bold) for r in rows] == [
        ("Calories", 0, True),
        ("Total Fat", 0, True),
        ("Saturated Fat", 1, False),
        ("Trans Fat", 1, False),
        ("Polyunsaturated Fat", 1, False),
        ("Monounsaturated Fat", 1, False),
        ("Cholesterol", 0, True),
        ("Sodium", 0, True),
        ("Total Carbohydrate", 0, True),
        ("Dietary Fiber", 1, False),
        ("Total Sugars", 1, False),
        ("Includes {amount} Added Sugars", 2, False),
        ("Xylitol", 1, False),
        ("Protein", 0, True),
        ("Vitamin D", 0, False),
        ("Calcium", 0, False),
        ("Iron", 0, False),
        ("Potassium", 0, False),
        ("Vitamin C", 0, False),
    ]


def test_two_sugar_alcohols_share_the_general_name_and_glycerol_is_none():
    both = panel_of(eight(POLYL=4, XYLITOL=1, MALTITOL=1, GLYCEROL=2), show=["polyols"])[0].columns[0].rows
    assert [(r.label, r.declared) for r in both if r.key == "sugar_alcohol"] == [("Sugar Alcohol", "2g")]


@pytest.mark.parametrize(
    "claims, shown", [((), False), (("no sugar added",), True), (("low sodium",), False)]
)
def test_a_sugars_claim_calls_the_sugar_alcohol_row(claims, shown):
    rows = panel_of(eight(POLYL=1, XYLITOL=1), claims=claims)[0].columns[0].rows
    assert any(r.key == "sugar_alcohol" for r in rows) is shown


def test_added_sugars_never_exceed_total_sugars():
    panel, _ = panel_of(eight(SUGAR=8.2, SUGAD=9.4))
    assert printed(panel)["added_sugars"] == ("Includes 8g Added Sugars", "16%")


def test_two_columns_from_200_percent():
    """A pack of 75 g is 250 % of 30 g: per serving and per container. 75 g of 3 pieces: 25 g each, one
    piece (83 %).
    """
    panel, findings = panel_of(amounts(75, FAT=15, CHOCDF=45, PROCNT=6), pieces=3)
    assert [c.heading for c in panel.columns] == ["Per serving", "Per container"]
    assert printed(panel)["total_fat"] == ("5g", "6%") and printed(panel, 1)["total_fat"] == ("15g", "19%")
    assert printed(panel, 1)["calories"] == ("340", "")  # 4 x 6 + 4 x 45 + 9 x 15 = 339
    assert "dual-column" in {f.code for f in findings}


def test_rows_left_out_are_named_in_label_order():
    plain = eight(FAT=0.4, FASAT=0.1, FATRN=0.0, CHOLE=1.0, FIBTG=0.9, VITD=0.3, CA=25)
    panel, _ = panel_of(plain, show=["shortest panel"])
    assert panel.foot == (
        (
            "Not a significant source of saturated fat, trans fat, cholesterol, dietary fiber, vitamin D,"
            " calcium and potassium."
        ),
    )
    assert {"saturated_fat", "calcium"}.isdisjoint(printed(panel)) and "total_fat" in printed(panel)
    assert panel_of(plain)[0].foot == ()
    # a claim about fat keeps the fat rows; calcium at 2 % of the RDI stays
    panel, _ = panel_of(
        eight(FAT=0.4, FASAT=0.1, FATRN=0.0, CHOLE=1.0, CA=26), show=["shortest panel"], claims=["fat free"]
    )
    assert {"saturated_fat", "trans_fat", "cholesterol", "calcium"} <= set(printed(panel))


def test_simplified_panel():
    """21 CFR 101.9(f): eight of the fifteen insignificant; then what prints as zero may stand aside, also
    where the rule for that row alone would keep it: here saturated fat, whose own rule asks for less than
    0.5 g of total fat.
    """
    sweet = {
        "FAT": 0.6,
        "FASAT": 0.2,
        "FATRN": 0.0,
        "CHOLE": 0.5,
        "NA": 2.0,
        "FIBTG": 0.2,
        "PROCNT": 0.4,
        "VITD": 0.0,
        "CA": 1.0,
        "FE": 0.01,
        "K": 5.0,
    }
    panel, _ = panel_of(eight(**sweet), show=["shortest panel"])
    assert list(printed(panel)) == [
        "calories",
        "total_fat",
        "sodium",
        "total_carbohydrate",
        "total_sugars",
        "added_sugars",
        "protein",
    ]
    assert panel.foot == (
        (
            "Not a significant source of saturated fat, trans fat, cholesterol, dietary fiber, vitamin D,"
            " calcium, iron and potassium."
        ),
    )
    # seven insignificant are too few: saturated fat stays
    panel, _ = panel_of(
        eight(**{**sweet, "K": 200.0, "FE": 1.0, "CA": 60.0, "CHOLE": 6.0}), show=["shortest panel"]
    )
    assert "saturated_fat" in printed(panel)
    # a claim about fat keeps its rows
    panel, _ = panel_of(eight(**sweet), show=["shortest panel"], claims=["low saturated fat"])
    assert {"saturated_fat", "trans_fat", "cholesterol"} <= set(printed(panel))


def test_simplified_canadian_table_in_both_languages():
    """Food and Drug Regulations B.01.401(6): six of the thirteen may be "0"."""
    figures = {
        **COOKIE,
        "FAT": 0.1,
        "FASAT": 0.0,
        "FATRN": 0.0,
        "CHOLE": 0.2,
        "NA": 1.0,
        "FIBTG": 0.1,
        "K": 2.0,
        "CA": 1.0,
        "FE": 0.01,
    }
    pack = amounts(256, **{k: v * 8 for k, v in figures.items()})
    for language, foot in (
        (
            "",
            (
                "Not a significant source of saturated fat, trans fat, cholesterol, sodium, fibre,"
                " potassium, calcium or iron"
            ),
        ),
        (
            "fr",
            (
                "Source négligeable de lipides saturés, lipides trans, cholestérol, sodium, fibres,"
                " potassium, calcium ou fer"
            ),
        ),
    ):
        market = replace(read_pack("ca", date(2026, 12, 1)), language=language)
        panel, _ = declare_panel(
            market, product(category="cookies", pieces=8, show=["shortest panel"]), profile(pack, 8)
        )
        assert [r.key for r in panel.columns[0].rows] == [
            "calories",
            "fat",
            "carbohydrate",
            "sugars",
            "protein",
        ]
        assert set(panel.foot[0].replace(" or ", ", ").replace(" ou ", ", ").split(", ")) == set(
            foot.replace(" or ", ", ").replace(" ou ", ", ").split(", ")
        )


def test_a_missing_figure_blocks_and_names_the_ingredient():
    pack = partly(eight(), "CHOLE", covered=0.8, high=float("inf"))
    lines = [line("spice", 10, food=partly(amounts(10), "CHOLE", 0.0, float("inf"))), line("dough", 246)]
    panel, findings = declare_panel(US, product(category="cookies", pieces=8), profile(pack, 8, lines))
    fault = next(f for f in findings if f.code == "figure-missing")
    assert (
        fault.severity == "block"
        and "spice" in fault.message
        and "dough" not in fault.message
        and "80 %" in fault.message
    )
    assert not next(r for r in panel.columns[0].rows if r.key == "cholesterol").robust


def test_several_missing_figures_are_one_finding_that_says_what_to_type():
    endless = float("inf")
    pack = partly(partly(eight(), "CHOLE", covered=0.8, high=endless), "NA", covered=0.8, high=endless)
    spice = partly(partly(amounts(10), "CHOLE", 0.0, endless), "NA", 0.0, endless)
    _, findings = declare_panel(
        US,
        product(category="cookies", pieces=8),
        profile(pack, 8, [line("spice", 10, food=spice), line("dough", 246)]),
    )
    (fault,) = [f for f in findings if f.code == "figure-missing"]
    assert (
        "Cholesterol, Sodium (known for 80 % of the weight, no upper bound)" in fault.message
        and "'nutrients:' of spice (cholesterol, sodium)" in fault.message
    )


def test_a_gap_too_small_to_change_the_text_does_not_block():
    pack = partly(eight(FATRN=0.1), "FATRN", covered=0.9, high=8 * 0.3)
    panel, findings = panel_of(pack)
    assert [f.severity for f in findings if f.code == "figure-missing"] == ["note"]
    assert (
        printed(panel)["trans_fat"] == ("0g", "")
        and next(r for r in panel.columns[0].rows if r.key == "trans_fat").robust
    )


def test_a_wholly_unknown_figure_prints_nothing():
    panel, findings = panel_of(amounts(256, unknown=("VITD",), FAT=8))
    row = next(r for r in panel.columns[0].rows if r.key == "vitamin_d")
    assert (row.declared, row.value, row.robust) == ("", None, False) and any(f.blocks for f in findings)


def test_a_voluntary_row_without_figures_is_left_out():
    panel, findings = panel_of(
        partly(eight(FIBSOL=0.2), "FIBSOL", covered=0.5, high=8 * 3.0), show=["soluble fibre"]
    )
    assert "soluble_fiber" not in printed(panel) and [
        f.severity for f in findings if f.code == "figure-missing"
    ] == ["warn"]


def test_a_range_across_a_threshold_is_not_robust():
    rows = panel_of(amounts(256, NA=(8 * 138, 8 * 139, 8 * 146)))[0].columns[0].rows
    assert not next(r for r in rows if r.key == "sodium").robust


def test_protein_percent_only_from_corrected_protein():
    """(c)(7): 2.2 g x 0.5 = 1.1 g of 50 g: 2 %. Without a score no percent is printed."""
    assert printed(panel_of(eight(), pdcaas=0.5)[0])["protein"] == ("2g", "2%")


def test_words_that_are_no_row():
    _, findings = panel_of(eight(), show=["caffeine", "glow"])
    assert sorted(f.code for f in findings if f.code.startswith("show")) == [
        "show-not-allowed",
        "show-unknown",
    ]
