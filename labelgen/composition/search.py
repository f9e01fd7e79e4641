"""Food search: ranks the foods of the dataset by how well they answer what a baker types. It never chooses for the maker.

Candidates come from the full-text index and from kitchen names (``reference/composition/search_foods.csv``: ``ids`` in order of preference,
``names`` as bakers say them, ``kind`` = ``same``, or ``near`` where the thing itself is not in the data). Words found nowhere are
compared by spelling. States not named default as that file says: flour is white wheat flour, egg is raw whole egg, milk is whole
milk, butter is unsalted butter with salted butter next.
"""

from __future__ import annotations

import csv
import re
from collections import Counter
from functools import cache
from typing import NamedTuple

from labelgen import paths
from labelgen.composition.searchrank import SURE, Match, take_alias, take_apart, weigh
from labelgen.composition.searchwords import Typed, plain, read_query, spell, stem, words

_PERFECT = 12.75
_ID = re.compile(r"(?:usda/|pure/)?[a-z0-9-]+")


class Hit(NamedTuple):
    """A food found. score: 0-100, only its order means anything. note: why a food that is not the thing itself is offered."""

    id: str
    name: str
    score: float
    note: str = ""


class Alias(NamedTuple):
    ids: tuple[str, ...]
    names: tuple[str, ...]
    text: str
    near: bool
    note: str


@cache
def kitchen_names() -> tuple[Alias, ...]:
    """The rows of ``search_foods.csv``."""
    with open(paths.reference("composition", "search_foods.csv"), encoding="utf-8", newline="") as f:
        return tuple(
            Alias(tuple(i if "/" in i else f"usda/{i}" for i in row["ids"].split()), tuple(row["names"].split(";")), plain(row["names"]), row["kind"] == "near", row["note"])
            for row in csv.DictReader(f)
        )


def search(dataset, query: str, limit: int = 10) -> list[Hit]:
    """The foods that fit ``query`` best, best first; an id (``01123``, ``usda/01123``) finds that food alone."""
    exact = _by_id(dataset, query)
    if exact:
        return [exact]
    typed = read_query(query)
    if not typed.tokens:
        return []
    other = _joined(typed)
    ranked, found = _rank(dataset, typed, other)
    if not found:
        corrected = _corrections(dataset, typed)
        if corrected:
            ranked, _ = _rank(dataset, typed, {t: other.get(t, []) + corrected.get(t, []) for t in typed.tokens})
    return ranked[:limit]


def _by_id(dataset, query: str) -> Hit | None:
    key = query.strip().lower()
    if not _ID.fullmatch(key):
        return None
    for fid in (key, f"usda/{key.zfill(5)}" if key.isdigit() and len(key) in (4, 5) else f"usda/{key}", f"pure/{key}"):
        row = dataset.connection.execute("SELECT id, name FROM food WHERE id = ?", (fid,)).fetchone()
        if row and (key[0].isdigit() or "/" in key):
            return Hit(*row, 100.0)
    return None


def _joined(typed: Typed) -> dict[str, list[tuple[str, float]]]:
    """Two words side by side may be written as one: "butter milk"."""
    tokens = list(typed.tokens)
    other: dict = {}
    for a, b in zip(tokens, tokens[1:]):
        for t in (a, b):
            other.setdefault(t, []).append((a + b, 0.97))
    return other


def _surfaces(typed: Typed, other) -> dict[str, list[str]]:
    """For each word that matters, the ways it may stand in a name."""
    written = words().written
    out = {}
    strong = {t: v for t, v in typed.tokens.items() if t[-1] != "%" and v >= 0.5} or {t: v for t, v in typed.tokens.items() if t[-1] != "%"}
    for token in strong:
        forms = [token, *(s for s, _ in other.get(token, ()))]
        out[token] = list(dict.fromkeys([*forms, *(" ".join(p) for f in forms for p in written.get(f, ()))]))
    return out


def _candidates(dataset, surfaces: dict[str, list[str]], typed: Typed) -> list[tuple[str, str, str]]:
    """Foods whose names hold all the words, else any of them: (id, name, group)."""
    if not surfaces:
        return []

    def group(forms: list[str]) -> str:
        return "(" + " OR ".join(" + ".join(f'"{x}"' for x in f.split()) + "*" for f in forms) + ")"

    sql = "SELECT id, name, group_name FROM food_fts WHERE food_fts MATCH ? ORDER BY rank LIMIT ?"
    groups = {t: group(forms) for t, forms in surfaces.items()}
    rows = dataset.connection.execute(sql, ("name : (" + " AND ".join(groups.values()) + ")", 250)).fetchall()
    if len(rows) < 5 and len(groups) > 1:
        full = [g for t, g in groups.items() if typed.tokens[t] == 1.0] or list(groups.values())
        seen = {r[0] for r in rows}
        if len(full) < len(groups):
            rows += [r for r in dataset.connection.execute(sql, ("name : (" + " AND ".join(full) + ")", 150)) if r[0] not in seen]
        if len(rows) < 5:
            seen = {r[0] for r in rows}
            rows += [r for r in dataset.connection.execute(sql, ("name : (" + " OR ".join(full) + ")", 150)) if r[0] not in seen]
    return rows


def _rank(dataset, typed: Typed, other) -> tuple[list[Hit], bool]:
    w = words()
    surfaces = _surfaces(typed, other)
    best: dict[str, tuple[float, str]] = {}
    names: dict[str, tuple[str, str]] = {}
    found = False
    for fid, name, group in _candidates(dataset, surfaces, typed):
        names[fid] = (name, group)
        match = weigh(typed, take_apart(name), other)
        found = found or match.found
        best[fid] = (match.score, "")
    prefixes = [f.split()[0] for forms in surfaces.values() for f in forms]
    for row in kitchen_names():
        if not any(p[:4] in row.text for p in prefixes):
            continue
        top: Match | None = None
        for name in row.names:
            match = weigh(typed, take_alias(name), other)
            found = found or match.found
            score = match.score + (w.bonus["near" if row.near else "same"] if match.same else 0.0)
            if top is None or score > top[0]:
                top = match._replace(score=score)
        if top.score <= 1:
            continue
        for place, fid in enumerate(row.ids):
            score = top.score - 0.2 * place
            if fid not in best or score > best[fid][0]:
                best[fid] = (score, row.note or "the nearest in the data" if row.near else "")
    missing = [f for f in best if f not in names]
    if missing:
        marks = ",".join("?" * len(missing))
        names.update((r[0], r[1:]) for r in dataset.connection.execute(f"SELECT id, name, grp FROM food WHERE id IN ({marks})", missing))
    hits = []
    for fid, (score, note) in best.items():
        name, group = names[fid]
        score -= w.groups.get(group, 0.0)
        if score > 1:
            hits.append(Hit(fid, name, round(min(100.0, 100 * score / _PERFECT), 1), note))
    hits.sort(key=lambda h: (-h.score, len(h.name), h.id))
    return hits, found


@cache
def _vocabulary(dataset) -> Counter:
    """Every word of the foods' names and, counted higher, of the kitchen names."""
    out = Counter(t for _, name in dataset.names() for t in set(re.findall("[a-z]{3,}", name.lower())))
    out = Counter({stem(t): n for t, n in out.items()})
    for row in kitchen_names():
        for token in set(re.findall("[a-z]{3,}", row.text)):
            out[stem(token)] += 20
    return out


def _corrections(dataset, typed: Typed) -> dict[str, list[tuple[str, float]]]:
    """Near spellings of the words that are in no name; of all the words when each is in some name."""
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    vocabulary = _vocabulary(dataset)
    tokens = [t for t in typed.tokens if t.isalpha() and len(t) > 2]
    unknown = [t for t in tokens if t not in vocabulary] or [t for t in tokens if len(t) > 3]
    out: dict[str, list[tuple[str, float]]] = {}
    for token in unknown:
        near = process.extract(token, vocabulary.keys(), scorer=OSA.normalized_similarity, score_cutoff=0.66, limit=8)
        options = [(word, 0.75 * score + 0.03 * (word[0] == token[0]) + 0.02 * (vocabulary[word] > 20)) for word, score, _ in near if word != token]
        for cut in range(3, len(token) - 2):
            if token[:cut] in vocabulary and token[cut:] in vocabulary:
                options += [(token[:cut], 0.5), (token[cut:], 0.7)]
        if options:
            settled = [(s, q) for word, q in options for s in spell(word)]
            out[token] = sorted(dict.fromkeys(settled), key=lambda o: -o[1])[:6]
    return out
