"""Statements a market attaches to certain foods: warnings and names that must stand on the label whenever
they apply, and ingredients it does not allow.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from math import isfinite

from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.formulation.batch_records import Amounts, NutrientProfile
from labelgen.law.label_tables import Advisory, Allowed
from labelgen.law.pack import Pack
from labelgen.law.transition import meanwhile
from labelgen.market.nutrition.panel_rows import converted
from labelgen.market.statement.additives import additive_of, names_of, without_other_classes
from labelgen.nutrients import UNITS
from labelgen.recipe.models import Product

#: Slack at a threshold [g]: binary dust only.
_DUST = 1e-9
#: In a text: the ending for one substance, and for several.
_ENDING = re.compile(r"\{(\w*)\|(\w*)\}")


@dataclass(frozen=True)
class Advised:
    """texts: the statements, each once. with_name: those that stand with the name of the food instead,
    with_list: at the end of the ingredient list. warnings: those of the texts for which the law asks
    letters of their own.
    """

    texts: tuple[str, ...] = ()
    with_name: tuple[str, ...] = ()
    with_list: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()


def declare_advisories(
    pack: Pack,
    profile: NutrientProfile,
    serving_g: float,
    statement: str,
    without_panel: bool = False,
    density: float = 0.0,
    named: str = "",
) -> Advised:
    """What applies. statement: the printed ingredient statement. without_panel: the label carries no
    nutrition panel. An unknown amount counts as none only when no ingredient states any: what is stated is
    summed. density: of a liquid [g/mL], else 0.
    named: the name of the food.
    """
    if not pack.has(Advisory):
        return Advised()
    possible = [
        e
        for e in pack.entries(Advisory)
        if (without_panel or not e.without_panel) and _is_about(e, density, named)
    ]
    applying = {e.key: e for e in possible if _applies(e, profile, serving_g, statement, density)}
    applying = {k: e for k, e in applying.items() if all(n in applying for n in e.needs)}
    replaced = {key for e in applying.values() for key in e.replaces}
    said = {
        e.key: _text(e, pack, profile, serving_g, statement, density)
        for e in applying.values()
        if e.key not in replaced
    }
    said = {k: t if applying[k].with_name else t[:1].upper() + t[1:] for k, t in said.items()}

    def placed(place: str) -> dict[str, str]:
        return {k: t for k, t in said.items() if getattr(applying[k], place)}

    named, listed = placed("with_name"), placed("with_list")
    here = {k: t for k, t in said.items() if k not in named and k not in listed}
    warned = (t for k, t in placed("warning").items() if k in here)
    return Advised(
        *(tuple(dict.fromkeys(texts)) for texts in (here.values(), named.values(), listed.values(), warned))
    )


def check_allowed(pack: Pack, product: Product, statement: str) -> tuple[Finding, ...]:
    """Ingredients the market does not allow, or allows under conditions labelgen cannot see."""
    if not pack.has(Allowed):
        return ()
    found = []
    for entry in pack.entries(Allowed):
        said = f"{product.name}; {product.identity}" if entry.in_name else statement
        if (words := _words_in(entry.words, said)) and not (entry.solid and product.density):
            waits = meanwhile(entry, pack.on)
            until = ""
            if waits:
                days = {"effective": entry.effective, "mandatory": entry.mandatory}
                until = f". {(entry.meanwhile or waits.strip()).format(**days)}"
            told = {"product": product.key, "words": words, "law": f"{entry.text}{until}"}
            severity = "warn" if waits else entry.severity
            found.append(
                find(
                    "not-allowed-*",
                    product.where,
                    rule=entry.key,
                    path=product.path(),
                    severity=severity,
                    cites=entry.source,
                    **told,
                )
            )
    return tuple(found)


def _is_about(entry: Advisory, density: float, named: str) -> bool:
    """Whether a rule is about liquids or other food as this one is, and its name does not make it
    needless.
    """
    liquid = entry.per == "100mL"
    return (
        (bool(density) or not liquid)
        and not (density and entry.solid)
        and not (entry.liquid and not density)
        and (not entry.named or bool(_words_in(entry.named, named)))
        and not _words_in(entry.unless_named, named)
    )


def _applies(
    entry: Advisory, profile: NutrientProfile, serving_g: float, statement: str, density: float
) -> bool:
    if _words_in(entry.unless, statement):
        return False
    if entry.as_class:  # what is there as something else, such as a humectant, is not counted
        seen = without_other_classes(statement, entry.as_class)
        other = [
            t for t in _tags(entry) if _words_in(names_of(t), statement) and not _words_in(names_of(t), seen)
        ]
        entry = entry.replace(
            tags=tuple(t for t in _tags(entry) if t not in other), less=(*entry.less, *other)
        )
        statement = seen
    if _words_in(entry.words, statement):
        return True
    if not _tags(entry) or entry.amount is None:
        return False
    food = _food(entry, profile, serving_g, density)
    if any(not _sum(food, group) for group in entry.each):
        return False
    held, limit = _held(entry, food, lambda tag: _widest(profile, tag)), float(entry.amount)
    if entry.under:
        return held < limit - _DUST
    return held > limit if entry.over else held >= limit - _DUST


def _text(
    entry: Advisory, pack: Pack, profile: NutrientProfile, serving_g: float, statement: str, density: float
) -> str:
    """The words of a statement, with what was found, how much of it, and the plural of several."""
    food = _food(entry, profile, serving_g, density)
    words = {_substance(w): w for w in _words_in(entry.words, statement)}
    # the plural counts what called for the rules this one builds on; a total ("polyols") is none beside its
    # kinds
    rules = (entry, *(pack.entry(Advisory, key) for key in entry.needs))
    called = (
        x
        for r in rules
        for x in (*_words_in(r.words, statement), *(t for t in _tags(r) if food.get(t)[1] > 0))
    )
    kinds = {s for x in called if additive_of(s := _substance(x))}
    amount = f"{_held(entry, food):.0f}" if "{amount}" in entry.text else ""
    found = ", ".join(_called(number, word, pack) for number, word in words.items())
    text = _ENDING.sub(r"\2" if len(kinds) > 1 else r"\1", entry.text)
    return text.replace("{found}", found).replace("{amount}", amount)


def _substance(word: str) -> str:
    """The number of an additive by any of its names; any other word as it is."""
    known = additive_of(word)
    return known.number if known else word


def _called(number: str, word: str, pack: Pack) -> str:
    """An additive by its name, or by its number where it is written so or the label speaks a further
    language.
    """
    known = additive_of(number)
    return word if known is None else number if pack.language or re.match(r"E\d", word) else known.name


def _words_in(words: Sequence[str], statement: str) -> list[str]:
    return [w for w in words if re.search(rf"(?<!\w){re.escape(w)}(?!\w)", statement, re.IGNORECASE)]


def _tags(entry: Advisory) -> tuple[str, ...]:
    return tuple(entry.tags or (t for t in (entry.tag,) if t))


def _food(entry: Advisory, profile: NutrientProfile, serving_g: float, density: float) -> Amounts:
    per = entry.per
    if per == "100mL":
        return profile.pack.per(100 * density)
    return {"pack": profile.pack, "100g": profile.per_100g}.get(per) or profile.pack.per(serving_g)


def _held(entry: Advisory, food: Amounts, times: Callable[[str], float] = lambda tag: 1.0) -> float:
    """The sum of the tags, each ``times`` a factor, less those of ``less``, in the rule's unit [g unless
    it says otherwise].
    """
    unit = entry.unit
    return sum(times(tag) * _sum(food, (tag,), unit) for tag in _tags(entry)) - _sum(food, entry.less, unit)


def _widest(profile: NutrientProfile, tag: str) -> float:
    """How many times the stated amount of a nutrient its ingredients may hold at most, those that state
    it: a range of 90-100 g, stated as 95 g, 100/95.
    """
    stated = [
        i.amounts.get(tag)
        for i in profile.ingoing
        if i.amounts.coverage(tag) >= 1 and isfinite(i.amounts.get(tag)[2])
    ]
    value = sum(s[1] for s in stated)
    return sum(s[2] for s in stated) / value if value > 0 else 1.0


def _sum(food: Amounts, tags: Sequence[str], unit: str = "g") -> float:
    amounts = ((food.get(tag)[1], UNITS[tag]) for tag in tags)
    return sum(converted(x, own, unit) for x, own in amounts if x == x)
