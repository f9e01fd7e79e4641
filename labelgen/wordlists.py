"""Words of the languages that packets, recipes and claims are written in, by what they do there.

They are data: a table such as ``[denial]`` in ``reference/words/<language>.toml``, in which a text is words
parted by blanks and a list holds phrases or patterns one by one. ``words_for("denial.negating")`` is what
every language has of it.
"""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

from labelgen import paths
from labelgen.tomlfile import read_toml

#: The languages whose words count in any text, in the order they are tried.
LANGUAGES = ("en", "de", "es", "fr", "it", "nl")


@cache
def word_file(language: str) -> dict[str, Any]:
    """All that ``reference/words/<language>.toml`` holds."""
    return read_toml(paths.reference("words", f"{language}.toml"))


def files() -> tuple[Path, ...]:
    """The files that ``words_for`` reads."""
    return tuple(paths.reference("words", f"{language}.toml") for language in LANGUAGES)


@cache
def words_for(name: str, *languages: str) -> tuple[str, ...]:
    """The words or phrases of a name ("table.entry") in some languages, or in all of ``LANGUAGES``.

    Raises KeyError for a name that none of them has.

    >>> words_for("denial.closing", "en", "de")
    ('or', 'nor', 'oder')
    """
    table, _, entry = name.partition(".")
    found: dict[str, None] = {}
    for language in languages or LANGUAGES:
        words = word_file(language).get(table, {}).get(entry, ())
        found.update(dict.fromkeys(words.split() if isinstance(words, str) else words))
    if not found:
        raise KeyError(f"reference/words: no language has {name!r}")
    return tuple(found)


def any_of(name: str, *languages: str) -> str:
    """The phrases of a name as one regular expression that finds any of them, the first that fits."""
    return f"(?:{'|'.join(words_for(name, *languages))})"


def forms(name: str) -> dict[str, str]:
    """A table whose entries each bring several words to one form: each word -> its form."""
    return {
        word: form
        for language in LANGUAGES
        for form, words in word_file(language).get(name, {}).items()
        for word in words.split()
    }
