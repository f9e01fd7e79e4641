"""Claims that carry a figure: "5 g fibre per cookie", "3 g net carbs per cookie", "97 % fat free", "25 % less sugar".

A figure must be true: as printed it is the food's own figure rounded to the places the maker wrote, wherever in its
interval the truth lies.
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
from labelgen.market.law.rounding import clean, declare_amount, plain
from labelgen.nutrients import NUTRIENTS, UNITS
from labelgen.quantity import read_quantity

_NAMES = {n.key: n.name.removeprefix("total ") for n in NUTRIENTS}
_TO = {"g": 1e6, "mg": 1e3, "mcg": 1.0, "ug": 1.0, "kcal": 1.0}
_PACK = ("pack", "package", "container", "box", "bag", "packet", "jar")


def judge_amount(food: Food, asked: Asked, rule: Entry) -> Verdict:
    """A plain figure per piece, serving, pack or weight."""
    grams = _basis_grams(food, asked.basis)
    if grams is None:
        return Verdict((f"'per {asked.basis}' is no basis of this product: write 'per serving', 'per {food.product.unit}', 'per pack' or 'per 100 g'",), ())
    figures, what = _figures(food, asked, rule, grams)
    if figures is None or not all(map(math.isfinite, figures)):
        return Verdict((f"{what} is not known well enough to state: add the missing figures under 'nutrients:' of the ingredients",), ())
    places = _places(asked.text)
    shown = [round(float(clean(max(0.0, x))) + 1e-9, places) for x in figures]
    unit = _unit(asked)
    true = plain(clean(shown[1]))
    if shown[1] != asked.number:
        return Verdict((f"{asked.number:g} {unit} is stated, but {what} per {asked.basis} is {figures[1]:.3g} {unit}: write {true}",), ())
    if shown[0] != shown[2] and not (shown[0] <= asked.number <= shown[2] and _worse_is_stated(asked, shown)):
        return Verdict((f"{asked.number:g} {unit} is stated, but {what} per {asked.basis} may be anything from {figures[0]:.3g} to {figures[2]:.3g} {unit}: make the figures behind it surer",), ())
    return Verdict((), (f"{what} {figures[1]:.3g} {unit} per {asked.basis} ({grams:.4g} g); {rule['text']}",))


def _worse_is_stated(asked: Asked, shown: list[float]) -> bool:
    """Whether the stated figure is the unfavourable end, so that it never flatters."""
    good_when_high = asked.nutrient in ("FIBTG", "FIBSOL", "PROCNT") or UNITS.get(asked.nutrient) in ("mg", "ug")
    return asked.number == (shown[0] if good_when_high else shown[2])


def _basis_grams(food: Food, basis: str) -> float | None:
    word, profile = basis.strip().lower(), food.profile
    if word == "serving":
        return food.serving.grams
    if word in (food.product.unit.lower(), food.product.unit_plural.lower(), "piece", "each") and profile.pieces:
        return profile.pack.grams / profile.pieces
    if word in _PACK:
        return profile.pack.grams
    try:
        quantity, rest = read_quantity(basis)
    except ValueError:
        return None
    return quantity.grams if not rest.strip() else None


def _figures(food: Food, asked: Asked, rule: Entry, grams: float) -> tuple[tuple[float, float, float] | None, str]:
    amounts = food.profile.pack.per(grams)
    if asked.key == "energy_amount":
        return energy(food.pack, amounts), "energy"
    if asked.key == "net_carbs":
        return _summed(amounts, rule["sum"]), "net carbohydrate"
    factor = _TO[UNITS[asked.nutrient]] / _TO[_unit(asked)] if UNITS[asked.nutrient] != "kcal" else 1.0
    return tuple(x * factor for x in amounts.get(asked.nutrient)), _NAMES[asked.nutrient]


def _summed(amounts, terms) -> tuple[float, float, float]:
    """Low, value and high of a sum with signs. What nobody stated is never taken off."""
    low = value = high = 0.0
    for tag, sign in terms.items():
        a, b, c = amounts.get(tag)
        if sign > 0:
            low, value, high = low + a, value + b, high + c
        elif not math.isnan(b):
            low, value, high = low - min(c, max(b, a)), value - b, high - a
    return low, value, high


def _unit(asked: Asked) -> str:
    if asked.key == "energy_amount":
        return "kcal"
    found = re.search(r"\d\s*(mcg|mg|g)(?:rams?)?\b", asked.text.lower())
    return found[1] if found else "g"


def _places(text: str) -> int:
    number = re.search(r"\d+(?:\.(\d+))?", text)
    return len(number[1] or "") if number else 0


def too_much(food: Food, asked: Asked) -> list[str]:
    """Why "97 % fat free" is untrue of a food with more than 3 g fat per 100 g; [] when it is true."""
    tag = "SUGAR" if "sugar" in asked.text.lower() else "FAT"
    most, limit = food.profile.per_100g.get(tag)[2], 100 - asked.number
    if clean(most) <= clean(limit) if math.isfinite(most) else False:
        return []
    return [f"{asked.number:g} % free means at most {limit:g} g {_NAMES[tag]} per 100 g; it has {most:.3g} g"]


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
    if "also" in limit and not _meets(food, limit["also"].get(tag, "")):
        return Verdict((f"'more' needs a food that meets 'source of {_NAMES[tag]}' as well, for fibre and protein only: it does not",), ())
    if "more_daily_value" in limit or "more_percent" in limit:
        need, gain = _more(food, tag, limit, low, there)
        good = gain >= need
        said = f"{_NAMES[tag]} {value:.3g} {unit} per 100 g against {there:.3g} {unit} in {other.name}: {gain:.3g} more, {need:.3g} needed"
    else:
        need, cut = float(limit["less_percent"]), 100 * (1 - high / there) if there else 0.0
        good = clean(max(0.0, cut)) >= clean(need)
        said = f"{_NAMES[tag]} {value:.3g} {unit} per 100 g against {there:.3g} {unit} in {other.name}: {cut:.1f} % less, {need:g} % needed"
    if good and asked.number is not None and abs(_percent(value, there)) < asked.number:
        return Verdict((f"{asked.number:g} % is stated, but it is {abs(_percent(value, there)):.0f} %",), ())
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
    fat_cut, kcal_cut = (100 * (1 - pair[0][2] / pair[1]) if pair[1] else 0.0 for pair in (fat, kcal))
    fatty = float(limit["fat_kcal_per_g"]) * fat[1] / kcal[1] >= float(limit["fat_energy_percent"]) / 100 if kcal[1] else False
    good = fat_cut >= float(limit["fat_less_percent"]) or (not fatty and kcal_cut >= float(limit["energy_less_percent"]))
    either = "" if fatty else f" or {limit['energy_less_percent']} % of the energy"
    said = f"fat {fat_cut:.0f} % and energy {kcal_cut:.0f} % less than {food.product.compared_with.name}; {limit['fat_less_percent']} % of the fat{either} needed"
    return Verdict((), (said,)) if good else Verdict((said,), ())


def _compared(food: Food, tag: str) -> tuple[tuple[float, float, float], float] | str:
    """((low, value, high) per 100 g, the other food's figure per 100 g), or what to type."""
    other = food.product.compared_with
    name = {"ENERC": "energy"}.get(tag) or _NAMES.get(tag, tag)
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


def _percent(value: float, there: float) -> float:
    return 100 * (value / there - 1) if there else 0.0


def filled(food: Food, text: str, asked: Asked | None = None, rule: Entry | None = None) -> str:
    """A rule's text with its figures put in: {FAT}, {percent}, {from}, {to}, {reference}, {nutrient}, {net_carbs} ..."""
    for tag in re.findall(r"\{([A-Z]+)\}", text):
        text = text.replace(f"{{{tag}}}", _declared(food, tag, food.profile.pack.per(food.serving.grams).get(tag)[1]))
    if "{net_carbs}" in text:
        text = text.replace("{net_carbs}", _net_carbs_example(food))
    if asked and rule and "{parts}" in text:
        text = text.replace("{stated}", f"{asked.number:g}").replace("{basis}", f"per {asked.basis}").replace("{parts}", _arithmetic(food, asked, rule))
    if asked and "{percent}" in text and food.product.compared_with:
        text = _compared_text(food, asked, text)
    return text


def _declared(food: Food, tag: str, amount: float) -> str:
    row = next((e for e in food.pack.entries("nutrients") if e["tag"] == tag), None)
    if row is None or not math.isfinite(amount):
        return f"{amount:.1f} {UNITS[tag]}"
    return declare_amount(food.pack, row["rule"], amount).text


def _arithmetic(food: Food, asked: Asked, rule: Entry) -> str:
    amounts = food.profile.pack.per(_basis_grams(food, asked.basis))
    said = []
    for tag, sign in rule["sum"].items():
        value = amounts.get(tag)[1]
        if value == value and value >= 0.05:
            said.append(f"{'' if not said else '- ' if sign < 0 else '+ '}{value:.1f} g {_NAMES[tag]}")
    return " ".join(said) or "0 g"


def _net_carbs_example(food: Food) -> str:
    rule = food.pack.find("claims", "net_carbs")
    unit = food.product.unit if food.profile.pieces else "serving"
    if rule is None or not rule.get("sum"):
        return f"the panel's own figures per {unit}"
    grams = food.profile.pack.grams / food.profile.pieces if food.profile.pieces else food.serving.grams
    value = _summed(food.profile.pack.per(grams), rule["sum"])[1]
    return f"{round(max(0.0, value)):g} g net carbs per {unit}" if value == value else f"... g net carbs per {unit}"


def _compared_text(food: Food, asked: Asked, text: str) -> str:
    tag = _claimed(food, asked)
    (_, value, _), there = _compared(food, tag)
    name, k = _NAMES[tag], food.serving.grams / 100
    for word, given in (
        ("{percent}", f"{math.floor(abs(_percent(value, there)) + 1e-9):g}"), ("{nutrient}", name), ("{Nutrient}", name[:1].upper() + name[1:]),
        ("{reference}", food.product.compared_with.name), ("{from}", _declared(food, tag, there * k)), ("{to}", _declared(food, tag, value * k)),
    ):  # fmt: skip
        text = text.replace(word, given)
    return text
