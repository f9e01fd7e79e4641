"""Every rule of every market is cited, dated and graded; the food tables are whole."""

import csv
import re
import tomllib
from datetime import date
from math import fsum
from pathlib import Path

import pytest

from labelgen import paths
from labelgen.law.pack import Pack, read_table
from labelgen.law.registry import markets
from labelgen.law.tables import TABLES
from labelgen.nutrients import KEYS

#: What the committed tables add up to: table, column, figures in it, their sum; "across" weighs the sum of
# each row by its number.
SUMS = Path(__file__).parent / "vectors" / "table_sums.csv"
SOURCE = tomllib.loads(paths.reference("composition", "SOURCE.toml").read_text(encoding="utf-8"))
CITED = {
    k
    for p in paths.reference("citations").glob("*.toml")
    for k in tomllib.loads(p.read_text(encoding="utf-8"))
}
FILES = [
    (m.code, table)
    for m in markets()
    for table in TABLES
    if Pack(m.code, date(2026, 11, 25)).has(TABLES[table])
]


@pytest.mark.parametrize("market, table", FILES)
def test_rules_are_cited(market, table):
    """The loader itself refuses undated, ungraded, unknown and overlapping rules and days without one; the
    sources must exist too, and no amount may lie above the last band.
    """
    entries = read_table(market, TABLES[table])
    assert entries
    assert {e.cite for e in entries} <= CITED
    assert not [e.key for e in entries if getattr(e, "bands", ()) and e.bands[-1].limit is not None]


def test_every_file_of_a_market_is_a_table():
    files = {p.stem for m in markets() for p in paths.reference("markets", m.code).glob("*.toml")}
    assert files - set(TABLES) == {"market"}


def rows(name):
    with open(paths.reference("composition", name), encoding="utf-8", newline="") as f:
        return list(csv.DictReader(f))


def test_food_tables_are_sorted_and_pinned():
    """USDA SR24, and what it is known to hold."""
    foods = rows("foods.csv")
    assert [f["id"] for f in foods] == sorted({f["id"] for f in foods}) and len(foods) == 6096
    revised = {(r["id"], r["key"]): (r["sr24"], r["later"]) for r in rows("revisions.csv")}
    assert revised["usda/01001", "NA"] == ("714", "643") and revised["usda/19165", "FIBTG"] == (
        "33.2",
        "37",
    )
    assert revised["usda/19350", "SUGAR"] == ("26.77", "76.77")


def figures(table: str) -> list[dict[str, float]]:
    """The figures of each row by column; absent ones are left out."""
    with open(paths.reference(*table.split("/")), encoding="utf-8", newline="") as f:
        listed = list(csv.DictReader(line for line in f if not line.startswith("#")))
    told = [
        dict(pair.split("=") for pair in row["values"].split(";")) if "values" in row else row
        for row in listed
    ]
    return [
        {
            k: float(x)
            for k, x in row.items()
            if re.fullmatch(r"-?\d+(\.\d+)?(e-?\d+)?", x or "") and k not in ("id", "code", "food_group")
        }
        for row in told
    ]


def totals(table: str) -> dict[str, tuple[int, float]]:
    """Column -> (figures in it, their sum), and the rows by their number, so that nothing changes places
    unseen.
    """
    every = figures(table)
    columns = {k for row in every for k in row}
    found = {
        k: (sum(k in row for row in every), fsum(row.get(k, 0.0) for row in every)) for k in sorted(columns)
    }
    return found | {"across": (len(every), fsum(n * fsum(row.values()) for n, row in enumerate(every, 1)))}


@pytest.mark.parametrize(
    "table",
    [
        "composition/foods.csv",
        "composition/supplements.csv",
        "composition/substances.csv",
        "composition/revisions.csv",
        "composition/portions.csv",
        "factors/retention.csv",
    ],
)
def test_every_row_and_column_adds_up_to_what_is_pinned(table):
    with open(SUMS, encoding="utf-8", newline="") as f:
        pinned = {
            r["column"]: (int(r["figures"]), float(r["sum"]))
            for r in csv.DictReader(f)
            if r["table"] == table
        }
    assert {k: (n, pytest.approx(x, rel=1e-11)) for k, (n, x) in pinned.items()} == totals(table)


def test_the_source_file_tells_what_is_there():
    """Release, licence and the checksum of each input; as many foods, revisions and supplements as it
    says.
    """
    for name in ("sr24", "fdc_2025"):
        source = SOURCE[name]
        assert (
            source["title"]
            and source["year"]
            and "public domain" in source["licence"]
            and re.fullmatch("[0-9a-f]{64}", source["sha256"])
        )
    assert SOURCE["sr24"]["foods"] == len(rows("foods.csv"))
    assert (SOURCE["fdc_2025"]["revisions"], SOURCE["fdc_2025"]["supplements"]) == (
        len(rows("revisions.csv")),
        len(rows("supplements.csv")),
    )


def test_absent_is_not_zero():
    """USDA SR24 gives trans fat for about a quarter of its foods: the rest stays blank in the table."""
    foods = rows("foods.csv")
    given = sum(bool(f["FATRN"]) for f in foods)
    assert 0.15 < given / len(foods) < 0.4


def test_macronutrients_add_up():
    """Water + protein + fat + carbohydrate + ash + alcohol = 100 g within 5 g (INFOODS allows 95-105 g)."""
    off = [
        f["id"]
        for f in rows("foods.csv")
        if f["WATER"]
        and f["ASH"]
        and abs(sum(float(f[k] or 0) for k in ("WATER", "PROCNT", "FAT", "CHOCDF", "ASH", "ALC")) - 100) > 5
    ]
    assert len(off) <= 40, off


def test_substances_use_known_nutrients():
    for row in rows("substances.csv"):
        values = dict(pair.split("=") for pair in row["values"].split(";"))
        assert set(values) <= set(KEYS) and row["grade"] in ("by definition", "typical")
        assert sum(float(values.get(k, 0)) for k in ("WATER", "PROCNT", "FAT", "CHOCDF", "ASH")) <= 100.5, (
            row["id"]
        )


def test_presumed_figures_agree_with_measured_ones():
    """Every figure USDA measured in a food that a rule covers lies within what the rule presumes for the
    others.
    """
    foods = rows("foods.csv")
    later = {(r["id"], r["key"]): r["later"] for r in rows("revisions.csv")}
    dust = {"FATRN": 0.05, "CHOLE": 0.5, "FIBTG": 0.1, "SUGAR": 0.1, "VITD": 0.1, "ALC": 0.1, "CAFFN": 1.0}
    checked = 0
    for rule in rows("presumed.csv"):
        key, groups = rule["key"], rule["groups"].split()
        for food in foods:
            measured = later.get((food["id"], key), food.get(key, ""))
            if (
                not measured
                or (groups and food["id"][5:7] not in groups)
                or not re.search(rule["include"], food["name"], re.I)
            ):
                continue
            if rule["exclude"] and re.search(rule["exclude"], food["name"], re.I):
                continue
            whole = float(food[rule["of"]] if rule["of"] else 1)
            low, high = (float(rule[x] or rule["value"]) * whole for x in ("least", "most"))
            spice = food["name"] == "Spices, cloves, ground"  # the one outlier: 2 % of its fat, measured
            assert low - dust[key] <= float(measured) <= high + dust[key] or spice, (
                rule["reason"],
                food["name"],
                measured,
            )
            checked += 1
    assert checked > 10_000
