"""Allergens of one ingredient: from its food-table name, its sub-ingredient statement, its names, its own declaration."""

from __future__ import annotations

import csv
from collections.abc import Collection, Iterable
from dataclasses import replace
from functools import cache

from labelgen import paths
from labelgen.composition.records import AllergenHit
from labelgen.composition.text.lexicon import allergens_of_food, find_allergens, fold, may_be_exempt, survey
from labelgen.errors import Finding
from labelgen.recipe.models import IngredientSpec


#: Cereals that are wheat, whatever else they are called.
WHEATS = frozenset({"wheat", *(f"gluten/{c}" for c in ("wheat", "spelt", "kamut", "khorasan", "durum", "einkorn", "emmer", "triticale"))})


@cache
def _groups() -> dict[str, dict[str, str]]:
    """Allergen groups -> their rows. kinds: what may follow a slash (``tree_nut/almond``): any, none or those named. listed: by how many markets."""
    with open(paths.reference("allergens", "codes.csv"), encoding="utf-8", newline="") as f:
        return {r["group"]: r for r in csv.DictReader(f)}


def code_fault(code: str) -> str:
    """What is wrong with an allergen code a maker typed, and what to type; "" if it is a known one.

    >>> code_fault("tree_nut/almond")
    ''
    """
    group, slash, kind = code.partition("/")
    kinds = _groups()[group]["kinds"] if group in _groups() else "none"
    if group in _groups() and (not slash or (kind and (kinds == "any" or kind in kinds.split()))):
        return ""
    meant = [h.allergen for h in find_allergens((kind or code).replace("_", " ").replace("/", " "), kind="name").contains if h.allergen != "wheat" or group != "gluten"]
    return f"{code!r} is no allergen code: write {' or '.join(repr(m) for m in meant) or 'one of ' + ', '.join(_groups())}"


def allergens_of(name: str, print_name: str, food_name: str, statement: str, contains, may_contain, food_id: str = "") -> tuple[tuple[AllergenHit, ...], tuple[AllergenHit, ...]]:
    """(contains, may contain) of one ingredient, each hit with the words it rests on.

    ``contains`` and ``may_contain`` are the supplier's own declaration as codes, or None. A word whose source is
    not told (lecithin, vegetable oil) counts as "may contain" until the statement or declaration settles it. A dataset
    food brings what is usual in it as long as the packet's own words are not given. Of two words for an allergen the one
    that no market exempts counts, but what is said of an oil goes before the table's "Oil, soybean".
    """
    oil = food_name.startswith("Oil,")
    told = bool(statement) or contains is not None
    hits: dict[str, AllergenHit] = {}
    doubts: dict[str, AllergenHit] = {}
    for hit in allergens_of_food(food_id, food_name) if food_name else ():
        if hit.words or not told:
            hits[hit.allergen] = replace(hit, ingredient=name, because=f"{hit.because} ({name})" if name else hit.because)
    for hit in find_allergens(food_name, kind="food").may_contain if food_name and not told else ():
        doubts[hit.allergen] = replace(hit, ingredient=name, because=f"{hit.because} of {name}")
    nickname = name.replace("-", " ")
    for kind, text in (("statement", statement), ("name", print_name), ("name", nickname)):
        if not text:
            continue
        found, usual = find_allergens(text, kind=kind), ()
        if text is nickname:  # "flour" may be what the maker calls rice flour
            told_there = fold(f"{print_name} {food_name} {statement}")
            usual = tuple(h for h in survey(text, kind=kind).usual if fold(h.words) in told_there)
        asked = () if statement and kind == "name" else found.may_contain  # the packet's own list is what is asked about
        for kept, several in ((hits, found.contains), (doubts, asked)):
            for hit in (h for h in several if h not in usual):
                first, plain = kept.get(hit.allergen), not may_be_exempt(hit)
                if first is None or (plain and may_be_exempt(first)) or (oil and not plain and first.how == "food-table"):
                    kept[hit.allergen] = replace(hit, ingredient=name, because=f"{hit.because} of {name}")
    if contains is not None:
        hits = {code: replace(hit, denied=not _names(contains, code)) for code, hit in hits.items()}
    for code in contains or ():
        hits.setdefault(code, AllergenHit(code, f"the supplier of {name} declares it", name, code, "declaration"))
    for code in may_contain or ():
        doubts[code] = AllergenHit(code, f"the supplier of {name} says it may be present", name, code, "declaration")
    may = tuple(h for code, h in sorted(doubts.items()) if code not in hits)
    return tuple(h for _, h in sorted(hits.items())), may


def allergen_words(code: str) -> str:
    """An allergen code in plain words: ``tree_nut/hazelnut`` -> hazelnut, ``gluten/rye`` -> rye (gluten)."""
    group, _, kind = code.partition("/")
    kind = kind.replace("_", " ").replace("-", " ")
    if group == "gluten":
        return f"{kind} (gluten)" if kind else "gluten"
    return kind or group.replace("_", " ")


def told_once(codes: Iterable[str]) -> tuple[str, ...]:
    """Allergen codes without repeats, wheat only once: where it is named as a cereal with gluten that is enough."""
    every = dict.fromkeys(codes)
    return tuple(code for code in every if code != "wheat" or "gluten/wheat" not in every)


def declaration_gaps(spec: IngredientSpec, food_name: str, holds: tuple[AllergenHit, ...]) -> list[Finding]:
    """Where a supplier's own declaration and the words of its packet do not agree; nothing where none was given.

    What the words name and the declaration leaves out is a danger; where only some markets list the allergen, or exempt
    the ingredient, it is asked. What is declared and nowhere in a statement is worth knowing.
    """
    if spec.contains is None:
        return []
    found = []
    for hit in holds:
        group = hit.allergen.partition("/")[0]
        listed = _groups().get(group, {"listed": "nowhere"})["listed"]
        if not hit.words or hit.how == "declaration" or listed == "nowhere" or _names(spec.contains, hit.allergen):
            continue
        words = food_name if hit.how == "food-table" else hit.words
        sure = listed == "everywhere" and not may_be_exempt(replace(hit, words=words))
        message = f"{spec.name}: its declaration does not name {hit.allergen}, but {hit.because}: correct 'contains:' from the packet or ask the supplier"
        found.append(Finding("declaration-misses", "danger" if sure else "warn", spec.where, message))
    worded = {h.allergen for h in holds if h.words and h.how != "declaration"}
    for code in spec.contains if spec.statement else ():
        if not _names(worded, code):
            message = f"{spec.name}: its declaration names {code}, but no word of 'statement:' does: copy the whole ingredient list from the packet"
            found.append(Finding("declared-not-found", "note", spec.where, message))
    return found


def _names(declared: Collection[str], code: str) -> bool:
    """Whether codes name an allergen: itself, its group, one of its kinds where only the group is known, wheat by any name."""
    group, _, kind = code.partition("/")
    if code in declared or group in declared or (code in WHEATS and ({"gluten"} | WHEATS) & set(declared)):
        return True
    return not kind and any(c.startswith(f"{group}/") for c in declared)
