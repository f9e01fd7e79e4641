"""The one place of legal rounding: exact decimals, from a market's ``rounding`` and ``percent`` tables.

A rule's bands are tried in order; an amount outside all of them is an error, never a guess.
"""

from __future__ import annotations

from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal, InvalidOperation

from labelgen.errors import RuleError
from labelgen.market.pack import Entry, Pack

_TIES = {"half_up": ROUND_HALF_UP}
#: Significant digits kept before a boundary is judged: enough for any weight, too few for binary dust.
_CLEAN = Context(prec=10, rounding=ROUND_HALF_UP)


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
        number = _CLEAN.create_decimal(repr(amount) if isinstance(amount, float) else str(amount).strip())
    except InvalidOperation:
        number = Decimal("NaN")
    if not number.is_finite() or number < 0 or number > Decimal(10) ** 9:
        raise RuleError(f"{amount!r} is not an amount: give a plain figure of 0 or more, for example 12.5")
    return number.normalize() if number else Decimal(0)


def _round(entry: Entry, amount: Decimal) -> Declared:
    for band in entry["bands"]:
        if ("below" in band and not amount < band["below"]) or ("at_most" in band and not amount <= band["at_most"]):
            continue
        after = entry.get("after", "")
        if "text" in band:
            return Declared(band["text"], None, entry.source)
        value = band["to"] if "to" in band else (amount / band["step"]).quantize(Decimal(1), _TIES[entry["ties"]]) * band["step"]
        prefix = entry.get("rounded_prefix", "") if value != amount else ""
        return Declared(f"{prefix}{plain(value)}{after}", value, entry.source)
    raise RuleError(f"{entry.table} rule {entry.key!r} has no band for {amount}: the rule's table must say what applies")


def plain(value: Decimal) -> str:
    """A decimal without trailing zeros or exponent.

    >>> plain(Decimal("10.0")), plain(Decimal("2.50"))
    ('10', '2.5')
    """
    text = f"{value:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def declare_amount(pack: Pack, rule: str, amount) -> Declared:
    """The declared text of an unrounded amount, in the rule's own unit, per serving.

    Raises RuleError when the market has no such rule on the pack's date, or no band for the amount.
    """
    return _round(pack.entry("rounding", rule), clean(amount))


def declare_percent(pack: Pack, nutrient: str, amount) -> Declared:
    """The declared percent of the daily value of an unrounded amount [unit of the daily value]."""
    entry, exact = pack.entry("percent", nutrient), clean(amount)
    if entry.get("zero_when_declared_zero") and pack.find("rounding", nutrient):
        if declare_amount(pack, nutrient, exact).value == 0:
            return Declared(f"0{entry.get('after', '')}", Decimal(0), entry.source)
    share = _CLEAN.create_decimal(100 * exact / pack.entry("daily_values", nutrient)["amount"])
    return _round(entry, share)


def declare_rule(pack: Pack, rule: str, amount) -> Declared:
    """Any rule by its name: a nutrient, ``<vitamin>_amount``, ``pct_dv_<nutrient>``, ``servings_per_container`` ..."""
    if rule.startswith("pct_dv_"):
        return declare_percent(pack, rule.removeprefix("pct_dv_"), amount)
    return declare_amount(pack, rule, amount)
