"""What may be written under each kind of entry: YAML key -> (model field, how to read it).

A reader takes (source, path, raw value, country) and returns the value, or raises UnitError/ValueError with what
to type. An unknown key is refused with the nearest known one.
"""

from __future__ import annotations

import difflib
import re
from dataclasses import dataclass
from typing import Any, Callable

from labelgen.errors import CompositionError, LabelError, UnitError
from labelgen.nutrients import key_of
from labelgen.quantity import LARGEST, Quantity, read_mass, read_percent, read_quantity, read_volume
from labelgen.recipe.models import Cook, LabTest, PanelText, Printed, ReferenceFood
from labelgen.recipe.yamlfile import Source

METHODS = ("bake", "roast", "fry", "boil", "dry")
_MOST_TEXT = 5000
#: Soft hyphens and marks without width, which come along when a packet's text is copied.
_INVISIBLE = dict.fromkeys(map(ord, "\u00ad\u200b\u200c\u200d\u2060\ufeff"))
#: Bytes a QR code of the size labels have room for holds.
_MOST_QR = 100
_MILLIMETRES = {"mm": 1.0, "cm": 10.0, "in": 25.4}
_AMOUNT = re.compile(r"(?P<less><|less than|below|under)?\s*(?P<number>\d+(?:\.\d+)?)\s*(?:mg/kg|ppm)", re.IGNORECASE)
_DAY = re.compile(r"\b\d{4}-\d{2}-\d{2}\b")


def text(source: Source, path: tuple, raw: Any, country: str) -> str:
    if isinstance(raw, bool) or raw is None or isinstance(raw, (dict, list)):
        raise ValueError("must be text: put it in quotes if it looks like something else")
    value = " ".join(str(raw).translate(_INVISIBLE).split())
    if len(value) > _MOST_TEXT:
        raise ValueError(f"is longer than {_MOST_TEXT} characters: shorten it")
    if not value.isprintable():
        raise ValueError(f"holds {', '.join(sorted({f'U+{ord(c):04X}' for c in value if not c.isprintable()}))}, which cannot be printed: type the text anew")
    return value


@dataclass(frozen=True)
class Worded:
    """A text with its wordings in further languages: language -> text."""

    text: str
    also: dict[str, str]


def worded(source: Source, path: tuple, raw: Any, country: str) -> str | Worded:
    """``butter`` or ``{en: butter, fr: beurre}``: the first language stands for the product wherever none is asked for."""
    if not isinstance(raw, dict):
        return text(source, path, raw, country)
    said = {}
    for language, value in raw.items():
        if not re.fullmatch(r"[a-z]{2}", str(language)):
            raise ValueError(f"{language!r} is no language: write for example {{en: butter, fr: beurre}}")
        said[language] = text(source, (*path, language), value, country)
    if not said:
        raise ValueError("is empty: write for example {en: butter, fr: beurre}")
    first = said.get("en") or next(iter(said.values()))
    return Worded(first, said)


def words(source, path, raw, country) -> tuple[str, ...]:
    items = raw if isinstance(raw, list) else [] if raw is None else [raw]
    return tuple(text(source, path, item, country) for item in items)


@dataclass(frozen=True)
class WordedList:
    """Texts, and their wordings in further languages: language -> key -> text."""

    texts: tuple[str, ...]
    also: dict[str, dict[str, str]]


def claims(source, path, raw, country) -> WordedList:
    """``[gluten free, {en: no added sugar, fr: sans sucres ajoutés}]``."""
    texts, also = [], {}
    for n, item in enumerate(raw if isinstance(raw, list) else [raw]):
        said = worded(source, (*path, n), item, country)
        texts.append(said.text if isinstance(said, Worded) else said)
        for language, wording in said.also.items() if isinstance(said, Worded) else ():
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


def positive(source, path, raw, country) -> float:
    value = number(source, path, raw, country)
    if value == 0:
        raise ValueError("is 0: it must be more than nothing")
    return value


def pieces(source, path, raw, country) -> float:
    """``24`` or ``24 pieces``."""
    if isinstance(raw, str):
        quantity, _ = read_quantity(raw, country)
        if quantity.kind != "count":
            raise UnitError(f"{raw!r} is no count: write for example 24")
        raw = quantity.count
    return positive(source, path, raw, country)


def mass(source, path, raw, country) -> float:
    grams = read_mass(raw, country)
    if grams == 0:
        raise UnitError(f"{raw!r}: it must be more than nothing")
    return grams


def net(source, path, raw, country) -> float:
    if isinstance(raw, str) and read_quantity(raw, country)[0].kind == "volume":
        raise UnitError(f"{raw!r} is a volume: weigh it and give both, for example 'net: 332 g' and 'volume: {raw}'")
    return mass(source, path, raw, country)


def volume(source, path, raw, country) -> float:
    millilitres = read_volume(raw, country)
    if millilitres == 0:
        raise UnitError(f"{raw!r}: it must be more than nothing")
    return millilitres


def quantity(source, path, raw, country) -> Quantity:
    value, rest = read_quantity(raw, country)
    return value if value.kind != "count" else Quantity(value.text, "count", count=value.count, unit=rest)


def weights(source, path, raw, country) -> dict[str, Quantity]:
    """``{cup: 120 g, large: 50 g}`` or ``{2 tbsp: 15 g}``: household measure -> its weight."""
    table = _table(raw)
    for key, value in table.items():
        text(source, path, key, country)
        mass(source, (*path, key), value, country)
    return {str(key): quantity(source, path, value, country) for key, value in table.items()}


def figures(source, path, raw, country) -> dict[str, Printed]:
    """Nutrient key -> figure as typed. All unknown names are reported, each at its own place."""
    found = {}
    for key, value in _table(raw).items():
        try:
            tag = key_of(key)
        except CompositionError as error:
            source.fault("nutrient-unknown", (*path, key), f"{error}; remove it or use a name from labelgen's list")
            continue
        if tag in found:
            source.fault("nutrient-twice", (*path, key), f"{key!r} is the same nutrient as one above: keep one")
        found[tag] = _printed(source, (*path, key), key, value, country)
    return found


def _printed(source, path, key, value, country) -> Printed:
    return Printed(name=str(key), text=text(source, path, value, country), where=source.at(path))


def panel(source, path, raw, country) -> PanelText:
    """A supplier's panel. A serving such as ``2 biscuits (30 g)`` is its weight; ``per: 100 g`` means the same."""
    table = dict(_table(raw))
    market, serving, per = str(table.pop("market", "us")), table.pop("serving", None), table.pop("per", None)
    if serving is not None and per is not None:
        raise ValueError("gives both 'serving' and 'per': keep the one whose figures are typed")
    serving, amount = per if serving is None else serving, None
    if serving is not None:
        weight = re.search(r"\d+(?:\.\d+)?\s*g\b", str(serving))
        amount = quantity(source, path, weight[0] if weight else serving, country)
        if amount.kind == "volume":
            raise UnitError(f"serving {serving!r} is a volume, and the panel does not tell what it weighs: weigh it, or multiply it by the density on the supplier's sheet, and write for example 'serving: 103 g' for 100 ml of 1.03 g/ml")
        if amount.kind != "mass" or not amount.grams:
            raise UnitError(f"serving {serving!r} is no weight: write the grams the packet prints, or weigh it, for example '30 g'")
    printed = {}
    for key, value in table.items():
        try:
            printed[str(key)] = _printed(source, (*path, key), key, value, country)
        except ValueError as error:
            source.fault("value", (*path, key), f"{key}: {error}")
    return PanelText(market=market, serving=amount, figures=printed, where=source.at(path))


def reasons(source, path, raw, country) -> dict[str, str]:
    """``{peanut: "separate room, cleaned, 2026-11"}``: allergen code -> why it needs no warning."""
    found = {}
    for key, value in _table(raw).items():
        found[str(key)] = why = text(source, (*path, key), value, country)
        if len(why.split()) < 2:
            source.fault("value", (*path, key), f"{why!r} says too little: write how it is kept apart and since when, for example 'separate room, cleaned, 2026-11'")
    return found


def tests(source, path, raw, country) -> dict[str, LabTest]:
    """``{gluten: "<5 mg/kg, Example Lab, 2026-11-02"}``: allergen code or lactose -> a laboratory's result."""
    found = {}
    for key, value in _table(raw).items():
        said = text(source, (*path, key), value, country)
        amount, day = _AMOUNT.search(said), _DAY.search(said)
        if not amount or not day:
            lacks = "no amount in mg/kg" if not amount else "no day"
            source.fault("value", (*path, key), f"{said!r} names {lacks}: write result, laboratory and day, for example '<5 mg/kg, Example Lab, 2026-11-02'")
            continue
        none = bool(amount["less"]) or "not detected" in said.lower() or "none detected" in said.lower()
        found[str(key)] = LabTest(text=said, most=float(amount["number"]), detected=not none, where=source.at((*path, key)))
    return found


def reference_food(source, path, raw, country) -> ReferenceFood:
    """``{name: our butter cookie, per: 100 g, nutrients: {fat: 25 g}}``."""
    values = entry(source, path, _table(raw), {"name": ("name", text), "per": ("per", quantity), "nutrients": ("figures", figures)}, country)
    if len(values) < 3 or values["per"].grams is None:
        raise ValueError("needs name, per (a weight) and nutrients, for example '{name: our butter cookie, per: 100 g, nutrients: {fat: 25 g}}'")
    return ReferenceFood(where=source.at(path), **values)


def fraction(source, path, raw, country) -> float:
    low, high = read_percent(raw)
    if low != high:
        raise UnitError(f"{raw!r}: one figure is needed here, for example '2 %'")
    if low >= 1:
        raise UnitError(f"{raw!r}: all of it cannot be left behind")
    return low


def cook(method: str) -> Callable:
    def read(source, path, raw, country) -> Cook:
        table = dict(_table(raw)) if isinstance(raw, dict) else {"loss": raw}
        values = entry(source, path, table, COOK, country)
        loss = values.pop("loss", None)
        if loss is not None and ("before" in values or "after" in values):
            raise ValueError("give either the two weights (before, after) or a loss, not both")
        if loss is None and ("before" in values) != ("after" in values):
            raise ValueError("needs both weights: before and after, for example 'before: 17 g, after: 15.2 g'")
        if loss is not None:
            low, high = loss
            values |= {"loss": (low + high) / 2, "loss_low": low, "loss_high": high}
            if low >= 1:
                raise UnitError("a loss of 100 % leaves nothing")
        elif "before" not in values:
            raise ValueError("says nothing of the weight: add 'before: 17 g, after: 15.2 g' (weighed) or 'loss: 11 %'")
        values.setdefault("how", "weighed" if loss is None else "estimated")
        return Cook(method=method, where=source.at(path), **values)

    return read


def _loss(source, path, raw, country):
    return read_percent(raw)


def _signed_mass(source, path, raw, country) -> float:
    """``3 g`` taken up, or ``-3 g`` drained off."""
    shown = str(raw).strip()
    if shown[:1] in "-−":
        return -read_mass(shown[1:], country)
    return read_mass(shown, country)


def _one_of(*allowed: str):
    def read(source, path, raw, country):
        if raw not in allowed:
            raise ValueError(f"is {raw!r}: write one of {', '.join(allowed)}")
        return raw

    return read


def _per(source, path, raw, country) -> float:
    if str(raw).strip() not in ("piece", "1 piece"):
        raise ValueError(f"is {raw!r}: only 'per: piece' is known; for a batch write 'makes: 24'")
    return 1.0


def _amount_words(source, path, raw, country) -> str:
    if isinstance(raw, str) and raw in ("all", "none"):
        return raw
    mass(source, path, raw, country) if str(raw).strip()[:1] != "0" else None
    return text(source, path, raw, country)


def _table(raw) -> dict:
    if not isinstance(raw, dict):
        raise ValueError("must be written as 'name: value' pairs")
    return raw


COOK = {
    "before": ("before", mass), "after": ("after", mass), "loss": ("loss", _loss), "minutes": ("minutes", positive),
    "how": ("how", _one_of("weighed", "estimated")), "fat": ("fat", _signed_mass), "fat_from": ("fat_from", text),
    "loses": ("loses", _one_of("water", "everything")),
}  # fmt: skip
def package(source, path, raw, country) -> tuple[float, ...]:
    """``10 x 15 x 4 cm``: width, height and depth of the whole package [mm]; two figures for a flat one."""
    found = re.fullmatch(r"\s*([\d.]+)\s*[x×]\s*([\d.]+)(?:\s*[x×]\s*([\d.]+))?\s*(mm|cm|in)\s*", str(raw))
    try:
        sides = tuple(float(part) * _MILLIMETRES[found[4]] for part in found.groups()[:3] if part)
    except (AttributeError, ValueError):
        sides = ()
    if not sides or not all(1 <= side <= 2000 for side in sides):
        raise ValueError(f"{raw!r} is no package size: write width x height x depth, for example '10 x 15 x 4 cm'")
    return sides


def gtin(source, path, raw, country) -> str:
    """A GTIN of 8, 12 or 13 digits whose check digit is right (weights 3 and 1 from the right, modulo 10)."""
    digits = text(source, path, raw, country).replace(" ", "").replace("-", "")
    if not digits.isascii() or not digits.isdigit() or len(digits) not in (8, 12, 13):
        raise ValueError(f"{raw!r} is no GTIN: write its 8, 12 or 13 digits in quotes, as your number bank gave them")
    due = -sum(int(d) * (3 if n % 2 == 0 else 1) for n, d in enumerate(reversed(digits[:-1]))) % 10
    if due != int(digits[-1]):
        raise ValueError(f"{raw!r}: its last digit would have to be {due}: compare it with the number you were given")
    return digits


def qr(source, path, raw, country) -> str:
    """Text of a QR code, such as a web address."""
    value = text(source, path, raw, country)
    if len(value.encode()) > _MOST_QR:
        raise ValueError(f"is longer than {_MOST_QR} bytes: a code that small printers can print holds no more")
    return value


PRODUCER = {k: (k, text) for k in ("name", "address", "phone", "email", "web", "role")}
INGREDIENT = {
    "print": ("print_name", worded), "food": ("food", text), "statement": ("statement", worded),
    "contains": ("contains", words), "may_contain": ("may_contain", words), "panel": ("panel", panel),
    "per": ("per", quantity), "nutrients": ("nutrients", figures), "source": ("source", text), "weighs": ("weighs", weights),
    "added_sugars": ("added_sugars", _amount_words), "supplier": ("supplier", text), "supplier_lot": ("supplier_lot", text),
    "gluten_free": ("gluten_free", yes_no), "vegan": ("vegan", yes_no), "vegetarian": ("vegetarian", yes_no),
}  # fmt: skip
FOOD = {
    **{k: (k, text) for k in ("name", "database", "kind", "published", "fetched", "packet")},
    "per": ("per", quantity), "nutrients": ("nutrients", figures), "weighs": ("weighs", weights), "composite": ("composite", yes_no),
}  # fmt: skip
FORMULATION = {
    "yields": ("yields", mass), "makes": ("makes", pieces), "per": ("makes", _per), "left": ("left", fraction),
    "print": ("print_name", worded), **{m: ("cook", cook(m)) for m in METHODS},
}  # fmt: skip
PRODUCT = {
    "name": ("name", worded), "of": ("of", text), "pieces": ("pieces", pieces), "net": ("net", net), "volume": ("volume", volume),
    "category": ("category", text), "unit": ("unit", worded), "unit_plural": ("unit_plural", worded),
    "identity": ("identity", worded), "cut": ("cut", yes_no), "best_before": ("best_before", text), "use_by": ("use_by", text), "date_mark": ("date_mark", text),
    "storage": ("storage", worded), "origin": ("origin", worded), "claims": ("claims", claims), "show": ("show", words), "precaution": ("precaution", worded),
    "serving": ("serving", quantity), "pdcaas": ("pdcaas", positive), "nutrition_symbol": ("nutrition_symbol", yes_no),
    "price": ("price", text), "quantify": ("quantify", words), "flavours_only": ("flavours_only", words),
    "exempt": ("exempt", words), "compounds": ("compounds", _one_of("nested", "dissolved", "short")),
    "may_contain": ("may_contain", words), "cross_contact": ("cross_contact", reasons), "tested": ("tested", tests),
    "compared_with": ("compared_with", reference_food),
    "package": ("package", package), "gtin": ("gtin", gtin), "qr": ("qr", qr),
}  # fmt: skip
BOX = {"name": ("name", worded)}


def entry(source: Source, path: tuple, table: dict, allowed: dict, country: str, beside: tuple[str, ...] = ()) -> dict:
    """Model fields from one entry's table. Each fault is recorded at its own key; good values are returned.

    ``beside`` names keys the caller reads itself.
    """
    values: dict[str, Any] = {}
    for key, raw in table.items():
        here = (*path, key)
        if key in beside:
            continue
        if key not in allowed:
            near = difflib.get_close_matches(key, [*allowed, *beside], n=1, cutoff=0.6)
            hint = f"did you mean {near[0]!r}?" if near else f"known here: {', '.join([*beside, *allowed])}"
            source.fault("unknown-key", here, f"{key!r} is not known here; {hint}")
            continue
        field, read = allowed[key]
        if field in values:
            source.fault("key-twice", here, f"{key!r} says again what stands above: keep one of them")
            continue
        try:
            value = read(source, here, raw, country)
        except LabelError as error:
            source.fault("amount", here, f"{key}: {error}")
        except ValueError as error:
            source.fault("value", here, f"{key}: {error}")
        else:
            values[field] = value.text if isinstance(value, Worded) else value.texts if isinstance(value, WordedList) else value
            for language, said in getattr(value, "also", {}).items():
                values.setdefault("also", {}).setdefault(language, {}).update({field: said} if isinstance(value, Worded) else said)
    return values
