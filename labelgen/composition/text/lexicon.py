"""Finds allergens in words: supplier statements, ingredient names, and names of foods in the dataset.

The word lists are data (``reference/allergens/``). The longest term wins, so "coconut milk" is never milk
and "water chestnut" never a nut. A missed allergen is the worst error there is: what a word usually means
counts as present unless the text itself says otherwise, and what it may mean is reported as a question.
An empty result is no proof of absence; the supplier and the competent authority have the last word.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cache, lru_cache
from html import unescape

from labelgen import paths
from labelgen.composition.ingredient_records import AllergenHit
from labelgen.composition.text.answers import read_answers
from labelgen.composition.text.clauses import (
    ABSENT,
    CONTAINS,
    LIST,
    MAY,
    NOISE,
    PRAISE,
    Clause,
    is_unsure,
    read_clauses,
)
from labelgen.composition.text.denials import undenied
from labelgen.composition.text.derived import derived_of
from labelgen.composition.text.folded_words import Word, fold, read_words
from labelgen.composition.text.long_texts import in_parts
from labelgen.composition.text.longest import Match, is_item
from labelgen.composition.text.matching import find_matches
from labelgen.composition.text.plain_letters import plain_letters
from labelgen.composition.text.spelling import mend_letters, mend_words
from labelgen.composition.text.terms import Lexicon, read_lexicon
from labelgen.composition.text.understood import Reading, measure

KINDS = ("statement", "name", "food")
#: A group word -> the codes that make it specific; the group word falls away where one of them stands beside
# it.
GROUPS = ("tree_nut", "fish", "crustacean", "mollusc", "gluten")
#: Nuts that some market counted at some time, though no market's law calls them by the group word today.
_OTHER_NUTS = (
    "coconut",
    "chestnut",
    "shea",
    "beech_nut",
    "butternut",
    "chinquapin",
    "ginkgo",
    "hickory",
    "pili",
    "lychee",
    "cola_nut",
    "palm_nut",
)


@dataclass(frozen=True)
class Found:
    """contains: allergens whose presence follows from the text. may_contain: from precautionary wording
    (how = declaration) or from words whose source is not told (how = statement)."""

    contains: tuple[AllergenHit, ...]
    may_contain: tuple[AllergenHit, ...]


@dataclass(frozen=True)
class Survey:
    """Every hit of a text, kept apart by where it stands: in the list, in what the text declares
    ("Contains: ..."), in precautionary wording, in words whose source is not told, and in advertising beside
    the list.
    usual: those of the list that rest on what a food is usually made with. reading: how much of a
    statement was understood.
    """

    listed: tuple[AllergenHit, ...]
    declared: tuple[AllergenHit, ...]
    precaution: tuple[AllergenHit, ...]
    source_unknown: tuple[AllergenHit, ...]
    praised: tuple[AllergenHit, ...] = ()
    usual: tuple[AllergenHit, ...] = ()
    reading: Reading | None = None


def find_allergens(text: str, *, kind: str = "statement", language: str | None = None) -> Found:
    """The allergens a text speaks of.

    kind: ``statement`` (a supplier's text, with headings, declarations and warnings), ``name`` (one
    ingredient or product) or ``food`` (a name of the food dataset, most general word first). language:
    en, fr, de, es or it to read only that language's words, None for all. Raises ValueError for another kind.

    >>> [h.allergen for h in find_allergens("coconut milk, cocoa butter, whey").contains]
    ['coconut', 'milk']
    """
    seen = survey(text, kind=kind, language=language)
    contains = _once(seen.listed + seen.declared + seen.praised)
    present = {hit.allergen for hit in contains}
    if "wheat" in present:  # "Contains gluten, wheat" says no more than wheat
        contains = tuple(hit for hit in contains if hit.allergen != "gluten")
    may = [hit for hit in _once(seen.precaution + seen.source_unknown) if hit.allergen not in present]
    return Found(contains, tuple(may))


@lru_cache(maxsize=1024)
def survey(text: str, *, kind: str = "statement", language: str | None = None) -> Survey:
    """``find_allergens`` with every hit kept apart by where it stands in the text."""
    if kind not in KINDS:
        raise ValueError(f"kind {kind!r} is not one of {', '.join(KINDS)}: use one of these")
    lexicon = read_lexicon("en" if kind == "food" else language)
    found: dict[str, list[AllergenHit]] = {
        LIST: [],
        CONTAINS: [],
        MAY: [],
        PRAISE: [],
        "usual": [],
        "ask": [],
    }
    read: list[tuple[list[Word], str, frozenset[int]]] = []
    whole = mend_letters(tidy(text), lexicon) if kind == "statement" else plain_letters(text)
    for part in in_parts(whole):
        _survey_part(part, kind, lexicon, found, read)
    found[LIST] += found["usual"]  # what words name comes before what is usual in a food
    if kind == "food":
        found[LIST] = _reviewed(whole, found[LIST])
    reading = measure(whole, read) if kind == "statement" else None
    return Survey(*(tuple(found[part]) for part in (LIST, CONTAINS, MAY, "ask", PRAISE, "usual")), reading)


def _survey_part(
    text: str, kind: str, lexicon: Lexicon, found: dict[str, list[AllergenHit]], read: list
) -> None:
    """Adds a part's hits to ``found``, and its words with the places of those that name an allergen to
    ``read``.
    """
    if kind == "statement":
        clauses, lines = _overlaid(read_clauses(text), read_answers(text)), one_item_a_line(text)
    else:
        clauses, lines = [Clause(LIST, 0, len(text))], False
    for clause in clauses:
        part = text[clause.start : clause.end]
        if clause.mode == NOISE and part.count(",") < 2:
            continue
        words = read_words(part, lines_separate=lines and clause.mode == LIST)
        if kind != "food":
            words = mend_words(words, part, lexicon)
        if clause.mode in (NOISE, ABSENT):
            read.append((words, part, frozenset()))
            continue
        unsure = clause.mode == MAY and is_unsure(part)
        words = undenied(words) if unsure else words
        matches = find_matches(words, lexicon, food=kind == "food", denials=not unsure)
        read.append((words, part, frozenset(i for m in matches for i in range(m.start, m.end))))
        matches = [m for m in matches if not _is_general(m, matches, words, kind == "food")]
        for match in matches:
            if clause.mode == LIST and match.contains == ("gluten",) and is_item(words, match):
                # sold as such, gluten is washed out of wheat
                match = replace(match, contains=(), typical=match.may, may=())
            _collect(found, clause, match, words, part, kind)


def _overlaid(clauses: list[Clause], table: list[Clause]) -> list[Clause]:
    """Clauses with those of an allergen table in place of what they cover; both lists in order."""
    laid, at, rows = [], 0, list(reversed(table))
    for clause in clauses:
        at = max(at, clause.start)
        while rows and rows[-1].start < clause.end:
            row = rows.pop()
            laid += [clause._replace(start=at, end=row.start)] * (at < row.start) + [row]
            at = row.end
        laid += [clause._replace(start=at)] * (at < clause.end)
    return laid


def _collect(found: dict, clause: Clause, match: Match, words: list[Word], part: str, kind: str) -> None:
    said = " ".join(part[words[match.start].start : words[match.end - 1].end].split())
    where = {"food": "the food's name", "name": "the name"}.get(kind, "the ingredient list")
    how = {"food": "food-table"}.get(kind, kind)
    if clause.mode == MAY:
        for code in dict.fromkeys(match.contains + match.typical):
            found[MAY].append(
                AllergenHit(code, f'"{said}" in a precautionary statement', "", said, "declaration")
            )
        return

    def listed(code: str, because: str, unsure: bool = False) -> AllergenHit:
        # what a packet declares in words of its own it declares, exempt or not
        derived, state = (
            derived_of(words, match.start, match.end, code, unsure, kind == "food")
            if clause.mode == LIST
            else ("", "")
        )
        return AllergenHit(code, because, "", said, how, derived=derived, state=state)

    for code in match.contains:
        if clause.mode == CONTAINS:
            found[CONTAINS].append(AllergenHit(code, f'declared: contains "{said}"', "", said, "declaration"))
        elif clause.mode == PRAISE:
            found[PRAISE].append(AllergenHit(code, f'"{said}" beside the ingredient list', "", said, how))
        else:
            found[LIST].append(listed(code, f'"{said}" in {where}'))
    for code in match.typical:
        kept = found[clause.mode if clause.mode in (CONTAINS, PRAISE) else "usual"]
        kept.append(listed(code, f'"{said}" in {where} is usually made with it'))
    for code in match.may:
        because = f'"{said}" may come from or be made with {spoken(code)}: ask the supplier'
        found["ask"].append(listed(code, because, unsure=True))


def _is_general(match: Match, matches: list[Match], words: list[Word], food: bool) -> bool:
    """A group word such as "tree nuts" with its members beside it ("tree nuts (almonds)") says nothing
    more.
    """
    groups = [c for c in match.contains if c in GROUPS]
    if not groups or len(groups) != len(match.contains):
        return False
    group = groups[0]
    members = (
        f"{group}/",
        *(_OTHER_NUTS if group == "tree_nut" else ()),
        *(("wheat",) if group == "gluten" else ()),
    )
    bracketed = match.start > 0 and words[match.start - 1].text == "("
    before = match.start - 1 if bracketed else match.start
    return any(
        m is not match
        and any(code.startswith(members) for code in m.contains)
        and (match.start < m.start <= match.members_end or m.end == before or (food and match.start == 0))
        for m in matches
    )


def _once(hits: tuple[AllergenHit, ...]) -> tuple[AllergenHit, ...]:
    """One hit per allergen, in order: the first that no market exempts; where there is none, one of each
    food that some does.
    """
    kept: dict[tuple[str, str, str], AllergenHit] = {}
    for hit in hits:
        kept.setdefault((hit.allergen, hit.derived, hit.state), hit)
    plain = {code for code, derived, _ in kept if not derived}
    return tuple(hit for hit in kept.values() if not hit.derived or hit.allergen not in plain)


def spoken(code: str) -> str:
    """An allergen code in words: "tree_nut/brazil" -> "brazil nut".

    >>> spoken("gluten/barley"), spoken("tree_nut")
    ('barley', 'tree nuts')
    """
    group, _, species = code.partition("/")
    if group == "tree_nut":
        return {"": "tree nuts", "brazil": "Brazil nut"}.get(species, species.replace("_", " "))
    return (species or group).replace("_", " ")


#: Lowered figures, as in SO₂.
_LOWERED = str.maketrans("₀₁₂₃₄₅₆₇₈₉", "0123456789")


def tidy(text: str) -> str:
    """A packet's text without soft hyphens or a web page's codes for letters, with words rejoined that a
    line break cut in two.
    """
    text = plain_letters(unescape(text).translate(_LOWERED))
    text = text.replace("\r\n", "\n").replace("\r", "\n").replace("\u00a0", " ").replace("\u202f", " ")
    lines = text.split("\n")
    for i in range(len(lines) - 1):
        if is_torn(lines[i], lines[i + 1]):
            head, _, rest = lines[i + 1].partition(" ")
            lines[i], lines[i + 1] = lines[i][:-1] + head, rest
    return "\n".join(lines)


def is_torn(line: str, following: str) -> bool:
    """Whether the end of a line cut a word in two: "hazel-" before "nuts", "HAZEL-" before "NUTS".

    >>> is_torn("sugar, hazel-", "nuts"), is_torn("MILK -", "EGG"), is_torn("wheat-", "Free")
    (True, False, False)
    """
    if len(line) < 2 or line[-1] not in "-‐" or not line[-2].isalpha():
        return False
    return following[:1].islower() or (
        line[-2].isupper() and following[:2].isupper() and following[:2].isalpha()
    )


def one_item_a_line(text: str) -> bool:
    """Whether a list is written one item a line, without commas."""
    lines = [line for line in text.split("\n") if line.strip()]
    return len(lines) >= 3 and sum(line.count(",") + line.count(";") for line in lines) < len(lines) / 3


@cache
def _reviewed_foods() -> dict[str, tuple[str, tuple[str, ...], tuple[str, ...], str]]:
    """Food name -> (id, allergens to add, allergens to take away, because), from ``foods.csv``."""
    return {
        r["name"]: (r["id"], tuple(r["add"].split()), tuple(r["drop"].split()), r["because"])
        for r in paths.read_rows("allergens", "foods.csv")
    }


def _reviewed(name: str, hits: list[AllergenHit]) -> list[AllergenHit]:
    """A food's hits after the review: what its name does not tell added, what its words only seem to say
    taken off.
    """
    _, add, drop, because = _reviewed_foods().get(name, ("", (), (), ""))
    kept = [h for h in hits if h.allergen not in drop]
    return kept + [AllergenHit(code, f"{spoken(code)}: {because}", "", "", "food-table") for code in add]


def allergens_of_food(food_id: str, name: str, group: str = "") -> tuple[AllergenHit, ...]:
    """The allergens of one food of the dataset, from its name and the reviewed list of composite foods.

    A composite food (a bought cake, a sauce) gets the allergens it is typically made with; each hit says so.
    """
    return find_allergens(name, kind="food").contains


__all__ = [
    "Found",
    "Survey",
    "allergens_of_food",
    "find_allergens",
    "fold",
    "is_torn",
    "one_item_a_line",
    "spoken",
    "survey",
    "tidy",
]
