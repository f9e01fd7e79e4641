"""Languages a packet may be written in: their ordinary words and phrases, and which of them a stretch of text is in.

``reference/words/<language>.toml`` (two letters) holds what makes a list readable besides allergens (connecting words, ordinary foods,
headings, "contains", "may contain", "free from"); the allergens' own words stand in ``reference/allergens``. A word there
that ends in ``*`` stands for every word that begins so, one after a ``*`` for every word that ends so; between two, for every
word that holds it.
"""

from __future__ import annotations

import re
import tomllib
from functools import cache, cached_property, lru_cache
from pathlib import Path

from labelgen import paths
from labelgen.composition.text.words import Word, fold, key_of, read_words

#: How far around a word the text's language is listened for [words].
_WINDOW = 10
#: Letters of a term that no other language's word is likely to begin with by chance.
_UNMISTAKABLE = 5
#: The languages of ``lexicon.csv``, whose words count in any text.
FIRST = frozenset({"en", "fr", "de", "es", "it"})
#: Kinds of phrase in a words file; every file has each.
PHRASES = ("heading", "contains", "may", "may_after", "free_from")
WORDS = ("connecting", "foods", "without", "added", "free")


@cache
def languages() -> dict[str, dict]:
    """Language code -> its words file: name, lists of words (``WORDS``) and of phrases (``PHRASES``)."""
    found = {}
    for path in sorted(paths.reference("words").glob("??.toml")):
        with path.open("rb") as file:
            said = tomllib.load(file)
        if "name" not in said:  # the words of something else
            continue
        found[path.stem] = {k: v.split() if k in WORDS else v for k, v in said.items()}
    return found


@cache
def phrases_in_languages(kind: str) -> tuple[str, ...]:
    """A kind of phrase in every language as regular expressions; accents may be missing, any space may stand between words."""
    said = {as_pattern(p): None for words in languages().values() for p in words.get(kind, ())}
    return tuple(sorted(said, key=len, reverse=True))


def as_pattern(phrase: str) -> str:
    """A phrase as a regular expression that also finds it without its accents.

    >>> bool(re.fullmatch(as_pattern("może zawiera*"), "MOZE  zawierać", re.IGNORECASE))
    True
    """
    letters = []
    for c in phrase.strip():
        plain = fold(c)
        letters.append(r"\s+" if c == " " else r"\w*" if c == "*" else re.escape(c) if plain == c or not plain else f"(?:{c}|{plain})")
    return "".join(letters)


@cache
def _table() -> dict:
    """Known words by key, by beginning and by what they hold, each with the languages that know them."""
    files = [*sorted(paths.reference("words").glob("??.toml")), *lexicon_files(), paths.reference("allergens", "spelling.csv"), *(paths.reference("additives", n) for n in _ADDITIVES)]
    code = [Path(__file__), Path(__file__).with_name("words.py")]
    return paths.made_once("languages", (*files, *code), _compile)


#: Where a word file's word is looked for, by whether a star stands before and after it.
_KINDS = {(True, True): "parts", (False, True): "stems", (True, False): "ends", (False, False): ""}
_ADDITIVES = ("additives.csv", "names.csv", "classes.csv")


def lexicon_files() -> list[Path]:
    """The allergen lexicon: the file of five languages, then one a language."""
    return [paths.reference("allergens", "lexicon.csv"), *sorted(paths.reference("allergens", "lexicon").glob("*.csv"))]


def _compile() -> dict:
    known: dict[str, dict[str, dict[str, None]]] = {"words": {}, "keys": {}, "stems": {}, "ends": {}, "parts": {}}

    def add(text: str, language: str) -> None:
        for word in text.split():
            kind = _KINDS[word.startswith("*"), word.endswith("*")] or ("keys" if language in FIRST else "words")
            for read in read_words(word.strip("*")):
                if read.text.isalpha():
                    known[kind].setdefault(read.key if kind == "keys" else read.text, {})[language] = None

    for language, words in languages().items():
        for said in (w for kind in (*WORDS, *PHRASES) for w in words.get(kind, ())):
            add(said, language)
    for path in lexicon_files():
        for row in paths.read_rows(*path.relative_to(paths.reference()).parts):
            for term in row["terms"].split("|") if "terms" in row else [re.sub(r"[{}|]", " ", row["term"])]:
                add(f"*{term}*" if row["match"] == "part" else term, row.get("language") or path.stem)
    for row in paths.read_rows("allergens", "spelling.csv"):
        add(row["word"], "en")
    for row in paths.read_rows("additives", "additives.csv"):
        add(" ".join((row["name"], row["class"], row["us_name"], row["words"])).replace("|", " "), "en")
    for name in _ADDITIVES[1:]:
        for row in paths.read_rows("additives", name):
            add(row.get("class", ""), "en")
            for column in row:
                if column[:2] in ("de", "fr", "es", "it"):
                    add(row[column].replace("|", " "), column[:2])
    return {kind: {word: " ".join(said) for word, said in words.items()} for kind, words in known.items()}


@cache
def _held() -> re.Pattern:
    return re.compile("|".join(map(re.escape, sorted(_table()["parts"], key=len, reverse=True))) or r"(?!)")


@lru_cache(maxsize=20000)
def languages_that_know(word: str) -> frozenset[str]:
    """The languages in which a folded word is an ordinary word, an additive's or an allergen's; none for a stranger.

    >>> "pl" in languages_that_know("pszenna")
    True
    """
    table = _table()
    found = {*table["words"].get(word, "").split(), *table["keys"].get(key_of(word), "").split()}
    for n in range(2, len(word) + 1):
        found.update(table["stems"].get(word[:n], "").split())
        found.update(table["ends"].get(word[-n:], "").split())
    if len(word) > 3:
        for part in _held().finditer(word):
            found.update(table["parts"][part.group()].split())
    return frozenset(found)


class Tongues:
    """Which languages the words of a text are in, each place judged by the words around it."""

    def __init__(self, words: list[Word], only: str | None = None):
        self._words, self._only = words, only
        self._heard: dict[tuple[int, int], dict[str, int]] = {}

    @cached_property
    def _known(self) -> list[frozenset[str] | None]:
        return [languages_that_know(w.text) if w.text.isalpha() else None for w in self._words]

    def at(self, i: int) -> dict[str, int]:
        """How many of the words around a place each language knows; languages far behind the best are left out."""
        if self._only:
            return {self._only: 1}
        window = (max(0, i - _WINDOW), min(len(self._words), i + _WINDOW + 1))  # the same for every word of a short text
        if window not in self._heard:
            near = [k for k in self._known[slice(*window)] if k is not None]
            votes: dict[str, int] = {}
            for known in near:
                for language in known:
                    votes[language] = votes.get(language, 0) + 1
            best = max(votes.values(), default=0)
            self._heard[window] = {said: n for said, n in votes.items() if n * 2 >= best and n * 4 >= len(near)}
        return self._heard[window]

    def likeliest(self, i: int) -> list[str]:
        """The languages that know most of the words around a place."""
        heard = self.at(i)
        return [said for said, n in heard.items() if n == max(heard.values())]

    def counts(self, i: int, language: str, letters: int) -> bool:
        """Whether a term of a further language, that many letters long, may be meant at a place: no language likelier there knows
        the word, and the text is in the term's language; a long term counts in any text."""
        if self._only:
            return True
        heard = self.at(i)
        if letters < _UNMISTAKABLE and heard.get(language, 0) <= max((n for said, n in heard.items() if said in FIRST), default=0):
            return False
        return not any(heard[said] > heard.get(language, 0) for said in languages_that_know(self._words[i].text) & heard.keys())

    def abroad(self, i: int) -> list[str]:
        """The further languages that a word belongs to, where the words around it say that the text is in them: at least one
        other word does, and none of the first five languages knows as many."""
        heard = self.at(i)
        first = max((n for said, n in heard.items() if said in FIRST), default=0)
        known = languages_that_know(self._words[i].text)
        return [said for said, n in heard.items() if said in known and said not in FIRST and (self._only or n > max(1, first))]

    def says(self, i: int, kind: str) -> bool:
        """Whether a word is one of a kind ("without", "free") in a language that the text around it is in."""
        if not 0 <= i < len(self._words):
            return False
        said = words_in_languages(kind).get(self._words[i].text)
        return bool(said and said & self.at(i).keys())


@cache
def words_in_languages(kind: str) -> dict[str, frozenset[str]]:
    """A kind of word ("without", "free") in every language: the folded word -> the languages."""
    found: dict[str, set[str]] = {}
    for language, words in languages().items():
        for word in words.get(kind, ()):
            found.setdefault(fold(word), set()).add(language)
    return {word: frozenset(said) for word, said in found.items()}
