"""Reads the words a maker writes as a claim: which rule judges them, with the figures, nutrients and foods
they name.

The words are data (``reference/claims/words.csv`` and, for other languages, ``words_other.csv``); what a
market makes of each is its own ``claims.toml``. Spelling, capitals, accents, hyphens and plurals do not
matter ("Sugar-free", "free of sugars").
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import lru_cache

from labelgen.composition.text.folded_words import BREAKS, Word, read_words
from labelgen.composition.text.kinds import kinds_named
from labelgen.composition.text.lexicon import find_allergens
from labelgen.market.claims.phrases import (
    ENGLISH,
    codes_of,
    keys_of,
    listed,
    meanings_of,
    nutrient_named,
    pattern_of,
    phrase_of,
    phrases_for,
    phrases_with_slots,
)
from labelgen.market.claims.straightened import straighten
from labelgen.wordlists import any_of

_AND = any_of("claim.and")
_AND_OR = f"(?:{_AND}|{any_of('claim.or')})"
_ANY = f"(?:{_AND_OR}|{any_of('claim.nor')})"
_APART = re.compile(
    rf"\s*[;•·\n/|+]\s*|\s*,\s*(?:{any_of('claim.and', 'en')}\s+)?|\s+(?:&|{_AND})\s+", re.IGNORECASE
)
_PIECES = re.compile(
    rf"\s*[,/&]\s*(?:{any_of('claim.and', 'en')}\s+|{any_of('claim.or', 'en')}\s+)?|\s+{_ANY}\s+",
    re.IGNORECASE,
)
#: What joins the last of several foods to the others.
_JOINED = re.compile(rf"[&/]|\b{_AND_OR}\b", re.IGNORECASE)


@dataclass(frozen=True)
class Asked:
    """One claim, understood. key: of the rule. text: as the maker wrote it. number: a figure in it. nutrient:
    its tagname. foods: allergen codes or kinds of ingredient that it says are absent. food: the words for
    them, or the food it compares with. basis: what its figure is per. naming: the words may be no more than
    the name of a food.
    language: the words are of.
    """

    key: str
    text: str
    number: float | None = None
    nutrient: str = ""
    foods: tuple[str, ...] = ()
    food: str = ""
    basis: str = ""
    naming: bool = False
    language: str = ENGLISH

    @property
    def meaning(self) -> tuple:
        """What it says, whatever the words and the language."""
        return self.key, self.number, self.nutrient, self.foods


@lru_cache(maxsize=20000)
def read_claim(text: str) -> tuple[Asked, ...]:
    """The claims a text makes; () when any part of it is not understood.

    >>> [c.key for c in read_claim("Sugar-free and high in fibre")]
    ['sugar_free', 'fibre_high']
    """
    text = straighten(text)
    whole = _understood(text)
    if whole:
        return whole
    parts = [p for p in _APART.split(text.strip()) if p]
    found = [_understood(p) for p in parts] if len(parts) > 1 else []
    return tuple(a for claims in found for a in claims) if found and all(found) else ()


def _understood(text: str) -> tuple[Asked, ...]:
    if re.search(r"(^|\s)[-\u2212]\s*\d", text):
        return ()
    words = read_words(text)
    said = " ".join(w.key for w in words if w.text not in BREAKS or w.text == ",")
    if meant := meanings_of(said):
        return tuple(replace(a, text=text) for claim in meant for a in _understood(claim))
    # "zucker-arm" is "zuckerarm"
    phrase = phrase_of(said) or (phrase_of(said.replace(" ", "")) if "-" in text else None)
    if phrase is not None:
        return (
            Asked(phrase.key, text, nutrient=phrase.nutrient, naming=phrase.naming, language=phrase.language),
        )
    for phrase in phrases_with_slots(said):
        match = pattern_of(phrase.words).fullmatch(said)
        made = _filled(phrase.key, text, match, words) if match else ()
        if made:
            return tuple(
                replace(
                    a,
                    naming=phrase.naming,
                    language=phrase.language,
                    nutrient=a.nutrient or phrase.nutrient,
                )
                for a in made
            )
    if len(words) > 1 and words[0].key in listed("BOOST"):
        return tuple(replace(a, text=text) for a in _understood(text[words[1].start :]))
    return ()


def _filled(key: str, text: str, match: re.Match, words: list[Word]) -> tuple[Asked, ...]:
    given = match.groupdict()
    number = float(given["number"]) if given.get("number") else None
    nutrient = nutrient_named(given["nutrient"]) if given.get("nutrient") else ""
    if given.get("nutrient") and not nutrient:
        return ()
    if given.get("body") and not _is_body(given["body"]):
        return ()
    food = _original(text, words, match, "food") if given.get("food") else ""
    basis = _original(text, words, match, "basis") if given.get("basis") else ""
    if key != "free_from":
        return (Asked(key, text, number, nutrient, (), food, basis),)
    made, codes, pieces = [], [], [p for p in _PIECES.split(food) if p]
    if (
        match.start("food") == 0
        and len(pieces) > 1
        and nutrient_named(_keyed(pieces[-1]))
        and not _JOINED.search(food)
    ):
        return ()  # "sour cream, fat free"
    for piece in pieces:
        own = _defined_free(piece) if piece != food else ""
        if own:
            made.append(Asked(own, text))
            continue
        named = foods_named(piece)
        if not named:
            return ()
        codes += named
    return (*made, *((Asked(key, text, foods=tuple(dict.fromkeys(codes)), food=food),) if codes else ()))


@lru_cache(maxsize=1000)
def _defined_free(food: str) -> str:
    """The rule of its own that "free from" this food has, such as gluten or lactose; "" when it has none."""
    said = (
        " ".join(keys_of(w.replace("FOOD", food) for w in phrase.words))
        for phrase in phrases_for("free_from")
    )
    return next((phrase.key for phrase in map(phrase_of, said) if phrase), "")


def _original(text: str, words: list[Word], match: re.Match, slot: str) -> str:
    """The maker's own spelling of what stands in a slot; of a part of a word ("nussfrei"), that part."""
    if (match.string[: match.start(slot)][-1:] + match.string[match.end(slot) :][:1]).strip():
        return match[slot]
    kept = [w for w in words if w.text not in BREAKS or w.text == ","]
    first = match.string[: match.start(slot)].count(" ")
    last = first + match[slot].count(" ")
    return text[kept[first].start : kept[last].end]


def foods_named(text: str) -> tuple[str, ...]:
    """Allergen codes or kinds that a word after "free from" stands for; () if it says anything else too."""
    said = " ".join(_without_article(_keyed(text).split()))
    if codes := codes_of(said):
        return codes
    hits = find_allergens(said, kind="name").contains
    return tuple(h.allergen for h in hits if _keyed(h.words) == said) or kinds_named(said)


def looks_free_from(text: str) -> tuple[str, ...]:
    """The keys of what a text of that shape says is absent, where nothing tells what it is ("qwerty
    free"); () for any other.
    """
    said = " ".join(w.key for w in read_words(text) if w.text not in BREAKS)
    for phrase in phrases_with_slots(said):
        match = (
            pattern_of(phrase.words).fullmatch(said)
            if phrase.key == "free_from" and not phrase.known
            else None
        )
        absent = _without_article(_keyed(match["food"]).split()) if match else []
        if absent and absent[0].isalpha() and absent[0] not in listed("ARTICLE"):
            return tuple(absent)
    return ()


def _without_article(words: list[str]) -> list[str]:
    """The words behind any article; the last one always stays."""
    return next((words[n:] for n, w in enumerate(words) if w not in listed("ARTICLE")), words[-1:])


def _keyed(text: str) -> str:
    return " ".join(w.key for w in read_words(text))


def _is_body(said: str) -> bool:
    """Whether the words are a part of the body, a bodily function or a disease, behind any article."""
    return " ".join(_without_article(said.split())) in listed("BODY")
