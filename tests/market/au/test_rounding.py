"""Rounding, daily intakes and formulas of the Food Standards Code: Standard 1.2.8, Schedules 1 and 11."""

import csv
from datetime import date
from pathlib import Path

import pytest

from labelgen.cli import main
from labelgen.commands.round import rule_named
from labelgen.errors import RuleError
from labelgen.law.by_name import declare_rule
from labelgen.law.figure_tables import DailyValue, Rounding
from labelgen.law.pack import read_pack

AU = read_pack("au", date(2026, 12, 1))
VECTORS = Path(__file__).parents[2] / "vectors" / "anz_rounding.csv"


def test_every_vector_row(capsys):
    assert main(["round", "--csv", str(VECTORS), "--market", "au"]) == 0
    rows = list(csv.DictReader(capsys.readouterr().out.splitlines()))
    assert len(rows) == 49 and {r["ok"] for r in rows} == {"yes"}


@pytest.mark.parametrize(
    "rule, amount, text",
    [
        # 1.2.8-7: not more than three significant figures; LESS THAN 40 kJ, 1 g, 5 mg below those amounts
        ("energy", "0", "0 kJ"),
        ("energy", "39.99", "LESS THAN 40 kJ"),
        ("energy", "40", "40 kJ"),
        ("energy", "999.5", "1000 kJ"),
        ("energy", "1004.9", "1000 kJ"),
        ("energy", "1005", "1010 kJ"),
        ("energy", "12345", "12300 kJ"),
        ("trans", "0.999", "LESS THAN 1 g"),
        ("trans", "1", "1 g"),
        ("fat", "99.94", "99.9 g"),
        ("fat", "99.95", "100 g"),
        ("fat", "0", "0 g"),
        ("fibre", "0", "0 g"),
        ("fibre_lt", "0", "LESS THAN 1 g"),
        ("sodium", "4.99", "LESS THAN 5 mg"),
        ("sodium", "5", "5 mg"),
        ("potassium_lt", "4.99", "LESS THAN 5 mg"),
        ("polyols", "0.3", "0.3 g"),
        ("cholesterol", "4", "4 mg"),
        ("grams_3sf", "0.0005555", "0.000556 g"),
        # 1.2.8-8: percentages of the daily intake of a serving
        ("pct_di_fat", "0", "0%"),
        ("pct_di_fat", "0.3", "<1%"),
        ("pct_di_fat", "0.35", "1%"),
        ("pct_di_energy", "2175", "25%"),
        # S11-2 with its factors: 29 x 5 + 17 x 1 = 162; 13 x 2 + 5 x 10 = 76; 18 x 5 + 14 x 5 = 160
        ("energy_formula", "alcohol=5;protein=1", "162 kJ"),
        ("energy_formula", "organic acids=2;polydextrose=10", "76 kJ"),
        ("energy_formula", "glycerol=5;sorbitol=5", "160 kJ"),
        ("energy_formula", "isomalt=10;lactitol=10;mannitol=10;xylitol=10;tagatose=10", "560 kJ"),
        # S11-3(2): 100 - 25 - 7 - 9 - 3 - 1.5 - 4 = 50.5
        ("carb_by_difference", "water=25;protein=7;fat=9;fibre=3;ash=1.5;alcohol=4", "50.5 g"),
        # S11-2(4): 1000 / 4.18 = 239.2; with 4.184 it would be 239.0
        ("kcal_from_kj", "4000", "957 Cal"),
        ("kcal_from_kj", "0", "0 Cal"),
        # 1.2.10-4(2): 45 of 360 g is 12.5 %, half-way up; below 5 % to the nearest half: 16 of 360 is 4.44 %
        ("characterising", "ingoing=45;total=360", "13%"),
        ("characterising", "ingoing=16;total=360", "4.5%"),
    ],
)
def test_edges(rule, amount, text):
    assert declare_rule(AU, rule, amount).text == text


def test_daily_intakes():
    """1.2.8-8(3), typed a second time: the whole of each is 100 %."""
    table = {
        "energy": 8700,
        "protein": 50,
        "fat": 70,
        "saturated": 24,
        "carbohydrate": 310,
        "sugars": 90,
        "sodium": 2300,
        "fibre": 30,
    }
    assert {e.key: int(e.amount) for e in AU.entries(DailyValue) if e.cite == "fsc-1-2-8"} == table
    for key, amount in table.items():
        assert declare_rule(AU, f"pct_di_{key}", amount).text == "100%"
        assert declare_rule(AU, f"pct_di_{key}", amount * 0.25).text == "25%"


def test_recommended_intakes():
    """Schedule 1, from memory: thiamin 1.1 mg, calcium 800 mg, iron 12 mg, vitamin C 40 mg, folate 200 µg,
    iodine 150 µg.
    """
    for key, amount in {
        "thiamin": 1.1,
        "calcium": 800,
        "iron": 12,
        "vitamin_c": 40,
        "folate": 200,
        "iodine": 150,
    }.items():
        assert declare_rule(AU, f"pct_rdi_{key}", amount * 0.1).text == "10%"


@pytest.mark.parametrize(
    "word, rule",
    [
        ("Saturated fat", "saturated"),
        ("pct_di_dietary_fibre", "pct_di_fibre"),
        ("FAT", "fat"),
        ("carb_by_difference", "carb_by_difference"),
    ],
)
def test_names_of_rules(word, rule):
    assert rule_named(AU, word) == rule


@pytest.mark.parametrize(
    "rule, given, message",
    [
        ("energy_formula", "protein=6;glow=2", "glow"),
        ("energy_formula", "protein", "no component"),
        ("energy_formula", "protein=6;PROCNT=2", "twice"),
        ("energy_formula", "", "needs its components"),
        ("energy_formula", "sodium=5", "no energy factor"),
        ("energy_formula", "protein=-2", "not an amount"),
        ("carb_by_difference", "water=80;fat=30", "10 more than the whole"),
        ("characterising", "ingoing=3", "needs ingoing"),
        ("kcal_from_kj", "fat=3", "not an amount"),
    ],
)
def test_faulty_formulas(rule, given, message):
    with pytest.raises(RuleError, match=message):
        declare_rule(AU, rule, given)


def test_every_amount_has_a_band_and_three_figures():
    """1.2.8-7: no rule of the panel prints more than three significant figures."""
    for entry in AU.entries(Rounding):
        if entry.cite != "fsc-1-2-8" or entry.key == "servings_per_container":
            continue
        for amount in ("0", "0.04", "0.96", "1.2345", "12.345", "123.45", "1234.5", "98765"):
            value = declare_rule(AU, entry.key, amount).value
            assert value is None or len(value.normalize().as_tuple().digits) <= 3
