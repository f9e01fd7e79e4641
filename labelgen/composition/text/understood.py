"""How much of a packet's text was understood, and which language it looks like.

A text that nobody could read says nothing about what is in it: "none found" would be the most dangerous
answer there is.
"""

from __future__ import annotations

import re
import unicodedata
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from labelgen import paths
from labelgen.composition.text.folded_words import SOURCES, Word, key_of, read_words
from labelgen.composition.text.long_texts import LONGEST
from labelgen.composition.text.tongues import Tongues, languages, languages_that_know, words_in_languages

READ, IN_PART, NOT_READ = "read", "read in part", "not read"
#: Below this share of words understood a text, or a sentence of it, is not read; below the second, read in
# part. Tuned on
#: the packets in tests/allergens and on lists in languages that are not read
# (tests/composition/test_understood.py).
_LEAST, _WHOLE = 0.65, 0.8
#: Below this share of the words that tell of foods a text is not read, however short.
_FEW = 0.5
#: Words that a sentence has at the least to be judged by itself.
_SENTENCE = 3
#: Words in a row that nobody knows, in a text that is read otherwise.
_RUN = 4
#: Unread words that a sentence about them names.
_SHOWN = 8
_ADDITIVE = re.compile(r"\b(?:E|INS)[\s-]?\d{3,4}|\b\d{3,4}\b", re.IGNORECASE)
_ENDS = frozenset(".!?\n•▪●;:")
_LATIN = re.compile(r"[a-z]+")


@dataclass(frozen=True)
class Reading:
    """share: of the words, how many are known, 0 to 1. unread: those that are not, as written. looks_like:
    the name of the language, "" where nothing tells. verdict: ``READ``, ``IN_PART`` or ``NOT_READ``.
    too_long: the characters of a text longer than any packet's, which is not read to its end; else 0.
    """

    share: float
    unread: tuple[str, ...]
    looks_like: str
    verdict: str
    too_long: int = 0

    @property
    def told(self) -> str:
        """The verdict in words: "not read (it looks like Swahili): unga, wa, ngano"; "" if all was read."""
        if self.verdict == READ:
            return ""
        if self.too_long:
            return (
                f"{self.verdict} to its end: {self.too_long:,} characters are more than a packet says (at"
                f" most {LONGEST:,})"
            )
        if not self.unread:
            return f"{self.verdict}: no word of it names a food"
        language = (
            f" (it looks like {self.looks_like})" if self.looks_like and self.verdict == NOT_READ else ""
        )
        return (
            f"{self.verdict}{language}:"
            f" {', '.join(self.unread[:_SHOWN])}{' ...' if len(self.unread) > _SHOWN else ''}"
        )


@dataclass
class _Sentence:
    known: int = 0
    words: int = 0


def measure(text: str, parts: Iterable[tuple[list[Word], str, frozenset[int]]]) -> Reading:
    """How much of a text is understood. parts: the words of each clause, as they were read for allergens,
    its text, and the places of the words that name one.
    """
    known = little = total = run = longest = 0
    unread: dict[str, None] = {}
    sentences = [_Sentence()]
    votes: Counter[str] = Counter()
    for words, part, named in parts:
        tongues = Tongues(words)
        sentences.append(_Sentence())
        for i, word in enumerate(words):
            if word.text in _ENDS:
                sentences.append(_Sentence())
            if not word.text.isalpha() or (len(word.text) < 2 and _LATIN.match(word.text)):
                continue
            here = _languages(word.text)
            votes.update(here)
            total, sentences[-1].words = total + 1, sentences[-1].words + 1
            if i in named or here & tongues.at(i).keys():
                known, run, sentences[-1].known = known + 1, 0, sentences[-1].known + 1
                little += i not in named and _is_little(word.text, tongues.at(i))
            else:
                run += 1
                longest = max(longest, run)
                unread[part[word.start : word.end]] = None
    share = known / total if total else float(bool(_ADDITIVE.search(text)))
    # of the words that tell of foods
    told = (known - little) / (total - little) if total > little else 0.0 if total else share
    lowest = min((s.known / s.words for s in sentences if s.words >= _SENTENCE), default=1.0)
    if told < _FEW or (len(unread) > 1 and (min(share, told) < _LEAST or lowest < _LEAST / 2)):
        verdict = NOT_READ
    else:
        verdict = IN_PART if min(share, told) < _WHOLE or longest >= _RUN else READ
    too_long = len(text) if len(text) > LONGEST else 0
    return Reading(
        round(share, 2),
        tuple(unread),
        _looks_like(text[:LONGEST], votes, total),
        NOT_READ if too_long else verdict,
        too_long,
    )


def _languages(word: str) -> frozenset[str]:
    """The languages that know a folded word: as a word of packets, or as a food of the table."""
    known = languages_that_know(word)
    more = _foods().get(key_of(word))
    return known | frozenset(more.split()) if more else known


def _is_little(word: str, heard: dict[str, int]) -> bool:
    """Whether a word tells of no food in the language most words around it are in."""
    said = words_in_languages("connecting").get(word, frozenset())
    return any(heard.get(language, 0) == max(heard.values(), default=1) for language in said)


@cache
def _foods() -> dict[str, str]:
    """Words of the names of foods, in the table and in the label languages, by key, with the languages
    they are words of.
    """
    tables = {
        "composition": ("foods.csv", "synonyms.csv", "search_foods.csv", "foreign_words.csv"),
        "claims": ("kinds.csv",),
        "names": tuple(f"{c}.csv" for c in ("fr", "de", "es", "it")),
    }
    files = [(folder, name) for folder, names in tables.items() for name in names]
    return paths.made_once(
        "known-words",
        (*(paths.reference(*f) for f in files), Path(__file__), *SOURCES),
        lambda: _compile(files),
    )


def _compile(files: list[tuple[str, str]]) -> dict[str, str]:
    found: dict[str, dict[str, None]] = {}
    for folder, name in files:
        for row in paths.read_rows(folder, name):
            for column in (
                "name",
                "names",
                "written",
                "means",
                "term",
                "en",
                "de",
                "fr",
                "es",
                "it",
                "plural",
            ):
                own = name.removesuffix(".csv") if folder == "names" else row.get("language", "en") or "en"
                for word in read_words(re.sub(r"[{}|]", " ", row.get(column) or "")):
                    if word.text.isalpha() and len(word.text) > 1:
                        found.setdefault(word.key, {})["en" if column == "en" else own] = None
    return {word: " ".join(said) for word, said in found.items()}


@cache
def _signs() -> tuple[dict[str, tuple[str, ...]], list[tuple[str, str, frozenset[str], frozenset[str]]]]:
    """(script -> languages written in it; rows of language, script, letters, words)."""
    rows = [
        (r["language"], r["script"], frozenset(r["letters"]), frozenset(r["words"].split()))
        for r in paths.read_rows("words", "unread.csv")
    ]
    scripts: dict[str, tuple[str, ...]] = {}
    for language, script, *_ in rows:
        for one in script.split():
            scripts[one] = (*scripts.get(one, ()), language)
    return scripts, rows


def _looks_like(text: str, votes: Counter[str], total: int) -> str:
    """The name of the language a text looks like; that of a language read, where it knows half of the
    words.
    """
    best, n = max(sorted(votes.items()), key=lambda v: (v[1], v[0] == "en"), default=("", 0))
    if total and n * 4 >= total * 3:
        return languages().get(best, {}).get("name", best)
    scripts, rows = _signs()
    said = list(re.findall(r"[^\W\d_]+", text.lower()))
    letters = Counter("".join(said))
    script = _script(letters)
    meant = {language for one in script.split() for language in scripts.get(one, ())}
    scored = [
        (2 * sum(w in words for w in said) + sum(letters[c] for c in own), language)
        for language, where, own, words in rows
        if (language in meant if script else not where)
    ]
    points, language = max(scored, key=lambda s: s[0], default=(0, ""))
    if total and n * 2 >= total and points < 2 * n:
        return languages().get(best, {}).get("name", best)
    if points >= 2:
        return language
    if script:
        return meant.pop() if len(meant) == 1 else f"a language in {script.title()} letters"
    return languages().get(best, {}).get("name", best) if total and n * 4 >= total else ""


def _script(letters: Counter[str]) -> str:
    """The script most letters are in, "" for Latin; kana goes before the Chinese characters around it."""
    found: Counter[str] = Counter()
    for c, n in letters.most_common(60):
        found[unicodedata.name(c, "LATIN").split()[0].lower()] += n
    if found["hiragana"] + found["katakana"]:
        return "hiragana"
    best = max(found, key=found.__getitem__, default="latin")
    return "" if best == "latin" else best
