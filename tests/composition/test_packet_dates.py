"""A packet is read by its own market's rules as they stand on the label's date, not today's."""

from datetime import date

import pytest

from labelgen.chain import declare_product, roll_up_folder
from labelgen.cli import main
from labelgen.law import pack as packs
from labelgen.law import registry
from labelgen.order import Order
from tests.kitchens import write

#: The European Union's tables, but fat is rounded to whole grams until the end of 2025, to half grams from
# 2026 on.
MARKET = 'code = "zy"\nname = "Coast"\nstatus = "complete"\nlanguage = "en"\nstarts_from = "eu"\n'
ROUNDING = """[all]
cite = "zz-act"
locator = "1"
grade = "read"
reviewed = 2026-11-25
unit = "g"
after = " g"
ties = "half_up"
[[rule]]
key = "fat"
effective = 2020-01-01
until = 2025-12-31
bands = [{step = 1}]
[[rule]]
key = "fat"
effective = 2026-01-01
bands = [{step = 0.5}]
"""
BEFORE, AFTER = date(2025, 12, 31), date(2026, 1, 1)
LARDER = """oats:
  print: oats
  contains: []
  panel: {market: zy, energy: 1566 kJ / 372 kcal, fat: 7 g, saturates: 1.3 g, carbohydrate: 60 g,
      sugars: 1.1 g, protein: 11 g, salt: 0.01 g}
"""
RECIPES = (
    "formulations:\n  d: {ingredients: [100 g oats], makes: 1}\nproducts:\n  p: {name: Oats, of: d, pieces:"
    " 1}\n"
)


@pytest.fixture
def kitchen(tmp_path, monkeypatch):
    (tmp_path / "zy").mkdir()
    (tmp_path / "zy" / "market.toml").write_text(MARKET, encoding="utf-8")
    (tmp_path / "zy" / "rounding.toml").write_text(ROUNDING, encoding="utf-8")
    monkeypatch.setenv("LABELGEN_MARKETS", str(tmp_path))
    caches = (registry.markets, registry.market_named, registry.starts_from, packs._table, packs._in_force)
    for cached in caches:
        cached.cache_clear()
    yield write(
        tmp_path / "kitchen",
        LARDER,
        RECIPES,
        "producer: {name: Example Hill Bakes, address: 1 Example Hill}\nmarkets: [eu]\n",
    )
    monkeypatch.undo()
    for cached in caches:
        cached.cache_clear()


def fat(rolled) -> tuple[float, float]:
    low, _, high = rolled.profiles["p"].per_100g.get("FAT")
    return round(low, 6), round(high, 6)


def test_the_same_figure_on_two_days(kitchen):
    """ "7 g" is 6.5 to 7.5 g where whole grams are printed, 6.75 to 7.25 g where half grams are."""
    assert fat(roll_up_folder(kitchen, BEFORE)) == (6.5, 7.5)
    assert fat(roll_up_folder(kitchen, AFTER)) == (6.75, 7.25)


@pytest.mark.parametrize(
    "rolled_on, declared_on, low", [(AFTER, BEFORE, 6.5), (BEFORE, AFTER, 6.75), (AFTER, AFTER, 6.75)]
)
def test_a_label_takes_its_own_day_whatever_day_the_kitchen_was_read_for(
    kitchen, rolled_on, declared_on, low
):
    rows = (
        declare_product(roll_up_folder(kitchen, rolled_on), "p", Order("eu", declared_on))
        .panel.columns[0]
        .rows
    )
    assert next(round(r.low, 6) for r in rows if r.key == "fat") == low


@pytest.mark.parametrize("on, shown", [(BEFORE, "7.00 (6.50-7.50)"), (AFTER, "7.00 (6.75-7.25)")])
def test_the_command_line_reads_packets_by_its_date(kitchen, capsys, on, shown):
    main(["panel", "p", "--kitchen", str(kitchen), "--on", str(on)])
    assert shown in capsys.readouterr().out
