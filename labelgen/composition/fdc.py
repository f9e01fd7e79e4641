"""Foods of USDA FoodData Central, from its API's JSON or from an official release folder of CSV files.

Both are read into ``FetchedFood``: amounts per 100 g, by nutrient key, with what the source calls itself.
Nutrient numbers are USDA's (``reference/composition/fdc_numbers.csv``).
"""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path

from labelgen import paths
from labelgen.composition.ceilings import ceiling
from labelgen.errors import FetchError
from labelgen.nutrients import UNITS

_UNITS = {"g": "g", "mg": "mg", "ug": "ug", "µg": "ug", "μg": "ug", "mcg": "ug", "kcal": "kcal"}
_GRAMS = {"g": 1.0, "mg": 1e-3, "ug": 1e-6}
#: No household measure weighs more [g].
_HEAVIEST = 20_000.0
_PER_VOLUME = ("ml", "mlt", "l")


class PerVolume(FetchError):
    """A food whose figures are per 100 mL."""


@dataclass(frozen=True)
class FetchedFood:
    """id: ``fdc/171705``. kind: the data type (SR Legacy, Foundation, Survey, Branded). published: release
    date as given.
    values: nutrient key -> amount per 100 g in the key's unit. portions: (words, grams). ingredients: a
    packet's text.
    group: USDA food group ("18"), or "". doubts: what had to be left out, and why.
    """

    id: str
    name: str
    kind: str
    published: str
    values: dict[str, float]
    portions: tuple[tuple[str, float], ...] = ()
    ingredients: str = ""
    group: str = ""
    doubts: tuple[str, ...] = field(default=())


@cache
def _numbers() -> dict[str, tuple[str, int]]:
    """USDA nutrient number -> (key, rank among the numbers of that key)."""
    ranks: dict[str, int] = {}
    found = {}
    for row in _reference("fdc_numbers.csv"):
        ranks[row["key"]] = ranks.get(row["key"], -1) + 1
        found[row["number"]] = (row["key"], ranks[row["key"]])
    return found


@cache
def _groups() -> dict[str, str]:
    """Name of a USDA food group -> its code of two digits."""
    return {row["name"]: row["code"] for row in _reference("food_groups.csv")}


def _reference(name: str) -> list[dict[str, str]]:
    with open(paths.reference("composition", name), encoding="utf-8", newline="") as f:
        return list(csv.DictReader(f))


def read_food(data: object) -> FetchedFood:
    """One food of the API's ``/food/{fdcId}``, full or abridged.

    Raises FetchError when it is none or tells no figure, PerVolume when its figures are per 100 mL.
    """
    try:
        name = _text(data["description"])
        nutrients = [_nutrient(n) for n in data.get("foodNutrients") or ()]
        portions = [
            _portion(
                p.get("amount"),
                (p.get("measureUnit") or {}).get("name"),
                p.get("portionDescription"),
                p.get("modifier"),
                p.get("gramWeight"),
            )
            for p in data.get("foodPortions") or ()
        ]
        category = data.get("foodCategory") or {}
        return _food(
            int(data["fdcId"]),
            name,
            _text(data.get("dataType")),
            _text(data.get("publicationDate") or data.get("publishedDate")),
            nutrients,
            portions,
            _text(data.get("ingredients")),
            _text(data.get("servingSizeUnit")),
            category if isinstance(category, str) else category.get("description"),
        )
    except (KeyError, TypeError, ValueError, AttributeError, OverflowError):
        raise FetchError(
            "its answer is no food as FoodData Central describes one: take another food, or try again later"
        ) from None


def read_hits(data: object) -> list[tuple[str, str, str]]:
    """(id, name, kind) of the foods of the API's ``/foods/search``. Raises FetchError when it is no such
    list.
    """
    try:
        return [
            (f"fdc/{int(f['fdcId'])}", _text(f["description"]), _text(f.get("dataType")))
            for f in data["foods"]
        ]
    except (KeyError, TypeError, ValueError, AttributeError, OverflowError):
        raise FetchError(
            "its answer is no list of foods as FoodData Central describes one: try again later"
        ) from None


def _food(
    number: int,
    name: str,
    kind: str,
    published: str,
    nutrients: list,
    portions: list,
    ingredients: str,
    serving_unit: str,
    group: str | None,
) -> FetchedFood:
    if not name:
        raise FetchError(f"food {number} has no name: take another food")
    if serving_unit.lower() in _PER_VOLUME:
        raise PerVolume(
            f"{name} is given per 100 mL, and its density is not: take the figures from the packet with"
            " 'per:' and 'nutrients:' instead"
        )
    values, doubts = _values(nutrients, name)
    if not values:
        raise FetchError(
            f"{name} tells no figure that can be used{': ' + '; '.join(doubts) if doubts else ''}: take"
            " another food, or the packet's figures with 'per:' and 'nutrients:'"
        )
    return FetchedFood(
        f"fdc/{number}",
        name,
        kind,
        published,
        values,
        tuple(dict.fromkeys(p for p in portions if p)),
        ingredients,
        _groups().get(group or "", ""),
        doubts,
    )


def _text(value: object) -> str:
    """One line, without signs that cannot be printed; lists and numbers are no text of a food but
    harmless.
    """
    if isinstance(value, (dict, list)):
        raise TypeError
    return " ".join(
        "".join(c if c.isprintable() else " " for c in str("" if value is None else value)).split()
    )


def _nutrient(n: dict) -> tuple[str, object, str]:
    """(number, amount as given, unit) of one nutrient of the full or the abridged form."""
    about = n.get("nutrient") or n
    return (
        _text(about.get("number") or about.get("nutrientNumber")),
        n.get("amount", n.get("value")),
        _text(about.get("unitName")),
    )


def _portion(
    amount: object, unit: str | None, description: str | None, modifier: str | None, grams: object
) -> tuple[str, float] | None:
    """(words, grams) of a household measure; None where its words or its weight tell nothing. A modifier
    of digits is a code.
    """
    weight, count = _amount(grams), _amount(amount)
    words = _text(description)
    if words[:1].isdecimal():
        count = None
    else:
        unit, modifier = _text(unit), _text(modifier)
        words = " ".join(
            x
            for x in (
                "" if unit == "undetermined" else unit,
                "" if modifier.isdecimal() else modifier or words,
            )
            if x
        )
        count = count or 1.0
    if (
        not words
        or words.lower().startswith("quantity not specified")
        or not 0 < (weight or 0.0) <= _HEAVIEST
        or not 0 < (count or 1.0) <= _HEAVIEST
    ):
        return None
    return (f"{count:g} {words}" if count else words), weight


def _amount(value: object) -> float | None:
    """A finite number, or None."""
    try:
        number = float(value)
    except (TypeError, ValueError, OverflowError):
        return None
    return number if math.isfinite(number) else None


def _values(
    nutrients: Iterable[tuple[str, object, str]], name: str
) -> tuple[dict[str, float], tuple[str, ...]]:
    best: dict[str, tuple[int, float]] = {}
    doubts: dict[str, None] = {}
    twice = set()
    for number, given, unit in nutrients:
        key, rank = _numbers().get(number.removesuffix(".0"), ("", 0))
        if not key or given in (None, ""):
            continue
        own, wanted = _UNITS.get(unit.lower(), unit), UNITS[key]
        amount = _amount(given)
        if amount is None:
            doubts[f"{key} {_text(given)!r} is no amount: left out"] = None
            continue
        if own != wanted:
            if own not in _GRAMS or wanted not in _GRAMS:
                doubts[f"{key} is given in {unit or 'no unit'}, not {wanted}: left out"] = None
                continue
            amount *= _GRAMS[own] / _GRAMS[wanted]
        limit = ceiling(key, (name,))
        if not 0 <= amount <= (limit.most if limit else 100.0 / _GRAMS[wanted]):
            doubts[f"{key} {amount:g} {wanted} per 100 g cannot be: left out"] = None
        elif key not in best or rank < best[key][0]:
            best[key] = (rank, amount)
            twice.discard(key)
        elif rank == best[key][0] and amount != best[key][1]:
            twice.add(key)
            doubts[f"{key} is given twice, as {best[key][1]:g} and {amount:g} {wanted}: left out"] = None
    return {k: v for k, (_, v) in best.items() if k not in twice}, tuple(doubts)


def read_release(
    folder: Path,
    wanted: Callable[[str, str], bool] = lambda number, name: True,
    kinds: tuple[str, ...] = (),
) -> Iterator[FetchedFood]:
    """The foods of an official release folder (food.csv, nutrient.csv, food_nutrient.csv, food_portion.csv,
    branded_food.csv ...) for which ``wanted(number, name)`` holds, of some ``kinds`` (() for all). Foods
    without figures (samples, sub-samples) are left out, and those that cannot be used, unless one alone was
    wanted.

    Raises FetchError naming the file that is missing or cannot be read.
    """
    foods = {
        r["fdc_id"]: r
        for r in _rows(folder, "food.csv", "fdc_id", "data_type", "description")
        if (not kinds or r["data_type"] in kinds) and wanted(r["fdc_id"], _text(r["description"]))
    }
    numbers = {
        r["id"]: (r["nutrient_nbr"], r["unit_name"])
        for r in _rows(folder, "nutrient.csv", "id", "nutrient_nbr", "unit_name")
    }
    # some releases name a nutrient by its number, which no id is equal to
    numbers = {**{number: (number, unit) for number, unit in numbers.values()}, **numbers}
    units = {r["id"]: r["name"] for r in _optional(folder, "measure_unit.csv", "id", "name")}
    groups = {r["id"]: r["description"] for r in _optional(folder, "food_category.csv", "id", "description")}
    packets = {
        r["fdc_id"]: r for r in _optional(folder, "branded_food.csv", "fdc_id") if r["fdc_id"] in foods
    }
    nutrients: dict[str, list[tuple[str, object, str]]] = {}
    for r in _rows(folder, "food_nutrient.csv", "fdc_id", "nutrient_id", "amount"):
        number, unit = numbers.get(r["nutrient_id"], ("", ""))
        if number and r["fdc_id"] in foods:
            nutrients.setdefault(r["fdc_id"], []).append((number, r["amount"], unit))
    portions: dict[str, list] = {}
    for r in _optional(folder, "food_portion.csv", "fdc_id", "amount", "gram_weight"):
        if r["fdc_id"] in foods:
            portions.setdefault(r["fdc_id"], []).append(
                _portion(
                    r["amount"],
                    units.get(r.get("measure_unit_id") or ""),
                    r.get("portion_description"),
                    r.get("modifier"),
                    r["gram_weight"],
                )
            )
    for number, r in foods.items():
        if number not in nutrients:
            continue
        packet = packets.get(number, {})
        kind = re.sub("_", " ", _text(r["data_type"]).removesuffix("_food"))
        try:
            yield _food(
                int(number),
                _text(r["description"]),
                kind,
                _text(r.get("publication_date")),
                nutrients[number],
                portions.get(number, []),
                _text(packet.get("ingredients")),
                _text(packet.get("serving_size_unit")),
                groups.get(r.get("food_category_id") or ""),
            )
        except FetchError:
            if len(foods) == 1:
                raise
        except ValueError:
            raise FetchError(
                f"{folder / 'food.csv'}: {number!r} is no number of a food: unpack the release again"
            ) from None


def _optional(folder: Path, name: str, *needed: str) -> Iterator[dict[str, str]]:
    return _rows(folder, name, *needed) if (folder / name).is_file() else iter(())


def _rows(folder: Path, name: str, *needed: str) -> Iterator[dict[str, str]]:
    try:
        with open(folder / name, encoding="utf-8-sig", newline="") as f:
            reader = csv.DictReader(f, restval="")
            lacking = [c for c in needed if c not in (reader.fieldnames or ())]
            if lacking:
                raise FetchError(
                    f"{folder / name} lacks the column {', '.join(lacking)}: is this an official FoodData"
                    " Central CSV release?"
                )
            yield from reader
    except FileNotFoundError:
        raise FetchError(
            f"{folder / name} is missing: unpack an official FoodData Central CSV release and name its folder"
        ) from None
    except (UnicodeDecodeError, csv.Error) as error:
        raise FetchError(f"{folder / name} cannot be read: {error}: unpack the release again") from None
