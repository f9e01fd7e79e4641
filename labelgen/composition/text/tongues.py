"""Languages a packet may be written in: their ordinary words and phrases, and which of them a stretch of text
is in.

``reference/words/<language>.toml`` (two letters) holds what makes a list readable besides allergens
(connecting words, ordinary foods, headings, "contains", "may contain", "free from"); the allergens' own words
stand in ``reference/allergens``. A word there that ends in ``*`` stands for every word that begins so, one
after a ``*`` for every word that ends so; between two, for every word that holds it.
"""

from __future__ import annotations

import re
from functools import cache, cached_property, lru_cache
from pathlib import Path

from labelgen import paths
from labelgen.composition.text.folded_words import SOURCES, Parts, Word, fold, key_of, read_words
from labelgen.wordlists import word_file

#: How far around a word the text's language is listened for [words].
_WINDOW = 10
#: Letters of a term that counts among words of another language, beside a second one of its own.
_LEAST = 3
#: Letters of a term that no other language's word is likely to begin with by chance.
_UNMISTAKABLE = 5
#: Words of a further language that outweigh as many of the first five, which know some foreign words by the
# way ("doce de leite").
_CERTAIN = 4
#: The languages of ``lexicon.csv``, whose words count in any text.
FIRST = frozenset({"en", "fr", "de", "es", "it"})
#: Letters, with its star, of a word's beginning or end that too many strangers share to be known by it
# ("un*").
_SHORT = 3
#: Kinds of phrase in a words file; every file has each.
PHRASES = ("heading", "contains", "may", "may_after", "free_from")
WORDS = ("connecting", "foods", "without", "added", "free")


@cache
def languages() -> dict[str, dict]:
    """Language code -> its words file: name, lists of words (``WORDS``) and of phrases (``PHRASES``)."""
    return {
        path.stem: {
            k: v.split() if k in WORDS else v
            for k, v in word_file(path.stem).items()
            if not isinstance(v, dict)
        }
        for path in _word_files()
    }


def _word_files() -> list[Path]:
    """The words file of each language whose allergens are known; any other file in that folder is no
    language.
    """
    return [
        paths.reference("words", f"{code}.toml")
        for code in sorted(FIRST | {p.stem for p in lexicon_files()[1:]})
    ]


@cache
def _table() -> dict:
    """Known words by key, by beginning and by what they hold, each with the languages that know them."""
    files = [
        *_word_files(),
        *lexicon_files(),
        paths.reference("allergens", "spelling.csv"),
        *(paths.reference("additives", n) for n in _ADDITIVES),
    ]
    code = [Path(__file__), *SOURCES]
    return paths.made_once("languages", (*files, *code), _compile)


#: Where a word file's word is looked for, by whether a star stands before and after it.
_KINDS = {(True, True): "parts", (False, True): "stems", (True, False): "ends", (False, False): ""}
_ADDITIVES = ("additives.csv", "names.csv", "classes.csv")


def lexicon_files() -> list[Path]:
    """The allergen lexicon: the file of five languages, then one a language."""
    return [
        paths.reference("allergens", "lexicon.csv"),
        *sorted(paths.reference("allergens", "lexicon").glob("*.csv")),
    ]


def _compile() -> dict:
    known: dict[str, dict[str, dict[str, None]]] = {
        "words": {},
        "keys": {},
        "stems": {},
        "ends": {},
        "parts": {},
    }

    def add(text: str, language: str) -> None:
        for word in text.split():
            kind = _KINDS[word.startswith("*"), word.endswith("*")] if len(word) > _SHORT else ""
            kind = kind or ("keys" if language in FIRST else "words")
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
def _parts() -> Parts:
    return Parts(_table()["parts"])


@lru_cache(maxsize=20000)
def languages_that_know(word: str) -> frozenset[str]:
    """The languages in which a folded word is an ordinary word, an additive's or an allergen's; none for a
    stranger.

    >>> "pl" in languages_that_know("pszenna")
    True
    """
    table = _table()
    found = {*table["words"].get(word, "").split(), *table["keys"].get(key_of(word), "").split()}
    for n in range(_SHORT, len(word) + 1):
        found.update(table["stems"].get(word[:n], "").split())
        found.update(table["ends"].get(word[-n:], "").split())
    if len(word) > 3:
        for part in _parts().within(word):
            found.update(table["parts"][part].split())
    return frozenset(found)


def words_of(word: str) -> frozenset[str]:
    """The languages of which a folded word is an ordinary word as it stands."""
    return frozenset(_table()["words"].get(word, "").split())


class Tongues:
    """Which languages the words of a text are in, each place judged by the words around it."""

    def __init__(self, words: list[Word], only: str | None = None):
        self._words, self._only = words, only

    def at(self, i: int) -> dict[str, int]:
        """How many of the words around a place each language knows; languages far behind the best are left
        out.
        """
        return {self._only: 1} if self._only else self._heard[i]

    @cached_property
    def _heard(self) -> list[dict[str, int]]:
        known = [languages_that_know(w.text) if w.text.isalpha() else None for w in self._words]
        found: list[dict[str, int]] = []
        votes: dict[str, int] = {}
        near = 0
        for i in range(-_WINDOW, len(known)):  # a window slides over the words
            entering, leaving = (
                known[k] if 0 <= k < len(known) else None for k in (i + _WINDOW, i - _WINDOW - 1)
            )
            near += (entering is not None) - (leaving is not None)
            for said in entering or ():
                votes[said] = votes.get(said, 0) + 1
            for said in leaving or ():
                votes[said] -= 1
            if i < 0:
                continue
            if found and entering is None and leaving is None:
                found.append(found[-1])
                continue
            best = max(votes.values(), default=0)
            found.append({said: n for said, n in votes.items() if n and n * 2 >= best and n * 4 >= near})
        return found

    def likeliest(self, i: int) -> list[str]:
        """The languages that know most of the words around a place."""
        heard = self.at(i)
        return [said for said, n in heard.items() if n == max(heard.values())]

    def counts(self, i: int, language: str, letters: int) -> bool:
        """Whether a term of a further language, that many letters long, may be meant at a place: no
        language likelier there knows the word, and the text is in the term's language; a long term counts
        in any text.
        """
        if self._only or (letters >= _LEAST and self.alone(i, language)):
            return True
        heard = self.at(i)
        first = max((n for said, n in heard.items() if said in FIRST), default=0)
        if (
            letters < _UNMISTAKABLE
            and heard.get(language, 0) <= first
            and not heard.get(language, 0) == first >= _CERTAIN
        ):
            return False
        return not any(
            heard[said] > heard.get(language, 0)
            for said in languages_that_know(self._words[i].text) & heard.keys()
        )

    def alone(self, i: int, language: str) -> bool:
        """Whether a word stands beside one that this further language knows and none of the first five,
        and is none of theirs either, in a text of another language ("Sugar, süt tozu").
        """
        known = languages_that_know(self._words[i].text)
        if self._only or language in FIRST or not known.isdisjoint(FIRST):
            return False
        return any(
            language in words_of(self._words[n].text)
            and FIRST.isdisjoint(languages_that_know(self._words[n].text))
            for n in (i - 1, i + 1)
            if 0 <= n < len(self._words)
        )

    def abroad(self, i: int) -> list[str]:
        """The further languages that a word belongs to, where the words around it say that the text is in
        them: at least one other word does, and none of the first five languages knows as many.
        """
        heard = self.at(i)
        first = max((n for said, n in heard.items() if said in FIRST), default=0)
        known = languages_that_know(self._words[i].text)
        return [
            said
            for said, n in heard.items()
            if said in known and said not in FIRST and (self._only or n > max(1, first))
        ]

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
