"""The conservation of warnings: what resolve knows of allergens is said by every output, or exempt by a cited
rule.

What is known is gathered from the ingredients that went in, by the recipes themselves, and from the maker's
own words: nothing here looks at the declaration that an output is made from. An output is asked by the words
its reader reads, or by codes.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Iterator, Mapping
from dataclasses import dataclass, replace

from labelgen.composition.ingredient_allergens import allergen_words
from labelgen.composition.ingredient_records import AllergenHit, ResolvedIngredient
from labelgen.errors import Finding, Where
from labelgen.findings import find
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.law.claim_tables import ClaimTerm
from labelgen.law.label_tables import AllergenWording
from labelgen.law.pack import Pack
from labelgen.market.allergens.called import language_of, plain_name, warned_name
from labelgen.market.allergens.cross_contact import STATED, covers, tells
from labelgen.market.allergens.declaration import exemption_of, rule_of, word_pattern
from labelgen.market.allergens.thresholds import without_small_amounts
from labelgen.market.papers import say
from labelgen.recipe.models import Kitchen, Product

HELD, MAY, OPEN = "contains", "may contain", "not known"


@dataclass(frozen=True)
class Member:
    """One thing known of a product. code: the allergen, "" where an ingredient's whole make-up is untold.
    state: one of the above. hit: what it rests on. voluntary: a question that a label may leave open: of
    the kitchen, or where the supplier has declared what its packet holds.
    """

    code: str
    state: str
    hit: AllergenHit
    voluntary: bool = False

    @property
    def shown(self) -> str:
        return f"{self.state}: {self.code or f'the make-up of {self.hit.ingredient}'} ({self.hit.because})"


@dataclass(frozen=True)
class Known:
    """members: what an output must say. exempt: what it need not, each with the rule that says so (key and
    locator).
    """

    members: tuple[Member, ...]
    exempt: tuple[tuple[Member, str], ...]

    def without_questions(self) -> Known:
        return replace(self, members=tuple(m for m in self.members if m.state != OPEN))


def known_of(
    pack: Pack,
    kitchen: Kitchen,
    resolved: Mapping[str, ResolvedIngredient],
    product: Product,
    profile: NutrientProfile,
) -> Known:
    """All that is known of a product's allergens, and what the market lets go unsaid. profile: only for
    amounts below which a market does not count.
    """
    everything = tuple(_gathered(kitchen, resolved, product))
    small = _small(pack, product, profile)
    ruled = [(member, _rule_against(pack, member, product, small)) for member in everything]
    unlisted = {m.code: rule for m, rule in ruled if rule and m.state == HELD}
    # what a food holds and its market does not list is no question of the kitchen either
    ruled = [
        (
            m,
            rule
            or next(
                (r for code, r in unlisted.items() if m.hit.how == "handled" and tells({code}, m.code)), ""
            ),
        )
        for m, rule in ruled
    ]
    left = [member for member, rule in ruled if not rule]
    members = [member for member in left if not _told_already(member, left)]
    return Known(
        tuple(dict.fromkeys(members)),
        tuple(dict.fromkeys((member, rule) for member, rule in ruled if rule)),
    )


def _gathered(
    kitchen: Kitchen, resolved: Mapping[str, ResolvedIngredient], product: Product
) -> Iterator[Member]:
    for name in _went_in(kitchen, product.of, set()):
        food = resolved[name]
        for hit in food.contains:
            yield Member(hit.allergen, HELD, replace(hit, ingredient=name))
        answered = name in kitchen.ingredients and kitchen.ingredients[name].contains is not None
        for hit in food.may_contain:
            yield Member(
                hit.allergen,
                MAY if hit.how in STATED else OPEN,
                replace(hit, ingredient=name),
                voluntary=answered and hit.how not in STATED,
            )
        if not food.disclosed:
            yield Member("", OPEN, AllergenHit("", "nobody tells what is in it", name))
    for code in product.may_contain:
        yield Member(code, MAY, AllergenHit(code, "the maker warns of it", how="kitchen"))
    for code in kitchen.handles:
        yield Member(
            code, OPEN, AllergenHit(code, "handled in the same kitchen", how="handled"), voluntary=True
        )


def _went_in(kitchen: Kitchen, formulation: str, seen: set[str]) -> Iterator[str]:
    """Every ingredient of a formulation and of those in it, frying fat too, as the recipes are written."""
    if formulation in seen or formulation not in kitchen.formulations:
        return
    seen.add(formulation)
    form = kitchen.formulations[formulation]
    for line in form.lines:
        if line.use in kitchen.formulations:
            yield from _went_in(kitchen, line.use, seen)
        else:
            yield line.use
    if form.cook and form.cook.fat > 0 and form.cook.fat_from:
        yield form.cook.fat_from


def _rule_against(pack: Pack, member: Member, product: Product, small: Mapping[str, str]) -> str:
    """The rule by which a member may go unsaid in this market, or ""."""
    if not member.code:
        return ""
    if entry := exemption_of(pack, member.hit):
        return entry.source
    entry, _ = rule_of(pack, member.code)
    beside = pack.find(AllergenWording, "beside")
    if entry is None and member.state == HELD and not (beside and member.code in beside.codes):
        listed = pack.find(AllergenWording, "listed")
        return listed.source if listed else "the market's list of allergens"
    if member.state == HELD and member.code in small:
        return small[member.code]
    decided = covers(product.cross_contact, member.code) and member.hit.how in ("declaration", "handled")
    view = pack.find(ClaimTerm, "precaution") if pack.has(ClaimTerm) else None
    return (view.source if view else "the maker's decision") if decided else ""


def _told_already(member: Member, everything: Collection[Member]) -> bool:
    """Whether another member says it: a kind of the same ingredient its group, what is held or warned of
    the question for it.
    """
    if member.state == HELD:
        return any(
            m.state == HELD
            and m.hit.ingredient == member.hit.ingredient
            and m.code.startswith(f"{member.code}/")
            for m in everything
        )
    held = {m.code for m in everything if m.state == HELD}
    if member.code in held:
        return True
    warned = {m.code for m in everything if m.state == MAY}
    return member.state == OPEN and (
        member.code in warned
        or (member.hit.how == "handled" and (tells(held, member.code) or covers(warned, member.code)))
    )


def _small(pack: Pack, product: Product, profile: NutrientProfile) -> dict[str, str]:
    """Codes that stay below the amount from which the market counts them -> its rule."""
    left, notes = without_small_amounts(pack, product, profile)
    before, after = ({h.allergen for i in p.ingoing for h in i.ingredient.contains} for p in (profile, left))
    return {code: notes[0].citation for code in before - after}  # noqa: C420


def lost(known: Known, says: Callable[[Member], bool], output: str, where: Where) -> tuple[Finding, ...]:
    """A finding that stops an output for every member it does not say."""
    return tuple(
        find("warning-lost", where, output=output, known=m.shown, allergen=m.code)
        for m in known.members
        if not says(m)
    )


def in_codes(
    contains: Collection[str], may: Collection[str], unknown: Collection[str], untold: Collection[str]
) -> Callable[[Member], bool]:
    """What an output of codes says. untold: keys of ingredients whose make-up it calls untold."""

    def says(member: Member) -> bool:
        if not member.code:
            return member.hit.ingredient in untold
        at_least = {HELD: (contains,), MAY: (contains, may), OPEN: (contains, may, unknown)}[member.state]
        return any(member.code in codes for codes in at_least)

    return says


def in_words(
    pack: Pack, text: str, called: Mapping[str, str], precaution: str = "", whole: bool = False
) -> Callable[[Member], bool]:
    """What a text says to a reader of the pack's language. called: an ingredient's key -> its printed
    name. precaution: a warning in the maker's own words. whole: a table, whose cells no heading tells
    apart.
    """
    parts = dict.fromkeys((HELD, MAY, OPEN), text) if whole else _parts(pack, text, precaution)

    def says(member: Member) -> bool:
        if not member.code:
            return called.get(member.hit.ingredient, member.hit.ingredient) in parts[OPEN]
        at_least = {HELD: (HELD,), MAY: (HELD, MAY), OPEN: (HELD, MAY, OPEN)}[member.state]
        return any(_names(pack, member, parts[state], state) for state in at_least)

    return says


def _parts(pack: Pack, text: str, precaution: str) -> dict[str, str]:
    """The text cut into what it says is contained, what may be, and what is not known."""
    parts = {MAY: precaution, OPEN: ""}
    rest = text.replace(precaution, " ") if precaution else text
    for state, headings in (
        (OPEN, [say("not_known", language_of(pack))]),
        (MAY, [pack.text(AllergenWording, "may_contain"), say("may_contain", language_of(pack))]),
    ):
        for heading in headings:
            found = re.compile(rf"{re.escape(heading.strip())}[^.]*", re.I)
            parts[state] += " ".join(found.findall(rest))
            rest = found.sub(" ", rest)
    return parts | {HELD: rest}


def _names(pack: Pack, member: Member, text: str, state: str) -> bool:
    """Whether a text names a member: what is held by the market's words for it, a warning or question by
    its group as well.
    """
    entry, by_kind = rule_of(pack, member.code)
    group = member.code.partition("/")[0]
    words = [
        plain_name(member.code, language_of(pack)),
        by_kind,
        allergen_words(member.code) if language_of(pack) == "en" else "",
    ]
    if entry is not None and (by_kind or "/" not in member.code):
        words += [entry.name, *(entry.words or ())]
    if member.state != HELD or state != HELD:
        words += [
            plain_name(group, language_of(pack)),
            warned_name(pack, member.code, entry, by_kind),
            warned_name(pack, group, *rule_of(pack, group)),
        ]
    beside = pack.find(AllergenWording, "beside")
    words += beside.words if beside and member.code in beside.codes else ()
    rule = pack.find(AllergenWording, "in_list")
    return any(
        re.search(word_pattern(w, bool(rule and rule.inside_words)), text, re.IGNORECASE) for w in words if w
    )


def unanswered(known: Known, owner: str, where: Where, for_sale: bool) -> tuple[Finding, ...]:
    """The mark of a label that leaves a question open: it may be printed as a trial, but it is not ready to
    sell; for sale, with a lot, it is not printed.
    """
    asked = [m for m in known.members if m.state == OPEN and not m.voluntary]
    if not asked:
        return ()
    questions = list(dict.fromkeys(f"{m.code or 'any allergen'} ({m.hit.because})" for m in asked))
    return (
        find(
            "not-ready-allergens",
            where,
            severity="block" if for_sale else "warn",
            owner=owner,
            questions=questions,
            ingredients=list(dict.fromkeys(m.hit.ingredient for m in asked)),
        ),
    )
