"""The one place of legal rounding: exact decimals, from a market's ``rounding`` and ``percent`` tables.

A rule's bands are tried in order; an amount outside all of them is an error, never a guess.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_HALF_EVEN, ROUND_HALF_UP, Context, Decimal, InvalidOperation, Overflow

from labelgen.errors import RuleError
from labelgen.law.entry import Band
from labelgen.law.figure_tables import (
    Banded,
    DailyValue,
    Nutrient,
    PanelText,
    Percent,
    Rounding,
    Significance,
)
from labelgen.law.pack import Pack
from labelgen.wordlists import any_of

_TIES = {"half_up": ROUND_HALF_UP, "half_even": ROUND_HALF_EVEN}
#: Significant digits kept before a boundary is judged: all that anybody types, too few for binary dust.
_CLEAN = Context(prec=12, rounding=ROUND_HALF_UP)
#: The largest amount that is rounded [any unit]: far above any pack, far below what 12 digits can hold.
_LARGEST = Decimal(10) ** 9
_UNITS = {"µg": "mcg", "μg": "mcg", "ug": "mcg", "cal": "kcal", "calories": "kcal", "ml": "mL"}
_GRAMS = {"g": Decimal(1), "mg": Decimal("0.001"), "mcg": Decimal("0.000001")}
_LESS = re.compile(rf"^{any_of('figure.declared_below')}\s*", re.IGNORECASE)
_FIGURE = re.compile(r"(?P<number>\d+(?:\.\d+)?)\s*(?P<unit>[A-Za-zµμ%]*)")


@dataclass(frozen=True)
class Declared:
    """text: as printed ("12g", "less than 1g"). value: the printed figure, None when it is only words.
    source: citation key and locator of the rule."""

    text: str
    value: Decimal | None
    source: str


def clean(amount) -> Decimal:
    """An amount as a decimal without binary dust.

    >>> clean(0.1 + 0.2)
    Decimal('0.3')

    Raises RuleError for what is no finite amount of zero or more.
    """
    try:
        number = _CLEAN.create_decimal(
            repr(float(amount)) if isinstance(amount, float) else str(amount).strip()
        )
    except (InvalidOperation, Overflow):
        number = Decimal("NaN")
    if not number.is_finite() or number < 0 or number > _LARGEST:
        raise RuleError(
            f"{str(amount)[:40]!r} is not an amount: give a plain figure of 0 or more, for example 12.5"
        )
    return number.normalize() if number else Decimal(0)


def plain(value: Decimal) -> str:
    """A decimal without trailing zeros or exponent.

    >>> plain(Decimal("10.0")), plain(Decimal("2.50"))
    ('10', '2.5')
    """
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def _step(band: Band, amount: Decimal) -> Decimal:
    """The step of a band at an amount: fixed, or the last of so many significant figures, whichever is
    coarser.
    """
    steps = [] if band.step is None else [band.step]
    if band.figures is not None and amount:
        steps.append(Decimal(1).scaleb(amount.adjusted() - int(band.figures) + 1))
    return max(steps, default=Decimal(1))


def _nearest(amount: Decimal, step: Decimal, ties: str) -> Decimal:
    return (amount / step).quantize(Decimal(1), _TIES[ties]) * step


def _round(entry: Banded, amount: Decimal) -> Declared:
    band = next((b for b in entry.bands if b.holds(amount)), None)
    if band is None:
        raise RuleError(
            f"{entry.table} rule {entry.key!r} has no band for {amount}: check the amount; {entry.source}"
            " covers less"
        )
    after = entry.after if band.after is None else band.after
    if band.text is not None:
        return Declared(band.text, None, entry.source)
    if band.to is not None:
        value, text = band.to, plain(band.to)
    else:
        step = _step(band, amount)
        value = _nearest(amount, step, entry.ties)
        text = f"{value.quantize(step):f}" if entry.zeros == "keep" and step < 1 else plain(value)
    prefix = entry.rounded_prefix if value != amount else ""
    return Declared(f"{entry.before}{prefix}{text}{after}", value, entry.source)


def declare_amount(pack: Pack, rule: str, amount) -> Declared:
    """The declared text of an unrounded amount, in the rule's own unit, per serving (or per 100 g where the
    market says so).

    Raises RuleError when the market has no such rule on the pack's date, or no band for the amount.
    """
    return _round(pack.entry(Rounding, rule), clean(amount))


def declare_percent(pack: Pack, nutrient: str, amount) -> Declared:
    """The declared percent of the daily value of an unrounded amount [unit of the daily value]."""
    entry, exact = pack.entry(Percent, nutrient), clean(amount)
    declared = declare_amount(pack, nutrient, exact).value if pack.find(Rounding, nutrient) else None
    if entry.zero_when_declared_zero and declared == 0:
        return Declared(f"0{entry.after}", Decimal(0), entry.source)
    if entry.basis == "declared" and declared is not None:
        exact = declared
    return _round(entry, _CLEAN.create_decimal(100 * exact / pack.entry(DailyValue, nutrient).amount))


def declare_significance(pack: Pack, rule: str, nutrient: str, amount) -> Declared:
    """``yes`` or ``no``: whether an amount [unit of the daily value] is a significant one by a rule of
    ``significant``.
    """
    entry = pack.entry(Significance, rule)
    measured = [e.key for e in pack.entries(Percent) if e.pattern == entry.percent]
    if nutrient not in measured:
        raise RuleError(
            f"{pack.market}: {entry.source} asks for a significant amount only of {', '.join(measured)}:"
            f" {nutrient!r} is none of them"
        )
    return _round(entry, _CLEAN.create_decimal(100 * clean(amount) / pack.entry(DailyValue, nutrient).amount))


def in_unit(amount, unit: str, wanted: str) -> Decimal:
    """An amount in the unit wanted: g, mg and mcg are converted, any other unit must be the one wanted or
    "". Raises RuleError.
    """
    exact = clean(amount)
    word = (unit.split() or [""])[0]
    given = _UNITS.get(word.lower(), word)
    target = _UNITS.get(wanted.split()[0].lower(), wanted.split()[0])
    if not given or given.lower() == target.lower():
        return exact
    if given.lower() in _GRAMS and target in _GRAMS:
        return clean(exact * _GRAMS[given.lower()] / _GRAMS[target])
    raise RuleError(f"{unit!r} is not a unit of this rule: give the amount in {wanted}")


def row_unit(pack: Pack, entry: Nutrient) -> str:
    """The unit in which a row of a panel (an entry of ``nutrients``) is declared: that of its rounding
    rule.
    """
    return pack.entry(Rounding, entry.rule).unit


def interval(pack: Pack, rule: str, printed: str, alternatives: bool = True) -> tuple[Decimal, Decimal]:
    """The least and the largest amount that may lie behind a printed figure, in the rule's unit.

    >>> from datetime import date; from labelgen.law.pack import read_pack
    >>> us = read_pack("us", date(2026, 12, 1))
    >>> interval(us, "total_fat", "7 g")
    (Decimal('6.5'), Decimal('7.5'))
    >>> interval(us, "dietary_fiber", "<1 g")
    (Decimal('0'), Decimal('1'))

    Both ends may be the first amount that would print otherwise. alternatives: also what other lawful
    choices could hide (1 g of fibre may be 0.5 g, <1 g may be 0.3 g). Raises RuleError when the rule never
    prints the figure.
    """
    entry = pack.entry(Rounding, rule)
    less, figure = _read_printed(printed, entry)
    return _inverse(entry, less, figure, alternatives, printed)


def percent_interval(
    pack: Pack, nutrient: str, rule: str, printed: str, values: type[DailyValue] = DailyValue
) -> tuple[Decimal, Decimal]:
    """The least and the largest amount behind a printed percent of the daily value, in the unit of the daily
    value.

    rule: the rounding rule of the nutrient's amount, since a percent may lawfully be taken of the rounded
    amount too. values: the table of daily values it was taken of.
    """
    entry = pack.entry(Percent, nutrient)
    less = bool(_LESS.match(str(printed).strip()))
    figure = clean(_LESS.sub("", str(printed).strip()).rstrip("% "))
    whole = pack.entry(values, nutrient)
    wanted = pack.entry(Rounding, rule).unit
    low, high = (
        in_unit(p * whole.amount / 100, whole.unit, wanted)
        for p in _inverse(entry, less, figure, True, printed)
    )
    low, high = (
        min(low, interval(pack, rule, declare_amount(pack, rule, low).text)[0]),
        max(high, interval(pack, rule, declare_amount(pack, rule, high).text)[1]),
    )
    return in_unit(low, wanted, whole.unit), in_unit(high, wanted, whole.unit)


def _inverse(
    entry: Banded, less: bool, figure: Decimal, alternatives: bool, printed: str
) -> tuple[Decimal, Decimal]:
    spans, floor = [], Decimal(0)
    for band in entry.bands:
        ceiling = _LARGEST if band.limit is None else band.limit
        for span in _spans(band, less, figure, entry, alternatives):
            if (low := max(floor, span[0])) <= (high := min(ceiling, span[1])):
                spans.append((low, high))
        floor = ceiling
    # a span of no width is an open end of a neighbouring band, unless the amount itself prints so
    spans = [s for s in spans if s[0] < s[1] or (not less and _round(entry, s[0]).value == figure)]
    if less and not spans:
        spans = [(Decimal(0), figure)]
    if not spans:
        raise RuleError(
            f"{printed!r} is not a figure that rule {entry.key!r} of {entry.source} prints: check the label"
            " or give a figure per 100 g"
        )
    return min(s[0] for s in spans), max(s[1] for s in spans)


def with_decimal_mark(pack: Pack, text: str) -> str:
    """A declared text with the decimal mark of the pack's language."""
    mark = pack.find(PanelText, "decimal_mark") if pack.language else None
    return re.sub(r"(?<=\d)\.(?=\d)", mark.text, text) if mark else text


def _spans(
    band: Band, less: bool, figure: Decimal, entry: Banded, alternatives: bool
) -> Iterator[tuple[Decimal, Decimal]]:
    """The amounts for which each way of declaring in a band prints the figure, before the band's own
    limits.
    """
    if less:
        texts = (band.text, band.or_text) if alternatives else (band.text,)
        if any(_read_printed(text, entry) == (True, figure) for text in texts if text is not None):
            yield Decimal(0), _LARGEST
        return
    if figure in ((band.to, band.or_to) if alternatives else (band.to,)):
        yield Decimal(0), _LARGEST
    if band.step is not None or band.figures is not None:
        yield from _around(figure, {_step(band, figure), _step(band, figure * Decimal("0.99999"))})
    if band.or_step is not None and alternatives:
        yield from _around(figure, {band.or_step})


def _around(figure: Decimal, steps: set[Decimal]) -> Iterator[tuple[Decimal, Decimal]]:
    """The amounts that round to a figure by one of these steps."""
    spans = [(figure - s / 2, figure + s / 2) for s in steps if not figure % s]
    if spans:
        yield max(Decimal(0), min(s[0] for s in spans)), max(s[1] for s in spans)


def _read_printed(printed: str, entry: Banded) -> tuple[bool, Decimal]:
    """("less than" or not, figure in the rule's unit) of a printed text."""
    text = str(printed).strip()
    rest = _LESS.sub("", text)
    rest = rest.removeprefix(entry.rounded_prefix)
    match = _FIGURE.fullmatch(rest)
    if not match:
        raise RuleError(
            f"{printed!r} is not a printed amount: write it as on the label, for example '7 g' or '<1 g'"
        )
    return rest != text and bool(_LESS.match(text)), in_unit(match["number"], match["unit"], entry.unit)
