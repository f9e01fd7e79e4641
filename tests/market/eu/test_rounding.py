"""Every case of tests/vectors/eu_rounding.csv, for the European Union and for Great Britain, which took over
the same rules.

The cases are worked from the Commission's tolerance guidance of December 2012 (rounding), Annexes I, VIII,
XIII and XIV of Regulation (EU) No 1169/2011; exact halves go up, which the guidance leaves open.
"""

from pathlib import Path

import pytest

from labelgen.cli import main

VECTORS = str(Path(__file__).parents[2] / "vectors" / "eu_rounding.csv")


@pytest.mark.parametrize("market", ["eu", "uk"])
def test_every_case(market, capsys):
    assert main(["round", "--csv", VECTORS, "--market", market]) == 0
    rows = capsys.readouterr().out.splitlines()
    assert len(rows) == 126 and all(row.endswith(",yes") for row in rows[1:])


@pytest.mark.parametrize(
    "rule, amount, text",
    [
        ("fat", "12.3", "12 g"),
        ("salt", "0.0125", "<0.01 g"),
        ("salt", "0", "0 g"),
        ("sugars", "0.4", "<0.5 g"),
        ("nrv_percent_zinc", "1.5 mg", "15%"),
        ("nrv_percent_folate", "30 ug", "15%"),
        ("ri_percent_energy_kj", "8400", "100%"),
        ("significant_solid_zinc", "1.49", "no"),
        ("significant_solid_zinc", "1.5", "yes"),
        ("significant_beverage_zinc", "0.75", "yes"),
        ("significant_beverage_iodine", "11.2", "no"),
        ("quid", "ingoing=50;finished=169", "30%"),
        ("quid", "ingoing=117;finished=100", "117 g per 100 g"),
        ("energy_calc_kcal", "carbohydrate=20;polyols=20;erythritol=20", "0 kcal"),
    ],
)
def test_single_figures(rule, amount, text, capsys):
    """Annex XIII A: zinc 10 mg, folic acid 200 ug, iodine 150 ug; B: 8 400 kJ. Annex XIV: erythritol has
    no energy.
    """
    assert main(["round", rule, amount, "--market", "eu"]) == 0
    assert capsys.readouterr().out.strip() == text


def test_a_wrong_expectation_is_told(tmp_path, capsys):
    path = tmp_path / "cases.csv"
    path.write_text(
        "case,rule,input,unit,expected,source\nx,fat,3.24,g,3.3,\ny,fat,3.24,g,3.20,\n", encoding="utf-8"
    )
    assert main(["round", "--csv", str(path), "--market", "eu"]) == 1
    assert capsys.readouterr().out.splitlines()[1:] == ["x,3.3,3.2,no", "y,3.20,3.2,yes"]
