"""Figures as packets and specification sheets write them -> low, value, high."""

from __future__ import annotations

import re

from labelgen.composition.records import Figure, Stated
from labelgen.errors import Finding, UnitError
from labelgen.nutrients import COMPOUNDS, UNITS
from labelgen.quantity import read_number
from labelgen.recipe.models import IngredientSpec, Printed

#: Factors between the units a packet may print and the key's own unit.
_TO = {
    ("kcal", "kcal"): 1.0, ("cal", "kcal"): 1.0, ("calories", "kcal"): 1.0, ("kj", "kcal"): 1 / 4.184, ("", "kcal"): 1.0,
    **{(a, b): x / y for a, x in (("g", 1e6), ("mg", 1e3), ("mcg", 1.0), ("ug", 1.0), ("µg", 1.0), ("μg", 1.0)) for b, y in (("g", 1e6), ("mg", 1e3), ("ug", 1.0))},
}  # fmt: skip
_SPREAD = re.compile(r"(?:\+\s*/\s*-|\+-|±)")
_RANGE = re.compile(r"(?:-|–|to\b)\s*(?=[\d.½¼¾])")
_BELOW = re.compile(r"(?:<=?|≤|less than|at most|max\.?|up to|not detected\s*\(?<|n\.?d\.?\s*\(?<)\s*")
_PER_KILO = re.compile(r"(?:(g|mg|mcg|ug|µg|μg) ?(?:/ ?|per )kg|ppm)")
_TRACE_G = 0.5


def read_figure(text: str, key: str, grams: float = 0.0) -> tuple[float, float, float]:
    """(low, value, high) of a figure in the key's own unit: ``7 g``, ``<0.5 g``, ``12 +/- 1 g``, ``10-12 g``, ``trace``.

    >>> read_figure("<0.5 g", "FAT")
    (0.0, 0.25, 0.5)
    >>> read_figure("10-12 g", "FAT"), read_figure("50 g ± 2 %", "FAT")
    ((10.0, 11.0, 12.0), (49.0, 50.0, 51.0))

    grams: the food the figure is for, so that a share of it (``50 mg/kg``, ``50 ppm``) can be read; 0 where not known.
    Raises UnitError with what to type.
    """
    plain = " ".join(text.lower().split())
    shown = UNITS[key].replace("ug", "mcg")
    if plain in ("trace", "traces", "tr", "tr."):
        if UNITS[key] != "g":
            raise UnitError(f"{text!r} gives no limit: write the least that is told apart, for example '<5 {shown}'")
        return 0.0, 0.0, _TRACE_G
    below = _BELOW.match(plain)
    number, rest = read_number(plain[below.end() :].rstrip(")") if below else plain)
    if below:
        number *= _factor(rest, key, text, grams)
        return 0.0, number / 2, number
    if between := _RANGE.match(rest):
        upper, unit = read_number(rest[between.end() :])
        low, high = (x * _factor(unit, key, text, grams) for x in (number, upper))
        if low > high:
            raise UnitError(f"{text!r}: write the smaller figure first, for example '10-12 {shown}'")
        return low, (low + high) / 2, high
    before, _, after = (rest[: m.start()], m, rest[m.end() :]) if (m := _SPREAD.search(rest)) else (rest, None, "")
    spread, unit = read_number(after) if m else (0.0, "")
    factor = _factor(before or unit, key, text, grams)
    number *= factor
    spread = number * spread / 100 if unit == "%" else spread * (_factor(unit, key, text, grams) if unit else factor)
    return max(0.0, number - spread), number, number + spread


def _factor(unit: str, key: str, text: str, grams: float) -> float:
    plain, share = unit.strip(" ."), 1.0
    if grams and (of := _PER_KILO.fullmatch(plain)):
        plain, share = of[1] or "mg", grams / 1000
    factor = _TO.get((plain, UNITS[key]))
    if factor is None:
        shown = UNITS[key].replace("ug", "mcg")
        raise UnitError(f"{text!r}: write it in {shown}, for example '12 {shown}'")
    return factor * share


def read_printed(printed: Printed, key: str, grams: float = 0.0) -> tuple[float, float, float]:
    """(low, value, high) of a figure as its maker named it, in the key's own unit: salt is told as the sodium in it."""
    _, times = COMPOUNDS.get(printed.name.lower(), (key, 1.0))
    low, value, high = read_figure(printed.text, key, grams)
    return low / times, value / times, high / times


def read_sheet(spec: IngredientSpec) -> Stated:
    """The figures of a specification sheet or laboratory (``per`` and ``nutrients``), with the faults in them."""
    source = spec.source or "supplier's figures"
    grams = 100.0 if spec.per is None else spec.per.grams
    if not grams:
        return Stated(findings=(Finding("per-not-mass", "block", spec.where, f"{spec.name}: {spec.per.text!r} is no weight: write the weight it has, for example '30 g'"),))
    figures, found = {}, []
    for key, printed in spec.nutrients.items():
        try:
            figures[key] = Figure(*read_printed(printed, key, grams), f"{printed.name} {printed.text}", printed.where)
        except UnitError as error:
            found.append(Finding("figure", "block", printed.where, f"{spec.name}: {printed.name}: {error}"))
    return Stated(figures, (grams, grams, grams), source, tuple(found))
