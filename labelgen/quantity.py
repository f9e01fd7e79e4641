"""Amounts as makers write them -> grams, millilitres or a count. Units come from ``reference/units`` through
pint.

A volume or a count becomes grams elsewhere, and only through a weight that has a source.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from functools import cache
from typing import Literal

from labelgen import paths
from labelgen.errors import UnitError

_FRACTIONS = {
    "½": "1/2",
    "⅓": "1/3",
    "⅔": "2/3",
    "¼": "1/4",
    "¾": "3/4",
    "⅛": "1/8",
    "⅜": "3/8",
    "⅝": "5/8",
    "⅞": "7/8",
    "⅕": "1/5",
    "⅖": "2/5",
    "⅗": "3/5",
    "⅘": "4/5",
    "⅙": "1/6",
    "⅚": "5/6",
}
_NUMBER = re.compile(
    r"^\s*(?P<sign>[-+−])?\s*(?:(?P<whole>\d+)\s+(?P<n>\d+)\s*/\s*(?P<d>\d+)|(?P<num>\d+)\s*/\s*(?P<den>\d+)"
    r"|(?P<dec>\d+(?:\.\d+)?(?:[eE][-+]?\d+)?|\.\d+))(?P<rest>.*)$",
    re.DOTALL,
)
#: A point before three digits, and the word behind them.
_THOUSANDS = re.compile(r"\s*(\d{1,3}\.\d{3})(?![\d.])\s*([^\W\d_]*)")
#: Units up to this size [g or mL] are weighed in thousands.
_SMALL = 1.0
#: Where decimals are written with a comma, so that a point may part thousands; and where either is.
_COMMA, _EITHER = {"eu"}, {"ca"}
_WITH_COMMA = re.compile(r"(?<![\d.,])(\d+),(\d+)(?![\d.,])")
#: Nothing a small kitchen weighs or counts is larger [g, mL or pieces]; larger amounts are slips of the
# finger.
LARGEST = 1_000_000.0


@dataclass(frozen=True, slots=True)
class Quantity:
    """An amount. kind: mass (``grams`` set), volume (``millilitres`` set) or count (``count`` of ``unit``,
    where the unit is a word such as large, piece or stick). unit: of a volume, how it is filled (packed).
    text: as written.
    """

    text: str
    kind: Literal["mass", "volume", "count"]
    grams: float | None = None
    millilitres: float | None = None
    count: float | None = None
    unit: str = ""


@cache
def _units(country: str) -> dict[str, tuple[str, float]]:
    """Every word for a unit -> (mass or volume, grams or millilitres of one), kept in the user's cache
    folder under a name made of the unit files' content; pint reads those only when they are new.
    """
    local = paths.reference("units", f"{country}.txt")
    if not local.is_file():
        known = sorted(p.stem for p in paths.reference("units").glob("??.txt"))
        raise UnitError(f"no kitchen measures for country {country!r}: use one of {', '.join(known)}")
    common = paths.reference("units", "common.txt")
    kept = paths.made_once(f"units-{country}", (common, local), lambda: _read_units(str(common), str(local)))
    return {word: (kind, factor) for word, (kind, factor) in kept.items()}


#: What follows a number that is not over yet, or is none: 1.5.2, 1:30, 1_000, 1 000, 2-3, 0x10.
_NO_WORD = re.compile(r"[\d.,:_/+*=~^–−-]|[A-Za-z]\d")


def _read_units(*files: str) -> dict[str, tuple[str, float]]:
    import pint

    registry = pint.UnitRegistry(files[0], autoconvert_to_preferred=False)
    for file in files[1:]:
        registry.load_definitions(file)
    units = {}
    for word in [w + ending for w in registry for ending in ("", "s")]:
        if word in registry:
            one = registry.Quantity(1, word).to_base_units()
            units[word] = ("mass" if one.is_compatible_with("gram") else "volume", float(one.magnitude))
    return units


def _unit(word: str, country: str) -> tuple[str, float] | None:
    """The unit for a word, or None. Case does not matter except that it is first tried as written."""
    units = _units(country)
    return units.get(word) or units.get(word.lower())


def check_thousands(text: str, country: str) -> None:
    """Raises UnitError, with both readings, where a point may part thousands as well as decimals: ``1.000
    g``. Larger units are weighed to three decimals every day, and nobody weighs thousands of them. Where
    decimals are written with a point only an ending that nobody would type is asked about: ``1.000`` or
    ``1.250``, never ``55.179``.

    >>> check_thousands("1.250 kg", "us")
    """
    found = _THOUSANDS.match(text)
    if not found or float(found[1]) < 1 or (country not in _COMMA and not found[1].endswith("0")):
        return
    unit = _unit(found[2], country) if found[2] else None
    if unit is None or unit[1] <= _SMALL:
        number, rest = found[1], text[found.end(1) :]
        raise UnitError(
            f"{text.strip()!r} can be read in two ways: write '{float(number):g}{rest}' or"
            f" '{number.replace('.', '')}{rest}'"
        )


def plain_numbers(text: str, country: str) -> str:
    """A text whose numbers have a decimal point and no mark of thousands, by the usage of a country.

    >>> plain_numbers("3,5 g", "eu"), plain_numbers("1,200 mg", "us")
    ('3.5 g', '1200 mg')

    Raises UnitError, with both readings, where a comma may be either. A comma that cannot be a mark of
    thousands stays where decimals are written with a point.
    """
    comma = country in _COMMA

    def plain(found: re.Match) -> str:
        whole, part = found.groups()
        thousands = len(part) == 3 and len(whole) <= 3 and whole[0] != "0"
        word = re.match(r"\s*([^\W\d_]*)", text[found.end() :])[1]
        small = not word or (unit := _unit(word, country)) is None or unit[1] <= _SMALL
        if thousands and small and (country in _EITHER or (comma and part[-1] == "0")):
            raise UnitError(
                f"{text.strip()!r} can be read in two ways: write '{float(f'{whole}.{part}'):g}"
                f"{text[found.end() :]}' or '{whole}{part}{text[found.end() :]}'"
            )
        if comma or (country in _EITHER and not thousands):
            return f"{whole}.{part}"
        return whole + part if thousands else found[0]

    return _WITH_COMMA.sub(plain, text)


def read_number(text: str) -> tuple[float, str]:
    """A leading number and the rest of the text: ``1 1/2``, ``½``, ``2.5``, ``3/4``.

    >>> read_number("1½ cup")
    (1.5, 'cup')

    Raises UnitError if there is none, or it is negative, not finite, or absurdly large.
    """
    plain = text
    for mark, fraction in _FRACTIONS.items():
        plain = plain.replace(mark, f" {fraction}")
    match = _NUMBER.match(plain)
    if not match:
        raise UnitError(
            f"{text.strip()!r} does not start with a number: write for example '250 g' or '2 large'"
        )
    part = match.groupdict()
    if part["rest"][:1] == "," and part["rest"][1:2].isdigit():
        raise UnitError(
            f"{text.strip()!r}: write decimals with a point and no thousands mark, for example '1.5 kg'"
        )
    if part["rest"][:1].isdigit() or part["rest"][:1] in (".", "/"):
        raise UnitError(f"{text.strip()!r}: the number cannot be read; write for example '250 g'")
    if int(part["d"] or part["den"] or 1) == 0:
        raise UnitError(f"{text.strip()!r}: a fraction cannot be divided by zero")
    if part["whole"]:
        number = int(part["whole"]) + int(part["n"]) / int(part["d"])
    elif part["num"]:
        number = int(part["num"]) / int(part["den"])
    else:
        number = float(part["dec"])
    if part["sign"] in ("-", "−") and number != 0:
        raise UnitError(f"{text.strip()!r} is negative: an amount cannot be below zero")
    if not math.isfinite(number) or number > LARGEST:
        raise UnitError(
            f"{text.strip()!r} is larger than anything a kitchen weighs ({LARGEST:,.0f}): check the number"
        )
    return number, part["rest"].strip()


def read_quantity(text: str, country: str = "us") -> tuple[Quantity, str]:
    """The amount at the start of ``text`` and what follows it.

    >>> read_quantity("1 1/2 cup oat-flour")[1]
    'oat-flour'
    >>> read_quantity("8 oz")[0].grams
    226.796185

    A word that is no unit of mass or volume is left in the rest, and the kind is count.
    Raises UnitError with what to type.
    """
    if not isinstance(text, str):
        raise UnitError(f"{text!r} is not an amount: write a number and a unit, for example '250 g'")
    number, rest = read_number(plain_numbers(text, country))
    if _NO_WORD.match(rest):
        raise UnitError(
            f"{text.strip()!r}: the number cannot be read; write one plain number, for example '250 g'"
        )
    words = rest.split()
    for size in (2, 1):
        if len(words) < size:
            continue
        unit = _unit("_".join(w.rstrip(".") for w in words[:size]), country)
        if unit is None:
            continue
        after = words[size:]
        if after[:1] == ["of"]:
            after = after[1:]
        kind, factor = unit
        value = number * factor
        if value > LARGEST:
            raise UnitError(f"{text.strip()!r} is larger than anything a kitchen weighs: check the unit")
        if kind == "mass":
            return Quantity(text.strip(), "mass", grams=value), " ".join(after)
        return Quantity(text.strip(), "volume", millilitres=value), " ".join(after)
    if words and re.fullmatch(r"%|percent", words[0]):
        raise UnitError(f"{text.strip()!r}: a percentage is no amount here; write grams")
    return Quantity(text.strip(), "count", count=number), rest


def read_mass(text: str, country: str = "us") -> float:
    """Grams of an amount that must be a mass and nothing else.

    >>> read_mass("0.9 kg")
    900.0
    """
    return _only(
        text, country, "mass", "is not a weight: write it in g, kg, oz or lb, for example '905 g'"
    ).grams


def read_volume(text: str, country: str = "us") -> float:
    """Millilitres of an amount that must be a volume and nothing else.

    >>> read_volume("0.5 L")
    500.0
    """
    return _only(
        text, country, "volume", "is not a volume: write it in mL or L, for example '250 mL'"
    ).millilitres


def _only(text: str, country: str, kind: str, otherwise: str) -> Quantity:
    """An amount of one kind with nothing behind it. Raises UnitError that says ``otherwise`` of the text."""
    quantity, rest = read_quantity(str(text), country)
    if quantity.kind != kind or rest:
        raise UnitError(f"{text!r} {otherwise}")
    return quantity


def read_percent(text: str) -> tuple[float, float]:
    """A percentage or a range of them as fractions (low, high): ``11 %`` or ``10-13 %``.

    >>> read_percent("10-13 %")
    (0.1, 0.13)
    """
    plain = re.sub(r"(?<=\d),(?=\d{1,2}(?!\d))", ".", str(text))
    match = re.fullmatch(r"\s*(\d+(?:\.\d+)?)\s*(?:[-–]\s*(\d+(?:\.\d+)?))?\s*%\s*", plain)
    if not match:
        raise UnitError(f"{text!r} is not a percentage: write for example '11 %' or '10-13 %'")
    low = float(match[1]) / 100
    high = float(match[2]) / 100 if match[2] else low
    if not 0 <= low <= high <= 1:
        raise UnitError(f"{text!r}: a percentage lies between 0 % and 100 %, the smaller figure first")
    return low, high
