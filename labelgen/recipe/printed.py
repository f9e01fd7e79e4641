"""Panels and figures as packets print them, in any label language -> plain form: which nutrient, and an
amount with a decimal point. What the words mean by law is settled where the panel is resolved.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterator, Mapping
from functools import cache

from labelgen.errors import CompositionError, UnitError
from labelgen.law.registry import code_named, market_codes
from labelgen.nutrients import ENERGY, key_of, plain_words, printed_words
from labelgen.quantity import plain_numbers
from labelgen.recipe.models import INSIGNIFICANT, PanelText, Printed
from labelgen.recipe.values import pairs, quantity, text
from labelgen.recipe.yamlfile import Source

_UNIT = re.compile(r"\(\s*(k?j|k?cal|m?c?g|µg|μg)\s*\)\s*$", re.IGNORECASE)
_WEIGHT = re.compile(r"\d+(?:\.\d+)?\s*g(?:rams?)?\b", re.IGNORECASE)
#: Thousands parted by spaces before a unit, as in 1 447 kJ.
_SPACED = re.compile(r"(?<![\d.,/])(\d{1,3})((?:[ \u00a0\u202f’']\d{3})+)(?=\s*[^\W\d_])")
_VOLUME = re.compile(r"\d+(?:\.\d+)?\s*ml\b", re.IGNORECASE)


def figures(source: Source, path: tuple, raw, country: str) -> dict[str, Printed]:
    """Nutrient key -> figure as typed, of a specification sheet or laboratory. All unknown names are
    reported, each at its own place; an energy may stand in kJ and in kcal on lines of their own.
    """
    found: dict[str, Printed] = {}
    for printed, here in _rows(source, path, pairs(raw), country):
        try:
            tag = key_of(printed.name)
        except CompositionError as error:
            source.fault("nutrient-unknown", here, reason=str(error))
            continue
        if tag == ENERGY and tag in found:
            both = f"{found[tag].text} / {printed.text}"
            found[tag] = found[tag].model_copy(update={"text": both})
            continue
        if tag in found:
            source.fault("nutrient-twice", here, name=printed.name)
        found[tag] = printed
    return found


def panel(source: Source, path: tuple, raw, country: str) -> PanelText:
    """A supplier's panel, printed for the market named, else for the kitchen's own country. A serving such as
    ``2 biscuits (30 g)`` is its weight, ``1 cup (240 ml)`` its volume; ``per: 100 g`` means the same.
    """
    table = dict(pairs(raw))
    market = code_named(table.pop("market", country if country in market_codes() else "us"))
    serving, amount = _serving(table), None
    if serving is not None:
        said = plain_numbers(str(serving), market)
        weight = _WEIGHT.search(said) or _VOLUME.search(said)
        amount = quantity(source, path, weight[0] if weight else said, country)
        if amount.kind == "mass" and not amount.grams:
            raise UnitError(f"serving {serving!r} is nothing: write the grams the packet prints")
    printed: dict[str, Printed] = {}
    for row, _ in _rows(source, path, table, market):
        if row.text != INSIGNIFICANT or row.name not in printed:
            printed[row.name] = row
    signs = printed_words().get(f"older.{market}", ())
    older = any(plain_words(key) in signs for key in table)
    return PanelText(market=market, serving=amount, figures=printed, older=older, where=source.at(path))


def _serving(table: dict):
    """What the figures are for, taken out of the panel's rows; None where it does not say."""
    given = {key: table.pop(key) for key in list(table) if _is_serving(key)}
    said = [key.partition(" ")[2] if value is None else value for key, value in given.items()]
    if len(said) > 1:
        raise ValueError("gives both 'serving' and 'per': keep the one whose figures are typed")
    return said[0] if said else None


def _is_serving(key: str) -> bool:
    plain = plain_words(key)
    words = printed_words()
    return plain in (*words["serving"], *words["per"]) or any(
        re.fullmatch(rf"{per} \d+ ?\w+", plain) for per in words["per"]
    )


def _rows(source: Source, path: tuple, table: Mapping, country: str) -> Iterator[tuple[Printed, tuple]]:
    """The figures of a panel with their places; what tells nothing of the food is left out."""
    words = printed_words()
    for key, value in table.items():
        here, plain = (*path, key), plain_words(key)
        if plain in words["counted"]:
            continue
        try:
            if start := next((w for w in words["insignificant"] if plain.startswith(w)), ""):
                for name in _named(f"{plain[len(start) :]}, {_one(source, here, value) if value else ''}"):
                    yield Printed(name=name, text=INSIGNIFICANT, where=source.at(here)), here
                continue
            said = _one(source, here, value)
            if (unit := _UNIT.search(key)) and not re.search(r"[^\W\d]", said):
                said = f"{said} {unit[1]}"
            shown = " | ".join(plain_figure(part, key, country) for part in said.split("|"))
            yield Printed(name=str(key), text=shown, where=source.at(here)), here
        except UnitError as error:
            source.fault("amount.field", here, field=key, reason=str(error))
        except ValueError as error:
            source.fault("value", here, field=key, reason=str(error))


def _one(source: Source, path: tuple, value) -> str:
    """A value as one text; of a list its items are columns."""
    items = value if isinstance(value, list) else [value]
    return " | ".join(text(source, path, item, "") for item in items)


def _named(said: str) -> list[str]:
    """The nutrients of a list in a sentence: "fibre, sugars and iron"."""
    between = "|".join(printed_words()["between"])
    parts = re.split(rf"[,;|.]|\s(?:{between})\s", said)
    counted = printed_words()["counted"]
    return [name for part in parts if (name := part.strip()) and plain_words(name) not in counted]


def plain_figure(said: str, name: str, country: str) -> str:
    """An amount with a decimal point, ``<`` for "less than", ``0 g`` for "nil" and ``trace`` for traces.

    >>> plain_figure("3,5 g", "Fett", "eu"), plain_figure("less than 1 g", "fibre", "us")
    ('3.5 g', '<1 g')
    >>> plain_figure("Nil", "fat", "uk"), plain_figure("Spuren", "Salz", "eu")
    ('0 g', 'trace')
    >>> plain_figure("1 447 kJ / 341 kcal", "Énergie", "eu")
    '1447 kJ / 341 kcal'
    """
    words, plain = printed_words(), plain_words(said)
    if plain in words["nil"]:
        return "0 kcal" if _is_energy(name) else "0 g"
    if plain in words["trace"]:
        return "trace"
    joined = _SPACED.sub(lambda m: m[1] + re.sub(r"\D", "", m[2]), _without_accents(said))
    return plain_numbers(_less().sub(r"\1<", joined).strip(), country)


def _is_energy(name: str) -> bool:
    try:
        return key_of(name) == ENERGY
    except CompositionError:
        return False


@cache
def _less() -> re.Pattern:
    said = "|".join(re.escape(w).replace(r"\ ", r"\s+") for w in printed_words()["less"])
    return re.compile(rf"(^\s*|[/(|]\s*)(?:{said})\s*(?=[\d.,])", re.IGNORECASE)


def _without_accents(said: str) -> str:
    return "".join(c for c in unicodedata.normalize("NFD", said) if not unicodedata.combining(c))
