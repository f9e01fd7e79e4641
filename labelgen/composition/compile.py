"""Compiles the committed food tables into SQLite: values, where each is from, presumed zeros, full-text
index.
"""

from __future__ import annotations

import csv
import re
import sqlite3
from functools import cache

import numpy as np

from labelgen import paths
from labelgen.composition.bounds import AVAILABLE, fill_available, upper_bounds
from labelgen.nutrients import INDEX, KEYS, POLYOLS

RELEASE = "USDA SR24"
LATER = "USDA SR Legacy (FDC 2025)"
FOUNDATION = "USDA FDC Foundation (2025)"
_DIETETIC = re.compile(
    r"sugar.?free|sugarless|dietetic|low.calorie|reduced.calorie|reduced.sugar|low.carbohydrate|diabet|artificial|no"
    r" sugar|chewing gum",
    re.I,
)
_UNSWEETENED = re.compile(
    r"unsweetened|not sweetened|without added sugar|no sugar added|(water|juice) pack", re.I
)

_PARTS_OF = {
    "FAT": (("FASAT", "FAMS", "FAPU", "FAPUN3", "FAPUN6", "FATRN"), "fat"),
    "CHOCDF": (("SUGAR", "FIBTG", "STARCH"), "carbohydrate"),
    "FIBTG": (("FIBSOL", "FIBINS"), "fibre"),
}


def _rows(name: str):
    with open(paths.reference("composition", name), encoding="utf-8", newline="") as f:
        yield from csv.DictReader(f)


def compile_dataset(db: sqlite3.Connection) -> None:
    """Fills an empty database. Everything is read from ``reference/composition``."""
    db.executescript(
        "PRAGMA journal_mode=OFF; PRAGMA synchronous=OFF;CREATE TABLE food(id TEXT PRIMARY KEY, name, grp,"
        " grade, release, note, composite, retention, added, vals BLOB, lows BLOB, highs BLOB, codes BLOB)"
        " WITHOUT ROWID;CREATE TABLE highest(key, grp, most, food, named, count);CREATE TABLE portion(id,"
        " amount, unit, grams); CREATE TABLE source(code INTEGER PRIMARY KEY, text);CREATE VIRTUAL TABLE"
        " food_fts USING fts5(id UNINDEXED, name, group_name, tokenize='porter unicode61');"
    )
    codes: dict[str, int] = {"": 0}
    measured: dict[str, list[tuple[str, np.ndarray]]] = {}
    revisions: dict[str, dict[str, float]] = {}
    for row in _rows("revisions.csv"):
        revisions.setdefault(row["id"], {})[row["key"]] = float(row["later"])
    presumed, added = _rules("presumed.csv"), _rules("added_sugars.csv")

    def code(text: str) -> int:
        return codes.setdefault(text, len(codes))

    def insert(fid, name, group, grade, release, note, value, sources, mixed, retention, kind, spread=()):
        low = np.where(np.isnan(value), 0.0, value)
        high = upper_bounds(low, value, value)
        for key, least, most in spread:
            low[INDEX[key]], high[INDEX[key]] = least, most
        if kind == "mixed":
            low[INDEX["SUGAD"]], high[INDEX["SUGAD"]] = 0.0, high[INDEX["SUGAR"]]
        fill_available(low, value, high)
        sources[INDEX[AVAILABLE]] = (
            "total carbohydrate less dietary fibre" if value[INDEX[AVAILABLE]] >= 0 else ""
        )
        figures = (value.tobytes(), low.tobytes(), high.tobytes(), bytes(code(s) for s in sources))
        db.execute(
            "INSERT INTO food VALUES(?,?,?,?,?,?,?,?,?,?,?,?,?)",
            (fid, name, group, grade, release, note, int(mixed), retention, kind, *figures),
        )
        db.execute("INSERT INTO food_fts VALUES(?,?,?)", (fid, name, group))

    for file, release in (("foods.csv", RELEASE), ("supplements.csv", FOUNDATION)):
        for row in _rows(file):
            fid, name = row["id"], row["name"]
            group = (
                fid[5:7]
                if release == RELEASE
                else (
                    "12"
                    if re.search("almond|sesame|chestnut|coconut", name, re.I)
                    else "14"
                    if "milk" in name
                    else "20"
                )
            )
            value, sources = np.full(len(KEYS), np.nan), [""] * len(KEYS)
            for key in KEYS:
                if row.get(key):
                    value[INDEX[key]], sources[INDEX[key]] = float(row[key]), release
            for key, later in revisions.get(fid, {}).items():
                value[INDEX[key]], sources[INDEX[key]] = later, LATER
            measured.setdefault(group, []).append((name, value.copy()))
            mixed = is_composite(name, group)
            kind, spread = _presume(name, group, value, sources, presumed, added, mixed)
            insert(
                fid,
                name,
                group,
                "read",
                release,
                "",
                value,
                sources,
                mixed,
                _retention(name, group),
                kind,
                spread,
            )
    for row in _rows("substances.csv"):
        value, sources = np.full(len(KEYS), np.nan), [""] * len(KEYS)
        if row["grade"] == "by definition":
            value[:], sources = 0.0, ["pure substance: by definition"] * len(KEYS)
        reason = (
            "typical: replace with your supplier's figures" if row["grade"] == "typical" else "by definition"
        )
        for pair in row["values"].split(";"):
            key, _, figure = pair.partition("=")
            value[INDEX[key]], sources[INDEX[key]] = float(figure), reason
        _logical_zeros(value, sources)
        if row["grade"] == "typical":
            for key in (
                *POLYOLS,
                "POLYL",
                "ALLULOSE",
                "POLYDEXTROSE",
                "ALC",
                "SUGAD",
                "FATRN",
                "CHOLE",
                "FASAT",
                "VITD",
                "CAFFN",
            ):
                if np.isnan(value[INDEX[key]]):
                    value[INDEX[key]], sources[INDEX[key]] = 0.0, f"presumed zero ({reason})"
        insert(
            row["id"],
            row["name"],
            row["group"],
            row["grade"],
            "labelgen substances",
            row["note"],
            value,
            sources,
            is_composite(row["name"], row["group"]),
            "",
            "stated",
        )
    db.executemany("INSERT INTO highest VALUES(?,?,?,?,?,?)", _highest(measured))
    db.executemany(
        "INSERT INTO portion VALUES(?,?,?,?)",
        ((r["id"], float(r["amount"]), r["unit"], float(r["grams"])) for r in _rows("portions.csv")),
    )
    db.execute("CREATE INDEX portion_id ON portion(id)")
    db.executemany("INSERT INTO source VALUES(?,?)", ((c, t) for t, c in codes.items()))
    db.commit()


def _highest(measured: dict[str, list[tuple[str, np.ndarray]]]):
    """(key, group, highest figure, its food, name of the group, number of figures) of every group and of
    all foods.
    """
    names = {r["code"]: r["name"] for r in _rows("food_groups.csv")}
    everything = [food for foods in measured.values() for food in foods]
    for group, foods in [("", everything), *measured.items()]:
        values = np.array([v for _, v in foods])
        for key, column in zip(KEYS, values.T):
            known = ~np.isnan(column)
            if known.any():
                best = int(np.argmax(np.where(known, column, -1.0)))
                yield (
                    key,
                    group,
                    float(column[best]),
                    foods[best][0],
                    names.get(group, ""),
                    int(known.sum()),
                )


def is_composite(name: str, group: str) -> bool:
    """Whether a food of this name and USDA group ("18"; "" where it is not known) is made of things its
    table does not list.
    """
    return next(r[0]["composite"] == "yes" for r in _rules("composite.csv") if _applies(r, name, group))


def added_sugars_of(name: str, group: str) -> tuple[str, str]:
    """(class, reason) of a food that is no mixture: "all" its sugars count as added, "none" do, or "mixed"
    where its name and group do not tell.
    """
    return next(
        ((r[0]["class"], r[0]["reason"]) for r in _rules("added_sugars.csv") if _applies(r, name, group)),
        ("mixed", ""),
    )


def _logical_zeros(value, sources) -> None:
    """Fills in place what nobody states of a food that has nothing it could be part of."""
    for whole, (parts, word) in _PARTS_OF.items():
        for key in parts if value[INDEX[whole]] == 0 else ():
            if np.isnan(value[INDEX[key]]):
                value[INDEX[key]], sources[INDEX[key]] = 0.0, f"logical zero: the food has no {word}"


def _presume(
    name, group, value, sources, presumed, added, composite
) -> tuple[str, list[tuple[str, float, float]]]:
    """Fills logical zeros and presumed figures in place, each with its reason; returns the added-sugars class
    and (key, least, most) per 100 g of every figure presumed within bounds. A ``composite`` food, whose
    make-up nobody tells, has sugars of its own alone only if its name says that it is unsweetened.
    """
    spread = []

    def put(key, figure, reason):
        if np.isnan(value[INDEX[key]]):
            value[INDEX[key]], sources[INDEX[key]] = figure, reason

    _logical_zeros(value, sources)
    for rule in presumed:
        if _applies(rule, name, group):
            row = rule[0]
            whole = value[INDEX[row["of"]]] if row["of"] else 1.0
            if row["most"] and np.isnan(value[INDEX[row["key"]]]):
                spread.append((row["key"], float(row["least"]) * whole, float(row["most"]) * whole))
            put(row["key"], float(row["value"]) * whole, row["reason"])
    _logical_zeros(value, sources)
    if not _DIETETIC.search(name):
        for key in (*POLYOLS, "POLYL", "ALLULOSE", "POLYDEXTROSE"):
            put(key, 0.0, "presumed zero: not added to this food")
    kind = next((r[0]["class"] for r in added if _applies(r, name, group)), "mixed")
    if kind == "none" and composite and not _UNSWEETENED.search(name):
        kind = "mixed"
    sugar = value[INDEX["SUGAR"]]
    put(
        "SUGAD",
        {"all": sugar, "none": 0.0, "mixed": sugar}[kind],
        {
            "all": "all its sugars are added",
            "none": "its sugars are inherent",
            "mixed": "cautious: all its sugars counted as added",
        }[kind],
    )
    if np.isnan(value[INDEX["SUGAD"]]):
        sources[INDEX["SUGAD"]] = ""
    return kind, spread


@cache
def _rules(name: str) -> list[tuple[dict[str, str], list[str], re.Pattern, re.Pattern | None]]:
    """Rules of a table with the columns groups, include and exclude; see ``_applies``."""
    return [
        (
            r,
            r["groups"].split(),
            re.compile(r["include"] or ".", re.I),
            re.compile(r["exclude"], re.I) if r["exclude"] else None,
        )
        for r in _rows(name)
    ]


def _applies(rule: tuple, name: str, group: str) -> bool:
    _, groups, include, exclude = rule
    return (
        (not groups or group in groups)
        and bool(include.search(name))
        and not (exclude and exclude.search(name))
    )


def _retention(name: str, group: str) -> str:
    """The retention-factor food class of a raw ingredient, or ""."""
    if group == "01":
        return (
            "egg"
            if name.startswith("Egg")
            else (
                "cheese"
                if name.startswith("Cheese")
                else "milk"
                if name.startswith(("Milk", "Cream"))
                else ""
            )
        )
    if group == "09":
        return (
            "citrus"
            if re.match("Lemon|Lime|Orange|Grapefruit", name)
            else "fruit-dried"
            if "dried" in name or "Raisins" in name
            else "fruit"
        )
    if group == "12":
        return "nut"
    if group == "20" and re.search("flour|meal|starch|bran|germ", name, re.I) and "cooked" not in name:
        return "flour"
    if group == "14" and name.startswith("Alcoholic"):
        return "alcohol"
    return ""
