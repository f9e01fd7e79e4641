"""Food search: ranks the foods of the dataset by how well they answer what a baker types. It never chooses
for the maker.

Candidates come from the full-text index and from kitchen names (``search/kitchen.py``). Words found nowhere
are compared by spelling. States not named default as that file says: flour is white wheat flour, egg is raw
whole egg, milk is whole milk, butter is unsalted butter with salted butter next.
"""

from __future__ import annotations

import itertools
import re
from collections import Counter
from collections.abc import Sequence
from functools import cache
from typing import NamedTuple

from labelgen.composition.search.kitchen import Alias, kitchen_names, with_a_word
from labelgen.composition.search.rank import Match, take_alias, take_apart, weigh
from labelgen.composition.search.search_words import (
    Typed,
    as_typed,
    plain,
    read_query,
    settle,
    spell,
    stem,
    words,
)

_PERFECT = 12.75
_ALSO = 0.8  # a word of another kitchen name of the same food
_FOREIGN = 0.8  # a word of another language is read, not known: never sure
_ID = re.compile(r"(?:usda/|pure/)?[a-z0-9-]+")


class Hit(NamedTuple):
    """A food found. score: 0-100, only its order means anything. note: why a food that is not the thing
    itself is offered.
    """

    id: str
    name: str
    score: float
    note: str = ""


def search(dataset, query: str, limit: int = 10) -> list[Hit]:
    """The foods that fit ``query`` best, best first; an id (``01123``, ``usda/01123``) finds that food
    alone.
    """
    exact = _by_id(dataset, query)
    if exact:
        return [exact]
    typed = read_query(query)
    if not typed.tokens:
        return []
    other = _joined(typed)
    written = as_typed(query)
    ranked, found = _rank(dataset, typed, other, written)
    if not found:
        typed, corrected = _corrections(dataset, _named_by_rarest(dataset, typed))
        ranked, _ = _rank(
            dataset, typed, {t: other.get(t, []) + corrected.get(t, []) for t in typed.tokens}, written
        )
    if typed.foreign:
        ranked = [
            Hit(h.id, h.name, round(_FOREIGN * h.score, 1), h.note or "a word of another language was read")
            for h in ranked
        ]
    return ranked[:limit]


def _named_by_rarest(dataset, typed: Typed) -> Typed:
    """When no name holds all the words, a word of few names says more than the kind of thing it is:
    isomalt sugar is isomalt.
    """
    if typed.noun not in words().kinds:
        return typed
    known = {t: n for t in typed.matter if t.isalpha() and (n := _vocabulary(dataset).get(t, 0))}
    rarest = min(known, key=known.get, default="")
    if not rarest or rarest == typed.noun or 10 * known[rarest] > known.get(typed.noun, 0):
        return typed
    weight = max(typed.tokens.values())
    return typed._replace(
        tokens={t: weight if t == rarest else min(v, 1.0) for t, v in typed.tokens.items()}, noun=rarest
    )


def _by_id(dataset, query: str) -> Hit | None:
    key = query.strip().lower()
    if not _ID.fullmatch(key):
        return None
    for fid in (
        key,
        f"usda/{key.zfill(5)}" if key.isdigit() and len(key) in (4, 5) else f"usda/{key}",
        f"pure/{key}",
    ):
        row = dataset.connection.execute("SELECT id, name FROM food WHERE id = ?", (fid,)).fetchone()
        if row and (key[0].isdigit() or "/" in key):
            return Hit(*row, 100.0)
    return None


def _joined(typed: Typed) -> dict[str, list[tuple[str, float]]]:
    """Two words side by side may be written as one: "butter milk"; some states are nearly others."""
    tokens = list(typed.tokens)
    other: dict = {t: [(a, 0.75) for a in words().alike[t]] for t in tokens if t in words().alike}
    for a, b in itertools.pairwise(tokens):
        for t in (a, b):
            other.setdefault(t, []).append((a + b, 0.97))
    return other


def _surfaces(typed: Typed, other) -> dict[str, list[str]]:
    """For each word that matters, the ways it may stand in a name."""
    written = words().written
    out = {}
    strong = {t: v for t, v in typed.tokens.items() if t[-1] != "%" and v >= 0.5} or {
        t: v for t, v in typed.tokens.items() if t[-1] != "%"
    }
    for token in strong:
        forms = [token, *(s for s, _ in other.get(token, ()))]
        out[token] = list(dict.fromkeys([*forms, *(p for f in forms for p in written.get(f, ()))]))
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
        full = [groups[t] for t in typed.matter if t in groups] or list(groups.values())
        seen = {r[0] for r in rows}
        if len(full) < len(groups):
            rows += [
                r
                for r in dataset.connection.execute(sql, ("name : (" + " AND ".join(full) + ")", 150))
                if r[0] not in seen
            ]
        if len(rows) < 5:
            seen = {r[0] for r in rows}
            rows += [
                r
                for r in dataset.connection.execute(sql, ("name : (" + " OR ".join(full) + ")", 150))
                if r[0] not in seen
            ]
    return rows


def _rank(dataset, typed: Typed, other, written: dict[str, str]) -> tuple[list[Hit], bool]:
    """The foods in order, and whether some name holds every word that matters."""
    surfaces = _surfaces(typed, other)
    best: dict[str, tuple[float, str]] = {}
    names: dict[str, tuple[str, str]] = {}
    found = False
    for fid, name, group in _candidates(dataset, surfaces, typed):
        names[fid] = (name, group)
        match = weigh(typed, take_apart(name), other)
        found = found or match.found
        best[fid] = (match.score, _unmet(typed, match.doubtful, written))
    called = _called(typed, other)
    found = found or any(match.found for _, match in called)
    missing = [fid for fid in dict.fromkeys(fid for row, _ in called for fid in row.ids) if fid not in names]
    marks = ",".join("?" * len(missing))
    names.update(
        (r[0], r[1:])
        for r in dataset.connection.execute(f"SELECT id, name, grp FROM food WHERE id IN ({marks})", missing)
    )
    total = sum(typed.tokens.values())
    for row, match in called:
        also = (
            dict.fromkeys((t for name in row.spelt for t in name if t not in words().states), _ALSO)
            if match.missed and not row.near
            else {}
        )
        near = (row.note or "the nearest in the data") if row.near else ""
        for place, fid in enumerate(row.ids):
            # what one kitchen name lacks, another or the food's own may say
            own = also | take_apart(names[fid][0]).place
            score = (
                match.score
                - 0.2 * place
                + 10 * sum(typed.tokens[t] * own.get(t, 0.0) for t in match.missed) / total
            )
            if fid not in best or score > best[fid][0]:
                best[fid] = (
                    score,
                    "; ".join(
                        filter(
                            None,
                            (near, _unmet(typed, [t for t in match.doubtful if t not in own], written)),
                        )
                    ),
                )
    costs = words().groups
    hits = []
    for fid, (score, note) in best.items():
        name, group = names[fid]
        score -= costs.get(group, 0.0)
        if score > 1:
            hits.append(Hit(fid, name, round(min(100.0, 100 * score / _PERFECT), 1), note))
    hits.sort(key=lambda h: (-h.score, h.note != "", len(h.name), h.id))
    return hits, found


def _unmet(typed: Typed, doubtful: Sequence[str], written: dict[str, str]) -> str:
    """A note naming the words that make another food of it and are not in the name."""
    doubted = [t for t in doubtful if typed.tokens[t] >= 0.75 and t[-1] != "%"]
    told = set(typed.matter) <= set(doubted) or words().kinds.isdisjoint(doubted)
    missing = [written.get(t, t) for t in doubted if told or t not in words().kinds]
    return f"not in its name: {', '.join(dict.fromkeys(missing))}" if missing else ""


def _called(typed: Typed, other) -> list[tuple[Alias, Match]]:
    """The rows of kitchen names that fit, each with its best match."""
    bonus = words().bonus
    rows = kitchen_names()
    out = []
    for number, places in with_a_word(
        f for t in typed.matter or typed.tokens for f in (t, *(s for s, _ in other.get(t, ())))
    ).items():
        row = rows[number]
        exact = bonus["near" if row.near else "same"]
        matches = (weigh(typed, take_alias(row.spelt[p]), other) for p in places)
        top = max(
            (m._replace(score=m.score + exact) if m.same else m for m in matches),
            key=lambda m: (m.score, m.found),
        )
        if top.score > 1:
            out.append((row, top))
    return out


@cache
def _vocabulary(dataset) -> Counter:
    """Every word of the foods' names and, counted higher, of the kitchen names."""
    out = Counter(t for _, name in dataset.names() for t in set(re.findall("[a-z]{3,}", name.lower())))
    out = Counter({stem(t): n for t, n in out.items()})
    for row in kitchen_names():
        for token in {t for name in row.names for t in re.findall("[a-z]{3,}", plain(name))}:
            out[stem(token)] += 20
    return out


def _corrections(dataset, typed: Typed) -> tuple[Typed, dict[str, list[tuple[str, float]]]]:
    """Near spellings of the words that are in no name (of all the words when each is in some name), and
    two words run together parted.
    """
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    vocabulary = _vocabulary(dataset)
    tokens = [t for t in typed.tokens if t.isalpha() and len(t) > 1]
    unknown = [t for t in tokens if t not in vocabulary]
    likely = 0.75 if unknown else 0.6
    unknown = unknown or [t for t in tokens if len(t) > 3]
    other: dict[str, list[tuple[str, float]]] = {}
    parted: dict[str, list[str]] = {}
    for token in unknown:
        near = process.extract(
            token,
            vocabulary.keys(),
            scorer=OSA.normalized_similarity,
            score_cutoff=0.66 if len(token) < 7 else 0.72,
            limit=8,
        )
        options = [
            (s, likely * score + 0.03 * (word[0] == token[0]) + 0.02 * (vocabulary[word] > 20))
            for word, score, _ in near
            if word != token
            and (score > 0.8 or words().weights.get(word, 1.0) >= 0.5)
            and not token[:-2].startswith(word)
            for s in spell(word)
        ]
        cuts = [
            (stem(token[:i]), stem(token[i:]))
            for i in range(3, len(token) - 2)
            if token not in vocabulary and stem(token[:i]) in vocabulary and stem(token[i:]) in vocabulary
        ]
        if cuts and (not near or near[0][1] < 0.77):
            parted[token] = spell(" ".join(max(cuts, key=lambda c: vocabulary[c[0]] * vocabulary[c[1]])))
        elif options:
            other[token] = sorted(dict.fromkeys(options), key=lambda o: -o[1])[:6]
    mended = [
        other[t][0][0] if t in other and t in unknown and other[t][0][1] > 0.6 else t for t in typed.tokens
    ]
    weights = words().weights
    if len(whole := settle(mended)) < len(mended):  # "buttr milk" is buttermilk
        noun = typed.noun if typed.noun in whole else whole[-1]
        return (
            typed._replace(tokens={t: typed.tokens.get(t, weights.get(t, 1.0)) for t in whole}, noun=noun),
            {},
        )
    if parted:
        pieces = [p for t in typed.tokens for p in parted.get(t, [t])]
        typed = typed._replace(
            tokens={p: typed.tokens.get(p, weights.get(p, 1.0)) for p in pieces},
            noun=parted.get(typed.noun, [typed.noun])[-1],
        )
    return typed, other
