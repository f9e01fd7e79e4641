"""Reads the words a maker writes as a claim: which rule judges them, with the figures, nutrients and foods they name.

The words are data (``reference/claims/words.csv`` and, for other languages, ``words_other.csv``); what a market makes of
each is its own ``claims.toml``. Spelling, capitals, accents, hyphens and plurals do not matter ("Sugar-free", "free of sugars").
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cache, lru_cache

from labelgen import paths
from labelgen.composition.text.lexicon import find_allergens
from labelgen.composition.text.terms import expand
from labelgen.composition.text.words import BREAKS, Word, key_of, read_words
from labelgen.nutrients import BY_WORD

_SLOTS = {"NUMBER": r"(?P<number>\d+(?:\.\d+)?)", "NUTRIENT": r"(?P<nutrient>.+?)", "FOOD": r"(?P<food>.+?)", "BASIS": r"(?P<basis>.+?)", "BODY": r"(?P<body>.+?)"}
_APART = re.compile(r"\s*[;•·\n/|+]\s*|\s*,\s*(?:and\s+)?|\s+(?:and|&|und|et|y|e|ed)\s+", re.IGNORECASE)
_PIECES = re.compile(r"\s*[,/&]\s*(?:and\s+|or\s+)?|\s+(?:and|or|nor|und|oder|noch|et|ou|ni|y|o|e|né)\s+", re.IGNORECASE)
#: The language of words.csv; words that other languages share count as its own.
_ENGLISH = "en"
#: Rows that are lists of words for a slot, and no claims.
_LISTS = ("BODY", "ARTICLE")
_NUTRIENT = "NUTRIENT:"
#: Words a claim has at most; more are not looked at together within other words.
_LONGEST = 12


@dataclass(frozen=True)
class Asked:
    """One claim, understood. key: of the rule. text: as the maker wrote it. number: a figure in it. nutrient: its
    tagname. foods: allergen codes or kinds of ingredient that it says are absent. food: the words for them, or the
    food it compares with. basis: what its figure is per. naming: the words may be no more than the name of a food.
    language: the words are of."""

    key: str
    text: str
    number: float | None = None
    nutrient: str = ""
    foods: tuple[str, ...] = ()
    food: str = ""
    basis: str = ""
    naming: bool = False
    language: str = _ENGLISH

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
    whole = _understood(text)
    if whole:
        return whole
    parts = [p for p in _APART.split(text.strip()) if p]
    found = [_understood(p) for p in parts] if len(parts) > 1 else []
    return tuple(a for claims in found for a in claims) if found and all(found) else ()


@lru_cache(maxsize=5000)
def claims_in(text: str) -> tuple[str, ...]:
    """The claims a text makes within other words, as written.

    >>> claims_in("Sugar-free boiled sweets"), claims_in("Glutenfreies Brot")
    (('Sugar-free',), ('Glutenfreies',))
    """
    words, found, start = text.split(), [], 0
    while start < len(words):
        last = min(len(words), start + _LONGEST)
        windows = ((end, " ".join(words[start:end]).strip(" ,;:.()[]!?/&+|\"'“”„«»*")) for end in range(last, start, -1))
        end, said = next(((e, t) for e, t in windows if read_claim(t)), (start + 1, ""))
        found += [said] if said else []
        start = end
    return tuple(dict.fromkeys(found))


def _understood(text: str) -> tuple[Asked, ...]:
    if re.search(r"(^|\s)[-\u2212]\s*\d", text):
        return ()
    words = read_words(text)
    said = " ".join(w.key for w in words if w.text not in BREAKS or w.text == ",")
    # "zucker-arm" is "zuckerarm"
    whole = next((t for t in (said, said.replace(" ", "") if "-" in text else "") if t in _phrases()), None)
    if whole is not None:
        phrase = _phrases()[whole]
        return (Asked(phrase.key, text, nutrient=phrase.nutrient, naming=phrase.naming, language=phrase.language),)
    for phrase in _fitting(said):
        match = _compiled(phrase.words).fullmatch(said)
        made = _filled(phrase.key, text, match, words) if match else ()
        if made:
            return tuple(replace(a, naming=phrase.naming, language=phrase.language, nutrient=a.nutrient or phrase.nutrient) for a in made)
    return ()


def _filled(key: str, text: str, match: re.Match, words: list[Word]) -> tuple[Asked, ...]:
    given = match.groupdict()
    number = float(given["number"]) if given.get("number") else None
    nutrient = _nutrients().get(given["nutrient"], "") if given.get("nutrient") else ""
    if given.get("nutrient") and not nutrient:
        return ()
    if given.get("body") and not _is_body(given["body"]):
        return ()
    food = _original(text, words, match, "food") if given.get("food") else ""
    basis = _original(text, words, match, "basis") if given.get("basis") else ""
    if key != "free_from":
        return (Asked(key, text, number, nutrient, (), food, basis),)
    made, codes = [], []
    for piece in filter(None, _PIECES.split(food)):
        own = _defined_free(piece) if piece != food else ""
        if own:
            made.append(Asked(own, text))
            continue
        named = foods_named(piece)
        if not named:
            return ()
        codes += named
    return (*made, *((Asked(key, text, foods=tuple(dict.fromkeys(codes)), food=food),) if codes else ()))


def _defined_free(food: str) -> str:
    """The rule of its own that "free from" this food has, such as gluten or lactose; "" when it has none."""
    said = (" ".join(_keys(w.replace("FOOD", food) for w in phrase.words)) for phrase in _written() if phrase.key == "free_from")
    return next((_phrases()[s].key for s in said if s in _phrases()), "")


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
    said = _keyed(text)
    if said in _free_from():
        return _free_from()[said]
    hits = find_allergens(text, kind="name").contains
    return tuple(h.allergen for h in hits if _keyed(h.words) == said)


def _keyed(text: str) -> str:
    return " ".join(w.key for w in read_words(text))


@cache
def _free_from() -> dict[str, tuple[str, ...]]:
    return {_keyed(r["word"]): tuple(r["codes"].split()) for r in read_rows("free_from.csv")}


@cache
def _nutrients() -> dict[str, str]:
    others = {said: r["claim"].partition(":")[2] for r in _rows() if r["claim"].startswith(_NUTRIENT) for words in _split(r) for said in (" ".join(_keys(words)),)}
    return {_keyed(word): key for word, key in BY_WORD.items()} | others


@cache
def _rows() -> tuple[dict[str, str], ...]:
    return (*read_rows("words.csv"), *read_rows("words_other.csv"))


def _split(row: dict[str, str]) -> list[tuple[str, ...]]:
    return [tuple(words.split()) for phrase in row["words"].split(";") for words in expand(phrase)]


def _is_body(said: str) -> bool:
    """Whether the words are a part of the body, a bodily function or a disease, behind any article."""
    words = said.split()
    while words and words[0] in _listed("ARTICLE"):
        words = words[1:]
    return " ".join(words) in _listed("BODY")


@cache
def _listed(name: str) -> frozenset[str]:
    """The words of the rows that are lists."""
    return frozenset(" ".join(_keys(words)) for r in _rows() if r["claim"] == name for words in _split(r))


@dataclass(frozen=True)
class _Phrase:
    """One phrase of the files: the rule it leads to and the nutrient, its language, whether it may only name a food."""

    key: str
    nutrient: str
    language: str
    naming: bool
    words: tuple[str, ...]

    @property
    def slotted(self) -> bool:
        return any(slot in w for w in self.words for slot in _SLOTS)


@cache
def _written() -> tuple[_Phrase, ...]:
    """Every phrase in the order of the files."""
    return tuple(
        _Phrase(key, nutrient, row.get("language", _ENGLISH), row["in_name"] == "names", words)
        for row in _rows() if row["claim"] not in _LISTS and not row["claim"].startswith(_NUTRIENT)
        for key, _, nutrient in (row["claim"].partition(":"),) for words in _split(row)
    )  # fmt: skip


@cache
def _phrases() -> dict[str, _Phrase]:
    """Phrases without anything to fill in; the first in the files wins. Two words may be written as one ("sugarfree")."""
    found: dict[str, _Phrase] = {}
    joined: dict[str, _Phrase] = {}
    for phrase in _written():
        keys = _keys(phrase.words)
        found.setdefault(" ".join(keys), phrase)
        if len(keys) == 2 and all(w.isalpha() for w in phrase.words):
            joined.setdefault("".join(_keys(["".join(phrase.words)])), phrase)
    return {**joined, **found}


@cache
def _patterns() -> dict[str, list[tuple[int, _Phrase]]]:
    """Phrases with something to fill in, with their place in the files, by a word that a text must hold to fit one; "" for
    those whose words are only parts of words."""
    found: dict[str, list[tuple[int, _Phrase]]] = {}
    for n, phrase in enumerate(_written()):
        if phrase.slotted:
            fixed = [k for w in phrase.words if not any(slot in w for slot in _SLOTS) for k in _keys([w])]
            found.setdefault(max(fixed, key=len, default=""), []).append((n, phrase))
    return found


def _fitting(said: str) -> list[_Phrase]:
    """The phrases with slots that may fit a text, the first in the files first."""
    rows = [row for word in {"", *said.split()} for row in _patterns().get(word, ())]
    return [phrase for _, phrase in sorted(rows, key=lambda row: row[0])]


@cache
def _compiled(words: tuple[str, ...]) -> re.Pattern:
    return re.compile(" ".join(map(_pattern, words)))


def _pattern(word: str) -> str:
    """A word of a phrase as a pattern: a slot, a slot inside a word (FOODfrei, nonFOOD), or the word itself."""
    slot = next((s for s in _SLOTS if s in word), "")
    if not slot:
        return re.escape(" ".join(_keys([word])))
    before, _, rest = word.partition(slot)
    return rf"{before}(?P<{slot.lower()}>\S+){re.escape(key_of(rest))}" if before or rest else _SLOTS[slot]


def _keys(words: Iterable[str]) -> list[str]:
    return [key for word in words for key in _keys_of(word)]


@cache
def _keys_of(word: str) -> tuple[str, ...]:
    return tuple(w.key for w in read_words(word))


def read_rows(name: str) -> list[dict[str, str]]:
    """The rows of a file in ``reference/claims``; lines with # at the start are left out."""
    with paths.reference("claims", name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))
