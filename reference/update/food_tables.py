"""Rebuilds the committed food tables from USDA's releases: sorted text, same input, same bytes.

    python reference/update/food_tables.py SR24_FOLDER FDC_CSV

SR24_FOLDER holds USDA National Nutrient Database SR24 (2011) as one XML file a food, with foods.index;
FDC_CSV is a wide table of FoodData Central's 2025 snapshot. Writes foods.csv, portions.csv, revisions.csv and
supplements.csv into reference/composition, and prints the figures for SOURCE.toml.
"""

from __future__ import annotations

import csv
import hashlib
import re
import sys
import xml.etree.ElementTree as ET
from pathlib import Path

OUT = Path(__file__).resolve().parents[1] / "composition"
MAP = {
    row["sr24"]: (row["key"], float(row["factor"]))
    for row in csv.DictReader((OUT / "nutrient_map.csv").open(encoding="utf-8"))
    if row["sr24"]
}
LATER = {
    row["fdc"]: row["key"]
    for row in csv.DictReader((OUT / "nutrient_map.csv").open(encoding="utf-8"))
    if row["fdc"]
}
KEYS = [row["key"] for row in csv.DictReader((OUT / "nutrients.csv").open(encoding="utf-8"))]
CAROTENES = ("Beta-carotene", "Alpha-carotene", "Beta-cryptoxanthin")
#: Words written in capitals in USDA names that are no brand.
NOT_BRANDS = {
    "USDA",
    "UHT",
    "RTE",
    "NFS",
    "NS",
    "UPC",
    "II",
    "III",
    "IV",
    "US",
    "U.S",
    "MSG",
    "DHA",
    "ARA",
    "BBQ",
    "WIC",
}
#: Food groups nobody bakes from: baby foods, restaurant foods.
LEFT_OUT = ("03", "36")
#: Foods whose names carry a brand in ordinary letters.
BY_ID = {row["id"] for row in csv.DictReader((OUT / "left_out.csv").open(encoding="utf-8"))}
SUPPLEMENTS = re.compile(
    r"^(Flour, (almond|coconut|cassava|chestnut|spelt|buckwheat|sorghum|quinoa|amaranth|oat)\b.*"
    r"|Oat milk, unsweetened.*|Almond butter, creamy|Sesame butter, creamy)$"
)
NOISE = 0.02


def number(x: float) -> str:
    return f"{x:.10g}"


def branded(ndb: str, name: str) -> bool:
    if (
        ndb[:2] in LEFT_OUT
        or f"usda/{ndb}" in BY_ID
        or "infant" in name.lower()
        or "babyfood" in name.lower()
    ):
        return True
    words = re.findall(r"[A-Z][A-Z'&.]{2,}", name)
    return any(w.strip(".'") not in NOT_BRANDS for w in words)


def read_sr24(folder: Path) -> dict[str, dict]:
    foods = {}
    for line in (folder / "foods.index").read_text(encoding="ascii").splitlines():
        ndb, _, name = line.partition("|")
        if ndb == "23999" or branded(ndb, name):
            continue
        root = ET.parse(folder / f"{ndb}.xml").getroot()
        raw = {n.get("name"): float(n.get("amount")) for n in root.iter("nutrient")}
        values = {key: raw[sr] * factor for sr, (key, factor) in MAP.items() if sr in raw}
        if "Retinol" in raw and all(c in raw for c in CAROTENES):
            beta, alpha, crypt = (raw[c] for c in CAROTENES)
            values["VITA_RAE"] = round(raw["Retinol"] + beta / 12 + (alpha + crypt) / 24, 3)
        portions = [
            (float(m.get("amount")), " ".join(m.get("name").split()), float(m.get("grams")))
            for m in root.iter("measure")
        ]
        foods[f"usda/{ndb}"] = {"name": name, "values": values, "portions": portions}
    return foods


def read_fdc(path: Path) -> tuple[dict, dict]:
    """(SR Legacy rows by name, Foundation rows by name) -> key -> value."""
    csv.field_size_limit(10**9)
    kinds = {"sr_legacy_food": {}, "foundation_food": {}}
    with open(path, newline="", encoding="utf-8") as f:
        for row in csv.DictReader(f):
            kept = kinds.get(row["data_type"])
            if kept is None:
                continue
            values = {}
            for column, key in LATER.items():
                if row[column] != "" and key not in values:
                    values[key] = float(row[column])
            kept[row["foodName"]] = values
    return kinds["sr_legacy_food"], kinds["foundation_food"]


def proximates(v: dict) -> float:
    return sum(v.get(k, 0.0) for k in ("WATER", "PROCNT", "FAT", "CHOCDF", "ASH", "ALC"))


def differs(key: str, old: float, new: float) -> bool:
    floor = {
        "ENERC": 2.0,
        "SUGAR": 0.05,
        "FIBTG": 0.15,
        "CHOCDF": 0.05,
        "FAT": 0.05,
        "PROCNT": 0.05,
        "FASAT": 0.05,
    }.get(key, 0.02 if key in ("FE", "VITD") else 1.0)
    return abs(new - old) > max(floor, NOISE * max(abs(old), abs(new)))


def revise(foods: dict, later: dict) -> list[tuple]:
    """Takes USDA's later values where they really differ and the food still adds up. Returns what changed."""
    changes = []
    for fid, food in foods.items():
        new = later.get(food["name"])
        if not new:
            continue
        old = food["values"]
        took = {k: x for k, x in new.items() if k in old and differs(k, old[k], x)} | {
            k: x for k, x in new.items() if k not in old
        }
        trial = old | took
        before, after = abs(proximates(old) - 100), abs(proximates(trial) - 100)
        sums_hold = (after <= 3 or after <= before) and all(
            trial[part] <= trial[whole] + 0.5
            for part, whole in (("FASAT", "FAT"), ("SUGAR", "CHOCDF"), ("FIBTG", "CHOCDF"))
            if part in trial and whole in trial
        )
        if not sums_hold:
            took = {
                k: x
                for k, x in took.items()
                if k not in ("PROCNT", "FAT", "CHOCDF", "FASAT", "SUGAR", "FIBTG", "ENERC")
            }
        changes += [(fid, k, number(old[k]) if k in old else "", number(x)) for k, x in took.items()]
    return sorted(changes)


def write(name: str, header: list[str], rows) -> None:
    with open(OUT / name, "w", newline="", encoding="utf-8") as f:
        writer = csv.writer(f, lineterminator="\n")
        writer.writerow(header)
        writer.writerows(rows)


def main(folder: str, fdc: str) -> None:
    foods = read_sr24(Path(folder))
    later, foundation = read_fdc(Path(fdc))
    columns = [k for k in KEYS if any(k in f["values"] for f in foods.values())]

    def row(fid, name, values):
        return [fid, name, *(number(values[k]) if k in values else "" for k in columns)]

    write(
        "foods.csv",
        ["id", "name", *columns],
        (row(fid, f["name"], f["values"]) for fid, f in sorted(foods.items())),
    )
    write(
        "portions.csv",
        ["id", "amount", "unit", "grams"],
        ((fid, number(a), u, number(g)) for fid, f in sorted(foods.items()) for a, u, g in f["portions"]),
    )
    write("revisions.csv", ["id", "key", "sr24", "later"], revise(foods, later))
    picked = sorted(
        (f"usda/fdc-{re.sub('[^a-z0-9]+', '-', n.lower()).strip('-')}", n, v)
        for n, v in foundation.items()
        if SUPPLEMENTS.match(n)
    )
    write("supplements.csv", ["id", "name", *columns], (row(fid, n, v) for fid, n, v in picked))
    digest = hashlib.sha256()
    for path in sorted(Path(folder).glob("*.xml")):
        digest.update(path.read_bytes())
    later = hashlib.sha256(Path(fdc).read_bytes()).hexdigest()
    print(f"sr24_sha256 = {digest.hexdigest()!r}\nfdc_sha256 = {later!r}")
    print(f"foods = {len(foods)}\nsupplements = {len(picked)}")


if __name__ == "__main__":
    main(*sys.argv[1:])
