"""Any rule of a market by the name it is asked by: a nutrient, a percentage, a formula."""

from __future__ import annotations

from labelgen.law.figure_tables import DailyValue, Formula, Percent, Rounding, Significance
from labelgen.law.formulas import declare_formula
from labelgen.law.pack import Pack
from labelgen.law.rounding import Declared, declare_amount, declare_percent, declare_significance, in_unit


def declare_rule(pack: Pack, rule: str, amount, unit: str = "") -> Declared:
    """Any rule by its name: a nutrient, ``<vitamin>_amount``, ``pct_dv_<nutrient>``,
    ``servings_per_container``, a formula ...

    unit: of the amount; g, mg and mcg are turned into the rule's own unit, any other must be that unit. The
    amount of a formula is its components, ``protein=6.5;fat=18``.
    """
    if pack.has(Formula) and pack.find(Formula, rule):
        return declare_formula(pack, rule, amount, unit)
    significant, nutrient = significance_of(pack, rule)
    if significant:
        return declare_significance(
            pack, significant, nutrient, in_unit(amount, unit, pack.entry(DailyValue, nutrient).unit)
        )
    nutrient = percent_of(pack, rule)
    if nutrient:
        wanted = pack.entry(DailyValue, nutrient).unit
        return declare_percent(pack, nutrient, in_unit(amount, unit, wanted))
    return declare_amount(pack, rule, in_unit(amount, unit, pack.entry(Rounding, rule).unit))


def percent_of(pack: Pack, rule: str) -> str:
    """The nutrient of a percent rule such as ``pct_dv_sodium``; "" for any other rule."""
    found = (_inside_pattern(p, rule) for p in dict.fromkeys(e.pattern for e in pack.entries(Percent)))
    return next(filter(None, found), "")


def significance_of(pack: Pack, rule: str) -> tuple[str, str]:
    """(rule of ``significant``, nutrient) of a name such as ``significant_solid_calcium``; ("", "") for
    any other.
    """
    for entry in pack.entries(Significance) if pack.has(Significance) else ():
        if nutrient := _inside_pattern(entry.pattern, rule):
            return entry.key, nutrient
    return "", ""


def _inside_pattern(pattern: str, rule: str) -> str:
    before, _, after = pattern.partition("*")
    fits = rule.startswith(before) and rule.endswith(after) and len(rule) > len(before) + len(after)
    return rule[len(before) : len(rule) - len(after)] if fits else ""
