"""Ranks foods for what a baker typed: a synonym table first, then the full-text index, plain raw foods before others."""

from __future__ import annotations

import csv
import re
from dataclasses import dataclass
from functools import cache

from labelgen import paths
from labelgen.composition.dataset import Dataset

_COOKED = re.compile(r"\b(cooked|boiled|roasted|fried|prepared|canned|frozen|baked|mix|restaurant|imitation|dehydrated|toasted|with|candies|fast foods)\b", re.I)
_NOISE = re.compile(r"^\d+(?:[.,]\d+)?\s*(?:g|kg|ml|oz|lb|cups?|tbsp|tsp)\b")


@dataclass(frozen=True)
class Hit:
    """A ranked food. score: 0..100, for order only."""

    id: str
    name: str
    score: float


@cache
def _synonyms() -> dict[str, str]:
    with open(paths.reference("composition", "common_names.csv"), encoding="utf-8", newline="") as f:
        return {_plain(word): row["id"] for row in csv.DictReader(f) for word in row["words"].split("|")}


def _plain(text: str) -> str:
    """Lower case, no accents or punctuation, each word in the singular.

    >>> _plain("Crème fraîche, Eggs")
    'creme fraiche egg'
    """
    import unicodedata

    base = "".join(c for c in unicodedata.normalize("NFKD", text.casefold()) if not unicodedata.combining(c))
    words = re.findall(r"[a-z0-9]+", _NOISE.sub(" ", base.strip()))
    return " ".join(_singular(w) for w in words)


def _singular(word: str) -> str:
    if len(word) > 4 and word.endswith("ies"):
        return word[:-3] + "y"
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


def search(dataset: Dataset, query: str, limit: int = 10) -> list[Hit]:
    """Foods that fit, best first; empty when nothing does. A search only ranks: a specification pins an id."""
    typed = query.strip().lower()
    names = _names(dataset)
    for fid in (typed, f"usda/{typed}"):
        if fid in names:
            return [Hit(fid, names[fid], 100.0)]
    words = _plain(query)
    if not words:
        return []
    found: dict[str, float] = {}
    synonyms = _synonyms()
    if words not in synonyms and not _candidates(dataset, words):
        from rapidfuzz import process

        near = process.extractOne(words, list(synonyms), score_cutoff=84)
        if near:
            words = near[0]
    if words in synonyms:
        found[synonyms[words]] = 100.0
    for fid, name in _candidates(dataset, words):
        found.setdefault(fid, _score(words, name))
    ranked = sorted(found.items(), key=lambda x: (-x[1], len(names[x[0]]), x[0]))
    return [Hit(fid, names[fid], round(score, 2)) for fid, score in ranked[:limit]]


@cache
def _names(dataset: Dataset) -> dict[str, str]:
    return dict(dataset.names())


def _candidates(dataset: Dataset, words: str) -> list[tuple[str, str]]:
    """Foods holding all the words, else any of them."""
    terms = [f'"{w}"*' for w in words.split()]
    for joiner in (" AND ", " OR "):
        rows = dataset.connection.execute(
            "SELECT id, name FROM food_fts WHERE name MATCH ? ORDER BY bm25(food_fts) LIMIT 80", (joiner.join(terms),)
        ).fetchall()
        if rows:
            return rows
    return []


def _score(words: str, name: str) -> float:
    """USDA names read "Noun, qualifier, qualifier": the head noun counts most, extra words and cooking count against."""
    wanted, head, whole = set(words.split()), set(_plain(name.split(",")[0]).split()), set(_plain(name).split())
    hit = len(wanted & whole) / len(wanted)
    return 60 * hit + 20 * bool(wanted & head) + 10 * ("raw" in whole) - 1.2 * len(whole - wanted) - 12 * bool(_COOKED.search(name) and not _COOKED.search(words))
