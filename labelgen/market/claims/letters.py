"""The letters of a text as its reader sees them, for claims: whatever is put between the letters or words
of one hides nothing.
"""

from __future__ import annotations

import re
from functools import lru_cache

from labelgen.composition.text.letters import plain_letters

_LETTER = r"[^\W\d_]"
#: Single letters, at least three, the same mark between each and the next: "v-e-g-a-n".
_SPACED = re.compile(rf"(?<!\w){_LETTER}(?:([.\-_*·•])){_LETTER}(?:\1{_LETTER})+(?!\w)")
#: Initials with their points: "G.F."
_POINTED = re.compile(rf"(?<![\w.])(?:{_LETTER}\.){{2,4}}(?!\w)")
#: Marks of ornament between two words, and a new word begun by its capital ("GlutenFree").
_ORNAMENT = re.compile(rf"(?<={_LETTER})[*·•._~+|](?={_LETTER}{{2}})")
_CAPITAL = re.compile(r"(?<=[a-zà-öø-ÿ])(?=[A-Z][a-z])")


@lru_cache(maxsize=5000)
def straighten(text: str) -> str:
    """The text in plain letters, one blank between its words, letters that stand apart joined.

    >>> straighten("V e g \\u0430 n  cake"), straighten("G.F. cake, v-e-g-a-n")
    ('Vegan cake', 'GF cake, vegan')
    """
    text = plain_letters(text)
    text = _SPACED.sub(lambda m: m[0].replace(m[1], ""), text)
    text = _POINTED.sub(lambda m: m[0].replace(".", ""), text)
    return " ".join(_CAPITAL.sub(" ", _ORNAMENT.sub(" ", text)).split())
