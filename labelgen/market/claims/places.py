"""The claims that a label's own texts make already: its name above all, in any language it is printed in.

Words that may be no more than the name of a food ("light rye", "wholemeal") only warn there, and so does the
maker's own name.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from labelgen.errors import Finding, Where
from labelgen.findings import find
from labelgen.market.claims.claim_words import read_claim
from labelgen.market.claims.in_text import claims_in, read_text
from labelgen.market.declaration_records import Claim
from labelgen.nutrients import NUTRIENTS
from labelgen.recipe.models import Kitchen, Product

#: Printed fields of a product, as a finding calls them.
_NAME = "name"
_FIELDS = {
    "name": _NAME,
    "identity": "identity",
    "unit": "word for one piece",
    "storage": "storage line",
    "origin": "origin line",
    "precaution": "precaution",
    "directions": "directions",
}
_FIELD_OF = {called: key for key, called in _FIELDS.items()}
#: Those of them that are sentences about something else.
_DIRECTIONS = ("storage line", "origin line", "precaution", "directions")
_CLAIM = "claim "
#: Printed fields of the maker; all but the role ("Distributed by") are names.
_MAKER = {
    "name": "maker's name",
    "address": "maker's address",
    "web": "maker's web address",
    "email": "maker's e-mail address",
    "role": "maker's role",
}
_NAMES = {n.key: n.name for n in NUTRIENTS}


@dataclass(frozen=True)
class Stated:
    """A claim in a text of the label. text: as it stands there. place: which text. naming: it may only
    name a food, or stands in a name of the maker's. language: of the text, "" for the one a maker writes
    in.
    """

    text: str
    place: str
    naming: bool
    language: str = ""

    def said_in(self, language: str) -> bool:
        """Whether a label needs no more words of it in that language ("" is its first one). Only a name
        may stay as it is; every other text is worded in each language.
        """
        return (
            self.place != _NAME
            or self.language == language
            or (bool(language) and all(a.language == language for a in read_claim(self.text)))
        )


def find_stated(product: Product, kitchen: Kitchen | None = None) -> tuple[Stated, ...]:
    """Every claim that the product's texts make, each once; with the kitchen also those in what tells of
    the maker.
    """
    found = [
        Stated(t, place, all(a.naming for a in read_claim(t)), language)
        for text, place, language in _texts(product)
        for t in claims_in(text)
    ]
    if kitchen is not None:
        found += [
            Stated(t, place, naming=key != "role")
            for key, place in _MAKER.items()
            for t in claims_in(getattr(kitchen.producer, key))
        ]
    by_meaning: dict[tuple, Stated] = {}
    for stated in found:
        by_meaning.setdefault((meaning(stated.text), stated.language), stated)
    return tuple(by_meaning.values())


def _texts(product: Product) -> list[tuple[str, str, str]]:
    """(text, what it is called, its language or "") of everything a product prints in its maker's words."""
    own = [(getattr(product, key), called, "") for key, called in _FIELDS.items()]
    return own + [
        (said[key], f"{called} ({language})", language)
        for language, said in product.also.items()
        for key, called in _FIELDS.items()
        if said.get(key, getattr(product, key)) != getattr(product, key)
    ]


def find_unclear(product: Product) -> tuple[Finding, ...]:
    """What is shaped like a claim in the product's texts and is understood by nobody: told of directions,
    refused in a name.
    """
    return tuple(
        unclear(
            product.where,
            product.path(_FIELD_OF[called]),
            f"{product.key}: the {place}",
            text,
            called not in _DIRECTIONS,
        )
        for said, place, _ in _texts(product)
        for called in (place.partition(" (")[0],)
        for text in read_text(said).unclear
    )


def unclear(where: Where, path: str, owner: str, text: str, blocks: bool = True) -> Finding:
    """That words are shaped like a claim of absence, of what labelgen does not know. owner: whose words,
    path: the field.
    """
    return find(
        "claim-unclear", where, path=path, severity="block" if blocks else "warn", owner=owner, text=text
    )


def without_stated(claims: tuple[Claim, ...], stated: tuple[Stated, ...], language: str) -> tuple[Claim, ...]:
    """The claims to print in a language: of one that its texts make already, only what the law wants
    beside it.
    """
    said = {m for s in stated if s.said_in(language) for m in meaning(s.text)}
    kept = (replace(c, text="") if meaning(c.asked) <= said else c for c in claims)
    return tuple(c for c in kept if c.said or c.under)


def with_stated_claims(product: Product, kitchen: Kitchen | None = None) -> Product:
    """The product with the claims of its own texts, and with the kitchen of its maker's role, among those
    it asks for, so that they are judged and bring their rows. They come first: what the law wants once, it
    wants beside the most prominent claim.
    """
    asked = {meaning(text): text for text in product.claims}
    stated = [s for s in find_stated(product, kitchen) if not s.naming]
    spread = {m for text in product.claims for m in meaning(text)}
    first = [
        asked.get(meaning(s.text), s.text)
        for s in stated
        if meaning(s.text) in asked or not meaning(s.text) <= spread
    ]
    every: dict[object, str] = {}
    for text in (*first, *product.claims):
        every.setdefault(meaning(text) or text, text)
    return product.model_copy(update={"claims": tuple(every.values())})


def in_plain_words(product: Product) -> Product:
    """The product with its claims as "fibre high (ballaststoffreich)" where the words are not the ones
    that tables of the law look for, so that they find the nutrient whatever the language.
    """
    return product.model_copy(update={"claims": tuple(map(_plain, product.claims))})


def _plain(claim: str) -> str:
    told = claim.lower()
    words = [
        w
        for a in read_claim(claim)
        for w in (*a.key.split("_"), *([_NAMES[a.nutrient].lower()] if a.nutrient else ()))
        if w not in told
    ]
    return f"{' '.join(words)} ({claim})" if words else claim


def meaning(claim: str) -> frozenset:
    """What a claim says, whatever its words and language."""
    return frozenset(a.meaning for a in read_claim(claim))


def warn_of_names(
    product: Product, claims: tuple[Claim, ...], stated: tuple[Stated, ...]
) -> tuple[Finding, ...]:
    """What stands in a name and would be refused as a claim, as warnings. claims: the stated ones, judged."""
    places = {s.text: s.place for s in stated}
    return tuple(
        find(
            "claim-in-name",
            product.where,
            path=product.path(),
            cites=c.citation,
            product=product.key,
            claim=c.asked,
            place=places[c.asked],
            reasons=c.remedy,
        )
        for c in claims
        if not c.allowed
    )


def check_wordings(product: Product) -> tuple[Finding, ...]:
    """The maker's wording of a claim in another language must say the same claim and no other."""
    found = []
    for language, said in product.also.items():
        for key, text in said.items():
            if not key.startswith(_CLAIM):
                continue
            asked = key.removeprefix(_CLAIM)
            meant, told = meaning(asked), {m for t in claims_in(text) or (text,) for m in meaning(t)}
            other = {m for m in told if m not in meant}
            if meant and other:
                others = sorted(m[0].replace("_", " ") for m in other)
                told = {
                    "product": product.key,
                    "claim": asked,
                    "text": text,
                    "language": language,
                    "others": others,
                }
                found.append(find("claim-wording", product.where, path=product.path("claims"), **told))
    return tuple(found)
