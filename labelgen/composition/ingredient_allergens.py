"""Allergens of one ingredient: from its food-table name, its sub-ingredient statement, its names, its own
declaration.
"""

from __future__ import annotations

import csv
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import cache

from labelgen import paths
from labelgen.composition.ingredient_records import AllergenHit
from labelgen.composition.text.lexicon import Found, allergens_of_food, find_allergens, fold, spoken, survey
from labelgen.composition.text.statement import print_statement, read_statement
from labelgen.composition.text.tongues import languages
from labelgen.errors import Finding, Where
from labelgen.findings import find
from labelgen.recipe.models import IngredientSpec

#: Cereals that are wheat, whatever else they are called.
WHEATS = frozenset(
    {
        "wheat",
        *(
            f"gluten/{c}"
            for c in ("wheat", "spelt", "kamut", "khorasan", "durum", "einkorn", "emmer", "triticale")
        ),
    }
)


@cache
def _groups() -> dict[str, dict[str, str]]:
    """Allergen groups -> their rows. kinds: what may follow a slash (``tree_nut/almond``): any, none or
    those named. listed: by how many markets.
    """
    with open(paths.reference("allergens", "codes.csv"), encoding="utf-8", newline="") as f:
        return {r["group"]: r for r in csv.DictReader(f)}


def is_allergen(code: str) -> bool:
    """Whether a code is of an allergen group, of whatever kind in it.

    >>> is_allergen("fish/tuna"), is_allergen("honey")
    (True, False)
    """
    return code.partition("/")[0] in _groups()


def codes_meant(code: str) -> tuple[str, ...] | None:
    """The codes that a maker most likely meant by one that is none; None if it is a known one.

    >>> codes_meant("almond"), codes_meant("tree_nut/almond")
    (('tree_nut/almond',), None)
    """
    group, slash, kind = code.partition("/")
    kinds = _groups()[group]["kinds"] if group in _groups() else "none"
    if group in _groups() and (not slash or (kind and (kinds == "any" or kind in kinds.split()))):
        return None
    named = find_allergens((kind or code).replace("_", " ").replace("/", " "), kind="name").contains
    return tuple(h.allergen for h in named if h.allergen != "wheat" or group != "gluten")


def code_fault(code: str) -> str:
    """What is wrong with an allergen code a maker typed, and what to type; "" if it is a known one."""
    meant = codes_meant(code)
    if meant is None:
        return ""
    return (
        f"{code!r} is no allergen code: write"
        f" {' or '.join(repr(m) for m in meant) or 'one of ' + ', '.join(_groups())}"
    )


def check_codes(codes: Iterable[str], where: Where, path: str, owner: str, keys: tuple = ()) -> list[Finding]:
    """A danger for each code that is none. owner: whose they are; path, keys: of the field they stand in."""
    found = []
    for code in codes:
        if (meant := codes_meant(code)) is not None:
            told = {"path": path, "keys": keys, "owner": owner, "code": code}
            found.append(
                find("allergen-code", where, meant=meant, **told)
                if meant
                else find("allergen-code.unknown", where, known=tuple(_groups()), **told)
            )
    return found


@dataclass(frozen=True)
class Saying:
    """One text that names an ingredient. kind: ``statement`` or ``name``. language: the one it is written
    in, "" where nobody said.
    """

    kind: str
    text: str
    language: str = ""


def sayings_of(spec: IngredientSpec) -> tuple[Saying, ...]:
    """What the maker words of an ingredient in further languages, but for what only repeats the first."""
    said = (
        Saying(kind, also.get(field, ""), language)
        for language, also in spec.also.items()
        for field, kind in (("statement", "statement"), ("print_name", "name"))
        if also.get(field, "") != getattr(spec, field)
    )
    return tuple(s for s in said if s.text)


def allergens_of(
    name: str,
    print_name: str,
    food_name: str,
    statement: str,
    contains,
    may_contain,
    food_id: str = "",
    also: Sequence[Saying] = (),
) -> tuple[tuple[AllergenHit, ...], tuple[AllergenHit, ...]]:
    """(contains, may contain) of one ingredient, each hit with the words it rests on.

    ``contains`` and ``may_contain`` are the supplier's own declaration as codes, or None. A word whose source
    is not told (lecithin, vegetable oil) counts as "may contain" until the statement or declaration settles
    it. A dataset food brings what is usual in it as long as the packet's own words are not given. Of two
    words for an allergen the one that no market exempts counts, but what is said of an oil goes before the
    table's "Oil, soybean". also: the same in further languages; what any language names counts. ``name`` is
    the maker's private key: it is read where it prints, because nothing else does, and otherwise only asked
    about.
    """
    told = bool(statement) or contains is not None
    hits, doubts = _Kept(oil=food_name.startswith("Oil,")), _Kept()
    of_food = [h for h in allergens_of_food(food_id, food_name) if h.words or not told] if food_name else []
    hits.add(
        replace(h, ingredient=name, because=f"{h.because} ({name})" if name else h.because) for h in of_food
    )
    asked_of_food = find_allergens(food_name, kind="food").may_contain if food_name and not told else ()
    doubts.add(replace(h, ingredient=name, because=f"{h.because} of {name}") for h in asked_of_food)
    printed = printed_name(name, print_name, statement)
    for said in (Saying("statement", statement), Saying("name", printed), *also):
        if said.text:
            found = read_saying(said)
            if printed != print_name and said == Saying("name", printed):
                found = _without_usual(found, printed, f"{food_name} {statement}")
            # the packet's own list is what is asked about, not its name
            asked = [
                h
                for h in found.may_contain
                if h.how == "declaration" or not (statement and said.kind == "name")
            ]
            for kept, several in ((hits, found.contains), (doubts, asked)):
                kept.add(replace(hit, ingredient=name, because=f"{hit.because} of {name}") for hit in several)
    holds = hits.hits()
    if contains is not None:
        holds = [replace(hit, denied=not names(contains, hit.allergen)) for hit in holds]
    for code in contains or ():
        if code not in {h.allergen for h in holds}:
            holds.append(AllergenHit(code, f"the supplier of {name} declares it", name, code, "declaration"))
    held = {h.allergen for h in holds}
    if contains is None:
        doubts.add(asked_of_key(name, printed, food_name, statement, held))
    for code in may_contain or ():
        doubts.put(
            AllergenHit(code, f"the supplier of {name} says it may be present", name, code, "declaration")
        )
    may = tuple(h for h in doubts.hits() if h.allergen not in held)
    return tuple(sorted(holds, key=lambda h: h.allergen)), may


def read_saying(said: Saying) -> Found:
    """The allergens that a text names, read in its language; words that this language does not know in
    any.
    """
    anywhere = find_allergens(said.text, kind=said.kind)
    if said.language not in languages():
        return anywhere
    own = find_allergens(said.text, kind=said.kind, language=said.language)
    known = {h.words for h in (*own.contains, *own.may_contain)}
    contains = (*own.contains, *(h for h in anywhere.contains if h.words not in known))
    may = (*own.may_contain, *(h for h in anywhere.may_contain if h.words not in known))
    return Found(contains, tuple(h for h in may if h.allergen not in {c.allergen for c in contains}))


class _Kept:
    """One hit per allergen: the first that no market exempts; where there is none, one of each food that some
    does.
    oil: the food is an oil of the table, so that what a packet says of its refining goes before its name.
    """

    def __init__(self, oil: bool = False):
        self._by_code: dict[str, list[AllergenHit]] = {}
        self._oil = oil

    def add(self, hits: Iterable[AllergenHit]) -> None:
        """The hits of one text. A name that leaves a state open ("soybean oil") yields to a text before it
        that tells it.
        """
        stated = {(h.allergen, h.derived) for several in self._by_code.values() for h in several if h.state}
        for hit in hits:
            before = self._by_code.setdefault(hit.allergen, [])
            if self._oil and hit.state and before and before[0].how == "food-table":
                before.clear()
            if not hit.derived and all(h.derived for h in before):
                before[:] = [hit]
            elif (
                hit.derived
                and all(h.derived and (h.derived, h.state) != (hit.derived, hit.state) for h in before)
                and (hit.state or (hit.allergen, hit.derived) not in stated)
            ):
                before.append(hit)

    def put(self, hit: AllergenHit) -> None:
        self._by_code[hit.allergen] = [hit]

    def hits(self) -> list[AllergenHit]:
        return [hit for _, several in sorted(self._by_code.items()) for hit in several]


def _without_usual(found: Found, words: str, told: str) -> Found:
    """What a key says where the label prints it for want of another name. "flour" may be what the maker
    calls rice flour: what is only usual in a food yields to the packet's or the table's own word for it.
    """
    usual = [h for h in survey(words, kind="name").usual if fold(h.words) in fold(told)]
    return Found(tuple(h for h in found.contains if h not in usual), found.may_contain)


def printed_name(key: str, print_name: str, statement: str) -> str:
    """The name that a label prints of an ingredient: its own, that of a list of one item, or else the
    words of its key.
    """
    if print_name or not statement:
        return print_name or spoken_key(key)
    items = read_statement(statement).items
    return print_statement(items) if len(items) == 1 else spoken_key(key)


def asked_of_key(
    key: str, printed: str, food_name: str, statement: str, held: Collection[str]
) -> list[AllergenHit]:
    """What a key that the label does not print sounds like and nothing else names: only to be asked about.
    What is merely usual in a food of that name is asked only where no list and no food tells more.
    """
    words = spoken_key(key)
    if words == printed:
        return []
    usual = {h.allergen for h in survey(words, kind="name").usual}
    told = bool(statement or food_name)
    found = (
        h
        for h in find_allergens(words, kind="name").contains
        if not names(held, h.allergen) and not (told and h.allergen in usual)
    )
    because = f"the key {key!r} of an ingredient that prints as {printed!r} sounds like"
    return [
        replace(h, ingredient=key, how="key", because=f"{because} {spoken(h.allergen)}: ask its supplier")
        for h in found
    ]


def spoken_key(key: str) -> str:
    """The key of an ingredient as words."""
    return key.replace("-", " ").replace("_", " ")


def allergen_words(code: str) -> str:
    """An allergen code in plain words: ``tree_nut/hazelnut`` -> hazelnut, ``gluten/rye`` -> rye (gluten)."""
    group, _, kind = code.partition("/")
    kind = kind.replace("_", " ").replace("-", " ")
    if group == "gluten":
        return f"{kind} (gluten)" if kind else "gluten"
    return kind or group.replace("_", " ")


def is_listed(code: str) -> bool:
    """Whether any market wants the allergen declared."""
    return _groups().get(code.partition("/")[0], {"listed": "nowhere"})["listed"] != "nowhere"


def told_once(codes: Iterable[str]) -> tuple[str, ...]:
    """Allergen codes without repeats, wheat only once: where it is named as a cereal with gluten that is
    enough.
    """
    every = dict.fromkeys(codes)
    return tuple(code for code in every if code != "wheat" or "gluten/wheat" not in every)


def declaration_gaps(spec: IngredientSpec, holds: tuple[AllergenHit, ...]) -> list[Finding]:
    """Where a supplier's own declaration and the words of its packet do not agree; nothing where none was
    given.

    What the words name and the declaration leaves out is a danger; where only some markets list the allergen,
    or exempt the ingredient, it is asked. What is declared and nowhere in a statement is worth knowing.
    """
    if spec.contains is None:
        return []
    found = []
    for hit in holds:
        group = hit.allergen.partition("/")[0]
        listed = _groups().get(group, {"listed": "nowhere"})["listed"]
        if (
            not hit.words
            or hit.how == "declaration"
            or listed == "nowhere"
            or names(spec.contains, hit.allergen)
        ):
            continue
        severity = "danger" if listed == "everywhere" and not hit.derived else "warn"
        told = {"ingredient": spec.name, "allergen": hit.allergen, "because": hit.because}
        found.append(
            find("declaration-misses", spec.where, path=spec.path("contains"), severity=severity, **told)
        )
    worded = {h.allergen for h in holds if h.words and h.how != "declaration"}
    for code in spec.contains if spec.statement else ():
        if not names(worded, code):
            found.append(
                find(
                    "declared-not-found",
                    spec.where,
                    path=spec.path("statement"),
                    ingredient=spec.name,
                    allergen=code,
                )
            )
    return found


def names(declared: Collection[str], code: str) -> bool:
    """Whether codes name an allergen: itself, its group, one of its kinds where only the group is known,
    wheat by any name.
    """
    group, _, kind = code.partition("/")
    if code in declared or group in declared or (code in WHEATS and ({"gluten"} | WHEATS) & set(declared)):
        return True
    return not kind and any(c.startswith(f"{group}/") for c in declared)
