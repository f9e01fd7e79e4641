"""US rounding against 21 CFR 101.9 and FDA's vitamin and mineral guidance: each row of the vectors names
its paragraph.
"""

import csv
import io
from datetime import date
from pathlib import Path

import pytest

from labelgen.cli import main
from labelgen.errors import RuleError
from labelgen.law.by_name import declare_rule
from labelgen.law.pack import read_pack
from labelgen.law.rounding import clean, declare_amount

VECTORS = Path(__file__).parents[1] / "vectors" / "us_rounding.csv"
PACK = read_pack("us", date(2026, 12, 1))


def test_every_vector_row(capsys):
    assert main(["round", "--csv", str(VECTORS), "--market", "us"]) == 0
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out)))
    assert len(rows) == 135 and {r["ok"] for r in rows} == {"yes"}


def test_a_wrong_row_fails_the_run(tmp_path, capsys):
    path = tmp_path / "v.csv"
    path.write_text(
        "case,rule,input,unit,expected,source\nA,sodium,140.1,mg,145mg,x\nB,nothing,1,g,1g,x\nC,sodium\n"
    )
    assert main(["round", "--csv", str(path)]) == 1
    captured = capsys.readouterr()
    assert "A,145mg,140mg,no" in captured.out and "v.csv:3" in captured.err and "v.csv:4" in captured.err


@pytest.mark.parametrize("amount, text", [(0.1 + 0.2 + 0.2, "0.5g"), (4.75 - 1e-13, "5g"), (0.49999, "0g")])
def test_binary_dust_does_not_move_a_boundary(amount, text):
    assert declare_amount(PACK, "total_fat", amount).text == text


@pytest.mark.parametrize(
    "rule, amount, text",
    # Sample panel percentages of 21 CFR 101.9(d)(8) (read) and of FDA's sample label (from memory).
    [
        ("pct_dv_vitamin_d", 2, "10%"),
        ("pct_dv_calcium", 260, "20%"),
        ("pct_dv_iron", 8, "45%"),
        ("pct_dv_potassium", 235, "6%"),
        ("pct_dv_total_fat", 8, "10%"),
        ("pct_dv_saturated_fat", 1, "5%"),
        ("pct_dv_sodium", 160, "7%"),
        ("pct_dv_total_carbohydrate", 37, "13%"),
        ("pct_dv_dietary_fiber", 4, "14%"),
        ("pct_dv_added_sugars", 10, "20%"),
    ],
)
def test_sample_panels(rule, amount, text):
    assert declare_rule(PACK, rule, amount).text == text


@pytest.mark.parametrize("amount", ["nan", "-1", "inf", "", "1e99", None])
def test_no_amount(amount):
    with pytest.raises(RuleError):
        clean(amount)


def test_no_rule_before_it_was_in_force():
    with pytest.raises(RuleError, match="on 2016-07-25"):
        declare_amount(read_pack("us", date(2016, 7, 25)), "sodium", 5)
    assert declare_amount(read_pack("us", date(2016, 7, 26)), "sodium", 5).text == "5mg"
