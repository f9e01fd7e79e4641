"""The letters of a text as its reader sees them, for claims: whatever is put between the letters or words
of one hides nothing.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache
from itertools import islice, product

from labelgen.composition.text.plain_letters import plain_letters, written_for
from labelgen.market.claims.around import cut_short, is_torn, keys_in, knows

_LETTER = r"[^\W\d_]"
#: Single letters, at least three, the same mark between each and the next: "v-e-g-a-n".
_SPACED = re.compile(rf"(?<!\w){_LETTER}(?:([.\-_*·•])){_LETTER}(?:\1{_LETTER})+(?!\w)")
#: Initials with their points: "G.F."
_POINTED = re.compile(rf"(?<![\w.])(?:{_LETTER}\.){{2,4}}(?!\w)")
#: Marks of ornament between two words, and a new word begun by its capital ("GlutenFree").
_ORNAMENT = re.compile(rf"(?<={_LETTER})[*·•._~+|](?={_LETTER}{{2}})")
_CAPITAL = re.compile(r"(?<=[a-zà-öø-ÿ])(?=[A-Z][a-z])")
#: Words with figures or signs among their letters: "fr33", "glut€n".
_MASKED = re.compile(r"(?=[^\s,;:()\[\]{}/\"]*[^\W\d_])[^\s,;:()\[\]{}/\"\-–—.]{2,}")
#: Two words with one mark between them that may tear a word apart.
_PAIR = re.compile(r"(?<![^\W_])([^\W\d_]+)[ \-.'’·_]([^\W\d_]+)(?![^\W_])")
#: Readings of one such word that are tried at most.
_TRIED = 64


@lru_cache(maxsize=5000)
def straighten(text: str) -> str:
    """The text in plain letters, one blank between its words, letters that stand apart joined.

    >>> straighten("V e g \\u0430 n  cake"), straighten("G.F. cake, v-e-g-a-n")
    ('Vegan cake', 'GF cake, vegan')
    >>> straighten("glut3n fr€e, fre$h, E150d")
    'gluten free, fre$h, E150d'
    """
    text = _MASKED.sub(lambda m: _unmasked(m[0]), plain_letters(text))
    text = _shortened().sub(lambda m: f"{cut_short()[m[0]]} ", text)
    text = _SPACED.sub(lambda m: m[0].replace(m[1], ""), text)
    text = _POINTED.sub(lambda m: m[0].replace(".", ""), text)
    return _whole(" ".join(_CAPITAL.sub(" ", _ORNAMENT.sub(" ", text)).split()))


@cache
def _shortened() -> re.Pattern:
    """What words of claims are cut short to, with more words behind or at the end."""
    return re.compile(rf"(?<![\w.])(?:{'|'.join(map(re.escape, cut_short()))})(?=\s*{_LETTER}{{2}}|$)")


def _whole(text: str) -> str:
    """The text with words of claims put together that are torn apart: "ve gan", "glu-ten"."""
    at = 0
    while torn := _PAIR.search(text, at):
        if is_torn(torn[1], torn[2]):
            text = text[: torn.start()] + torn[1] + torn[2] + text[torn.end() :]
        at = torn.end(1)
    return text


@lru_cache(maxsize=5000)
def _unmasked(word: str) -> str:
    """A word with the letters that figures and signs in it stand for, where that makes a word of claims."""
    signs = written_for()
    letters = [signs.get(c, c) for c in word]
    tried = map("".join, islice(product(*letters), _TRIED)) if any(c in signs for c in word) else ()
    return next((t for t in tried if (keys := keys_in(t)) and len(keys) == 1 and knows(keys[0])), word)
