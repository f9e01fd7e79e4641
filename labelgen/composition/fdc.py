"""Foods of USDA FoodData Central, from its API's JSON or from an official release folder of CSV files.

Both are read into ``FetchedFood``: amounts per 100 g, by nutrient key, with what the source calls itself. Nutrient numbers
are USDA's (``reference/composition/fdc_numbers.csv``).
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from labelgen import paths
from labelgen.errors import FetchError
from labelgen.nutrients import UNITS

_UNITS = {"g": "g", "mg": "mg", "ug": "ug", "µg": "ug", "μg": "ug", "mcg": "ug", "kcal": "kcal"}
_GRAMS = {"g": 1.0, "mg": 1e-3, "ug": 1e-6}


@dataclass(frozen=True)
class FetchedFood:
    """id: ``fdc/171705``. kind: the data type (SR Legacy, Foundation, Survey, Branded). published: release date as given.
    values: nutrient key -> amount per 100 g in the key's unit. portions: (words, grams). ingredients: a packet's text.
    doubts: what had to be left out, and why."""

    id: str
    name: str
    kind: str
    published: str
    values: dict[str, float]
    portions: tuple[tuple[str, float], ...] = ()
    ingredients: str = ""
    doubts: tuple[str, ...] = field(default=())


@cache
def _numbers() -> dict[str, tuple[str, int]]:
    """USDA nutrient number -> (key, rank among the numbers of that key)."""
    ranks: dict[str, int] = {}
    found = {}
    with open(paths.reference("composition", "fdc_numbers.csv"), encoding="utf-8", newline="") as f:
        for row in csv.DictReader(f):
            ranks[row["key"]] = ranks.get(row["key"], -1) + 1
            found[row["number"]] = (row["key"], ranks[row["key"]])
    return found


def read_food(data: dict) -> FetchedFood:
    """One food of the API's ``/food/{fdcId}``, full or abridged. Raises FetchError when it is none."""
    try:
        number, name = int(data["fdcId"]), str(data["description"]).strip()
        nutrients = [_nutrient(n) for n in data.get("foodNutrients") or []]
    except (KeyError, TypeError, ValueError, AttributeError):
        raise FetchError("the server's answer is no food as FoodData Central describes one: try again later") from None
    kind = str(data.get("dataType", ""))
    if str(data.get("servingSizeUnit", "")).lower() in ("ml", "mlt"):
        raise FetchError(f"{name} is given per 100 mL, and its density is not: take the figures from the packet with 'per:' and 'nutrients:' instead")
    values, doubts = _values(nutrients)
    portions = []
    for p in data.get("foodPortions") or []:
        unit = str((p.get("measureUnit") or {}).get("name") or "")
        words = " ".join(x for x in ("" if unit == "undetermined" else unit, str(p.get("modifier") or p.get("portionDescription") or "")) if x)
        if words and p.get("gramWeight"):
            portions.append((f"{float(p.get('amount') or 1):g} {words}", float(p["gramWeight"])))
    published = str(data.get("publicationDate") or data.get("publishedDate") or "")
    return FetchedFood(f"fdc/{number}", name, kind, published, values, tuple(portions), str(data.get("ingredients") or ""), doubts)


def _nutrient(n: dict) -> tuple[str, float | None, str]:
    """(number, amount, unit) of one nutrient of the full or the abridged form."""
    about = n.get("nutrient") or n
    amount = n.get("amount", n.get("value"))
    number = about.get("number") or about.get("nutrientNumber") or ""
    return str(number), None if amount is None else float(amount), str(about.get("unitName") or "")


def _values(nutrients: list[tuple[str, float | None, str]]) -> tuple[dict[str, float], tuple[str, ...]]:
    best: dict[str, tuple[int, float]] = {}
    doubts = []
    for number, amount, unit in nutrients:
        key, rank = _numbers().get(number, ("", 0))
        if not key or amount is None:
            continue
        given, wanted = _UNITS.get(unit.lower(), unit), UNITS[key]
        if given != wanted:
            if given not in _GRAMS or wanted not in _GRAMS:
                doubts.append(f"{key} is given in {unit or 'no unit'}, not {wanted}: left out")
                continue
            amount *= _GRAMS[given] / _GRAMS[wanted]
        if not 0 <= amount < 1e6:
            doubts.append(f"{key} {amount:g} {wanted} per 100 g cannot be: left out")
        elif key not in best or rank < best[key][0]:
            best[key] = (rank, amount)
    return {k: v for k, (_, v) in best.items()}, tuple(doubts)


def read_release(folder: Path) -> Iterator[FetchedFood]:
    """Every food of an official release folder (food.csv, nutrient.csv, food_nutrient.csv, food_portion.csv ...).

    Raises FetchError naming the file that is missing or cannot be read.
    """
    numbers = {r["id"]: (r["nutrient_nbr"], r["unit_name"]) for r in _rows(folder, "nutrient.csv", "id", "nutrient_nbr", "unit_name")}
    units = {r["id"]: r["name"] for r in _rows(folder, "measure_unit.csv", "id", "name")} if (folder / "measure_unit.csv").is_file() else {}
    nutrients: dict[str, list[tuple[str, float | None, str]]] = {}
    for r in _rows(folder, "food_nutrient.csv", "fdc_id", "nutrient_id", "amount"):
        number, unit = numbers.get(r["nutrient_id"], ("", ""))
        if number and r["amount"]:
            nutrients.setdefault(r["fdc_id"], []).append((number, float(r["amount"]), unit))
    portions: dict[str, list[tuple[str, float]]] = {}
    if (folder / "food_portion.csv").is_file():
        for r in _rows(folder, "food_portion.csv", "fdc_id", "amount", "gram_weight"):
            unit = units.get(r.get("measure_unit_id", ""), "")
            words = " ".join(x for x in ("" if unit == "undetermined" else unit, r.get("modifier") or r.get("portion_description") or "") if x)
            if words and r["gram_weight"]:
                portions.setdefault(r["fdc_id"], []).append((f"{float(r['amount'] or 1):g} {words}", float(r["gram_weight"])))
    for r in _rows(folder, "food.csv", "fdc_id", "data_type", "description"):
        if r["fdc_id"] in nutrients:
            values, doubts = _values(nutrients[r["fdc_id"]])
            kind = re.sub("_", " ", r["data_type"].removesuffix("_food"))
            yield FetchedFood(f"fdc/{r['fdc_id']}", r["description"].strip(), kind, r.get("publication_date", ""), values, tuple(portions.get(r["fdc_id"], ())), "", doubts)


def _rows(folder: Path, name: str, *needed: str) -> Iterator[dict[str, str]]:
    try:
        with open(folder / name, encoding="utf-8-sig", newline="") as f:
            reader = csv.DictReader(f)
            lacking = [c for c in needed if c not in (reader.fieldnames or ())]
            if lacking:
                raise FetchError(f"{folder / name} lacks the column {', '.join(lacking)}: is this an official FoodData Central CSV release?")
            yield from reader
    except FileNotFoundError:
        raise FetchError(f"{folder / name} is missing: unpack an official FoodData Central CSV release and name its folder") from None
    except (UnicodeDecodeError, csv.Error, ValueError) as error:
        raise FetchError(f"{folder / name} cannot be read: {error}: unpack the release again") from None
