"""The letters of a text as a reader sees them: one alphabet, one spacing, nothing invisible.

What looks like a claim is one, whichever letters make it up: "Vegаn" with a Cyrillic letter, "V e g a n", full width letters.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache, lru_cache

from labelgen import paths

_LETTER = r"[^\W\d_]"
#: Single letters, at least three, one mark between each and the next: "V e g a n", "v-e-g-a-n".
_SPACED = re.compile(rf"(?<!\w){_LETTER}(?:([ .\-_*·•])){_LETTER}(?:\1{_LETTER})+(?![\w])")
#: Initials with their points: "G.F."
_POINTED = re.compile(rf"(?<![\w.])(?:{_LETTER}\.){{2,4}}(?!\w)")
#: Marks of ornament between two words, and a new word begun by its capital ("GlutenFree").
_ORNAMENT = re.compile(rf"(?<={_LETTER})[*·•._~+|](?={_LETTER}{{2}})")
_CAPITAL = re.compile(r"(?<=[a-zà-öø-ÿ])(?=[A-Z][a-z])")


@lru_cache(maxsize=5000)
def straighten(text: str) -> str:
    """The text in plain Latin letters, spaced letters joined.

    >>> straighten("V e g а n  cake"), straighten("Ｇｌｕｔｅｎ\\u200b free")
    ('Vegan cake', 'Gluten free')
    """
    text = unicodedata.normalize("NFKC", text.replace("™", " ").replace("®", " "))
    if not text.isascii():
        text = "".join(_lookalikes().get(c, c) for c in text if unicodedata.category(c) != "Cf")
    text = _SPACED.sub(lambda m: m[0].replace(m[1], ""), text)
    text = _POINTED.sub(lambda m: m[0].replace(".", ""), text)
    return " ".join(_CAPITAL.sub(" ", _ORNAMENT.sub(" ", text)).split())


@cache
def _lookalikes() -> dict[str, str]:
    return {c: row["letter"] for row in paths.read_rows("claims", "lookalikes.csv") for c in row["lookalikes"]}
