"""Allergen terms of further languages, ``reference/allergens/lexicon/<language>.csv``, one row for many
words.

They count where the text around them is in their language (``languages``), so that Turkish "un" (flour) is no
French "un". A word that ends in ``*`` stands for every word that begins so; in a row with ``match = part`` a
term is found inside longer words.
"""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache, cached_property
from pathlib import Path

from labelgen import paths
from labelgen.composition.text.folded_words import SOURCES, Parts, Word, read_words
from labelgen.composition.text.tongues import (
    FIRST,
    Tongues,
    languages_that_know,
    lexicon_files,
    words_in_languages,
    words_of,
)

#: Letters that a term at the beginning of a compound has at least.
_LEAST = 4
#: Match rules of these rows; they mean what they mean in the lexicon of five languages.
RULES = ("", "item", "part", "source", "grain")


class Abroad:
    """The further languages' terms. only: the one language to read, None for all."""

    def __init__(self, compiled: dict, only: str | None):
        self._rows, self._words, self._stems, self._parts = (
            compiled[k] for k in ("rows", "words", "stems", "parts")
        )
        self._only = only

    def candidates(
        self, words: list[Word], i: int, tongues: Tongues
    ) -> Iterator[tuple[int, int, list[str], tuple[str, ...]]]:
        """Terms that begin at a word and count there: (words, letters, row, keys)."""
        text = words[i].text
        if not text.isalpha():
            return
        said = list(self._words.get(text, ()))
        for n in range(2, len(text) + 1):
            said += self._stems.get(text[:n], ())
        for keys, n in said:
            row, end = self._rows[n], i + len(keys)
            if (
                self._only in (None, row[0])
                and all(fits(w, k) for w, k in zip(words[i:end], keys, strict=False))
                and end <= len(words)
            ):
                letters = sum(len(k.strip("*")) for k in keys)
                if tongues.counts(i, row[0], letters) and not (
                    keys[-1].endswith("*") and self.denies(words[end - 1], end - 1, tongues)
                ):
                    yield len(keys), letters, row, tuple(keys)

    def inside(self, word: Word, i: int, tongues: Tongues) -> Iterator[tuple[list[str], str]]:
        """Terms of one language inside a longer word: (row, part), those of the likeliest language that
        has any.
        """
        heard = tongues.at(i)
        if self.denies(word, i, tongues):
            return
        for language in sorted(self._within.keys() & heard.keys(), key=lambda said: (-heard[said], said)):
            found = [
                part
                for part in self._within[language].within(word.text)
                if tongues.counts(i, language, len(part))
            ]
            if found:
                yield from ((self._rows[self._parts[language][part]], part) for part in found)
                return
        for language in sorted(languages_that_know(word.text) & self._within.keys()):
            for part, n in self._parts[language].items():
                if _is_compound(word.text, part, language):
                    yield self._rows[n], part
                    return

    def denies(self, word: Word, i: int, tongues: Tongues) -> bool:
        """Whether a word's ending says, in the likeliest language, that the food is free of what it begins
        with: "glutenfri".
        """
        alone = (said for said in languages_that_know(word.text) if tongues.alone(i, said))
        likeliest = (*tongues.likeliest(i), *alone)
        return any(
            word.text.endswith(free) and len(word.text) > len(free)
            for said in likeliest
            for free in self._endings.get(said, ())
        )

    @cached_property
    def _within(self) -> dict[str, Parts]:
        return {said: Parts(parts) for said, parts in self._parts.items() if self._only in (None, said)}

    @cached_property
    def _endings(self) -> dict[str, tuple[str, ...]]:
        found: dict[str, tuple[str, ...]] = {}
        for word, said in words_in_languages("free").items():
            for language in said:
                found[language] = (*found.get(language, ()), word)
        return found


def _is_compound(text: str, part: str, language: str) -> bool:
    """Whether a word that none of the first five languages knows begins with a term, and the rest of it is
    a word of the term's language: "melkpoeder" in an English list.
    """
    return (
        len(part) >= _LEAST
        and text.startswith(part)
        and language in words_of(text[len(part) :])
        and FIRST.isdisjoint(languages_that_know(text))
    )


def fits(word: Word, key: str) -> bool:
    """Whether a word of a text is a term's word: the same, or one that begins so where the key ends in
    ``*``.
    """
    return word.text.startswith(key[:-1]) if key[-1] == "*" else word.text == key


@cache
def read_abroad(only: str | None = None) -> Abroad:
    """The further languages' terms, or one language's. Raises ValueError for a row it cannot use."""
    files = lexicon_files()[1:]
    code = [Path(__file__), *SOURCES]
    return Abroad(paths.made_once("abroad", (*files, *code), lambda: compile_abroad(read_rows(files))), only)


def read_rows(files: list[Path]) -> list[list[str]]:
    """Rows as ``compile_abroad`` takes them: language, rule, contains, typical, may, terms."""
    return [
        [path.stem, *(r[c].strip() for c in ("match", "contains", "typical", "may", "terms"))]
        for path in files
        for r in paths.read_rows(*path.relative_to(paths.reference()).parts)
    ]


def compile_abroad(rows: list[list[str]]) -> dict:
    """Rows made ready for ``Abroad``. Raises ValueError for a bad row."""
    words: dict[str, list] = {}
    stems: dict[str, list] = {}
    parts: dict[str, dict[str, int]] = {}
    for n, (language, rule, _, _, _, terms) in enumerate(rows):
        if rule not in RULES:
            raise ValueError(
                f"{language}: match {rule!r} is not one of {', '.join(r for r in RULES if r)} or empty;"
                f" correct the row of {terms!r}"
            )
        for term in terms.split("|"):
            keys = keys_of(term)
            if not keys:
                raise ValueError(f"{language}: {terms!r} has an empty term; take out the | that is too many")
            if rule == "part":
                parts.setdefault(language, {})["".join(k.text for k in read_words(term))] = n
            elif keys[0].endswith("*"):
                stems.setdefault(keys[0][:-1], []).append([keys, n])
            else:
                words.setdefault(keys[0], []).append([keys, n])
    return {
        "rows": [[r[0], r[1] or "word", *r[2:5]] for r in rows],
        "words": words,
        "stems": stems,
        "parts": parts,
    }


def keys_of(term: str) -> list[str]:
    """A term's words as they are compared: folded, with ``*`` where any ending may follow.

    >>> keys_of("mąk* pszenna")
    ['mak*', 'pszenna']
    """
    keys = []
    for said in term.split():
        read = read_words(said.rstrip("*"))
        keys += [w.text for w in read[:-1]] + [
            f"{w.text}*" if said.endswith("*") else w.text for w in read[-1:]
        ]
    return keys
