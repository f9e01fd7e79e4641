"""Text as words: folded, stripped of plurals, each with its place in the original.

A supplier's list is matched word by word. Accents, capitals, hyphens, plural endings and British or
American spelling must not decide whether an allergen is seen, so both the lexicon's terms and the text
go through ``read_words``.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import lru_cache
from pathlib import Path
from typing import NamedTuple

from labelgen.wordlists import files, forms, words_for

#: What makes a word's key: whatever is compiled from keys is compiled anew when one of these changes.
SOURCES = (Path(__file__), *files())

#: Marks that separate; a term never reaches across one unless it spells it out, as "flour (rice" does.
BREAKS = frozenset(",;:()[]{}.•·|/+=<>?!\n▪●◦‣■")
#: A letter; the raised figures of footnotes are none.
_LETTERS = r"[^\W\d_¹²³⁰-⁹₀-₉ªº]"
_DROPPED = frozenset("\"“”„«»*†‡§°^#~®™©%_'’‘`´-–—‐‑−¹²³⁴…\\@$€£¶")
#: A letter with the accents that may follow it as marks of their own.
_LETTER = rf"(?:{_LETTERS}[\u0300-\u036f]*)"
_TOKEN = re.compile(rf"{_LETTER}+(?:['’‘´`]{_LETTER}+)*|\d+(?:\.\d+)?|[^\w\s]|_|\n", re.UNICODE)
_LIGATURES = {
    "œ": "oe",
    "æ": "ae",
    "ø": "o",
    "ł": "l",
    "ß": "ss",
    "đ": "d",
    "ð": "d",
    "þ": "th",
    "ı": "i",
    "ħ": "h",
}
_OPEN = {"[": "(", "{": "(", "]": ")", "}": ")"}
#: Spellings brought to one form before the plural is taken off, and words that only look like plurals.
_SAME = forms("one_form") | {w: w for w in words_for("plural.kept")}


class Word(NamedTuple):
    """text: folded to lower case without accents. key: what terms are compared by. start, end: place."""

    text: str
    key: str
    start: int
    end: int


def fold(text: str) -> str:
    """Lower case without accents: "Crème" -> "creme", "Weißkäse" -> "weisskase"."""
    text = text.casefold()
    if not text.isascii():
        text = "".join(_LIGATURES.get(c, c) for c in text)
        text = "".join(c for c in unicodedata.normalize("NFKD", text) if not unicodedata.combining(c))
    return text


@lru_cache(maxsize=20000)
def key_of(word: str) -> str:
    """The form a folded word is compared by: one spelling, no plural ending.

    >>> key_of("anchovies") == key_of("anchovy"), key_of("cookies") == key_of("cookie")
    (True, True)
    """
    word = _SAME.get(word, word).replace("sulf", "sulph")
    if len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is")):
        word = word[:-1]
    if len(word) > 3 and word.endswith("e") and word not in _SAME:
        word = word[:-1]
    if len(word) > 3 and word.endswith("y") and word not in _SAME:
        word = word[:-1] + "i"
    return word


def folded(name: str) -> frozenset[str]:
    """The words of a name in ``reference/words``, folded: to be compared with a word's text."""
    return frozenset(map(fold, words_for(name)))


def keyed(name: str) -> frozenset[str]:
    """The same as keys: to be compared with a word's key."""
    return frozenset(map(key_of, folded(name)))


class Parts:
    """Words that may stand inside longer ones, such as those that German compounds are made of."""

    def __init__(self, parts: Iterable[str]):
        self._parts = frozenset(parts)
        lengths: dict[str, set[int]] = {}
        for part in self._parts:
            lengths.setdefault(part[:1], set()).add(len(part))
        self._lengths = {begins: sorted(found, reverse=True) for begins, found in lengths.items()}

    def within(self, word: str) -> list[str]:
        """The parts that a word holds, in order: at each place the longest, none over another.

        >>> Parts(["milch", "milchpulver", "ei"]).within("vollmilchpulverei")
        ['milchpulver', 'ei']
        """
        found, i = [], 0
        while i < len(word):
            for n in self._lengths.get(word[i], ()):
                if word[i : i + n] in self._parts:
                    found.append(word[i : i + n])
                    i += n - 1
                    break
            i += 1
        return found


def read_words(text: str, lines_separate: bool = False) -> list[Word]:
    """The words and separating marks of a text, in order. Brackets of all kinds become round ones."""
    words = []
    for match in _TOKEN.finditer(text):
        token, start = match.group(), match.start()
        if token == "\n":
            if lines_separate:
                words.append(Word(",", ",", start, start + 1))
        elif token == "&":
            words.append(Word("and", "and", start, start + 1))
        elif (
            token == "."
            and words
            and words[-1].key == "e"
            and text[match.end() : match.end() + 2].strip()[:1].isdigit()
        ):
            continue  # "E. 220"
        elif token in _DROPPED:
            if (
                token in "-–—"
                and text[start - 1 : start] in (" ", "\n")
                and text[start + 1 : start + 2] in (" ", "\n")
            ):
                words.append(Word(",", ",", start, start + 1))
        elif len(token) == 1 and token in BREAKS:
            mark = _OPEN.get(token, token)
            words.append(Word(mark, mark, start, match.end()))
        elif token[0].isalpha():
            words += _pieces(token, start)
        elif token[0].isdigit():
            words.append(Word(token, token, start, match.end()))
    return words


def _pieces(token: str, start: int) -> list[Word]:
    """One word, or several where an apostrophe joins an article ("d'arachide"); a possessive s is dropped."""
    found = []
    for part in re.finditer(rf"{_LETTER}+", token):
        text = fold(part.group())
        if found and text == "s":
            continue
        found.append(Word(text, key_of(text), start + part.start(), start + part.end()))
    return found
