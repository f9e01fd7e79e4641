"""Mends words that a packet misspells, runs together or tears apart, so that none of it hides an allergen.

"hazlenut" is read as hazelnut, "soyalecithin" as soya lecithin, "al monds" as almonds. Only words the
lexicon does not know are touched; ``reference/allergens/spelling.csv`` lists the allergens' words that are
looked for, and real words that only look like one.
"""

from __future__ import annotations

import re
from functools import lru_cache

from labelgen.composition.text.folded_words import Word, fold, key_of
from labelgen.composition.text.terms import Lexicon
from labelgen.composition.text.tongues import Tongues

#: A word with a figure among its letters, as a scanner reads it: "P0WDER", "M1LK".
_SCANNED = re.compile(r"(?<![^\W_])[A-Za-z013589|!]{2,}[A-Za-z](?![^\W_])")
#: Capitals with a small l among them, which is a capital I: "MlLK".
_CAPITALS = re.compile(r"\b(?=[A-Z]*l)(?=(?:l*[A-Z]){2})[A-Zl]{3,}\b")
_UMLAUT = re.compile("ae|oe|ue")
#: Small letters with a capital I among or before them, which is a small l: "miIk", "Iecithin".
_INNER_I = re.compile(r"\b[a-z]*I[a-z]+(?:I[a-z]+)*\b")
_PIECES = 3
_LETTERS = {"0": "o", "5": "s", "3": "e", "8": "b", "9": "g"}
#: Letters that a scanner reads for others.
_SLIPS = (("rn", "m"), ("vv", "w"), ("cl", "d"), ("li", "h"))


def mend_letters(text: str, lexicon: Lexicon) -> str:
    """The text with figures a scanner took for letters put right, where that makes a word of the lexicon.

    The length stays the same. "P0WDER" becomes "PoWDER"; "B12a" and "E150d" stay.
    """

    def mended(match: re.Match) -> str:
        word = match.group()
        for one in ("l", "i"):
            tried = "".join(_LETTERS.get(c, one if c in "1|!" else c) for c in word)
            if tried != word and _known(fold(tried), key_of(fold(tried)), lexicon):
                return tried
        return word

    text = _INNER_I.sub(
        lambda m: (
            tried if _known(tried := m.group().replace("I", "l"), key_of(tried), lexicon) else m.group()
        ),
        text,
    )
    text = _CAPITALS.sub(lambda m: m.group().replace("l", "I"), text)
    return _SCANNED.sub(mended, text) if any(c in text for c in "013589|!") else text


def mend_words(words: list[Word], text: str, lexicon: Lexicon) -> list[Word]:
    """The words of a text with unknown ones joined, split or respelled where that gives words of the
    lexicon.
    """
    mended: list[Word] = []
    known: dict[str, list[str]] = {}
    tongues = Tongues(words, lexicon.language) if lexicon.abroad else None
    i = 0
    while i < len(words):
        word, following = words[i], words[i + 1] if i + 1 < len(words) else None
        if word.text in lexicon.never:
            mended.append(word._replace(key=f"={word.text}"))  # a key no term has
        elif not word.text.isalpha() or (tongues and tongues.abroad(i)):
            mended.append(word)
        elif following and _torn(word, following, text, lexicon):
            joined = word.text + following.text
            mended.append(Word(joined, key_of(joined), word.start, following.end))
            i += 1
        elif _known(word.text, word.key, lexicon) or lexicon.within(word.text):
            mended.append(word)
        elif (plain := _without_umlauts(word.text, lexicon)) != word.text:
            mended += _placed(word, [plain])
        else:
            if word.text not in known:
                known[word.text] = list(
                    _pieces(word.text, lexicon, _PIECES) or () if len(word.text) > 5 else ()
                ) or [_respelled(word.text, lexicon)]
            mended += _placed(word, known[word.text])
        i += 1
    return mended


def _known(text: str, key: str, lexicon: Lexicon) -> bool:
    return text in lexicon.words or key in lexicon.keys or text in lexicon.look_alikes


def _torn(word: Word, following: Word, text: str, lexicon: Lexicon) -> bool:
    """Whether two words side by side are one the lexicon knows, and not both words of their own."""
    if not following.text.isalpha() or text[word.end : following.start].strip(" \n-‐"):
        return False
    joined = word.text + following.text
    known = [_known(w.text, w.key, lexicon) for w in (word, following)]
    cut_off = len(word.text) == 1 and word.text not in "aeiouy" and len(joined) > 3  # "m ilk", "b ean"
    if cut_off and (joined in lexicon.allergens or (joined in lexicon.words and not known[1])):
        return True
    if len(joined) < 4 or not (key_of(joined) in lexicon.allergens or joined in lexicon.allergens):
        return False
    return not all(known)


def _without_umlauts(text: str, lexicon: Lexicon) -> str:
    """A word of the lexicon whose umlauts are written with an e, as in capitals they often are:
    "HASELNUESSE".
    """
    plain = _UMLAUT.sub(lambda m: m.group()[0], text)
    return (
        plain if plain != text and (_known(plain, key_of(plain), lexicon) or lexicon.within(plain)) else text
    )


def _placed(word: Word, pieces: list[str]) -> list[Word]:
    """The pieces of a word with their places in the text; where these are not known, each stands for all
    of it.
    """
    if pieces == [word.text]:
        return [word]
    whole = len("".join(pieces)) == word.end - word.start
    found, at = [], word.start
    for piece in pieces:
        found.append(
            Word(piece, key_of(piece), at if whole else word.start, at + len(piece) if whole else word.end)
        )
        at += len(piece)
    return found


def _pieces(text: str, lexicon: Lexicon, most: int) -> tuple[str, ...] | None:
    """The fewest English words of the lexicon, of three letters or more, that the text is made of; the
    longest first.
    """
    if text in lexicon.words:
        return (text,)
    best = None
    for i in range(len(text) - 3, 2, -1) if most > 1 else ():
        if text[:i] in lexicon.words:
            rest = _pieces(text[i:], lexicon, most - 1)
            if rest and (best is None or len(rest) + 1 < len(best)):
                best = (text[:i], *rest)
    return best


@lru_cache(maxsize=20000)
def _respelled(word: str, lexicon: Lexicon) -> str:
    for read, meant in _SLIPS:
        tried = word.replace(read, meant)
        if tried != word and (tried in lexicon.allergens or key_of(tried) in lexicon.allergens):
            return tried
    singular = word.removesuffix("s")
    ends = {word[-1:], singular[-1:]}
    for target in lexicon.misspelt:
        if target[0] != word[0] and target[-1] not in ends:
            continue  # one slip leaves one end as it was
        if abs(len(word) - len(target)) < 3 and (
            _one_slip(word, target) or (singular not in lexicon.look_alikes and _one_slip(singular, target))
        ):
            return target
    return word


def _one_slip(said: str, meant: str) -> bool:
    """Whether one slip of the pen turns ``meant`` into ``said``: the shorter the word, the fewer slips count.

    >>> _one_slip("hazlenut", "hazelnut"), _one_slip("mild", "milk"), _one_slip("mlik", "milk")
    (True, False, True)
    """
    i = 0
    while i < min(len(said), len(meant)) and said[i] == meant[i]:
        i += 1
    if len(said) == len(meant) - 1:
        return len(meant) > 4 and said[i:] == meant[i + 1 :]
    if len(said) == len(meant) + 1:
        return said[i + 1 :] == meant[i:] and (len(meant) > 4 or said[i] == said[i - 1])
    if len(said) != len(meant) or said == meant:
        return False
    swapped = said[i : i + 2] == meant[i : i + 2][::-1] and said[i + 2 :] == meant[i + 2 :]
    return swapped or (len(meant) > 5 and said[i + 1 :] == meant[i + 1 :])
