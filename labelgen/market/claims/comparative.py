"""Claims against a food the maker names: "25 % less sugar than our butter cookie", "more fibre", "light".

Both foods are compared by weight, this one on the worst end of its interval.
"""

from __future__ import annotations

import math
import re

from labelgen.composition.figures import read_figure
from labelgen.errors import UnitError
from labelgen.market.claims.figures import Food, daily_value, energy, holds
from labelgen.market.claims.free_from import Verdict
from labelgen.market.claims.words import Asked
from labelgen.market.law.pack import Entry
from labelgen.market.law.rounding import clean, declare_amount
from labelgen.nutrients import NUTRIENTS, UNITS

NAMES = {n.key: n.name.removeprefix("total ") for n in NUTRIENTS}


def judge_comparison(food: Food, asked: Asked, rule: Entry) -> Verdict:
    """Less, more or light against the food under ``compared_with:``, by weight."""
    other = food.product.compared_with
    if other is None:
        return Verdict(("it says nothing without the food it compares with: write 'compared_with: {name: our butter cookie, per: 100 g, nutrients: {fat: 25 g}}' on the product",), ())
    limit, tag = rule["limit"], _claimed(food, asked)
    if "fat_less_percent" in limit:
        return _light(food, asked, limit)
    pair = _compared(food, tag)
    if isinstance(pair, str):
        return Verdict((pair,), ())
    (low, value, high), there = pair
    unit = "kcal" if tag == "ENERC" else UNITS[tag].replace("ug", "mcg")
    if barred := [*_already_low(food, limit, (tag,)), *_more_of_another(food, limit, tag)]:
        return Verdict(tuple(barred), ())
    if "also" in limit and not _meets(food, limit["also"].get(tag, "")):
        return Verdict((f"'more' needs a food that meets 'source of {NAMES[tag]}' as well, for fibre and protein only: it does not",), ())
    if "more_daily_value" in limit or "more_percent" in limit:
        need, gain = _more(food, tag, limit, low, there)
        good = gain >= need
        said = f"{NAMES[tag]} {value:.3g} {unit} per 100 g against {there:.3g} {unit} in {other.name}: {_short(gain)} more, {_short(need)} needed"
    else:
        need, cut = float(limit["less_percent"]), 100 * (1 - high / there) if there else 0.0
        good = clean(max(0.0, cut)) >= clean(need)
        said = f"{NAMES[tag]} {value:.3g} {unit} per 100 g against {there:.3g} {unit} in {other.name}: {cut:.1f} % less, {need:g} % needed"
    if good and asked.number is not None and (surely := _surely(pair)) < asked.number:
        return Verdict((f"{asked.number:g} % is stated, but it is {surely:.0f} %",), ())
    return Verdict((), (said,)) if good else Verdict((said,), ())


def _claimed(food: Food, asked: Asked) -> str:
    """The nutrient a comparison is about: named, or for a bare "light" the one of fat and energy that is cut most."""
    if asked.nutrient or asked.key == "reduced_sodium":
        return asked.nutrient or "NA"
    pairs = {tag: _compared(food, tag) for tag in ("FAT", "ENERC")}
    cuts = {tag: _percent(pair[0][2], pair[1]) for tag, pair in pairs.items() if not isinstance(pair, str)}
    return min(cuts, key=lambda tag: cuts[tag]) if cuts else "FAT"


def _meets(food: Food, key: str) -> bool:
    return bool(key) and holds(food, food.pack.entry("claims", key))[0]


def _light(food: Food, asked: Asked, limit) -> Verdict:
    """Half the fat where fat gives most of the energy; else half the fat or a third less energy."""
    fat, kcal = _compared(food, "FAT"), _compared(food, "ENERC")
    if isinstance(fat, str) or isinstance(kcal, str):
        return Verdict((fat if isinstance(fat, str) else kcal,), ())
    if barred := _already_low(food, limit, ("FAT", "ENERC")):
        return Verdict(tuple(barred), ())
    fat_cut, kcal_cut = (clean(100 * (1 - pair[0][2] / pair[1]) if pair[1] else 0.0) for pair in (fat, kcal))
    fatty = float(limit["fat_kcal_per_g"]) * fat[1] / kcal[1] >= float(limit["fat_energy_percent"]) / 100 if kcal[1] else False
    good = fat_cut >= float(limit["fat_less_percent"]) or (not fatty and kcal_cut >= float(limit["energy_less_percent"]))
    either = "" if fatty else f" or {limit['energy_less_percent']} % of the energy"
    if fat_cut < 0 or kcal_cut < 0:
        return Verdict((f"neither fat nor energy may be higher than in {food.product.compared_with.name}",), ())
    said = f"fat {fat_cut:.0f} % and energy {kcal_cut:.0f} % less than {food.product.compared_with.name}; {limit['fat_less_percent']} % of the fat{either} needed"
    return Verdict((), (said,)) if good else Verdict((said,), ())


def _compared(food: Food, tag: str) -> tuple[tuple[float, float, float], float] | str:
    """((low, value, high) per 100 g, the other food's figure per 100 g), or what to type."""
    other = food.product.compared_with
    name = {"ENERC": "energy"}.get(tag) or NAMES.get(tag, tag)
    if tag not in other.figures:
        return f"{other.name} has no figure for {name}: add '{name}: ...' under 'compared_with:'"
    try:
        there = read_figure(other.figures[tag].text, tag)[0] * 100 / other.per.grams
    except UnitError as error:
        return f"{name} of {other.name}: {error}"
    here = energy(food.pack, food.profile.per_100g) if tag == "ENERC" else food.profile.per_100g.get(tag)
    if here is None or not all(map(math.isfinite, here)):
        return f"{name} of this product is not known: add the missing figures under 'nutrients:' of the ingredients"
    return here, there


def _more(food: Food, tag: str, limit, low: float, there: float) -> tuple[float, float]:
    """(needed, gained): in percent of the other food, or of the daily value per reference amount."""
    if "more_percent" in limit:
        return float(limit["more_percent"]), 100 * (low / there - 1) if there else math.inf
    daily, grams = daily_value(food.pack, tag), food.reference_g or food.serving.grams
    return float(limit["more_daily_value"]), 100 * (low - there) * grams / 100 / daily if daily else 0.0


def _short(x: float) -> str:
    return f"{x:.3g}" if x < 1000 else f"{x:.0f}"


def _percent(value: float, there: float) -> float:
    return 100 * (value / there - 1) if there else 0.0


def _surely(pair: tuple[tuple[float, float, float], float]) -> float:
    """By how many percent the two differ at the least, wherever in its interval this food lies."""
    (low, value, high), there = pair
    return abs(_percent(high if value < there else low, there))


def _already_low(food: Food, limit, tags: tuple[str, ...]) -> list[str]:
    """Why nothing may be called less than the other food: it is low already, in every one of these that the rule names."""
    rules = [food.pack.entry("claims", limit["not_low"][tag]) for tag in tags if tag in limit.get("not_low", {})]
    if not rules or len(rules) < len(tags) or not all(_other_meets(food, rule) for rule in rules):
        return []
    lows = " and ".join(f"'{rule.key.replace('_', ' ')}' ({rule['text']})" for rule in rules)
    return [f"{food.product.compared_with.name} itself meets {lows}, and against such a food nothing may be called less: compare with another, or claim {lows.split(' (')[0]} if this one meets it"]


def _other_meets(food: Food, rule: Entry) -> bool:
    """Whether the other food meets the conditions of a "low" rule, on the bases of this one. What is unknown does not."""
    for condition in rule["conditions"]:
        for per in condition["per"]:
            amounts, _ = food.amounts(per)
            if amounts is None:
                continue
            figures = [_compared(food, tag) for tag in condition.get("tags") or (condition["tag"],)]
            shares = [_compared(food, "ENERC")] if condition.get("unit") == "% of energy" else []
            if any(isinstance(f, str) for f in (*figures[:1], *shares)):
                return False
            there = sum(f[1] for f in figures if not isinstance(f, str))
            there = 100 * float(condition["kcal_per_g"]) * there / shares[0][1] if shares else there * amounts.grams / 100
            if not clean(there) <= float(condition["at_most"]):
                return False
    return True


def _more_of_another(food: Food, limit, tag: str) -> list[str]:
    """Why less of one is no use: the rule lets nothing that it names go up instead."""
    found = []
    for other in limit.get("no_more", {}).get(tag, ()):
        pair = _compared(food, other)
        if isinstance(pair, str):
            found.append(pair)
        elif clean(pair[0][2]) > clean(pair[1]):
            found.append(f"{NAMES[other]} may not be higher than in {food.product.compared_with.name}: {pair[0][2]:.3g} against {pair[1]:.3g} per 100 g")
    return found


def declared(food: Food, tag: str, amount: float) -> str:
    """An amount per serving as the panel would print it."""
    row = next((e for e in food.pack.entries("nutrients") if e["tag"] == tag), None)
    if row is None or not math.isfinite(amount):
        return f"{amount:.1f} {UNITS[tag]}"
    return declare_amount(food.pack, row["rule"], amount).text


def compared_text(food: Food, asked: Asked, text: str) -> str:
    """{percent}, {from} and the like filled in; {percent.FAT} speaks of that nutrient whatever the claim is about."""
    for word, tag in {(m[0], m[2] or _claimed(food, asked)) for m in re.finditer(r"\{(percent|from|to|nutrient|Nutrient|reference)(?:\.([A-Z]+))?\}", text)}:
        pair, name, k = _compared(food, tag), _called(food, tag), food.serving.grams / 100
        given = {
            "percent": f"{math.floor(_surely(pair) + 1e-9):g}", "nutrient": name, "Nutrient": name[:1].upper() + name[1:], "reference": food.product.compared_with.name,
            "from": declared(food, tag, pair[1] * k), "to": declared(food, tag, pair[0][1] * k),
        }  # fmt: skip
        text = text.replace(word, given[word.strip("{}").partition(".")[0]])
    return text


def _called(food: Food, tag: str) -> str:
    """A nutrient in running text: energy and fibre as the market's panel calls them, whose words differ."""
    if tag == "SUGAR":
        return "sugar"
    row = next((e for e in food.pack.entries("nutrients") if e["tag"] == tag), None) if tag in ("ENERC", "FIBTG") else None
    return row["label"].strip("—+ ").lower().partition(",")[0] if row else NAMES[tag]
