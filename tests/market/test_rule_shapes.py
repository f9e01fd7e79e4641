"""Rounding shapes other markets need, tried on tables of a market of its own: kept zeros, significant
figures, words.
"""

from datetime import date

import pytest

from labelgen.law import pack as packs
from labelgen.law.pack import Pack
from labelgen.law.rounding import declare_amount, declare_percent, interval

ALL = (
    '[all]\neffective = 2020-01-01\ncite = "x"\nlocator = "1"\ngrade = "read"\nreviewed = 2026-01-01\nties'
    ' = "half_up"\n'
)
TABLES = {
    "rounding": ALL
    + """
[[rule]]
key = "fat"
unit = "g"
zeros = "keep"
bands = [{at_most = 0.5, text = "<0.5"}, {below = 10, step = 0.1}, {step = 1}]
[[rule]]
key = "vitamin_c"
unit = "mg"
bands = [{figures = 2}]
[[rule]]
key = "energy_kj"
unit = "kJ"
after = " kJ"
bands = [{below = 40, text = "LESS THAN 40 kJ"}, {step = 1, figures = 3}]
[[rule]]
key = "iron"
unit = "mg"
after = " mg"
bands = [{below = 0.05, to = 0}, {below = 0.5, step = 0.1}, {below = 2.5, step = 0.25}, {step = 0.5}]
""",
    "percent": ALL
    + """
[[rule]]
key = "iron"
pattern = "pct_dv_*"
basis = "declared"
after = "%"
bands = [{step = 1}]
""",
    "daily_values": ALL.replace('ties = "half_up"\n', "")
    + """
[[rule]]
key = "iron"
amount = 18
unit = "mg"
""",
}


@pytest.fixture
def zz(tmp_path, monkeypatch):
    for name, text in TABLES.items():
        (tmp_path / f"{name}.toml").write_text(text, encoding="utf-8")
    monkeypatch.setattr(packs, "_path", lambda market, name: tmp_path / f"{name}.toml")
    caches = (packs._table, packs._in_force)
    for cached in caches:
        cached.cache_clear()
    yield Pack("zz", date(2026, 1, 1))
    for cached in caches:
        cached.cache_clear()


@pytest.mark.parametrize(
    "rule, amount, text",
    [
        # European Commission guidance on tolerances, December 2012, table of rounding: fat, vitamin C
        ("fat", 0.5, "<0.5"),
        ("fat", 0.51, "0.5"),
        ("fat", 3.25, "3.3"),
        ("fat", 9.95, "10.0"),
        ("fat", 10, "10"),
        ("fat", 34.5, "35"),
        ("vitamin_c", 12.34, "12"),
        ("vitamin_c", 99.5, "100"),
        ("vitamin_c", 0.456, "0.46"),
        ("vitamin_c", 0, "0"),
        # Australia New Zealand Food Standards Code 1.2.8-7: not more than three significant figures
        ("energy_kj", 39.9, "LESS THAN 40 kJ"),
        ("energy_kj", 845.4, "845 kJ"),
        ("energy_kj", 1235, "1240 kJ"),
        ("energy_kj", 1996, "2000 kJ"),
        # Canada, Food and Drug Regulations B.01.401 item 15: iron
        ("iron", 0.45, "0.5 mg"),
        ("iron", 0.62, "0.5 mg"),
        ("iron", 2.4, "2.5 mg"),
        ("iron", 2.74, "2.5 mg"),
        ("iron", 2.75, "3 mg"),
    ],
)
def test_shapes(zz, rule, amount, text):
    assert declare_amount(zz, rule, amount).text == text


@pytest.mark.parametrize("amount, text", [(1.1, "6%"), (2.7, "14%")])
def test_percent_of_the_declared_amount(zz, amount, text):
    """Canada B.01.401(1.2): minerals from the rounded amount. 2.7 mg prints 2.5 mg, 13.9 %."""
    assert declare_percent(zz, "iron", amount).text == text


def test_significant_figures_read_back(zz):
    assert [str(x) for x in interval(zz, "energy_kj", "1240 kJ")] == ["1235", "1245"]
    assert interval(zz, "fat", "<0.5")[1] == interval(zz, "fat", "0.6")[0] * 50 / 55
