"""Texts typed in both languages of a kitchen with a slash between them: "butter / beurre"."""

from __future__ import annotations

import re
from collections.abc import Sequence

from labelgen.composition.text.folded_words import fold
from labelgen.composition.text.lexicon import find_allergens
from labelgen.composition.text.tongues import languages_that_know
from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.law.registry import market_named
from labelgen.recipe.models import Kitchen, Worded

BETWEEN = " / "
#: The fields of entries that are worded in languages.
_FIELDS = ("print_name", "statement", "name", "unit", "identity", "storage", "origin", "precaution")


def halves(text: str, languages: Sequence[str]) -> tuple[str, str, bool] | None:
    """What a text says in each of two languages, and whether its words leave no doubt of it; None where it
    has no two halves. The first half is in the first language unless the words say otherwise.

    >>> halves("butter / beurre", ("en", "fr")), halves("beurre / butter", ("en", "fr"))
    (('butter', 'beurre', True), ('butter', 'beurre', True))
    >>> halves("salt / pepper", ("en", "fr")), halves("salt", ("en", "fr"))
    (('salt', 'pepper', False), None)
    """
    parts = text.split(BETWEEN)
    if len(parts) != 2 or len(languages) != 2:
        return None
    one, other = parts
    first, second = languages
    straight = _share(one, first) + _share(other, second)
    crossed = _share(other, first) + _share(one, second)
    if crossed > straight:
        one, other = other, one
    # two foods, each a word of both languages or with allergens of its own, are no two wordings of one
    alone = _share(other, first) < 1 and _share(one, second) < 1 and _allergens(one) == _allergens(other)
    return one, other, crossed != straight and alone


def _share(text: str, language: str) -> float:
    """How many of the words of a text a language knows, 0 to 1."""
    words = re.findall(r"[^\W\d_]+", text)
    return sum(language in languages_that_know(fold(w)) for w in words) / (len(words) or 1)


def _allergens(text: str) -> set[str]:
    found = find_allergens(text)
    return {hit.allergen for hit in (*found.contains, *found.may_contain)}


def in_both_languages(kitchen: Kitchen) -> tuple[Kitchen, tuple[Finding, ...]]:
    """A kitchen whose labels are in two languages, with its texts parted at their slash where the words of
    both halves leave no doubt, each told of; any other as it is.
    """
    languages = kitchen.languages or tuple(
        dict.fromkeys(
            code for m in map(market_named, kitchen.markets) for code in (m.language[:2], *m.also_in)
        )
    )
    if len(languages) != 2:
        return kitchen, ()
    told: list[Finding] = []
    changed = {
        section: {key: _entry(model, languages, told) for key, model in getattr(kitchen, section).items()}
        for section in ("ingredients", "formulations", "products", "boxes")
    }
    return (kitchen.model_copy(update=changed), tuple(told)) if told else (kitchen, ())


def _entry(model: Worded, languages: Sequence[str], told: list[Finding]) -> Worded:
    first, second = languages
    update, also = {}, {code: dict(said) for code, said in model.also.items()}
    for field in _FIELDS:
        text = getattr(model, field, "")
        found = halves(text, languages) if text and field not in also.get(second, {}) else None
        if found is None or not found[2]:
            continue
        update[field] = found[0]
        for code, said in zip((first, second), found[:2]):
            also.setdefault(code, {})[field] = said
        path = model.path("print" if field == "print_name" else field)
        spoken = {"one": found[0], "first": first, "other": found[1], "second": second}
        told.append(find("wording-parted", model.where, path=path, text=text, **spoken))
    return model.model_copy(update={**update, "also": also}) if update else model
