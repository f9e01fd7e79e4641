"""Words of food search: one spelling for both Englishes, plurals, amounts; the tables behind the ranking.

``reference/composition/synonyms.csv``: ``written`` (a word or phrase) stands for ``means``; applied to what
was typed and to the names of the foods alike; ``foreign_words.csv``: the same for words of other kitchens,
which stand in no name of the table. ``search_words.toml``: weights and costs of words.
"""

from __future__ import annotations

import csv
import itertools
import re
import unicodedata
from functools import cache, lru_cache
from typing import NamedTuple

from labelgen import paths
from labelgen.tomlfile import read_toml

#: The files the settled words of a name depend on.
TABLES = ("synonyms.csv", "foreign_words.csv", "search_words.toml")
_WORD = re.compile(r"\btype\d+\b|\be\d{3,4}[a-z]?\b|\d+(?:\.\d+)?%|[a-z]+|\d+(?:\.\d+)?")
_GRADE = re.compile(r"\b(?:t|typ|typ[eo]|tipo)[ .]?(\d{1,4})\b")
_PERCENT = re.compile(r"(\d+(?:[.,]\d+)?)\s*(?:%|percent\b|per cent\b)")


class Words(NamedTuple):
    """The word lists, all in stemmed form. ``phrases``: first word -> (phrase, meaning), longest first;
    ``english``: those without words of other kitchens. ``written``: meaning -> phrases as they stand.
    """

    phrases: dict[str, list[tuple[tuple[str, ...], tuple[str, ...]]]]
    english: dict[str, list[tuple[tuple[str, ...], tuple[str, ...]]]]
    written: dict[str, list[str]]
    noise: frozenset[str]
    purpose: frozenset[str]
    kinds: frozenset[str]
    adjectives: frozenset[str]
    heaped: frozenset[str]
    holds: frozenset[str]
    measured: frozenset[str]
    alike: dict[str, list[str]]
    units: frozenset[str]
    weights: dict[str, float]
    aside: float
    states: frozenset[str]
    classes: dict[tuple[str, ...], float]
    left: dict[str, float]
    costs: dict[str, float]
    groups: dict[str, float]
    bonus: dict[str, float]


def plain(text: str) -> str:
    """Lower case, without accents and apostrophes; ``½`` becomes ``1/2``, the grade of a flour (T 55) one
    word.
    """
    text = text.lower()
    if not text.isascii():
        text = unicodedata.normalize(
            "NFKD", text.replace("œ", "oe").replace("æ", "ae").replace("ß", "ss").replace("ø", "o")
        )
        text = "".join(c for c in text if not unicodedata.combining(c)).replace("⁄", "/")
    return _GRADE.sub(r"type\1", re.sub(r"(?<=[a-z])['’‘`](?=[a-z]|\s|$)", "", text))


@lru_cache(maxsize=20000)
def stem(word: str) -> str:
    """The singular, with a silent final e dropped from longer words so that both numbers agree: berries,
    berry; peaches, peach.

    >>> [stem(w) for w in ("berries", "cookie", "tomatoes", "peaches", "molasses", "grapes", "asparagus")]
    ['berry', 'cooky', 'tomato', 'peach', 'molass', 'grap', 'asparagus']
    """
    if len(word) > 4 and word.endswith("ies"):
        word = word[:-3] + "y"
    elif len(word) > 4 and word.endswith(("oes", "ches", "shes", "sses", "xes")):
        word = word[:-2]
    elif len(word) > 3 and word.endswith("s") and not word.endswith(("ss", "us", "is")):
        word = word[:-1]
    if len(word) > 4 and word.endswith("ie"):
        return word[:-2] + "y"
    return word[:-1] if len(word) > 4 and word.endswith("e") and word[-2] != "e" else word


def _stems(text: str) -> list[str]:
    return [stem(w) for w in _WORD.findall(plain(text))]


@cache
def words() -> Words:
    """The tables, read once."""
    table = read_toml(paths.reference("composition", "search_words.toml"))
    phrases: dict = {}
    written: dict = {}
    with open(paths.reference("composition", "synonyms.csv"), encoding="utf-8", newline="") as f:
        for row in csv.DictReader(f):
            phrase, means = tuple(_stems(row["written"])), tuple(_stems(row["means"]))
            phrases.setdefault(phrase[0], []).append((phrase, means))
            for word in means:
                written.setdefault(word, []).append(" ".join(_WORD.findall(plain(row["written"]))))
    with open(paths.reference("composition", "foreign_words.csv"), encoding="utf-8", newline="") as f:
        foreign = [
            (tuple(_stems(row["written"])), tuple(settle(_stems(row["means"]), phrases)))
            for row in csv.DictReader(f)
        ]
    english = {first: sorted(options, key=lambda p: -len(p[0])) for first, options in phrases.items()}
    for phrase, means in foreign:
        phrases.setdefault(phrase[0], []).append((phrase, means))
    for options in phrases.values():
        options.sort(key=lambda p: -len(p[0]))
    weights = {
        stem(w): table[kind]["weight"]
        for kind in ("general", "form", "state", "soft")
        for w in table[kind]["words"]
    }
    left = table["left"]
    costs = {
        stem(w): cost
        for key, cost in (
            ("changed", left["changed_cost"]),
            ("slight", left["slight_cost"]),
            ("nothing", 0.0),
        )
        for w in left[key]
    }
    return Words(
        phrases,
        english,
        written,
        frozenset(map(stem, table["noise"])),
        frozenset(table["purpose"]),
        frozenset(map(stem, table["kinds"])),
        frozenset(map(stem, table["adjectives"])),
        frozenset(map(stem, table["heaped"])),
        frozenset(table["holds"]),
        frozenset(map(stem, table["measured"])),
        {stem(k): list(map(stem, v)) for k, v in table["alike"].items()},
        frozenset(map(stem, table["units"])),
        weights,
        table["soft"]["weight"],
        frozenset(stem(x) for kind in ("form", "state", "soft") for x in table[kind]["words"]),
        {tuple(_stems(k)): v for k, v in table["classes"].items()},
        {k: v for k, v in left.items() if not isinstance(v, list)},
        costs,
        table["groups"],
        table["bonus"],
    )


def settle(tokens: list[str], phrases: dict | None = None) -> list[str]:
    """Phrases and spellings replaced by the one word used throughout."""
    phrases, out, i = words().phrases if phrases is None else phrases, [], 0
    while i < len(tokens):
        for phrase, means in phrases.get(tokens[i], ()):
            if tuple(tokens[i : i + len(phrase)]) == phrase:
                out.extend(means)
                i += len(phrase)
                break
        else:
            out.append(tokens[i])
            i += 1
    return out


def spell(text: str) -> list[str]:
    """The settled words of a text, in order.

    >>> spell("Crème fraîche"), spell("wholemeal flours"), spell("Butter, without salt")
    (['crem', 'fraich'], ['wholegrain', 'flour'], ['butter', 'unsalted'])
    """
    return settle(_stems(text))


class Typed(NamedTuple):
    """What was typed. tokens: settled words, each once, with its weight. noun: the word that names the
    thing. foreign: whether a word of another kitchen was read.
    """

    tokens: dict[str, float]
    noun: str
    foreign: bool = False

    @property
    def matter(self) -> list[str]:
        """The words one of which a food must have."""
        return [t for t, v in self.tokens.items() if v >= 0.98 and t[-1] != "%"]


def _turned(parts: list[list[str]]) -> list[list[str]]:
    """A phrase whose two words stand the other way round, side by side or about a comma, read as the
    phrase: "bran, wheat".
    """
    for i, part in enumerate(parts):
        for a, b, rest in [
            (part[j : j + 2][0], part[j : j + 2][1], (part[:j], part[j + 2 :])) for j in range(len(part) - 1)
        ]:
            if (joined := settle([b, a])) != [b, a]:
                return [*parts[:i], [*rest[0], *joined, *rest[1]], *parts[i + 1 :]]
    if (
        len(parts) > 1
        and parts[0]
        and len(parts[1]) == 1
        and (joined := settle([parts[1][0], parts[0][-1]])) != [parts[1][0], parts[0][-1]]
    ):
        return [[*parts[0][:-1], *joined], *parts[2:]]
    return parts


def read_query(query: str) -> Typed:
    """Amounts, units and connecting words dropped, percentages kept.

    >>> read_query("250 g butter, softened").tokens
    {'butter': 1.3, 'softened': 0.06}
    >>> read_query("Dark chocolate (70 %)")
    Typed(tokens={'dark': 0.5, 'chocolat': 1.3, '70%': 0.75}, noun='chocolat', foreign=False)
    """
    w = words()
    text = _PERCENT.sub(lambda m: f" {float(m[1].replace(',', '.')):g}% ", plain(query))
    text = re.sub(r"\d+\s*/\s*\d+|(?<![\w.])(\d+(?:\.\d+)?)\s*x\s+(?=\d)", " 1 ", text)
    text = re.sub(r"(?<![a-z\d])(\d+)([a-z])", r"\1 \2", re.sub(r"\be (?=\d{3}[a-z]?\b)", "e", text))
    parts: list[list[str]] = []
    aside: set[str] = set()
    inside: set[str] = set()
    foreign = False
    for part in re.split(r"[,;(]", text):
        raw, kept = _stems(part), []
        for i, token in enumerate(raw):
            number = next((t for t in reversed(raw[:i]) if t not in w.heaped), "")
            after_number = number[:1].isdigit() and number[-1] != "%"
            before_of = i + 1 < len(raw) and raw[i + 1] == "of"
            if token[0].isdigit() and token[-1] != "%" and token != "00" and raw[i + 1 : i + 2] != ["proof"]:
                continue
            if token in w.units and (after_number or before_of):
                continue
            kept.append(token)
        use = next((i for i, token in enumerate(kept) if i and token in w.purpose), len(kept))
        aside.update(settle(kept[use:]))
        aside.update(b for a, b in itertools.pairwise(kept) if a[-1] == "%" and b in w.measured)
        held = next((i for i, token in enumerate(kept) if i and token in w.holds), len(kept))
        inside.update(settle(kept[held:]))
        parts.append(settle(kept))
        foreign = foreign or parts[-1] != settle(kept, w.english)
    parts = _turned(parts)
    everything = [t for part in parts for t in part]
    useful = [t for t in everything if t not in w.noise]
    weigh = {t: 0.75 if t[-1] in "%0123456789" else w.weights.get(t, 1.0) for t in useful}
    before = {t for part in parts for t in part} - aside
    if before & weigh.keys():
        weigh |= dict.fromkeys(aside & weigh.keys(), w.aside)
    if weigh and max(weigh.values()) < 0.5:
        weigh = dict.fromkeys(weigh, 1.0)
    inside -= {t for part in parts for t in part[:1]}
    named = [
        [t for t in part if t in weigh and t[-1] != "%" and t not in w.states | w.adjectives | aside | inside]
        for part in parts
    ]
    noun = next((part[-1] for part in named if part), next((t for t in reversed(useful) if t[-1] != "%"), ""))
    if weigh.get(noun, 0) >= 0.75:
        weigh[noun] *= w.bonus["noun_weight"]
    return Typed(weigh, noun, foreign)


def as_typed(query: str) -> dict[str, str]:
    """Settled word -> the word as it was typed."""
    return {settled: word for word in _WORD.findall(plain(query)) for settled in spell(word)}
