"""Readers of single values (text, numbers, weights, choices), and of a whole entry by a table of its keys.

A reader takes (source, path, raw value, country) and returns the value, or raises UnitError/ValueError with
what to type.
"""

from __future__ import annotations

import csv
import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import cache
from typing import Any

from labelgen import paths
from labelgen.errors import LabelError, UnitError
from labelgen.quantity import (
    LARGEST,
    Quantity,
    check_thousands,
    read_mass,
    read_percent,
    read_quantity,
    read_volume,
)
from labelgen.recipe.misplaced import tell_misplaced
from labelgen.recipe.near import near
from labelgen.recipe.reach import names_in, plain
from labelgen.recipe.yamlfile import Source

_MOST_TEXT = 5000
#: Soft hyphens and marks without width, which come along when a packet's text is copied.
_INVISIBLE = dict.fromkeys(map(ord, "\u00ad\u200b\u200c\u200d\u2060\ufeff"))
#: Bytes a QR code of the size labels have room for holds.
_MOST_QR = 100
_MILLIMETRES = {"mm": 1.0, "cm": 10.0, "in": 25.4}


def text(source: Source, path: tuple, raw: Any, country: str) -> str:
    if isinstance(raw, bool) or raw is None or isinstance(raw, (dict, list)):
        raise ValueError("must be text: put it in quotes if it looks like something else")
    value = " ".join(str(raw).translate(_INVISIBLE).split())
    if len(value) > _MOST_TEXT:
        raise ValueError(f"is longer than {_MOST_TEXT} characters: shorten it")
    if not value.isprintable():
        raise ValueError(
            f"holds {', '.join(sorted({f'U+{ord(c):04X}' for c in value if not c.isprintable()}))}, which"
            " cannot be printed: type the text anew"
        )
    return value


@dataclass(frozen=True)
class Worded:
    """A text with its wordings in further languages: language -> text."""

    text: str
    also: dict[str, str]


def worded(source: Source, path: tuple, raw: Any, country: str) -> str | Worded:
    """``butter`` or ``{en: butter, fr: beurre}``: the first language stands for the product wherever none
    is asked for.
    """
    if not isinstance(raw, dict):
        return text(source, path, raw, country)
    said = {}
    for language, value in raw.items():
        try:
            code = language_code(language)
        except ValueError as error:
            raise ValueError(f"{error}, as in {{en: butter, fr: beurre}}") from None
        if code in said:
            raise ValueError(f"{language!r} is {code}, which is given already: keep one")
        said[code] = text(source, (*path, language), value, country)
    if not said:
        raise ValueError("is empty: write for example {en: butter, fr: beurre}")
    first = said.get("en") or next(iter(said.values()))
    return Worded(first, said)


@cache
def _languages() -> dict[str, str]:
    """Code or name of a language, folded -> its code, from ``reference/words/languages.csv``."""
    with open(paths.reference("words", "languages.csv"), encoding="utf-8", newline="") as f:
        return {
            word.casefold(): row["code"]
            for row in csv.DictReader(f)
            for word in (row["code"], *row["names"].split(";"))
        }


def language_code(word: Any) -> str:
    """The code of a language however it is named: ``de``, ``de-AT``, ``Deutsch``, ``German``. Raises
    ValueError for any other.
    """
    folded = str(word).strip().casefold()
    code = _languages().get(folded) or (
        _languages().get(folded[:2]) if re.fullmatch(r"[a-z]{2}[-_][a-z]{2,4}", folded) else None
    )
    if code is None:
        like = near(folded, _languages())
        raise ValueError(
            f"{word!r} is no language labelgen knows{f': did you mean {like}?' if like else ''}: write"
            " its two letters, for example de or fr"
        )
    return code


def languages(source, path, raw, country) -> tuple[str, ...]:
    """Codes of the languages of labels, each once."""
    return tuple(dict.fromkeys(language_code(word) for word in words(source, path, raw, country)))


def known_markets(source: Source, codes: Sequence[str]) -> tuple[str, ...]:
    """The markets of ``markets:`` that labelgen has the law of, each once; faults for the others."""
    from labelgen.law.registry import code_named

    known = _market_codes()
    for n, code in enumerate(codes):
        if code_named(code) not in known:
            source.fault("market-unknown", ("markets", n), market=code, known=known)
    if not codes:
        source.fault("market-unknown.none", ("markets",), known=known)
    return tuple(dict.fromkeys(c for c in map(code_named, codes) if c in known)) or ("us",)


def spoken_alone(settings: Mapping[str, Any]) -> str:
    """The one language that every label of a kitchen is printed in, so that its plain texts are in it; ""
    where there are several, or a market has another beside it.
    """
    from labelgen.law.registry import market_named

    spoken = settings.get("languages") or ()
    laws = [market_named(code) for code in settings.get("markets") or ("us",)]
    alone = all(spoken[:1] and spoken[0] in m.may_be_in and not m.also_in for m in laws)
    return spoken[0] if len(spoken) == 1 and alone else ""


def words(source, path, raw, country) -> tuple[str, ...]:
    items = raw if isinstance(raw, list) else [] if raw is None else [raw]
    return tuple(text(source, path, item, country) for item in items)


@dataclass(frozen=True)
class WordedList:
    """Texts, their wordings in further languages (language -> key -> text), and those of single markets
    (code -> texts).
    """

    texts: tuple[str, ...]
    also: dict[str, dict[str, str]]
    by_market: dict[str, tuple[str, ...]] = field(default_factory=dict)


def claims(source, path, raw, country) -> WordedList:
    """``[gluten free, {en: no added sugar, fr: sans sucres ajoutés}]``, or ``{us: [...], uk: [...]}``
    where markets differ.
    """
    if not isinstance(raw, dict) or not _names_markets(raw):
        return _claims_of(source, path, raw, country)
    from labelgen.law.registry import code_named

    each, also, known = {}, {}, _market_codes()
    for code, items in raw.items():
        if code_named(code) not in known:
            source.fault("value.no-market", (*path, code), market=str(code), known=known)
            continue
        said = _claims_of(source, (*path, code), items, country)
        each[code_named(code)] = said.texts
        for language, wordings in said.also.items():
            also.setdefault(language, {}).update(wordings)
    return WordedList((), also, each)


def _names_markets(raw: dict) -> bool:
    """Whether a mapping is one by market, and not one claim in several languages."""
    return any(isinstance(items, list) or str(code).lower() in _market_codes() for code, items in raw.items())


def _market_codes() -> tuple[str, ...]:
    from labelgen.law.registry import markets

    return tuple(m.code for m in markets())


def _claims_of(source, path, raw, country) -> WordedList:
    texts, also = [], {}
    for n, item in enumerate(raw if isinstance(raw, list) else [raw]):
        said = worded(source, (*path, n), item, country)
        texts.append(said.text if isinstance(said, Worded) else said)
        own = {source.spoken: texts[-1]} if source.spoken else {}
        for language, wording in (said.also if isinstance(said, Worded) else own).items():
            also.setdefault(language, {})[f"claim {texts[-1]}"] = wording
    return WordedList(tuple(texts), also)


def yes_no(source, path, raw, country) -> bool:
    if not isinstance(raw, bool):
        raise ValueError("must be true or false")
    return raw


def number(source, path, raw, country) -> float:
    if isinstance(raw, bool) or not isinstance(raw, (int, float)):
        raise ValueError("must be a plain number, for example 12")
    if raw < 0:
        raise ValueError(f"is {raw}: it cannot be negative")
    if raw > LARGEST:
        raise ValueError(f"is {raw:g}: nobody makes more than {LARGEST:,.0f}: check the number")
    return float(raw)


def plainly(raw: Any, country: str) -> Any:
    """An amount as typed. Raises UnitError where its point may part thousands as well as decimals."""
    written = getattr(raw, "written", raw)
    if isinstance(written, str):
        check_thousands(written, country)
    return raw


def positive(source, path, raw, country) -> float:
    value = number(source, path, plainly(raw, country), country)
    if value == 0:
        raise ValueError("is 0: it must be more than nothing")
    return value


def pieces(source, path, raw, country) -> float:
    """``24`` or ``24 pieces``."""
    if isinstance(raw, str):
        quantity, _ = read_quantity(plainly(raw, country), country)
        if quantity.kind != "count":
            raise UnitError(f"{raw!r} is no count: write for example 24")
        raw = quantity.count
    return positive(source, path, raw, country)


def mass(source, path, raw, country) -> float:
    return _some(raw, read_mass(plainly(raw, country), country))


def net(source, path, raw, country) -> float:
    if isinstance(raw, str) and read_quantity(raw, country)[0].kind == "volume":
        raise UnitError(
            f"{raw!r} is a volume: weigh it and give both, for example 'net: 332 g' and 'volume: {raw}'"
        )
    return mass(source, path, raw, country)


def volume(source, path, raw, country) -> float:
    return _some(raw, read_volume(plainly(raw, country), country))


def _some(raw, amount: float) -> float:
    if amount == 0:
        raise UnitError(f"{raw!r}: it must be more than nothing")
    return amount


def quantity(source, path, raw, country) -> Quantity:
    value, rest = read_quantity(plainly(raw, country), country)
    return value if value.kind != "count" else Quantity(value.text, "count", count=value.count, unit=rest)


def weights(source, path, raw, country) -> dict[str, Quantity]:
    """``{cup: 120 g, large: 50 g}`` or ``{2 tbsp: 15 g}``: household measure -> its weight."""
    table = pairs(raw)
    for key, value in table.items():
        text(source, path, key, country)
        mass(source, (*path, key), value, country)
    return {str(key): quantity(source, path, value, country) for key, value in table.items()}


def reference_amounts(source, path, raw, country) -> dict[str, Quantity]:
    """``{ca: 355 mL, us: 360 mL}``: market -> the reference amount of the food in the authority's table."""
    found, known = {}, _market_codes()
    for code, value in pairs(raw).items():
        if str(code).lower() not in known:
            source.fault("value.no-market", (*path, code), market=str(code), known=known)
            continue
        amount = quantity(source, (*path, code), value, country)
        if amount.kind == "count" or not (amount.grams or amount.millilitres):
            raise UnitError(f"{value!r} is no weight or volume: write for example '30 g' or '355 mL'")
        found[str(code).lower()] = amount
    return found


def fraction(source, path, raw, country) -> float:
    low, high = read_percent(raw)
    if low != high:
        raise UnitError(f"{raw!r}: one figure is needed here, for example '2 %'")
    if low >= 1:
        raise UnitError(f"{raw!r}: all of it cannot be left behind")
    return low


def percent(source, path, raw, country) -> float:
    """``4.5``, ``4.5 %`` or ``25% juice``: a share of a hundred."""
    words = str(plainly(raw, country)).partition("%")[0].strip()
    if isinstance(raw, bool) or not re.fullmatch(r"\d+(\.\d+)?", words) or float(words) > 100:
        raise ValueError(f"is {raw!r}: write the percentage, for example 4.5 or 25 %")
    return float(words)


def one_of(*allowed: str):
    def read(source, path, raw, country):
        if raw not in allowed:
            raise ValueError(f"is {raw!r}: write one of {', '.join(allowed)}")
        return raw

    return read


def pairs(raw: Any) -> dict:
    if not isinstance(raw, dict):
        raise ValueError("must be written as 'name: value' pairs")
    return raw


def package(source, path, raw, country) -> tuple[float, ...]:
    """``10 x 15 x 4 cm``: width, height and depth of the whole package [mm]; two figures for a flat one."""
    found = re.fullmatch(r"\s*([\d.]+)\s*[x×]\s*([\d.]+)(?:\s*[x×]\s*([\d.]+))?\s*(mm|cm|in)\s*", str(raw))
    try:
        sides = tuple(float(part) * _MILLIMETRES[found[4]] for part in found.groups()[:3] if part)
    except (AttributeError, ValueError):
        sides = ()
    if not sides or not all(1 <= side <= 2000 for side in sides):
        raise ValueError(
            f"{raw!r} is no package size: write width x height x depth, for example '10 x 15 x 4 cm'"
        )
    return sides


def gtin(source, path, raw, country) -> str:
    """A GTIN of 8, 12 or 13 digits whose check digit is right (weights 3 and 1 from the right, modulo 10)."""
    digits = text(source, path, raw, country).replace(" ", "").replace("-", "")
    if not digits.isascii() or not digits.isdigit() or len(digits) not in (8, 12, 13):
        raise ValueError(
            f"{raw!r} is no GTIN: write its 8, 12 or 13 digits in quotes, as your number bank gave them"
        )
    due = -sum(int(d) * (3 if n % 2 == 0 else 1) for n, d in enumerate(reversed(digits[:-1]))) % 10
    if due != int(digits[-1]):
        raise ValueError(
            f"{raw!r}: its last digit would have to be {due}: compare it with the number you were given"
        )
    return digits


def qr(source, path, raw, country) -> str:
    """Text of a QR code, such as a web address."""
    value = text(source, path, raw, country)
    if len(value.encode()) > _MOST_QR:
        raise ValueError(
            f"is longer than {_MOST_QR} bytes: a code that small printers can print holds no more"
        )
    return value


def entry(
    source: Source, path: tuple, table: dict, allowed: dict, country: str, beside: tuple[str, ...] = ()
) -> dict:
    """Model fields from one entry's table; an unknown key is refused with the nearest known one. Each fault
    is recorded at its own key; good values are returned.

    ``beside`` names keys the caller reads itself.
    """
    values: dict[str, Any] = {}
    for key, raw in table.items():
        here = (*path, key)
        if key in beside:
            continue
        if key not in allowed:
            unknown_key(source, here, (*beside, *allowed), table)
            continue
        name, read = allowed[key]
        if name in values:
            source.fault("key-twice", here, name=key)
            continue
        try:
            value = read(source, here, raw, country)
        except LabelError as error:
            source.fault("amount.field", here, field=key, reason=str(error))
        except ValueError as error:
            source.fault("value", here, field=key, reason=str(error))

        else:
            values[name] = (
                value.text
                if isinstance(value, Worded)
                else value.texts
                if isinstance(value, WordedList)
                else value
            )
            if source.spoken and read is worded and isinstance(value, str):
                value = Worded(value, {source.spoken: value})
            if isinstance(value, WordedList):
                values[f"market_{name}"] = value.by_market
            for language, said in getattr(value, "also", {}).items():
                values.setdefault("also", {}).setdefault(language, {}).update(
                    {name: said} if isinstance(value, Worded) else said
                )
    return values


def unknown_key(source: Source, path: tuple, known: Sequence[str], table: dict) -> None:
    """Adds the fault that a key is none of those known at its place. table: all that stands there."""
    if tell_misplaced(source, path, table, known):
        return
    like = near(path[-1], known)
    source.fault(
        "unknown-key.near" if like else "unknown-key",
        path,
        name=path[-1],
        near=like.first,
        known=known,
        sure=like.sure,
    )


def unknown_name(
    source: Source, path: tuple, name: str, names: Mapping[str, str], unread: Iterable[Source]
) -> None:
    """Adds the fault that a name is no ingredient: misspelt, in a file that cannot be read, or missing.
    names: those there are, folded -> as written.
    """
    like = near(plain(name), names, most=3)
    files = [s.file for s in unread if plain(name) in names_in(s.text or "")]
    here = "unknown-ingredient.near" if like else "unknown-ingredient.new"
    source.fault(
        "unknown-ingredient.unread" if files else here,
        path,
        name=name,
        near=" or ".join(names[n] for n in like.words),
        first=names.get(like.first, ""),
        file=files,
        sure=like.sure,
    )
