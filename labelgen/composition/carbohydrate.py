"""What "carbohydrate" means on a specification sheet: with its fibre, as in North America, or without, as
in Europe, Australia and New Zealand. The kitchen's markets and the stated energy say so; where they
contradict each other nothing is printed.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import replace

from labelgen.composition.bounds import AVAILABLE, limits
from labelgen.composition.ingredient_records import Figure, Stated
from labelgen.errors import CompositionError, Finding
from labelgen.findings import find
from labelgen.nutrients import POLYOLS, key_of, plain_name

TOTAL = "CHOCDF"
_WORDS = {TOTAL: "total carbohydrate", AVAILABLE: "available carbohydrate"}
_MEANS = {TOTAL: "with the fibre in it", AVAILABLE: "without the fibre"}
#: Parts of carbohydrate that may give less energy than the rest of it, or none.
_UNBURNT = (*POLYOLS, "ALLULOSE", "POLYDEXTROSE")


def is_plain(word: str) -> bool:
    """Whether a word, in any label language, says carbohydrate and not which."""
    if word.upper() == TOTAL or plain_name(word).startswith("total "):
        return False
    try:
        return key_of(word) == TOTAL
    except CompositionError:
        return False


def settle_carbohydrate(stated: Stated, name: str, usual: str) -> Stated:
    """The figures with their carbohydrate under the key it means. usual: what it means in the kitchen's
    markets, CHOCDF or CHOAVLDF, "" where they differ. What contradicts itself, or may be either, stops the
    label with both readings.
    """
    figure, fibre = stated.figures.get(TOTAL), stated.figures.get("FIBTG")
    if figure is None:
        return stated
    moved = 0.0 if fibre is None else fibre.high * 100 / stated.grams[1]
    if fibre is None or moved <= limits()["fibre_asked"]["value"]:
        return _as(usual or TOTAL, stated)
    meant = [key for key in (TOTAL, AVAILABLE) if _fits(stated.figures, key)]
    told = {
        "where": figure.where,
        "path": figure.path,
        "ingredient": name,
        "figure": figure.shown,
        "energy": _told(stated),
    }
    if len(meant) == 1 and usual in ("", meant[0]):
        taken = find(
            "carbohydrate-meaning.by-energy", meaning=_WORDS[meant[0]], fibre=_MEANS[meant[0]], **told
        )
        return _told_of(_as(meant[0], stated), taken)
    if len(meant) != 1 and usual:
        return _told_of(
            _as(usual, stated),
            find("carbohydrate-meaning.by-market", meaning=_WORDS[usual], fibre=_MEANS[usual], **told),
        )
    text, total = figure.shown.split(" ", 1)[1], figure.value + fibre.value
    either = {
        "beside": fibre.shown,
        "in_all": total,
        "without": max(0.0, figure.value - fibre.value),
        "text": text,
    }
    if usual:
        return _told_of(stated, find("carbohydrate-meaning", fibre=_MEANS[usual], **either, **told))
    return _told_of(stated, find("carbohydrate-meaning.markets-differ", **either, **told))


def _told_of(stated: Stated, finding: Finding) -> Stated:
    return replace(stated, findings=(*stated.findings, finding))


def _as(key: str, stated: Stated) -> Stated:
    if key == TOTAL:
        return stated
    return replace(stated, figures={AVAILABLE if k == TOTAL else k: f for k, f in stated.figures.items()})


def _told(stated: Stated) -> str:
    """What the stated energy says of the readings."""
    energy = stated.figures.get("ENERC")
    if energy is None or not {"FAT", "PROCNT"} <= stated.figures.keys():
        return "no energy beside fat and protein tells which is meant"
    spans = {key: energy_of(stated.figures, key) for key in (AVAILABLE, TOTAL)}
    said = " and ".join(f"{_MEANS[key]} {_span(*spans[key])}" for key in spans)
    return f"{energy.shown} is to be held against it: {said}"


def _span(least: float, most: float) -> str:
    return f"{least:.0f} kcal" if round(least) == round(most) else f"{least:.0f} to {most:.0f} kcal"


def _fits(figures: Mapping[str, Figure], key: str) -> bool:
    """Whether the stated energy allows a reading; one that nobody states allows any."""
    energy = figures.get("ENERC")
    if energy is None or not {"FAT", "PROCNT"} <= figures.keys():
        return True
    least, most = energy_of(figures, key)
    slack = limits()["reading_tolerance"]["value"] * energy.value
    return energy.low - energy.digit <= most + slack and energy.high + energy.digit >= least - slack


def energy_of(figures: Mapping[str, Figure], key: str) -> tuple[float, float]:
    """The least and the most energy [kcal] that stated figures give by the general factors, carbohydrate
    read as ``key``: fibre beside available carbohydrate gives its own factor to the whole one, fibre
    inside the total nothing to the whole one.
    """
    ends = []
    for end, sign in (("low", -1), ("high", 1)):
        amounts = {k: max(0.0, getattr(f, end) + sign * f.digit) for k, f in figures.items()}
        factors = {k: limits()[k]["general"] for k in ("FAT", "PROCNT", "ALC", TOTAL, "FIBTG")}
        total = sum(factors[k] * amounts.get(k, 0.0) for k in ("FAT", "PROCNT", "ALC", TOTAL))
        if key == AVAILABLE:
            total += amounts["FIBTG"] * (factors["FIBTG"] if end == "low" else factors[TOTAL])
        ends.append(total)
    off = [f.high + f.digit for k, f in figures.items() if k in _UNBURNT]
    unburnt = max(figures["POLYL"].high if "POLYL" in figures else 0.0, math.fsum(off))
    if key == TOTAL:
        unburnt += figures["FIBTG"].high
    return max(0.0, ends[0] - limits()[TOTAL]["general"] * unburnt), ends[1]
