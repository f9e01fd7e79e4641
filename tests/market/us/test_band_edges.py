"""Each threshold of 21 CFR 101.9(c) just below, at and just above; figures typed from the paragraphs."""

from datetime import date
from fractions import Fraction
from math import floor

import pytest

from labelgen.law.by_name import declare_rule
from labelgen.law.figure_tables import DailyValue, Rounding
from labelgen.law.pack import read_pack
from labelgen.law.rounding import declare_amount

US = read_pack("us", date(2026, 12, 1))
EDGES = [
    # rule, threshold, below, at, above; tiny steps of 0.001 to each side
    ("calories", "5", "0", "5", "5"),
    ("calories", "50", "50", "50", "50"),
    ("calories", "52.5", "50", "50", "50"),
    ("calories", "55", "50", "60", "60"),
    ("total_fat", "0.5", "0g", "0.5g", "0.5g"),
    ("total_fat", "5", "5g", "5g", "5g"),
    ("total_fat", "5.25", "5g", "5g", "5g"),
    ("total_fat", "4.75", "4.5g", "5g", "5g"),
    ("trans_fat", "0.5", "0g", "0.5g", "0.5g"),
    ("cholesterol", "2", "0mg", "less than 5mg", "less than 5mg"),
    ("cholesterol", "5", "less than 5mg", "5mg", "5mg"),
    ("sodium", "5", "0mg", "5mg", "5mg"),
    ("sodium", "140", "140mg", "140mg", "140mg"),
    ("sodium", "142.5", "140mg", "140mg", "140mg"),
    ("sodium", "145", "140mg", "150mg", "150mg"),
    ("fluoride", "0.1", "0mg", "0.1mg", "0.1mg"),
    ("fluoride", "0.8", "0.8mg", "0.8mg", "0.8mg"),
    ("fluoride", "0.9", "0.8mg", "1mg", "1mg"),
    ("total_carbohydrate", "0.5", "0g", "less than 1g", "less than 1g"),
    ("total_carbohydrate", "1", "less than 1g", "1g", "1g"),
    ("added_sugars", "0.5", "0g", "less than 1g", "less than 1g"),
    ("protein", "1", "less than 1g", "1g", "1g"),
    # guidance on vitamins and minerals: zero below 1 % of the RDI, then 0.1, 1 or 10 by the size of the RDI
    ("vitamin_d_amount", "0.2", "0mcg", "0.2mcg", "0.2mcg"),
    ("iron_amount", "0.18", "0mg", "0.2mg", "0.2mg"),
    ("calcium_amount", "13", "0mg", "10mg", "10mg"),
    ("vitamin_c_amount", "0.9", "0mg", "1mg", "1mg"),
    ("selenium_amount", "0.55", "0mcg", "1mcg", "1mcg"),
    ("iodine_amount", "22.5", "22mcg", "23mcg", "23mcg"),
    # thiamin RDI 1.2 mg: 2 % is 0.024 mg, which must not print as 0mg beside 2%
    ("thiamin_amount", "0.024", "0mg", "0.02mg", "0.03mg"),
    ("thiamin_amount", "0.05", "0.05mg", "0.1mg", "0.1mg"),
    ("serving_metric", "2", "2g", "2g", "2g"),
    ("serving_metric", "5", "5g", "5g", "5g"),
    ("serving_metric", "5.5", "5g", "6g", "6g"),
    ("servings_per_container", "2", "about 2", "2", "about 2"),
    ("servings_per_container", "5", "about 5", "5", "about 5"),
    ("servings_per_container", "5.5", "about 5", "about 6", "about 6"),
    # (c)(8)(iii): steps of 2 up to 10 %, of 5 up to 50 %, of 10 above; RDI of calcium 1300 mg
    ("pct_dv_calcium", "13", "0%", "2%", "2%"),
    ("pct_dv_calcium", "130", "10%", "10%", "10%"),
    ("pct_dv_calcium", "650", "50%", "50%", "50%"),
    ("pct_dv_calcium", "715", "50%", "60%", "60%"),
    ("pct_dv_total_fat", "0.5", "0%", "1%", "1%"),
]


@pytest.mark.parametrize("rule, threshold, below, at, above", EDGES)
def test_edges(rule, threshold, below, at, above):
    x, step = Fraction(threshold), Fraction(1, 1000)
    texts = [declare_rule(US, rule, float(y)).text for y in (x - step, x, x + step)]
    assert texts == [below, at, above]


@pytest.mark.parametrize("entry", US.entries(Rounding), ids=lambda e: e.key)
def test_no_gap_and_ties_go_up(entry):
    """Every rule answers from nothing to far beyond a pack, in step with a calculation of its own in
    fractions.
    """
    limits = [Fraction(str(b.limit)) for b in entry.bands if b.limit is not None]
    probes = (
        [Fraction(n, 40) for n in range(400)]
        + [limit + d for limit in limits for d in (Fraction(-1, 10**6), 0, Fraction(1, 10**6))]
        + [Fraction(10**6)]
    )
    for amount in probes:
        if amount < 0:
            continue
        declared = declare_amount(US, entry.key, str(float(amount)))
        band = next(
            b
            for b in entry.bands
            if not (b.below is not None and amount >= Fraction(str(b.below)))
            and not (b.at_most is not None and amount > Fraction(str(b.at_most)))
        )
        if band.text is not None:
            assert declared.text == band.text
        elif band.to is not None:
            assert declared.value == band.to
        else:
            step = Fraction(str(band.step))
            assert Fraction(str(declared.value)) == floor(amount / step + Fraction(1, 2)) * step


def test_daily_values_of_the_2016_table():
    """21 CFR 101.9(c)(8)(iv) and (c)(9), typed a second time: 100 % of each prints as 100%."""
    table = {
        "total_fat": 78,
        "saturated_fat": 20,
        "cholesterol": 300,
        "total_carbohydrate": 275,
        "sodium": 2300,
        "dietary_fiber": 28,
        "added_sugars": 50,
        "protein_corrected": 50,
        "vitamin_a": 900,
        "vitamin_c": 90,
        "calcium": 1300,
        "iron": 18,
        "vitamin_d": 20,
        "vitamin_e": 15,
        "vitamin_k": 120,
        "thiamin": 1.2,
        "riboflavin": 1.3,
        "niacin": 16,
        "vitamin_b6": 1.7,
        "folate": 400,
        "vitamin_b12": 2.4,
        "biotin": 30,
        "pantothenic_acid": 5,
        "phosphorus": 1250,
        "iodine": 150,
        "magnesium": 420,
        "zinc": 11,
        "selenium": 55,
        "copper": 0.9,
        "manganese": 2.3,
        "chromium": 35,
        "molybdenum": 45,
        "chloride": 2300,
        "potassium": 4700,
        "choline": 550,
    }
    assert {e.key for e in US.entries(DailyValue)} == set(table)
    for key, amount in table.items():
        assert declare_rule(US, f"pct_dv_{key}", amount).text == "100%"
        assert declare_rule(US, f"pct_dv_{key}", amount * 0.2).text == "20%"
