"""Allergens that the names a label prints speak of, in every language, though nothing in the food holds them.

A name is read like a packet: what it names and the recipe lacks is either missing from an ingredient's list
or an untrue name.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping

from labelgen.composition.ingredient_allergens import Saying, is_listed, names, told_once
from labelgen.composition.ingredient_records import AllergenHit
from labelgen.composition.text.lexicon import spoken, survey
from labelgen.composition.text.tongues import languages
from labelgen.composition.wordings import unmatched
from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.recipe.models import Kitchen, Product, Worded

#: Printed texts that are sentences, and the word for one piece.
_SENTENCES = ("storage", "origin", "precaution", "unit")


def check_names(product: Product, kitchen: Kitchen, profile: NutrientProfile) -> tuple[Finding, ...]:
    """Findings on the names of a product and of the formulations that its ingredient list names."""
    held = {h.allergen for i in profile.ingoing for h in i.ingredient.contains}
    found = [*check_name(product, product.key, {"name": "name", "identity": "identity"}, held)]
    found += check_texts(product, product.key, held)
    for key in dict.fromkeys(key for line in profile.ingoing for key in line.path[1:]):
        formulation = kitchen.formulations.get(key)
        if formulation and formulation.print_name:
            inside = {h.allergen for i in profile.ingoing if key in i.path for h in i.ingredient.contains}
            found += check_name(formulation, key, {"print_name": "print"}, inside)
    return tuple(dict.fromkeys(found))


def check_texts(model: Worded, key: str, held: Iterable[str]) -> list[Finding]:
    """Findings on the sentences of one entry in all their languages: what they say is in the food, and it
    does not hold. held: allergens of the food. A danger where they declare it ("Contains hazelnuts").
    """
    found, held = [], set(held)
    for field in _SENTENCES:
        said = (getattr(model, field, ""), *(also.get(field, "") for also in model.also.values()))
        for text in filter(None, dict.fromkeys(said)):
            seen = survey(text)
            for hits, wording in (
                (seen.declared, "text-not-held.declared"),
                (seen.listed + seen.praised, "text-not-held"),
            ):
                found += [
                    find(
                        wording,
                        model.where,
                        path=model.path(field),
                        owner=key,
                        field=field,
                        text=text,
                        allergen=code,
                        called=spoken(code),
                    )
                    for code in told_once(_not_held(hits, seen.usual, held))
                ]
    return found


def _not_held(
    hits: Iterable[AllergenHit], usual: Collection[AllergenHit], held: Collection[str]
) -> dict[str, AllergenHit]:
    """What is named and not held, by its code; neither what is only usual in a food nor what is made from
    one.
    """
    return {
        h.allergen: h
        for h in hits
        if h not in usual and not h.derived and is_listed(h.allergen) and not names(held, h.allergen)
    }


def check_name(model: Worded, key: str, fields: Mapping[str, str], held: Iterable[str]) -> list[Finding]:
    """Findings on the texts of one entry. fields: of the model -> as the maker writes them. held:
    allergens of the food. A danger where one language names what another does not; otherwise to be
    compared.
    """
    found, held = [], set(held)
    for field, typed in fields.items():
        texts = {
            "": getattr(model, field, ""),
            **{said: also.get(field, "") for said, also in model.also.items() if said in languages()},
        }
        sayings = [
            Saying("name", text, language)
            for language, text in texts.items()
            if text and (not language or text != texts[""])
        ]
        for said in sayings:
            others = [o for o in sayings if o is not said]
            alone = {h.allergen for other in others for h, _ in unmatched([said], [other])}
            seen = survey(said.text, kind="name", language=said.language or None)
            for code in told_once(_not_held(seen.listed, seen.usual, held)):
                wording = "name-not-held.other-language" if code in alone else "name-not-held"
                told = {
                    "owner": key,
                    "field": typed,
                    "text": said.text,
                    "allergen": code,
                    "called": spoken(code),
                }
                found.append(find(wording, model.where, path=model.path(typed), **told))
    return found
