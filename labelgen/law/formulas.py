"""Figures made from several others by a market's ``formulas`` table: energy from components, carbohydrate by
difference, one unit from another, one weight in percent of another.

An input reads ``protein=6.5;fat=18;carb=50``; a formula of one figure takes it plain.
"""

from __future__ import annotations

from decimal import Decimal

from labelgen.errors import CompositionError, RuleError
from labelgen.law.figure_tables import EnergyMethod, Formula
from labelgen.law.pack import Pack
from labelgen.law.rounding import Declared, clean, declare_amount, in_unit
from labelgen.nutrients import key_of


def declare_formula(pack: Pack, formula: str, given, unit: str = "") -> Declared:
    """The declared text of a formula's result. given: components in the formula's own unit, or one amount
    with its unit.

    Raises RuleError for an unknown formula, a component it does not know, or a figure that is none.
    """
    entry = pack.entry(Formula, formula)
    if entry.over or entry.times:
        result = in_unit(given, unit, entry.unit) * (entry.times or 1) / (entry.over or 1)
    else:
        parts = _read(entry, given)
        result = _share(entry, parts) if entry.share else _sum(pack, entry, parts)
    if result < 0:
        raise RuleError(
            f"the components come to {-result.normalize():f} more than the whole: correct the figures"
        )
    return declare_amount(pack, entry.rule, result)


def _read(entry: Formula, given: str) -> dict[str, Decimal]:
    """Component -> amount. A component is one of the formula's own words, a nutrient key, or a word of a
    share.
    """
    own, parts = {**entry.words, **{w: w for w in entry.share}}, {}
    for pair in filter(None, (p.strip() for p in str(given).split(";"))):
        word, equals, amount = (x.strip() for x in pair.partition("="))
        if not equals:
            raise RuleError(f"{pair!r} is no component: write for example 'protein=6.5;fat=18'")
        try:
            key = own.get(word.lower()) or key_of(word)
        except CompositionError as error:
            raise RuleError(str(error)) from None
        if key in parts:
            raise RuleError(f"{word!r} is given twice: keep one")
        parts[key] = clean(amount)
    if not parts:
        raise RuleError(f"formula {entry.key!r} needs its components, for example 'protein=6.5;fat=18'")
    return parts


def _sum(pack: Pack, entry: Formula, parts: dict[str, Decimal]) -> Decimal:
    if entry.whole is not None:
        return entry.whole - sum(parts.values())
    factors, within = pack.entry(EnergyMethod, entry.energy).factors, entry.within
    if strange := sorted(set(parts) - set(factors)):
        raise RuleError(f"{', '.join(strange)} has no energy factor in {entry.source}: leave it out")
    return sum(
        (
            factors[key] * (amount - sum(parts.get(k, 0) for k in within.get(key, ())))
            for key, amount in parts.items()
        ),
        Decimal(0),
    )


def _share(entry: Formula, parts: dict[str, Decimal]) -> Decimal:
    part, whole = entry.share
    if set(parts) != {part, whole} or not parts[whole]:
        raise RuleError(f"formula {entry.key!r} needs {part}=... and {whole}=..., the second above 0")
    return 100 * parts[part] / parts[whole]
