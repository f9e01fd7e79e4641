"""How much text is read at once: what is longer than a packet's is read in parts, and what is longer than any
is not read to its end.

The work of reading grows with the square of a part's length, so the parts keep a long sheet's within bounds.
A part is read for itself: a denial or a warning that runs on into the next counts there as contained, never
the other way round.
"""

from __future__ import annotations

import re

#: Characters that a text may have at most, and a part of it.
LONGEST = 20_000
LONGEST_PART = LONGEST // 8
#: Where a text is best cut, best first: an empty line, a sentence, a line, an item, a word.
_CUTS = tuple(map(re.compile, (r"\n[ \t]*\n", r"[.!?](?=\s)", r"\n", r"[,;]", r"\s")))


def in_parts(text: str) -> list[str]:
    """A text, as far as it is read, in parts that together are that text.

    >>> [len(part) for part in in_parts("sugar, salt. " * 300)]
    [2495, 1405]
    """
    text, parts = text[:LONGEST], []
    while len(text) > LONGEST_PART:
        ends = ([m.end() for m in cut.finditer(text, LONGEST_PART // 2, LONGEST_PART)] for cut in _CUTS)
        at = next((found[-1] for found in ends if found), LONGEST_PART)
        parts.append(text[:at])
        text = text[at:]
    return [*parts, text]
