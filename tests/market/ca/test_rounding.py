"""Canadian rounding and percent of daily value, Food and Drug Regulations (C.R.C., c. 870), tables of
B.01.401 and B.01.402.
"""

import csv
import io
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from labelgen.cli import main
from labelgen.errors import RuleError
from labelgen.law.by_name import declare_rule
from labelgen.law.figure_tables import DailyValue
from labelgen.law.pack import read_pack, read_table
from labelgen.law.rounding import declare_amount

VECTORS = Path(__file__).parents[2] / "vectors" / "ca_rounding.csv"
CA = read_pack("ca", date(2026, 11, 25))


def test_every_vector_row_passes(capsys):
    """Worked rows of the published table; the command prints case,expected,got,ok."""
    assert main(["round", "--csv", str(VECTORS), "--market", "ca", "--on", "2026-11-25"]) == 0
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    assert len(rows) == 138 and {r["ok"] for r in rows} == {"yes"}


@pytest.mark.parametrize(
    "rule, amount, text",
    [
        # B.01.402: each band's own step on both sides of its limit
        ("polyunsaturated", 0.96, "1 g"),
        ("polyunsaturated", 4.8, "5 g"),
        ("omega_3", 5.4, "5 g"),
        ("omega_6", 0.04, "0 g"),
        ("insoluble_fibre", 0.49, "0 g"),
        ("soluble_fibre", 0.5, "1 g"),
        ("starch", 12.5, "13 g"),
        ("vitamin_a", 249, "250 µg"),
        ("vitamin_a", 250, "300 µg"),
        ("vitamin_e", 0.04, "0 mg"),
        ("vitamin_e", 2.4, "2.5 mg"),
        ("vitamin_k", 2.6, "2.5 µg"),
        ("riboflavin", 0.0049, "0 mg"),
        ("vitamin_b6", 0.005, "0.01 mg"),
        ("vitamin_b12", 0.26, "0.25 µg"),
        ("biotin", 0.44, "0.4 µg"),
        ("pantothenate", 0.09, "0.1 mg"),
        ("pantothenic_acid", 0.52, "0.5 mg"),
        ("choline", 9, "10 mg"),
        ("phosphorus", 249, "250 mg"),
        ("iodide", 12, "10 µg"),
        ("magnesium", 52, "50 mg"),
        ("zinc", 2.5, "2.5 mg"),
        ("selenium", 4.6, "4.5 µg"),
        ("copper", 0.0014, "0 mg"),
        ("copper", 0.0249, "0.024 mg"),
        ("copper", 0.049, "0.05 mg"),
        ("manganese", 0.24, "0.25 mg"),
        ("chromium", 0.6, "0.5 µg"),
        ("molybdenum", 3.2, "3 µg"),
        ("chloride", 4.9, "0 mg"),
        # B.01.401(1.2), B.01.402(2.2): vitamins and minerals from the rounded amount: 20.4 mg -> 20 mg of 420
        # mg; 0.13 -> 0.125 of 1.2
        ("pct_dv_magnesium", 20.4, "5%"),
        ("pct_dv_thiamine", 0.13, "10%"),
        ("pct_dv_vitamin_d", 0.09, "0%"),
        ("pct_dv_folate", 33, "9%"),
        # item 3(2): 0 % beside an amount declared as 0 g
        ("pct_dv_fat", 0.04, "0%"),
        ("pct_dv_fibre", 0.4, "0%"),
        ("pct_dv_sugars", 0.4, "0%"),
        ("pct_dv_cholesterol", 30, "10%"),
    ],
)
def test_added_rows(rule, amount, text):
    assert declare_rule(CA, rule, amount).text == text


def test_free_rules_differ_only_below_their_limit():
    """B.01.401 table items 2 to 5 and 8: "0" is kept for foods that are free of the nutrient."""
    for rule, free, below, above in [
        ("calories", "calories_energy_free", "4.9", "5"),
        ("fat", "fat_all_free", "0.4", "0.5"),
        ("saturated", "saturated_free", "0.19", "0.5"),
        ("trans", "trans_free", "0.19", "0.5"),
        ("sodium", "sodium_free", "4.9", "5"),
    ]:
        assert declare_amount(CA, rule, below).value != declare_amount(CA, free, below).value == 0
        assert declare_amount(CA, rule, above).text == declare_amount(CA, free, above).text


def test_potassium_daily_value_changes_on_its_day():
    """Table of Daily Values of 20 October 2022: 3400 mg in place of 4700 mg; compulsory from 1 January
    2026.
    """
    before, after = (
        read_pack("ca", day).entry(DailyValue, "potassium")
        for day in (date(2022, 10, 19), date(2022, 10, 20))
    )
    assert (before.amount, after.amount) == (Decimal(4700), Decimal(3400))
    assert before.until == date(2022, 10, 19) and after.mandatory == date(2026, 1, 1)


def test_no_rule_before_the_regulations_of_2016():
    with pytest.raises(RuleError, match="2016-12-14"):
        declare_amount(read_pack("ca", date(2016, 12, 13)), "sodium", 100)
    assert declare_amount(read_pack("ca", date(2016, 12, 14)), "sodium", 100).text == "100 mg"


def test_daily_values_as_published():
    """Adults and children from 4 years; no value for carbohydrate, protein or trans fat alone (table of
    2022).
    """
    published = {
        "fat": 75,
        "sat_plus_trans": 20,
        "cholesterol": 300,
        "sodium": 2300,
        "fibre": 28,
        "sugars": 100,
        "potassium": 3400,
        "calcium": 1300,
        "iron": 18,
    }
    assert {k: int(CA.entry(DailyValue, k).amount) for k in published} == published
    assert not {"carbohydrate", "protein", "trans", "saturated", "calories"} & {
        e.key for e in read_table("ca", DailyValue)
    }
