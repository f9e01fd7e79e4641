"""Words of the maker's papers in the language of a declaration. They are data:
``reference/words/papers.toml``.
"""

from __future__ import annotations

from collections.abc import Iterable
from functools import cache

from labelgen import paths
from labelgen.composition.ingredient_allergens import told_once
from labelgen.composition.ingredient_records import AllergenHit
from labelgen.law.label_tables import AllergenWording
from labelgen.law.pack import Pack
from labelgen.market.allergens.called import in_order, plain_name
from labelgen.market.declaration_records import Declaration
from labelgen.tomlfile import read_toml


@cache
def _words() -> dict[str, dict[str, str]]:
    return read_toml(paths.reference("words", "papers.toml"))


def say(key: str, language: str, **fill: str) -> str:
    """A phrase in a language, its places filled in."""
    return _words()[key][language].format(**fill) if fill else _words()[key][language]


def say_in(key: str, languages: Iterable[str], **fill: str) -> str:
    """A phrase in several languages, each once."""
    return " / ".join(dict.fromkeys(say(key, language, **fill) for language in languages))


def languages_of(d: Declaration) -> tuple[str, ...]:
    """The languages a declaration speaks."""
    return (d.language, d.second.language) if d.second else (d.language,)


def names_of(hits: Iterable[AllergenHit], language: str) -> str:
    """Allergens in plain words, each once."""
    return ", ".join(
        dict.fromkeys(plain_name(code, language) for code in told_once(in_order(h.allergen for h in hits)))
    )


def contains_line(d: Declaration) -> str:
    """The allergens as the market's statement prints them, or in plain words where it has no statement; ""
    for none.
    """
    if d.allergens:
        return "".join(r.text for r in d.allergens)
    return f"{say('contains', d.language)}{names_of(d.contains, d.language)}." if d.contains else ""


def beside_line(d: Declaration) -> str:
    """What the market wants told in the list of ingredients although it is no allergen there, for a form
    that holds no such list.
    """
    rule = Pack(d.market, d.on).find(AllergenWording, "beside")
    hits = [h for h in d.contains if rule and h.allergen in rule.codes]
    return f"{say('contains', d.language)}{names_of(hits, d.language)}." if hits and d.allergens else ""


def open_line(d: Declaration) -> str:
    """What nobody knows yet, as one line for whoever buys; "" where all is told."""
    told = [names_of(d.questions, d.language)] if d.questions else []
    told += [say("make_up_of", d.language, name=name) for name in d.untold]
    return f"{say('not_known', d.language)}{', '.join(told)}." if told else ""


def panel_note(d: Declaration) -> str:
    """What stands beside the panel's figures where they are told although the label goes without its
    panel, or "".
    """
    return say("without_panel", d.language) if d.without_panel else ""
