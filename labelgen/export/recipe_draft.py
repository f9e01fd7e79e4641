"""A schema.org Recipe in JSON-LD -> a draft for the kitchen, every doubtful line flagged. Nothing is decided
for the maker: foods are proposed, never pinned without the mark ``CHECK``.
"""

from __future__ import annotations

import html
import json
import re
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path

from labelgen.composition.dataset import Dataset
from labelgen.composition.search.food_search import Hit, search
from labelgen.errors import RecipeError, UnitError
from labelgen.paths import read_plain
from labelgen.quantity import read_mass, read_quantity
from labelgen.recipe.reach import plain
from labelgen.wordlists import any_of

_LARGEST = 5_000_000
#: A longer line is no line of a recipe; a longer name makes no file's name.
_LONGEST_LINE, _LONGEST_NAME = 200, 60
#: From this score of a search on, the food is the one that was named, not one spelt or sounding nearly so.
_SURE = 85.0
#: The most pieces a yield is believed to mean.
_MOST_PIECES = 10_000
_RECIPE = re.compile(r"(?:https?://schema\.org/|schema:)?Recipe")
_SCRIPT = re.compile(r"<script[^>]*application/ld\+json[^>]*>(.*?)</script", re.I | re.S)
_BULLET = re.compile(r"^[\W_]\s+(?=\d|[\u00bc-\u00be\u2150-\u215e])")
#: Words that stand for a measure when a mere number goes before them; one or two letters are one too ("2 T
# sugar").
_LIKE_MEASURE = re.compile(
    rf"^(?:{any_of('recipe.like_measure')}|[^\W\d_]{{1,2}}\.?|[^\W\d_]{{1,4}}\.)\s", re.I
)
#: How a food begins in the languages next door: its words would be taken for English ones.
_OTHER_LANGUAGE = re.compile(f"^{any_of('recipe.foreign')}", re.I)
_AMOUNT = re.compile(rf"^\s*\(?{any_of('recipe.about')}\s+", re.I)
_TAIL = re.compile(rf"\s*(?:,|\(|;|{any_of('recipe.tail')}).*$", re.I)
_CHOICE = re.compile(rf"\b{any_of('recipe.choice')}\b|/", re.I)
_TWO_FOODS = re.compile(rf"\s(?:&|{any_of('recipe.and')})\s", re.I)
_PREPARED = re.compile(rf"\b{any_of('recipe.prepared')}\b", re.I)
_TAGS = re.compile(r"<[^>]*>")
_BRACKET = re.compile(r"\(([^()]*)\)")
#: Sizes of one piece, which tell its weight.
_SIZE = re.compile(rf"^{any_of('recipe.sizes')}(?=\s)", re.I)
#: Packs that say nothing of a weight by themselves.
_PACKS = re.compile(rf"^{any_of('recipe.packs')}\b\s*(?:{any_of('recipe.of')}\s+)?", re.I)
#: What tells that a line holds more than one amount, or one that could be read two ways: it is left to the
# maker.
_TWO_AMOUNTS = re.compile(
    r"\d\s*(?:-|\u2013|\u2014|x\s*\d|\u00d7)|[^\W\d]\.?\s*/\s*\d|\+|^\d+\.\d{3}\b"
    rf"|\d\s*{any_of('recipe.to')}|\b{any_of('recipe.plus')}",
    re.I,
)
_OF_AT_END = re.compile(f" {any_of('recipe.of')}$")
_SEVERAL = re.compile(any_of("recipe.several"), re.I)
#: What stands at the head of a drafted file.
_MARK = (
    "# Drafted from a recipe: look at every CHECK and take it away, then take this mark away too. Until"
    " then no label\n# for sale is made with anything in this file.\ndraft: true\n"
)


@dataclass(frozen=True)
class DraftLine:
    """One line of the recipe. written: as found. amount/name: as read, "" when it could not be. food: (id,
    name) proposed, or None. doubts: what the maker must look at.
    """

    written: str
    amount: str
    name: str
    food: tuple[str, str] | None
    doubts: tuple[str, ...]


@dataclass(frozen=True)
class Draft:
    """A recipe drafted. makes: pieces, or None when its yield does not say."""

    key: str
    name: str
    lines: tuple[DraftLine, ...]
    makes: int | None
    doubts: tuple[str, ...]


def read_recipe(path: Path) -> dict:
    """The first schema.org Recipe of a JSON or JSON-LD file, or of a saved web page; how many more there
    are stands under ``further``. Raises RecipeError when there is none.
    """
    if path.stat().st_size > _LARGEST:
        raise RecipeError(f"{path} is larger than {_LARGEST:,} bytes: save only the recipe's JSON-LD")
    try:
        text = read_plain(path).decode("utf-8-sig")
        found = [recipe for part in _SCRIPT.findall(text) or [text] for recipe in _find(json.loads(part), 0)]
    except (UnicodeDecodeError, ValueError, RecursionError) as error:
        raise RecipeError(
            f"{path} is not JSON ({error}): save the text between the page's script tags of type"
            " application/ld+json, as UTF-8"
        ) from None
    if not found:
        raise RecipeError(f"{path} holds no schema.org Recipe: an object whose @type is Recipe is needed")
    return {**found[0], "further": len(found) - 1}


def _find(node, depth: int) -> Iterator[dict]:
    if depth > 20:
        return
    if isinstance(node, dict):
        kinds = node.get("@type")
        if any(
            isinstance(kind, str) and _RECIPE.fullmatch(kind)
            for kind in (kinds if isinstance(kinds, list) else [kinds])
        ):
            yield node
            return
        node = list(node.values())
    for inner in node if isinstance(node, list) else ():
        yield from _find(inner, depth + 1)


def draft_recipe(recipe: dict, dataset: Dataset, country: str) -> Draft:
    """The recipe as lines a kitchen can read, with every doubt. ``country``: whose cups and spoons."""
    name = _text(recipe.get("name")) or "Recipe"
    written = recipe.get("recipeIngredient") or recipe.get("ingredients") or []
    texts = [
        _BULLET.sub("", _text(item))
        for item in (written if isinstance(written, list) else str(written).splitlines())
    ]
    find = cache(lambda food: search(dataset, food, 1))
    lines = [_line(text, find, country) for text in texts if text]
    doubts = [
        "the losses in the oven are not in such files: weigh the batch before and after, and write 'bake:"
        " {before: ..., after: ..., how: weighed}'"
    ]
    if not lines:
        doubts.append("no ingredients were found: write them in")
    if recipe.get("further"):
        doubts.append(f"the file holds {recipe['further']} more: only the first recipe was read")
    told, makes = _yield(recipe.get("recipeYield"))
    if makes:
        doubts.append(
            f"the yield {told!r} was read as {makes} pieces: correct 'makes:' if that is servings or"
            " something else"
        )
    else:
        doubts.append(
            f"the yield {f'{told!r} ' if told else ''}does not say how many pieces: write 'makes: 24'"
        )
    return Draft(slug(name)[:_LONGEST_NAME].strip("-_"), name, tuple(lines), makes, tuple(doubts))


def _yield(given) -> tuple[str, int | None]:
    """(the yield as told, pieces): read only where one whole number stands in it and nothing that
    multiplies it.
    """
    every = given if isinstance(given, list) else [given]
    every = [
        _text(f"{x.get('value', '')} {x.get('unitText', '')}" if isinstance(x, dict) else x) for x in every
    ]
    told = next((text for text in every if re.search(r"\d", text)), next(filter(None, every), ""))
    numbers = re.findall(r"[-+\d][\d.,eE+]*", told)
    if len(numbers) != 1 or not numbers[0].isdecimal() or _SEVERAL.search(told):
        return told, None
    return told, number if 0 < (number := int(numbers[0])) <= _MOST_PIECES else None


def _line(written: str, find: Callable[[str], list[Hit]], country: str) -> DraftLine:
    """One line, read only where it can be read in one way: a food that is lost takes its allergens with
    it.
    """
    if len(written) > _LONGEST_LINE:
        return _unread(f"{written[:_LONGEST_LINE]} ...", "it is too long for one ingredient")
    plain = _AMOUNT.sub("", written)
    try:
        quantity, rest = read_quantity(plain, country)
    except UnitError:
        return _unread(written, "no amount was read")
    if _TWO_AMOUNTS.search(_BRACKET.sub(" ", plain)):
        return _unread(written, "more than one amount stands in it, or one that could be read in two ways")
    amount = plain[: len(plain) - len(rest)].strip() if rest and plain.endswith(rest) else quantity.text
    doubts = []
    bracket = _BRACKET.search(rest)
    if bracket and (
        bracket.start() == 0
        or (_PACKS.match(rest) and not _PACKS.sub("", rest[: bracket.start()]).strip())
        or rest[bracket.end() :].strip(" ,")
    ):
        weight = _mass(bracket[1], country)
        if weight and quantity.kind != "mass":
            if quantity.kind == "count" and quantity.count != 1:
                return _unread(written, f"whether {bracket[1]} is of each or of all cannot be told")
            amount, quantity = weight, read_quantity(weight, country)[0]
        elif not weight:
            doubts.append(f"{bracket[0]!r} was left out")
        rest = f"{rest[: bracket.start()]} {rest[bracket.end() :]}".strip()
    if _PACKS.match(rest):
        if quantity.kind == "count":
            return _unread(written, "the weight of the pack is not told")
        rest = _PACKS.sub("", rest)
    if quantity.kind == "count" and _LIKE_MEASURE.match(rest):
        return _unread(written, f"{rest.split()[0]!r} tells no weight")
    if _OTHER_LANGUAGE.match(rest):
        return _unread(written, "its words are not English")
    if not (quantity.grams or quantity.count or quantity.millilitres):
        return _unread(written, "its amount is nothing")
    name = _TAIL.sub("", rest)
    if _CHOICE.search(name):
        return _unread(written, "it leaves a choice between foods")
    if name != rest:
        doubts.append(f"{rest[len(name) :].strip()!r} was left out")
    name = " ".join(_PREPARED.sub(" ", name).split()) or rest
    if not name.strip() or re.search(r"\d(?![\d.]*\s*%)", f"{name} {rest[len(name) :]}"):
        return _unread(written, "a further number stands in it, or no name")
    if quantity.kind == "count":
        size = _SIZE.match(rest)
        amount = f"{amount} {size[0].lower().replace('-', ' ')}" if size else amount
        doubts.append("counted, not weighed: write grams, or 'weighs: {each: ... g}' under the ingredient")
    elif quantity.kind == "volume":
        doubts.append("measured by volume: weigh one measure, flour most of all")
    near = next(iter(find(name)), None)
    sure = near is not None and near.score >= _SURE
    if not sure and _TWO_FOODS.search(name):
        return _unread(written, "it may be several foods")
    if sure:
        doubts.append("is this the food you use?" + (f" {near.note}" if near.note else ""))
    elif near:
        doubts.append(
            f"no food of the table is surely meant: write 'food:' (the nearest by its letters is {near.id},"
            f" {near.name}) or the packet's panel"
        )
    else:
        doubts.append("no food fits: give the packet's panel")
    return DraftLine(
        written,
        _OF_AT_END.sub("", amount).strip(),
        slug(name),
        (near.id, near.name) if sure else None,
        tuple(doubts),
    )


def _unread(written: str, why: str) -> DraftLine:
    return DraftLine(written, "", "", None, (f"{why}: weigh it and write the line by hand",))


def _mass(text: str, country: str) -> str:
    """A text that is one weight and nothing else, such as ``113g``; "" for anything else."""
    try:
        read_mass(text.strip(), country)
    except UnitError:
        return ""
    return text.strip()


def draft_files(draft: Draft, known: Collection[str] = ()) -> dict[str, str]:
    """Relative path -> text of the files a draft becomes. known: names the kitchen has already, folded, not
    written again.

    Both files are marked as drafts, so that nothing is printed for sale by them. A line that was not read
    stands in the recipe as it was, so that what is made with it stops until somebody mends it.
    """
    good = [line for line in draft.lines if line.amount and line.name]
    foods = {}
    for line in good:
        if plain(line.name) not in known:
            foods.setdefault(line.name, line)
    ingredients = [_MARK]
    for name, line in foods.items():
        food = f", food: {line.food[0]}" if line.food else ""
        label = name.replace("-", " ")
        ingredients.append(
            f"{name}: {{print: {_quoted(label)}{food}}}  # CHECK"
            f" {_comment(line.food[1] if line.food else 'no food found')}:"
            f" {_comment('; '.join(line.doubts))}\n"
        )
    recipe = [
        f"# {_comment(draft.name)}\n",
        _MARK,
        *(f"# CHECK {_comment(d)}\n" for d in draft.doubts),
        "formulations:\n",
        f"  {draft.key}-dough:\n    ingredients:\n",
    ]
    for line in draft.lines:
        if line in good:
            recipe.append(
                f"      - {_quoted(f'{line.amount} {line.name}')}  # CHECK was: {_comment(line.written)}\n"
            )
        else:
            recipe.append(
                f"      - {_quoted(f'? {_comment(line.written)}')}  # CHECK not read:"
                f" {_comment('; '.join(line.doubts))}\n"
            )
    recipe += [
        f"    makes: {draft.makes:g}\n" if draft.makes else "",
        "products:\n",
        f"  {draft.key}: {{name: {_quoted(draft.name)}, of: {draft.key}-dough}}\n",
    ]
    written = {f"ingredients/{draft.key}.yaml": "".join(ingredients)} if foods else {}
    return {**written, f"recipes/{draft.key}.yaml": "".join(recipe)}


def slug(text: str) -> str:
    """``Oat Biscuits!`` -> ``oat-biscuits``."""
    return re.sub(r"[^\w]+", "-", text.lower()).strip("-_") or "recipe"


def _text(value) -> str:
    if isinstance(value, dict):
        value = value.get("name") or value.get("@value") or ""
    return " ".join(
        html.unescape(_TAGS.sub(" ", html.unescape(str(value if value is not None else "")))).split()
    )


def _quoted(text: str) -> str:
    return json.dumps(text, ensure_ascii=False)


def _comment(text: str) -> str:
    return "".join(c if c.isprintable() else " " for c in text)
