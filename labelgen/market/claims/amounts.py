"""Claims that carry a figure: "5 g fibre per cookie", "3 g net carbs per cookie", "97 % fat free".

A figure must be true: as printed it is the food's own figure rounded to the places the maker wrote, wherever
in its interval the truth lies.
"""

from __future__ import annotations

import math
import re
from dataclasses import replace

from labelgen.law.claim_tables import ClaimRule
from labelgen.law.figure_tables import Nutrient
from labelgen.law.rounding import clean, declare_amount, plain, row_unit
from labelgen.market.claims.claim_words import Asked
from labelgen.market.claims.comparative import NAMES, compared_text, declared
from labelgen.market.claims.conditions import Food, energy
from labelgen.market.claims.free_from import Verdict
from labelgen.nutrients import UNITS
from labelgen.quantity import read_quantity
from labelgen.wordlists import any_of, words_for

_TO = {"g": 1e6, "mg": 1e3, "mcg": 1.0, "ug": 1.0, "kcal": 1.0}
_PACK, _SERVING, _EACH = words_for("claim.pack"), words_for("claim.serving"), words_for("claim.each")
_SUGAR = re.compile(any_of("claim.sugar"))


def judge_amount(food: Food, asked: Asked, rule: ClaimRule) -> Verdict:
    """A plain figure per piece, serving, pack or weight."""
    if not asked.basis:
        serving = replace(asked, basis="serving")
        figures, _ = _figures(food, serving, rule, food.serving.grams)
        number = (
            _suggested(serving, _shown(food, serving, figures, food.serving.grams)[0])
            if _known(figures)
            else asked.number
        )
        return Verdict(
            (
                (
                    f"it does not say in how much food: write '{_with_number(asked.text, number)} per"
                    f" serving', or the figure per {food.product.unit} or per 100 g"
                ),
            ),
            (),
        )
    grams = _basis_grams(food, asked.basis)
    if not grams:
        return Verdict(
            (
                (
                    f"'per {asked.basis}' is no basis of this product: write 'per serving', 'per"
                    f" {food.product.unit}', 'per pack' or 'per 100 g'"
                ),
            ),
            (),
        )
    figures, what = _figures(food, asked, rule, grams)
    if not _known(figures):
        return Verdict(
            (
                (
                    f"{what} is not known well enough to state: add the missing figures under 'nutrients:'"
                    " of the ingredients"
                ),
            ),
            (),
        )
    unit = _unit(asked)
    shown, on_panel = _shown(food, asked, figures, grams)
    suggested = _suggested(asked, shown)
    write = f"write {plain(clean(suggested))}, as '{_with_number(asked.text, suggested)}'"
    if shown[0] != shown[2] and asked.number != suggested:
        return Verdict(
            (
                (
                    f"{asked.number:g} {unit} is stated, but {what} per {asked.basis} may be anything from"
                    f" {figures[0]:.3g} to {figures[2]:.3g} {unit}: make the figures behind it surer, or"
                    f" {write}"
                ),
            ),
            (),
        )
    if shown[0] == shown[2] and shown[1] != asked.number:
        said = f", {shown[1]:g} {unit} on the panel" if on_panel else ""
        return Verdict(
            (
                (
                    f"{asked.number:g} {unit} is stated, but {what} per {asked.basis} is {figures[1]:.3g}"
                    f" {unit}{said}: {write}"
                ),
            ),
            (),
        )
    return Verdict((), (f"{what} {figures[1]:.3g} {unit} per {asked.basis} ({grams:.4g} g); {rule.text}",))


def _on_panel(food: Food, asked: Asked, value: float, grams: float, unit: str) -> float | None:
    """The figure that the panel prints for the same amount of food, which a claim may not contradict; None
    where it prints none.
    """
    tag = "ENERC" if asked.key == "energy_amount" else asked.nutrient
    row = next(
        (e for e in food.pack.entries(Nutrient) if e.tag == tag and row_unit(food.pack, e) == unit),
        None,
    )
    if row is None or asked.key == "net_carbs" or not math.isclose(grams, food.serving.grams):
        return None
    number = re.match(r"\d+(?:\.\d+)?", declare_amount(food.pack, row.rule, value).text)
    return float(number[0]) if number else None


def _known(figures: tuple[float, float, float] | None) -> bool:
    return figures is not None and all(map(math.isfinite, figures))


def _shown(
    food: Food, asked: Asked, figures: tuple[float, float, float], grams: float
) -> tuple[list[float], bool]:
    """(the figures as they would be printed, whether as the panel prints them)."""
    printed = [_on_panel(food, asked, max(0.0, x), grams, _unit(asked)) for x in figures]
    if all(x is not None for x in printed):
        return printed, True
    return [_to_places(x, _places(asked.text)) for x in figures], False


def _to_places(x: float, places: int) -> float:
    return round(float(clean(max(0.0, x))) + 1e-9, places)


def _suggested(asked: Asked, shown: list[float]) -> float:
    """The figure that may be stated: the one printed, or the unfavourable end of what it may be, which
    never flatters.
    """
    good_when_high = asked.nutrient in ("FIBTG", "FIBSOL", "PROCNT") or UNITS.get(asked.nutrient) in (
        "mg",
        "ug",
    )
    return shown[0] if good_when_high else shown[2]


def _with_number(text: str, number: float) -> str:
    """A claim with another figure in it."""
    return re.sub(r"\d+(?:\.\d+)?", plain(clean(number)), text, count=1)


def _basis_grams(food: Food, basis: str) -> float | None:
    word, profile = basis.strip().lower(), food.profile
    if word in _SERVING:
        return food.serving.grams
    if word in (food.product.unit.lower(), food.product.unit_plural.lower(), *_EACH) and profile.pieces:
        return profile.pack.grams / profile.pieces
    if word in _PACK:
        return profile.pack.grams
    try:
        quantity, rest = read_quantity(basis)
    except ValueError:
        return None
    if rest.strip():
        return None
    return (
        quantity.millilitres * food.product.density
        if quantity.kind == "volume" and food.product.density
        else quantity.grams
    )


def _figures(
    food: Food, asked: Asked, rule: ClaimRule, grams: float
) -> tuple[tuple[float, float, float] | None, str]:
    amounts = food.profile.pack.per(grams)
    if asked.key == "energy_amount":
        return energy(food.pack, amounts), "energy"
    if asked.key == "net_carbs":
        return _summed(amounts, rule.sum), "net carbohydrate"
    factor = _TO[UNITS[asked.nutrient]] / _TO[_unit(asked)] if UNITS[asked.nutrient] != "kcal" else 1.0
    return tuple(x * factor for x in amounts.get(asked.nutrient)), NAMES[asked.nutrient]


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
    tag = "SUGAR" if _SUGAR.search(asked.text.lower()) else "FAT"
    if asked.number > 100:
        return [f"{asked.number:g} % is more than there is of anything"]
    most, limit = food.profile.per_100g.get(tag)[2], 100 - asked.number
    if clean(most) <= clean(limit) if math.isfinite(most) else False:
        return []
    return [f"{asked.number:g} % free means at most {limit:g} g {NAMES[tag]} per 100 g; it has {most:.3g} g"]


def filled(food: Food, text: str, asked: Asked | None = None, rule: ClaimRule | None = None) -> str:
    """A rule's text with its figures put in: {FAT}, {percent}, {from}, {to}, {reference}, {nutrient},
    {net_carbs} ...
    """
    for tag in re.findall(r"\{([A-Z]+)\}", text):
        text = text.replace(
            f"{{{tag}}}", declared(food, tag, food.profile.pack.per(food.serving.grams).get(tag)[1])
        )
    if "{net_carbs}" in text:
        text = text.replace("{net_carbs}", _net_carbs_example(food))
    if asked and rule and "{parts}" in text:
        text = (
            text.replace("{stated}", f"{asked.number:g}")
            .replace("{basis}", f"per {asked.basis}")
            .replace("{parts}", _arithmetic(food, asked, rule))
        )
    if asked and "{percent" in text and food.product.compared_with:
        text = compared_text(food, asked, text)
    return text


def _arithmetic(food: Food, asked: Asked, rule: ClaimRule) -> str:
    """The parts of a sum and the sum, in tenths of a gram, such that they add up as printed: "12 - 4 - 4.8
    = 3.2 g".
    """
    amounts = food.profile.pack.per(_basis_grams(food, asked.basis))
    exact = [(tag, 10.0 * int(sign) * v) for tag, sign in rule.sum.items() if (v := amounts.get(tag)[1]) == v]
    total = round(sum(x for _, x in exact))
    tenths = {tag: round(x) for tag, x in exact}
    # what rounding added or lost goes to the parts that it moved most
    over = sum(tenths.values()) - total
    step = 1 if over > 0 else -1
    for tag, _ in sorted(exact, key=lambda part: step * (part[1] - tenths[part[0]]))[: abs(over)]:
        tenths[tag] -= step
    parts = [(tag, x) for tag, x in tenths.items() if x]
    said = " ".join(
        f"{'' if not n else '- ' if x < 0 else '+ '}{abs(x) / 10:.1f} g {NAMES[tag]}"
        for n, (tag, x) in enumerate(parts)
    )
    rounded = _to_places(total / 10, _places(asked.text))
    told = (
        ""
        if total / 10 == asked.number
        else ", rounded"
        if rounded == asked.number
        else f", at most {asked.number:g} g"
    )
    return f"{said or '0 g'} = {total / 10:.1f} g{told}"


def _net_carbs_example(food: Food) -> str:
    """A claim of net carbohydrate that is true of the food, or what to give instead."""
    rule = food.pack.find(ClaimRule, "net_carbs")
    unit = food.product.unit if food.profile.pieces else "serving"
    if rule is None or not rule.sum:
        return f"the panel's own figures per {unit}"
    grams = food.profile.pack.grams / food.profile.pieces if food.profile.pieces else food.serving.grams
    figures = _summed(food.profile.pack.per(grams), rule.sum)
    return (
        f"{_to_places(figures[2], 0):g} g net carbs per {unit}"
        if _known(figures)
        else f"... g net carbs per {unit}"
    )
