"""Figures as packets and specification sheets write them -> low, value, high."""

from __future__ import annotations

import re
from collections.abc import Sequence

from labelgen.composition.bounds import limits
from labelgen.composition.carbohydrate import is_plain, settle_carbohydrate
from labelgen.composition.ingredient_records import Figure, Portion, Stated
from labelgen.composition.portions import grams_in
from labelgen.errors import UnitError
from labelgen.findings import find
from labelgen.nutrients import COMPOUNDS, UNITS, compound_of
from labelgen.quantity import read_number
from labelgen.recipe.models import IngredientSpec, Printed
from labelgen.wordlists import any_of

#: Factors between the units a packet may print and the key's own unit.
_TO = {
    ("kcal", "kcal"): 1.0,
    ("cal", "kcal"): 1.0,
    ("calories", "kcal"): 1.0,
    ("kj", "kcal"): 1 / 4.184,
    ("", "kcal"): 1.0,
    **{
        (a, b): x / y
        for a, x in (("g", 1e6), ("mg", 1e3), ("mcg", 1.0), ("ug", 1.0), ("µg", 1.0), ("μg", 1.0))
        for b, y in (("g", 1e6), ("mg", 1e3), ("ug", 1.0))
    },
}
_SPREAD = re.compile(r"(?:\+\s*/\s*-|\+-|±)")
_RANGE = re.compile(rf"(?:-|–|{any_of('figure.to')})\s*(?=[\d.½¼¾])")
_BELOW = re.compile(rf"(?:<=?|≤|{any_of('figure.at_most')})\s*")
_PER_KILO = re.compile(rf"(?:(g|mg|mcg|ug|µg|μg) ?(?:/ ?|{any_of('figure.per')})kg|ppm)")
_TRACE = re.compile(any_of("figure.trace"))
_TRACE_G = 0.5
_TWO_ENERGIES = re.compile(r"([\d.]+ ?k(?:j|cal))\s*[/(;,]\s*([\d.]+ ?k(?:j|cal))\)?")


def read_figure(text: str, key: str, grams: float = 0.0) -> tuple[float, float, float]:
    """(low, value, high) of a figure in the key's own unit: ``7 g``, ``<0.5 g``, ``12 +/- 1 g``, ``10-12 g``,
    ``trace``.

    >>> read_figure("<0.5 g", "FAT")
    (0.0, 0.25, 0.5)
    >>> read_figure("10-12 g", "FAT"), read_figure("50 g ± 2 %", "FAT")
    ((10.0, 11.0, 12.0), (49.0, 50.0, 51.0))

    grams: the food the figure is for, so that a share of it (``50 mg/kg``, ``50 ppm``) can be read; 0 where
    not known. Raises UnitError with what to type.
    """
    plain = " ".join(text.lower().split())
    shown = UNITS[key].replace("ug", "mcg")
    if key == "ENERC" and (both := _TWO_ENERGIES.fullmatch(plain)):
        return _same_energy(text, both[1], both[2])
    if _TRACE.fullmatch(plain):
        if UNITS[key] != "g":
            raise UnitError(
                f"{text!r} gives no limit: write the least that is told apart, for example '<5 {shown}'"
            )
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
    before, _, after = (
        (rest[: m.start()], m, rest[m.end() :]) if (m := _SPREAD.search(rest)) else (rest, None, "")
    )
    spread, unit = read_number(after) if m else (0.0, "")
    factor = _factor(before or unit, key, text, grams)
    number *= factor
    spread = (
        number * spread / 100
        if unit == "%"
        else spread * (_factor(unit, key, text, grams) if unit else factor)
    )
    return max(0.0, number - spread), number, number + spread


def _same_energy(text: str, *written: str) -> tuple[float, float, float]:
    """One energy written in kJ and in kcal: each unit has factors of its own, so they agree within what
    the laws allow.
    """
    per, spans = limits()["kilojoules"], {}
    for part in written:
        number, unit = read_number(part)
        half = half_digit(part)
        most, least = (per["high"], per["low"]) if "kj" in unit else (1.0, 1.0)
        spans["kj" if "kj" in unit else "kcal"] = (
            max(0.0, number - half) / most,
            number,
            (number + half) / least,
        )
    if len(spans) < 2:
        raise UnitError(f"{text!r} gives one unit twice: write it in kJ and kcal, or in one of them")
    kcal, joules = spans["kcal"], spans["kj"]
    if joules[0] > kcal[2] or joules[2] < kcal[0]:
        raise UnitError(
            f"{text!r}: {joules[1]:g} kJ are {joules[1] / per['value']:.0f} kcal, not {kcal[1]:g}: its"
            " figures cannot both be true: compare them with the packet"
        )
    return kcal[1], kcal[1], kcal[1]


def half_digit(text: str) -> float:
    """Half of the last digit of the number a text starts with, 0 where it starts with none.

    >>> half_digit("7 g"), half_digit("0.25 g")
    (0.5, 0.005)
    """
    digits = re.match(r"\s*\d+(?:\.(\d+))?", text)
    return 0.5 * 10.0 ** -len(digits[1] or "") if digits else 0.0


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
    """(low, value, high) of a figure as its maker named it, in the key's own unit: salt is told as the
    sodium in it.
    """
    _, times = COMPOUNDS.get(compound_of(printed.name), (key, 1.0))
    low, value, high = read_figure(printed.text, key, grams)
    return low / times, value / times, high / times


def read_sheet(
    spec: IngredientSpec,
    portions: Sequence[Portion] = (),
    country: str = "us",
    carbohydrate: str = "CHOCDF",
    section: str = "ingredients",
) -> Stated:
    """The figures of a specification sheet or laboratory (``per`` and ``nutrients``), with the faults in
    them.

    portions: what measures of the food weigh, for figures per 100 ml or per cup. carbohydrate: what the word
    alone means in the kitchen's markets, CHOCDF (fibre in it) or CHOAVLDF (without); "" where they differ.
    section: where the entry stands.
    """
    source, here = spec.source or "supplier's figures", f"{section}.{spec.name}"
    try:
        grams = 100.0 if spec.per is None else grams_in(spec.per, portions, spec.name, country)
    except UnitError as error:
        return Stated(
            findings=(
                find("per-not-mass", spec.where, path=f"{here}.per", ingredient=spec.name, reason=str(error)),
            )
        )
    figures, found = {}, []
    for key, printed in spec.nutrients.items():
        path = f"{here}.nutrients.{printed.name}"
        try:
            figures[key] = _figure(printed, key, grams, path)
        except UnitError as error:
            found.append(
                find(
                    "figure",
                    printed.where,
                    path=path,
                    ingredient=spec.name,
                    field=printed.name,
                    reason=str(error),
                )
            )
    stated = Stated(figures, (grams, grams, grams), source, tuple(found))
    word = spec.nutrients.get("CHOCDF")
    return settle_carbohydrate(stated, spec.name, carbohydrate) if word and is_plain(word.name) else stated


def _figure(printed: Printed, key: str, grams: float, path: str) -> Figure:
    low, value, high = read_printed(printed, key, grams)
    digit = half_digit(printed.text)
    if digit and low == value == high:
        number = read_number(printed.text)[0]
        digit = digit * value / number if number else digit * _zero_unit(printed, key)
    else:
        digit = 0.0
    return Figure(low, value, high, f"{printed.name} {printed.text}", printed.where, digit, path)


def _zero_unit(printed: Printed, key: str) -> float:
    """What one of the unit of a figure of nothing is in the key's own."""
    return read_printed(printed.model_copy(update={"text": re.sub(r"^\s*[\d.]+", "1", printed.text)}), key)[1]
