"""Brings letters to the plain form that word lists are written in.

Full-width letters, ligatures, letters of another alphabet that only look Latin, accents that stand alone,
marks nobody sees, and words spaced out letter by letter ("W H E A T") must hide nothing.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache

from labelgen import paths
from labelgen.tomlfile import read_toml

#: Full-width, ligature, letter-like, circled and mathematical forms, brought to the letters they stand for.
_FORMS = re.compile(
    "[\uff01-\uff5e\ufb00-\ufb06\u24b6-\u24e9\U0001d400-\U0001d7ff\u2100-\u2121\u2123-\u214f]"
)
#: Marks that take no room, and accents that are left over once they stand on no letter of their own.
_UNSEEN = re.compile(
    "[\u00ad\u034f\u061c\u180e\u200b-\u200f\u202a-\u202e\u2060-\u2064\u2066-\u206f\ufe00-\ufe0f\ufeff]"
)
_STRAY = re.compile(r"(?<=[A-Za-z\u00c0-\u024f])[\u0300-\u036f]+")
_WORD = re.compile(r"[^\W\d_]+")
_LATIN = re.compile(r"[A-Za-z\u00c0-\u024f]")
#: Letters each on its own, three or more, one space between: "m i l k". Two spaces or a mark end the word.
_SPACED = re.compile(r"(?<![^\W_])[^\W\d_](?: [^\W\d_]){2,}(?![^\W_])")
#: Rows of letters that are names of vitamins or answers in a table.
_NO_WORD = (frozenset("abcdek "), frozenset("xyn "))


def plain_letters(text: str) -> str:
    """The text with every letter in its plain form and spaced words closed up; it may become shorter.

    >>> plain_letters("W H E A T  F L O U R, ｍｉｌｋ, m\\u0456lk, cr\\u200beme")
    'WHEAT FLOUR, milk, milk, creme'
    """
    if not text.isascii():
        text = _FORMS.sub(lambda m: unicodedata.normalize("NFKC", m.group()), _UNSEEN.sub("", text))
        text = _STRAY.sub("", unicodedata.normalize("NFC", text))
        text = _latin_again(text)
    return close_up(text)


def close_up(text: str) -> str:
    """Words spaced out letter by letter, written as one: "C O N T A I N S :  m i l k" -> "CONTAINS :
    milk".
    """
    spaced = [
        m.span() for m in _SPACED.finditer(text) if not any(set(m.group().lower()) <= row for row in _NO_WORD)
    ]
    for start, end in reversed(spaced):
        text = text[:start] + text[start:end].replace(" ", "") + text[end:]
    return re.sub(r"(?<=\S)  +(?=\S)", " ", text) if spaced else text


@cache
def written_for() -> dict[str, str]:
    """Figures and signs -> the letters that they are written for on purpose ("fr33")."""
    return _raw()["signs"]


@cache
def _letters() -> tuple[dict[str, str], dict[int, str]]:
    """(letters of other alphabets -> the Latin ones they look like, uncommon forms -> letters for
    ``str.translate``).
    """
    raw = _raw()
    return raw["look_alikes"] | raw["capitals"], str.maketrans(raw["forms"])


@cache
def _raw() -> dict[str, dict[str, str]]:
    return read_toml(paths.reference("allergens", "letters.toml"))


def _latin_again(text: str) -> str:
    """Letters that only look Latin in words that are Latin otherwise, or that stand whole among Latin
    words.
    """
    alike, forms = _letters()
    text = text.translate(forms)
    if not any(c in alike for c in set(text)):
        return text
    mostly = 2 * len(_LATIN.findall(text)) > sum(map(len, _WORD.findall(text)))

    def mended(match: re.Match) -> str:
        word = match.group()
        latin = [bool(_LATIN.match(c)) for c in word]
        if (
            all(latin)
            or not (any(latin) or mostly)
            or not all(ok or c in alike for ok, c in zip(latin, word))
        ):
            return word
        return "".join(c if ok and c != "ı" else alike.get(c, c) for ok, c in zip(latin, word))

    return _WORD.sub(mended, text)
