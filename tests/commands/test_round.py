"""``labelgen round``: names a maker types, units, and files with faults."""

import json

import pytest

from labelgen.cli import main


@pytest.mark.parametrize(
    "nutrient, amount, text",
    # 21 CFR 101.9(c)
    [
        ("fat", "4.75", "5g"),
        ("FASAT", "1.25", "1.5g"),
        ("Saturated Fat", "1.25", "1.5g"),
        ("calcium", "13", "10mg"),
        ("pct_dv_fat", "8", "10%"),
        ("energy", "54.9", "50"),
        ("sodium", "0.145 g", "150mg"),
        ("sodium", "145mg", "150mg"),
        ("fibre", "0.7", "less than 1g"),
        ("vitamin_d_amount", "80 IU", None),
        ("vitamin_e_amount", "5 mg alpha-tocopherol", "5mg"),
        ("polyols", "14.5", "15g"),
    ],
)
def test_names_and_units(nutrient, amount, text, capsys):
    code = main(["round", nutrient, amount, "--market", "us"])
    out, err = capsys.readouterr()
    assert (code, out.strip()) == ((0, text) if text else (2, ""))
    assert text or "give the amount in mcg" in err


def test_json_names_the_rule_and_its_source(capsys):
    assert main(["round", "fat", "4.75", "--market", "us", "--on", "2026-12-01", "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert (
        data["rule"] == "total_fat" and data["declared"] == "5g" and data["source"] == "cfr-21-101-9 (c)(2)"
    )


@pytest.mark.parametrize(
    "nutrient, amount",
    [
        ("glow", "3"),
        ("fat", "-2"),
        ("fat", "much"),
        ("pct_dv_protein", "5"),
        ("fat", "nan"),
        ("fat", "5 mg 3"),
    ],
)
def test_faults_are_one_line(nutrient, amount, capsys):
    assert main(["round", nutrient, amount, "--market", "us"]) == 2
    err = capsys.readouterr().err
    assert err.startswith("labelgen: ") and err.count("\n") == 1


def test_a_date_before_the_rules(capsys):
    assert main(["round", "fat", "3", "--on", "2016-07-25"]) == 2
    assert "2016-07-26" in capsys.readouterr().err


@pytest.mark.parametrize(
    "text, code", [("", 2), ("case,rule\n", 2), ("case,rule,input,unit,expected,source\n", 2)]
)
def test_files_without_rows(text, code, tmp_path, capsys):
    path = tmp_path / "v.csv"
    path.write_text(text)
    assert main(["round", "--csv", str(path)]) == code
    assert "v.csv" in capsys.readouterr().err


def test_units_of_a_file_are_heeded(tmp_path, capsys):
    path = tmp_path / "v.csv"
    path.write_text(
        "case,rule,input,unit,expected,source\nA,sodium,0.145,g,150"
        " MG,x\nB,sodium,145,,140mg|150mg,x\nC,sodium,1,oz,5mg,x\n"
    )
    assert main(["round", "--csv", str(path)]) == 1
    out, err = capsys.readouterr()
    assert (
        "A,150 MG,150mg,yes" in out
        and "B,140mg|150mg,150mg,yes" in out
        and "C,5mg,,no" in out
        and "v.csv:4" in err
    )


def test_rows_with_faults_are_told_and_the_others_are_still_checked(tmp_path, capsys):
    path = tmp_path / "v.csv"
    path.write_text(
        "case,rule,input,unit,expected\nA,,1,g,1 g\nB,fat,,g,1 g\nC,fat,1.5\nD,fat,1.5,g,1.5"
        " g,one,more\nE,dv_percent_calcium,120,mg,15%\n"
    )
    assert main(["round", "--csv", str(path), "--market", "eu"]) == 1
    out, err = capsys.readouterr()
    assert out.splitlines() == [
        "case,expected,got,ok",
        "A,1 g,,no",
        "B,1 g,,no",
        "C,,,no",
        "D,1.5 g,1.5 g,yes",
        "E,15%,,no",
    ]
    assert [line.split("v.csv:")[1][0] for line in err.splitlines()] == ["2", "3", "4", "6"]
    assert "rule left empty" in err and "input left empty" in err and "expected left empty" in err


def test_a_file_of_cases_as_json(tmp_path, capsys):
    path = tmp_path / "v.csv"
    path.write_text("case,rule,input,unit,expected\nA,fat,1.5,g,1.5g\nB,fat,1.5,g,2 g\n")
    assert main(["round", "--csv", str(path), "--market", "eu", "--json"]) == 1
    assert json.loads(capsys.readouterr().out) == [
        {"case": "A", "expected": "1.5g", "got": "1.5 g", "ok": True},
        {"case": "B", "expected": "2 g", "got": "1.5 g", "ok": False},
    ]


@pytest.mark.parametrize("nutrient", ["protein", "fat", "salt", "energy_kj"])
def test_only_vitamins_and_minerals_have_a_significant_amount(nutrient, capsys):
    """Regulation (EU) 1169/2011, Annex XIII, Part A, 2 speaks of vitamins and minerals; Part B has no such
    amounts.
    """
    assert main(["round", f"significant_solid_{nutrient}", "50", "--market", "eu"]) == 2
    assert "significant amount only of vitamin_a" in capsys.readouterr().err


def test_typed_figures_keep_all_their_digits_and_binary_dust_is_dropped(capsys):
    """21 CFR 101.9(c)(7), nearest gram: 4.4999999999 g lies below the half, 4.5 - 1e-15 is 4.5 as binary
    arithmetic leaves it.
    """
    for amount, text in (("4.4999999999", "4g"), ("4.499999999999999", "5g"), ("4.5", "5g")):
        assert main(["round", "protein", amount, "--market", "us"]) == 0
        assert capsys.readouterr().out.strip() == text
