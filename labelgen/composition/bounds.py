"""What amounts of one food allow of each other: a part never exceeds its whole, the parts never outweigh
the food.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

import numpy as np

from labelgen import paths
from labelgen.nutrients import INDEX, KEYS, UNITS
from labelgen.tomlfile import read_toml

#: part -> the whole it is part of (both in g of the same amount of food).
PARTS = {
    "FASAT": "FAT",
    "FAMS": "FAT",
    "FAPU": "FAT",
    "FATRN": "FAT",
    "FIBTG": "CHOCDF",
    "SUGAR": "CHOCDF",
    "STARCH": "CHOCDF",
    "POLYL": "CHOCDF",
    "ALLULOSE": "CHOCDF",
    "FIBSOL": "FIBTG",
    "FIBINS": "FIBTG",
    "POLYDEXTROSE": "CHOCDF",
    "SUGAD": "SUGAR",
    "FAPUN3": "FAPU",
    "FAPUN6": "FAPU",
    "OA": "CHOCDF",
    "TAGATOSE": "CHOCDF",
    "SALATRIM": "FAT",
    **dict.fromkeys(
        (
            "ERYTHRITOL",
            "XYLITOL",
            "MALTITOL",
            "SORBITOL",
            "MANNITOL",
            "ISOMALT",
            "LACTITOL",
            "HSH",
            "GLYCEROL",
        ),
        "POLYL",
    ),
}
PROXIMATES = ("WATER", "PROCNT", "FAT", "CHOCDF", "ASH", "ALC")
#: Proximates with an energy; carbohydrate holds fibre and polyols here.
MACROS = ("FAT", "CHOCDF", "PROCNT", "ALC")
_UNBURNT = ("FIBTG", "POLYL", "ALLULOSE")
#: Parts of the carbohydrate that have nothing in common.
_DISJOINT = ("SUGAR", *_UNBURNT)
MINERALS = ("NA", "K", "CA", "FE", "MG", "P", "ZN", "CU", "MN", "SE", "FD")
#: Measured on their own while their whole is found by difference, so a table may show them a little above it.
_BY_DIFFERENCE = ("SUGAR", "STARCH")
_PER_GRAM = {"g": 1.0, "mg": 1e3, "ug": 1e6}
#: Keys every food has, so that their doubt is the food's doubt. The others (polyols, alcohol) are absent
# unless somebody
#: stated them; total carbohydrate already holds them.
BOUNDED = ("PROCNT", "CHOCDF", "CHOAVLDF", "FAT", "FIBTG", "FIBSOL")
#: What is told in milligrams and stands by itself: no sum of others that are in the table too.
_SMALL = tuple(k for k in KEYS if UNITS[k] in ("mg", "ug") and k not in ("VITA_RAE", "FOLDFE"))
_WEIGHED = ("WATER", "ASH", *_SMALL)
#: A part lighter than this share of the food is not named among those that outweigh it.
_WORTH_NAMING = 0.005
#: Slack for binary dust [g].
_DUST = 1e-9


@cache
def limits() -> dict[str, dict]:
    """``reference/factors/figures.toml``."""
    return read_toml(paths.reference("factors", "figures.toml"))


def upper_bounds(low: np.ndarray, value: np.ndarray, high: np.ndarray, loose: bool = False) -> np.ndarray:
    """``high`` with the unknown figures (value NaN) of 100 g bounded [each nutrient's unit].

    Grams: what the known proximates leave of 100 g at their least, and never more than the whole a part
    belongs to, nor than its other parts leave of it. Milligrams and micrograms have no bound (inf). loose:
    the figures are a packet's; proximates do not add up exactly, and carbohydrate by difference may be less
    than its parts.
    """
    unknown = np.isnan(value)
    least = np.where(unknown, 0.0, low)
    by_difference = limits()["unstated_slack"]["value"] if loose else 0.0
    room = 100.0 - sum(least[INDEX[k]] for k in PROXIMATES)
    bound = np.array([max(0.0, room) if UNITS[k] == "g" else np.inf for k in KEYS])
    if loose:
        for key in ("WATER", "ASH"):
            bound[INDEX[key]] = min(100.0, max(0.0, room + limits()["proximates_slack"]["value"]))
    high = np.where(unknown, bound, high)
    for part, whole in PARTS.items():
        if unknown[INDEX[part]]:
            others = sum(least[INDEX[k]] for k in _DISJOINT if k != part) if part in _DISJOINT else 0.0
            slack = by_difference if part in _BY_DIFFERENCE or others else 0.0
            high[INDEX[part]] = max(0.0, high[INDEX[whole]] - others + slack)
    return high


def filled_up(low: np.ndarray, high: np.ndarray) -> np.ndarray:
    """Which nutrients of 100 g have no room at all, given exact figures: True where nothing can be.

    Minerals are in the ash, everything else that is weighed in mg sits in fat, protein or what is not told.
    """
    none = high <= _DUST
    told = sum(low[INDEX[k]] for k in ("WATER", "ALC", "ASH", *_DISJOINT))
    for i, key in enumerate(KEYS):
        if UNITS[key] in ("mg", "ug"):
            none[i] = none[INDEX["ASH"]] if key in MINERALS else told >= 100 - _DUST
    return none


@dataclass(frozen=True)
class Clash:
    """Figures that cannot all be true. keys: theirs, the doubtful one first. at: what the others allow it
    [its unit]. code: for the finding. sure: False when an unusual food could explain it."""

    code: str
    keys: tuple[str, ...]
    at: float
    sure: bool = True


def narrow(low: np.ndarray, value: np.ndarray, high: np.ndarray, grams: float) -> list[Clash]:
    """Narrows the intervals of an amount of food in place by what they allow of each other; what cannot be
    true is returned.

    value: as stated, NaN where nobody did. grams: the most the food weighs. No interval that holds the truth
    loses it, for every food of the tables and whichever lawful method its energy was counted by.
    """
    known = ~np.isnan(value)
    clashes = []
    for part, whole in PARTS.items():
        p, w = INDEX[part], INDEX[whole]
        if not (known[p] and known[w]):
            continue
        sure = exceeds(part, low[p], value[p], value[w], high[w], grams)
        if sure is not None:
            clashes.append(Clash("part-exceeds-whole", (part, whole), high[w], sure))
        if not sure:
            slack = limits()["difference_slack"]["value"] * grams / 100 if part in _BY_DIFFERENCE else 0.0
            high[p], low[w] = (
                max(low[p], min(high[p], high[w] + slack)),
                min(high[w], max(low[w], low[p] - slack)),
            )
    return [
        *clashes,
        *_share(low, value, high, grams),
        *_weigh(low, value, high, grams),
        *_burn(low, high, known, grams),
    ]


def exceeds(
    part: str,
    low: float,
    value: float,
    whole: float,
    whole_high: float,
    grams: float,
    slack: str = "difference_slack",
) -> bool | None:
    """Whether a part is more than its whole: True when nothing explains it, False when carbohydrate found
    by difference could, None when it need not be. value, whole: as stated. slack: how much that explains,
    a name in ``limits``.
    """
    # the upper end of a rounded figure is no part of its interval, so ends that touch do not fit
    if not (low > whole_high + _DUST or (low >= whole_high - _DUST and value > whole + _DUST)):
        return None
    return part not in _BY_DIFFERENCE or low > whole_high + limits()[slack]["value"] * grams / 100


def _share(low, value, high, grams) -> list[Clash]:
    """Sugars, fibre, polyols and allulose share the carbohydrate."""
    here, whole = [k for k in _DISJOINT if value[INDEX[k]] > 0], INDEX["CHOCDF"]
    if len(here) < 2 or np.isnan(value[whole]):
        return []
    over = sum(low[INDEX[k]] for k in here) - high[whole]
    if over <= _DUST:
        return []
    return [
        Clash(
            "parts-exceed-whole",
            (*here, "CHOCDF"),
            high[whole],
            bool(over > limits()["unstated_slack"]["value"] * grams / 100),
        )
    ]


def _weigh(low, value, high, grams) -> list[Clash]:
    """Fat, carbohydrate, protein, alcohol and minerals never outweigh the food; nor do they with its water
    and ash, nor all that is told in milligrams.
    """
    known = ~np.isnan(value)
    here = [k for k in MACROS if known[INDEX[k]]]
    held = {k: float(low[INDEX[k]]) / _PER_GRAM[UNITS[k]] for k in (*here, *_WEIGHED) if known[INDEX[k]]}
    least, slack = sum(held[k] for k in here), limits()["sum_slack"]["value"]
    minerals = sum(held.get(k, 0.0) for k in (*MINERALS, "CLD"))
    moist = least + held.get("WATER", 0.0) + max(held.get("ASH", 0.0), minerals)
    small = sum(held.get(k, 0.0) for k in _SMALL)
    if max(least + minerals, small) > grams * (1 + slack / 100) or moist > grams * (
        1 + limits()["proximates_slack"]["value"] / 100
    ):
        heavy = tuple(
            k for k, mass in sorted(held.items(), key=lambda x: -x[1]) if mass >= _WORTH_NAMING * grams
        )
        if len(heavy) > 1:
            return [Clash("parts-exceed-food", heavy, grams)]
    most = grams * (1 + slack / 100)
    for k in here:
        i = INDEX[k]
        high[i] = max(low[i], min(high[i], most - (least - low[i])))
    return []


def _burn(low, high, known, grams) -> list[Clash]:
    """Energy against what the macronutrients give by the stingiest and the most generous lawful method."""
    e = INDEX["ENERC"]
    here = [k for k in MACROS if known[INDEX[k]]]
    if not (known[e] and here):
        return []
    least, most = energy_range(low, high, known, grams)
    slack = limits()["energy_slack"]["value"] * grams / 100
    keys = ("ENERC", *here)
    if least > high[e] + slack:
        return [Clash("energy-impossible", keys, least)]
    if low[e] > most + slack:
        return [Clash("energy-impossible", keys, most)]
    for k in here:
        i, factor = INDEX[k], limits()[k]
        if factor["low"]:
            high[i] = max(low[i], min(high[i], (high[e] + slack - least) / factor["low"] + low[i]))
        if np.isfinite(most):
            low[i] = min(high[i], max(low[i], (low[e] - slack - most) / factor["high"] + high[i]))
    return []


def check_weight(low: np.ndarray, value: np.ndarray, high: np.ndarray, grams: float) -> list[Clash]:
    """An amount of food against all that is said to be in it, wherever that is from."""
    return _weigh(low, value, high.copy(), grams)


def check_energy(low: np.ndarray, value: np.ndarray, high: np.ndarray, grams: float) -> list[Clash]:
    """A stated energy against the macronutrients of an amount of food, wherever those are from."""
    known = ~np.isnan(value)
    return _burn(low, high, known, grams) or _fit(low, high, known, grams)


def energy_range(low, high, known, grams) -> tuple[float, float]:
    """The least and the most energy [kcal] of the macronutrients by any lawful method."""
    least = most = 0.0
    heaviest = limits()["strongest"]["value"] * grams / 100
    left = max(0.0, grams - sum(low[INDEX[k]] for k in MACROS if known[INDEX[k]]))
    for k in MACROS:
        i = INDEX[k]
        least += low[i] * limits()[k]["low"] if known[i] else 0.0
        most += limits()[k]["high"] * (high[i] if known[i] else min(left, heaviest) if k == "ALC" else left)
    sugar = INDEX["SUGAR"]
    return least + (limits()["SUGAR"]["low"] * low[sugar] if known[sugar] else 0.0), most


def _fit(low, high, known, grams) -> list[Clash]:
    """Energy further from the general factors than all but the oddest foods."""
    here = [k for k in MACROS if known[INDEX[k]]]
    if not {"FAT", "CHOCDF", "PROCNT"} <= set(here):
        return []
    unburnt = sum(high[INDEX[k]] for k in _UNBURNT if known[INDEX[k]])
    general = {k: limits()[k]["general"] for k in MACROS}
    # a total that hides an unstated fibre counts as what is stated of it, as on the label
    most = sum(general[k] * (high[INDEX[k]] if np.isfinite(high[INDEX[k]]) else low[INDEX[k]]) for k in here)
    least = sum(general[k] * max(0.0, low[INDEX[k]] - (unburnt if k == "CHOCDF" else 0.0)) for k in here)
    fit, e, apart = (
        limits()["energy_fit"]["value"],
        INDEX["ENERC"],
        limits()["energy_least"]["value"] * grams / 100,
    )
    keys = ("ENERC", *(k for k in here if high[INDEX[k]] > 0))
    if high[e] < min(least * (1 - fit), least - apart):
        return [Clash("energy-unlikely", keys, least, sure=False)]
    if low[e] > max(most * (1 + fit), most + apart):
        return [Clash("energy-unlikely", keys, most, sure=False)]
    return []


#: Total carbohydrate less dietary fibre.
AVAILABLE = "CHOAVLDF"


def fill_available(low: np.ndarray, value: np.ndarray, high: np.ndarray, stated: bool = False) -> None:
    """Available carbohydrate of a food in place: from the total and the fibre, or where a packet states it
    (stated) a bound on the fibre nobody tells. An unknown fibre leaves it unknown, up to the total.
    """
    a, total, fibre = INDEX[AVAILABLE], INDEX["CHOCDF"], INDEX["FIBTG"]
    if stated:
        if np.isnan(value[fibre]):
            high[fibre] = min(high[fibre], max(0.0, high[total] - low[a]))
        return
    value[a] = max(0.0, value[total] - value[fibre]) if value[total] >= 0 and value[fibre] >= 0 else np.nan
    low[a], high[a] = max(0.0, low[total] - high[fibre]), max(0.0, high[total] - low[fibre])
