"""``labelgen round``: names a maker types, units, and files with faults."""

import json

import pytest

from labelgen.cli import main


@pytest.mark.parametrize(
    "nutrient, amount, text",
    # 21 CFR 101.9(c)
    [("fat", "4.75", "5g"), ("FASAT", "1.25", "1.5g"), ("Saturated Fat", "1.25", "1.5g"), ("calcium", "13", "10mg"), ("pct_dv_fat", "8", "10%"), ("energy", "54.9", "50"),
     ("sodium", "0.145 g", "150mg"), ("sodium", "145mg", "150mg"), ("fibre", "0.7", "less than 1g"), ("vitamin_d_amount", "80 IU", None), ("polyols", "14.5", "15g")],
)  # fmt: skip
def test_names_and_units(nutrient, amount, text, capsys):
    code = main(["round", nutrient, amount, "--market", "us"])
    out, err = capsys.readouterr()
    assert (code, out.strip()) == ((0, text) if text else (2, ""))
    assert text or "give the amount in mcg" in err


def test_json_names_the_rule_and_its_source(capsys):
    assert main(["round", "fat", "4.75", "--market", "us", "--on", "2026-12-01", "--json"]) == 0
    data = json.loads(capsys.readouterr().out)
    assert data["rule"] == "total_fat" and data["declared"] == "5g" and data["source"] == "cfr-21-101-9 (c)(2)"


@pytest.mark.parametrize("nutrient, amount", [("glow", "3"), ("fat", "-2"), ("fat", "much"), ("pct_dv_protein", "5"), ("fat", "nan")])
def test_faults_are_one_line(nutrient, amount, capsys):
    assert main(["round", nutrient, amount, "--market", "us"]) == 2
    err = capsys.readouterr().err
    assert err.startswith("labelgen: ") and err.count("\n") == 1


def test_a_date_before_the_rules(capsys):
    assert main(["round", "fat", "3", "--on", "2016-07-25"]) == 2
    assert "2016-07-26" in capsys.readouterr().err


@pytest.mark.parametrize("text, code", [("", 2), ("case,rule\n", 2), ("case,rule,input,unit,expected,source\n", 2)])
def test_files_without_rows(text, code, tmp_path, capsys):
    path = tmp_path / "v.csv"
    path.write_text(text)
    assert main(["round", "--csv", str(path)]) == code
    assert "v.csv" in capsys.readouterr().err


def test_units_of_a_file_are_heeded(tmp_path, capsys):
    path = tmp_path / "v.csv"
    path.write_text("case,rule,input,unit,expected,source\nA,sodium,0.145,g,150 MG,x\nB,sodium,145,,140mg|150mg,x\nC,sodium,1,oz,5mg,x\n")
    assert main(["round", "--csv", str(path)]) == 1
    out, err = capsys.readouterr()
    assert "A,150 MG,150mg,yes" in out and "B,140mg|150mg,150mg,yes" in out and "C,5mg,,no" in out and "v.csv:4" in err
