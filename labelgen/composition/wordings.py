"""The wordings of one ingredient held against each other: its languages, and the key its maker calls it by.

An allergen that any of them names counts (``allergens.allergens_of``); what one names and another does not is
told, because one of them is wrong.
"""

from __future__ import annotations

from collections.abc import Iterable

from labelgen.composition.ingredient_allergens import (
    Saying,
    asked_of_key,
    is_listed,
    names,
    printed_name,
    read_saying,
    told_once,
)
from labelgen.composition.ingredient_records import AllergenHit
from labelgen.composition.text.lexicon import spoken, survey
from labelgen.composition.text.tongues import languages
from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.recipe.models import IngredientSpec

_FIELDS = {"print_name": ("name", "print"), "statement": ("statement", "statement")}


def wording_gaps(spec: IngredientSpec) -> list[Finding]:
    """What the wordings of one language name and those of another do not, each way. A danger, but for what
    a declaration names, what some market exempts and what is only warned of.
    """
    found = []
    first = [
        Saying(kind, getattr(spec, field)) for field, (kind, _) in _FIELDS.items() if getattr(spec, field)
    ]
    known = "en" if "en" in spec.also else next(iter(spec.also), "")
    for language, also in spec.also.items():
        fields = [f for f in _FIELDS if also.get(f) and getattr(spec, f) not in ("", also[f])]
        if not fields or language not in languages():
            continue
        there = [Saying(_FIELDS[f][0], also[f], language) for f in _FIELDS if also.get(f)]
        here = [Saying(_FIELDS[f][0], getattr(spec, f)) for f in fields]
        wording = " or ".join(f"'{_FIELDS[f][1]}:'" for f in fields)
        for said, others, one, other in ((there, first, language, known), (here, there, known, language)):
            for hit, severity in unmatched(said, others):
                settled = hit.derived or names(spec.contains or (), hit.allergen)
                key = (
                    "languages-differ.warned"
                    if hit.how == "declaration" and severity == "warn"
                    else "languages-differ"
                )
                told = {
                    "ingredient": spec.name,
                    "wording": wording,
                    "allergen": spoken(hit.allergen),
                    "one": one,
                    "other": other,
                    "words": hit.words,
                }
                path = spec.path(_FIELDS[fields[0]][1])
                found.append(
                    find(key, spec.where, path=path, severity="warn" if settled else severity, **told)
                )
    return list(dict.fromkeys(found))


def unmatched(said: Iterable[Saying], others: Iterable[Saying]) -> list[tuple[AllergenHit, str]]:
    """(hit, severity) for each allergen that texts name for sure and other texts do not even hint at:
    "danger" for what is named, "warn" for what is only warned of.
    """
    hinted = {h.allergen for o in others for h in _every_hit(o)}
    named, warned = {}, {}
    for text in said:
        seen = survey(text.text, kind=text.kind, language=text.language or None)
        for hit in (*seen.listed, *seen.declared):
            if hit not in seen.usual:
                named.setdefault(hit.allergen, hit)
        for hit in seen.precaution:
            warned.setdefault(hit.allergen, hit)
    pairs = [(named, "danger"), ({c: h for c, h in warned.items() if c not in named}, "warn")]
    return [
        (hits[c], severity)
        for hits, severity in pairs
        for c in told_once(hits)
        if is_listed(c) and not names(hinted, c)
    ]


def _every_hit(said: Saying) -> Iterable[AllergenHit]:
    found = read_saying(said)
    return (*found.contains, *found.may_contain)


def key_gaps(spec: IngredientSpec, food_name: str, holds: Iterable[AllergenHit]) -> list[Finding]:
    """What the key of an ingredient sounds like, though its printed name, its list and its declaration
    name nothing of it: a question and never more, because a key is nobody's declaration.
    """
    if spec.contains is None:
        return []  # without a declaration it is asked about on the label
    held, printed = {h.allergen for h in holds}, printed_name(spec.name, spec.print_name, spec.statement)
    codes = told_once(
        h.allergen
        for h in asked_of_key(spec.name, printed, food_name, spec.statement, held)
        if is_listed(h.allergen)
    )
    if not codes:
        return []
    said = " and ".join(spoken(c) for c in codes)
    return [
        find("key-sounds-like", spec.where, path=spec.path("contains"), ingredient=spec.name, allergens=said)
    ]
