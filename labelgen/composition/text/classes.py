"""Function classes of additives, as suppliers write them.

They are data (``additive.function`` in ``reference/words``); the first name of a class is the one kept.
"""

from __future__ import annotations

from labelgen.wordlists import words_for


def _read() -> dict[str, str]:
    names = {}
    for line in words_for("additive.function"):
        spellings = [s.strip() for s in line.split(",") if s.strip()]
        for spelling in spellings:
            names[spelling] = names[spelling + "s"] = spellings[0]
    return names


#: Any spelling, singular or plural, in lower case -> the class's name.
CLASS_OF = _read()
