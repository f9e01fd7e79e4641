"""The quantity of ingredients that a food's name or label stresses, in percent, where the market asks for it.

Worked out from the weight as added over the finished weight when the food has lost weight in the oven, else
over all that went in. Above 100 percent, alone or together, the weight for 100 g of the finished food is
stated instead.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace
from difflib import get_close_matches

from labelgen.composition.text.folded_words import fold, key_of, keyed
from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.law.label_tables import Statement
from labelgen.law.pack import Pack
from labelgen.law.rounding import clean, declare_amount, with_decimal_mark
from labelgen.market.statement.additives import additive_of
from labelgen.market.statement.entries import Part
from labelgen.recipe.models import Product
from labelgen.wordlists import any_of, words_for

#: Words that name a form, or nothing, and no food: "almond flour" is almonds by its first word, "butter" is
# itself only alone.
_FORMS = keyed("naming.forms")

#: What a German name of a food ends with when it names a form of another one, and what makes it a plural.
_GERMAN_FORM = re.compile(rf"(?<=\w{{4}})(?:{'|'.join(map(fold, words_for('naming.form_endings')))})$")
_GERMAN_PLURAL = re.compile(f"{any_of('naming.plural_endings')}$")


def with_quantities(
    pack: Pack, parts: Sequence[Part], profile: NutrientProfile, product: Product
) -> tuple[tuple[Part, ...], tuple[Finding, ...]]:
    """The entries with the quantity of those the law wants one for, and what the maker should know about
    it.
    """
    rule, found = pack.find(Statement, "quantity"), _unknown(parts, product)
    # what a food is made of alone, it is all of
    if rule is None or len(parts) <= 1:
        return tuple(parts), tuple(found)
    asked = {p.name for p in parts for word in product.quantify if _called(p, word)}
    unasked = set(rule.values)
    named = {
        p.name
        for p in _named(parts, f"{product.name} {product.identity}", pack.language == "de")
        if not ((known := additive_of(p.name)) and known.function in unasked)
    }
    lightly = {p.name for p in parts for word in product.flavours_only if _called(p, word)}
    wanted = (named | asked) - lightly
    base = min(profile.pack.grams, profile.ingoing_g)
    shares = {p.name: 100 * p.grams / base for p in parts if p.name in wanted and p.grams}
    # grams for 100 g where any one, or all together, would pass the whole
    over = sum(shares.values()) > 100
    texts = {
        name: with_decimal_mark(pack, _text(pack, rule.rule, share, over)) for name, share in shares.items()
    }
    if texts:
        told = "; ".join(f"{name} {text}" for name, text in texts.items())
        wording = "quantity-declared" if base < profile.ingoing_g else "quantity-declared.of-ingredients"
        found.append(
            find(
                wording,
                product.where,
                path=product.path("quantify"),
                cites=rule.source,
                product=product.key,
                quantities=told,
            )
        )
    return tuple(
        replace(p, quantity=rule.text.replace("{percent}", texts[p.name])) if p.name in texts else p
        for p in parts
    ), tuple(found)


def _text(pack: Pack, rule: str, share: float, over: bool) -> str:
    # a share that only together with others passes the whole is worded as one above it
    if over and share <= 100:
        hundred = declare_amount(pack, f"{rule}_over", clean(share))
        return hundred.text
    return declare_amount(pack, rule, clean(share)).text


def _unknown(parts: Sequence[Part], product: Product) -> list[Finding]:
    """What the maker stresses, or calls a flavour, and no entry of the statement is called, in any market:
    it would be left out without a word.
    """
    known = list(dict.fromkeys(n for p in parts for n in (p.name, *p.ingredients)))
    found = []
    for field, wording in (("quantify", "quantify-unknown"), ("flavours_only", "flavours-unknown")):
        for word in getattr(product, field):
            if not any(_called(p, word) for p in parts):
                near = get_close_matches(word, known, n=1, cutoff=0.6) or known
                path = product.path(field)
                found.append(
                    find(wording, product.where, path=path, product=product.key, word=word, names=near)
                )
    return found


def _called(part: Part, word: str) -> bool:
    return word in part.ingredients or _keys(word) == _keys(part.name)


def _named(parts: Sequence[Part], name: str, compounds: bool = False) -> list[Part]:
    """Entries a food's name speaks of, the longest names first: in "peanut butter cookies" peanut butter, not
    butter.
    compounds: the language writes both as one word, "Haselnusskekse" of hazelnuts ("Haselnüsse").
    """
    said = _keys(name)
    found = []
    for part in sorted(parts, key=lambda p: -len(_keys(p.name))):
        words = _keys(part.name)
        at = next(
            (n for n in range(len(said) - len(words) + 1) if words and said[n : n + len(words)] == words),
            None,
        )
        if at is not None:
            found.append(part)
            said[at : at + len(words)] = [""] * len(words)
    telling = {w for w in said if len(w) > 1} - _FORMS
    found += [p for p in parts if p not in found and telling & set(_keys(p.name))]
    return found + [
        p
        for p in parts
        if compounds
        and p not in found
        and any(_opens(word, p.name) for word in re.findall(r"[^\W\d_]+", name))
    ]


def _opens(compound: str, name: str) -> bool:
    """Whether a compound word begins with a food's one-word name, plural ending or form aside:
    "Mohnkuchen" with Mohn, "Zitronenkuchen" with Zitronensaft.
    """
    if not re.fullmatch(r"[^\W\d_]{3,}", name):
        return False
    name, said = fold(name), fold(compound)
    food = _GERMAN_FORM.sub("", name)
    starts = [
        s
        for s in (food, _GERMAN_PLURAL.sub("", food))
        if re.fullmatch(r"\w{4,}", s) and key_of(s) not in _FORMS
    ]
    return any(re.fullmatch(rf"{start}(?:\w{{3,}})?", said) for start in (name, *starts))


def _keys(text: str) -> list[str]:
    return [key_of(w) for w in re.findall(r"[^\W\d_]+", fold(text))]
