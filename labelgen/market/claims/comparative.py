"""Claims against a food the maker names: "25 % less sugar than our butter cookie", "more fibre", "light".

Both foods are compared by weight, this one on the worst end of its interval.
"""

from __future__ import annotations

import math
import re
from typing import NamedTuple

from labelgen.composition.sheet_figures import read_printed
from labelgen.errors import UnitError
from labelgen.law.claim_tables import ClaimRule, Limit
from labelgen.law.figure_tables import Nutrient
from labelgen.law.record import known
from labelgen.law.rounding import clean, declare_amount
from labelgen.market.claims.claim_words import Asked
from labelgen.market.claims.conditions import Food, daily_value, energy, holds, judge
from labelgen.market.claims.free_from import Verdict
from labelgen.nutrients import NUTRIENTS, UNITS

NAMES = {n.key: n.name.removeprefix("total ") for n in NUTRIENTS}


def judge_comparison(food: Food, asked: Asked, rule: ClaimRule) -> Verdict:
    """Less, more or light against the food under ``compared_with:``, by weight."""
    other = food.product.compared_with
    if other is None:
        return Verdict(
            (
                (
                    "it says nothing without the food it compares with: write 'compared_with: {name: our"
                    " butter cookie, per: 100 g, nutrients: {fat: 25 g}}' on the product"
                ),
            ),
            (),
        )
    limit, tag = rule.limit, _claimed(food, asked)
    if limit.fat_less_percent is not None:
        return _light(food, asked, limit)
    pair = _compared(food, tag)
    if isinstance(pair, str):
        return Verdict((pair,), ())
    here, there = pair
    if not there.low > 0:
        return Verdict(
            (
                (
                    f"{other.name} may hold no {NAMES[tag]} at all, and a percentage of nothing says"
                    " nothing: claim the level itself, such as 'source of' or 'free'"
                ),
            ),
            (),
        )
    unit = "kcal" if tag == "ENERC" else UNITS[tag].replace("ug", "mcg")
    if barred := [
        *_already_low(food, limit, (tag,)),
        *_more_of_another(food, limit, tag),
        *_lacking(food, rule, tag),
    ]:
        return Verdict(tuple(barred), ())
    said = f"{NAMES[tag]} {here.value:.3g} {unit} per 100 g against {there.value:.3g} {unit} in {other.name}"
    if limit.more_daily_value is not None or limit.more_percent is not None:
        need, gain, least = _more(food, tag, limit, pair)
        good, bring = (
            clean(max(0.0, gain)) >= clean(need),
            f"bring {NAMES[tag]} to at least {least:.3g} {unit} per 100 g",
        )
        said = f"{said}: {_short(gain)} more, {_short(need)} needed"
    else:
        need, cut = float(known(limit.less_percent, rule.key)), 100 * (1 - here.high / there.low)
        good, bring = (
            clean(max(0.0, cut)) >= clean(need),
            f"bring {NAMES[tag]} to at most {there.low * (1 - need / 100):.3g} {unit} per 100 g",
        )
        said = f"{said}: {cut:.1f} % less, {need:g} % needed"
    if good and asked.number is not None and (surely := _surely(pair)) < asked.number:
        return Verdict((f"{asked.number:g} % is stated, but it is {surely:.0f} %",), ())
    return Verdict((), (said,)) if good else Verdict((said, bring), ())


def _claimed(food: Food, asked: Asked) -> str:
    """The nutrient a comparison is about: named, or for a bare "light" the one of fat and energy that is
    cut most.
    """
    if asked.nutrient or asked.key == "reduced_sodium":
        return asked.nutrient or "NA"
    pairs = {tag: _compared(food, tag) for tag in ("FAT", "ENERC")}
    cuts = {
        tag: pair[0].high / pair[1].low
        for tag, pair in pairs.items()
        if not isinstance(pair, str) and pair[1].low > 0
    }
    return min(cuts, key=lambda tag: cuts[tag]) if cuts else "FAT"


def _meets(food: Food, key: str) -> bool:
    return bool(key) and holds(food, food.pack.entry(ClaimRule, key))[0]


def _light(food: Food, asked: Asked, limit: Limit) -> Verdict:
    """Half the fat where fat gives most of the energy; else half the fat or a third less energy."""
    fat, kcal = _compared(food, "FAT"), _compared(food, "ENERC")
    if isinstance(fat, str) or isinstance(kcal, str):
        return Verdict((fat if isinstance(fat, str) else kcal,), ())
    if barred := _already_low(food, limit, ("FAT", "ENERC")):
        return Verdict(tuple(barred), ())
    if not (fat[1].low > 0 and kcal[1].low > 0):
        return Verdict(
            (
                (
                    f"{food.product.compared_with.name} may hold no fat or no energy at all, and a"
                    " percentage of nothing says nothing"
                ),
            ),
            (),
        )
    fat_cut, kcal_cut = (100 * (1 - here.high / there.low) for here, there in (fat, kcal))
    fatty = (
        float(limit.fat_kcal_per_g or 0) * fat[1].high / kcal[1].low
        >= float(limit.fat_energy_percent or 0) / 100
    )
    good = clean(max(0.0, fat_cut)) >= clean(limit.fat_less_percent) or (
        not fatty and clean(max(0.0, kcal_cut)) >= clean(limit.energy_less_percent)
    )
    either = "" if fatty else f" or {limit.energy_less_percent} % of the energy"
    if fat_cut < 0 or kcal_cut < 0:
        return Verdict(
            (f"neither fat nor energy may be higher than in {food.product.compared_with.name}",), ()
        )
    said = (
        f"fat {fat_cut:.0f} % and energy {kcal_cut:.0f} % less than {food.product.compared_with.name};"
        f" {limit.fat_less_percent} % of the fat{either} needed"
    )
    return Verdict((), (said,)) if good else Verdict((said,), ())


class _Span(NamedTuple):
    """An amount per 100 g and the interval it lies in."""

    low: float
    value: float
    high: float


def _compared(food: Food, tag: str) -> tuple[_Span, _Span] | str:
    """(this food's figures, the other food's), or what to type."""
    other = food.product.compared_with
    name = {"ENERC": "energy"}.get(tag) or NAMES.get(tag, tag)
    if tag not in other.figures:
        return f"{other.name} has no figure for {name}: add '{name}: ...' under 'compared_with:'"
    density = food.product.density
    per = other.per.millilitres * density if other.per.kind == "volume" and density else other.per.grams
    if not per:
        return f"'per: {other.per.text}' of {other.name} is no weight: write its figures per 100 g"
    try:
        there = _Span(*(x * 100 / per for x in read_printed(other.figures[tag], tag)))
    except UnitError as error:
        return f"{name} of {other.name}: {error}"
    here = energy(food.pack, food.profile.per_100g) if tag == "ENERC" else food.profile.per_100g.get(tag)
    if here is None or not all(map(math.isfinite, here)):
        return (
            f"{name} of this product is not known: add the missing figures under 'nutrients:' of the"
            " ingredients"
        )
    return _Span(*here), there


def _more(food: Food, tag: str, limit: Limit, pair: tuple[_Span, _Span]) -> tuple[float, float, float]:
    """(needed, gained, the least per 100 g that would do): in percent of the other food, or of the daily
    value per reference amount.
    """
    here, there = pair
    if limit.more_percent is not None:
        need = float(limit.more_percent)
        return need, 100 * (here.low / there.high - 1), there.high * (1 + need / 100)
    need, daily, grams = (
        float(known(limit.more_daily_value, "more_daily_value")),
        daily_value(food.pack, tag),
        food.reference_g or food.serving.grams,
    )
    if not daily:
        return need, 0.0, math.inf
    return need, 100 * (here.low - there.high) * grams / 100 / daily, there.high + need * daily / grams


def _short(x: float) -> str:
    return f"{x:.3g}" if x < 1000 else f"{x:.0f}"


def _surely(pair: tuple[_Span, _Span]) -> float:
    """By how many percent of the other food the two differ at the least, wherever in their intervals they
    lie.
    """
    here, there = pair
    differ = 1 - here.high / there.low if here.value < there.value else here.low / there.high - 1
    return 100 * max(0.0, differ)


def _already_low(food: Food, limit: Limit, tags: tuple[str, ...]) -> list[str]:
    """Why nothing may be called less than the other food: it is low already, in every one of these that
    the rule names.
    """
    rules = [food.pack.entry(ClaimRule, limit.not_low[tag]) for tag in tags if tag in limit.not_low]
    if not rules or len(rules) < len(tags) or not all(_other_meets(food, rule) for rule in rules):
        return []
    lows = " and ".join(f"'{rule.key.replace('_', ' ')}' ({rule.text})" for rule in rules)
    return [
        f"{food.product.compared_with.name} itself meets {lows}, and against such a food nothing may be"
        f" called less: compare with another, or claim {lows.split(' (')[0]} if this one meets it"
    ]


def _other_meets(food: Food, rule: ClaimRule) -> bool:
    """Whether the other food meets the conditions of a "low" rule, on the bases of this one. What is
    unknown does not.
    """
    for condition in rule.conditions:
        for per in condition.per:
            amounts, _ = food.amounts(per)
            if amounts is None:
                continue
            figures = [_compared(food, tag) for tag in condition.tags or (condition.tag,)]
            shares = [_compared(food, "ENERC")] if condition.unit == "% of energy" else []
            if any(isinstance(f, str) for f in (*figures[:1], *shares)):
                return False
            there = sum(f[1].low for f in figures if not isinstance(f, str))
            there = (
                100 * float(known(condition.kcal_per_g, rule.key)) * there / shares[0][1].high
                if shares
                else there * amounts.grams / 100
            )
            if not clean(there) <= float(known(condition.at_most, rule.key)):
                return False
    return True


def _lacking(food: Food, rule: ClaimRule, tag: str) -> list[str]:
    """What the rule wants of this food besides the difference, and what it rests on that nobody can tell."""
    limit = rule.limit
    if limit.also and not _meets(food, limit.also.get(tag, "")):
        return [rule.lacking.replace("{nutrient}", NAMES[tag])]
    if tag in rule.untold:
        return [rule.untold[tag]]
    return [
        f"{j.figure}, {j.needed}" + (f": {j.remedy}" if j.remedy else "")
        for j in judge(food, tuple(limit.conditions.get(tag, ())))
        if not j.holds
    ]


def _more_of_another(food: Food, limit: Limit, tag: str) -> list[str]:
    """Why less of one is no use: the rule lets nothing that it names go up instead."""
    found = []
    for other in limit.no_more.get(tag, ()):
        pair = _compared(food, other)
        if isinstance(pair, str):
            found.append(pair)
        elif clean(pair[0].high) > clean(pair[1].low):
            found.append(
                f"{NAMES[other]} may not be higher than in {food.product.compared_with.name}:"
                f" {pair[0].high:.3g} against {pair[1].low:.3g} per 100 g"
            )
    return found


def declared(food: Food, tag: str, amount: float) -> str:
    """An amount per serving as the panel would print it."""
    row = next((e for e in food.pack.entries(Nutrient) if e.tag == tag), None)
    if row is None or not math.isfinite(amount):
        return f"{amount:.1f} {UNITS[tag]}"
    return declare_amount(food.pack, row.rule, amount).text


def compared_text(food: Food, asked: Asked, text: str) -> str:
    """{percent}, {from} and the like filled in; {percent.FAT} speaks of that nutrient whatever the claim
    is about.
    """
    for word, tag in {
        (m[0], m[2] or _claimed(food, asked))
        for m in re.finditer(r"\{(percent|from|to|nutrient|Nutrient|reference)(?:\.([A-Z]+))?\}", text)
    }:
        pair, name, k = _compared(food, tag), _called(food, tag), food.serving.grams / 100
        given = {
            "percent": f"{math.floor(_surely(pair) + 1e-9):g}",
            "nutrient": name,
            "Nutrient": name[:1].upper() + name[1:],
            "reference": food.product.compared_with.name,
            "from": declared(food, tag, pair[1].value * k),
            "to": declared(food, tag, pair[0].value * k),
        }
        text = text.replace(word, given[word.strip("{}").partition(".")[0]])
    return text


def _called(food: Food, tag: str) -> str:
    """A nutrient in running text: energy and fibre as the market's panel calls them, whose words differ."""
    if tag == "SUGAR":
        return "sugar"
    row = (
        next((e for e in food.pack.entries(Nutrient) if e.tag == tag), None)
        if tag in ("ENERC", "FIBTG")
        else None
    )
    return row.label.strip("—+ ").lower().partition(",")[0] if row else NAMES[tag]
