"""Readers of what laboratories, the maker and the oven state: tests, reasons, reference foods, cooking."""

from __future__ import annotations

import re
from collections.abc import Callable

from labelgen.errors import UnitError
from labelgen.quantity import read_mass, read_percent
from labelgen.recipe.models import Cook, LabTest, ReferenceFood
from labelgen.recipe.printed import figures
from labelgen.recipe.values import entry, mass, one_of, pairs, positive, quantity, text

METHODS = ("bake", "roast", "fry", "boil", "dry")
_AMOUNT = re.compile(
    r"(?P<less><|less than|below|under)?\s*(?P<number>\d+(?:\.\d+)?)\s*(?:mg/kg|ppm)", re.IGNORECASE
)
_DENSITY = re.compile(r"\s*(\d+(?:\.\d+)?)\s*(g ?/ ?ml|kg ?/ ?l|g ?/ ?l)?\s*", re.IGNORECASE)
#: No food is lighter than whipped egg white or heavier than salt in a solid piece [g/ml].
_LIGHTEST, _HEAVIEST = 0.05, 2.2
_DAY = re.compile(r"\b\d{4}-\d{2}-\d{2}\b")


def reasons(source, path, raw, country) -> dict[str, str]:
    """``{peanut: "separate room, cleaned, 2026-11"}``: allergen code -> why it needs no warning."""
    found = {}
    for key, value in pairs(raw).items():
        found[str(key)] = why = text(source, (*path, key), value, country)
        if len(why.split()) < 2:
            source.fault("value.reason-too-short", (*path, key), text=why)
    return found


def tests(source, path, raw, country) -> dict[str, LabTest]:
    """``{gluten: "<5 mg/kg, Example Lab, 2026-11-02"}``: allergen code or lactose -> a laboratory's
    result.
    """
    found = {}
    for key, value in pairs(raw).items():
        said = text(source, (*path, key), value, country)
        amount, day = _AMOUNT.search(said), _DAY.search(said)
        if not amount or not day:
            source.fault("value.test-no-day" if amount else "value.test-no-amount", (*path, key), text=said)

            continue
        none = bool(amount["less"]) or "not detected" in said.lower() or "none detected" in said.lower()
        found[str(key)] = LabTest(
            text=said, most=float(amount["number"]), detected=not none, where=source.at((*path, key))
        )
    return found


def reference_food(source, path, raw, country) -> ReferenceFood:
    """``{name: our butter cookie, per: 100 g, nutrients: {fat: 25 g}}``."""
    values = entry(
        source,
        path,
        pairs(raw),
        {"name": ("name", text), "per": ("per", quantity), "nutrients": ("figures", figures)},
        country,
    )
    if len(values) < 3 or values["per"].grams is None:
        raise ValueError(
            "needs name, per (a weight) and nutrients, for example '{name: our butter cookie, per: 100 g,"
            " nutrients: {fat: 25 g}}'"
        )
    return ReferenceFood(where=source.at(path), **values)


def density(source, path, raw, country) -> float:
    """``1.03 g/ml`` or ``1.03 kg/l``: grams of a millilitre."""
    found = _DENSITY.fullmatch(str(raw))
    value = float(found[1]) * (1e-3 if found[2] and found[2].lower() == "g/l" else 1.0) if found else 0.0
    if not _LIGHTEST <= value <= _HEAVIEST:
        raise UnitError(
            f"{raw!r} is no density of a food: write what the sheet says, in g/ml or kg/l; milk has '1.03"
            " g/ml'"
        )
    return value


def cook(method: str) -> Callable:
    def read(source, path, raw, country) -> Cook:
        table = dict(pairs(raw)) if isinstance(raw, dict) else {"loss": raw}
        values = entry(source, path, table, COOK, country)
        loss = values.pop("loss", None)
        if loss is not None and ("before" in values or "after" in values):
            raise ValueError("give either the two weights (before, after) or a loss, not both")
        if loss is None and ("before" in values) != ("after" in values):
            raise ValueError(
                "needs both weights: before and after, for example 'before: 17 g, after: 15.2 g'"
            )
        if loss is not None:
            low, high = loss
            values |= {"loss": (low + high) / 2, "loss_low": low, "loss_high": high}
            if high >= 1:
                raise UnitError("a loss of 100 % leaves nothing")
        elif "before" not in values:
            raise ValueError(
                "says nothing of the weight: add 'before: 17 g, after: 15.2 g' (weighed) or 'loss: 11 %'"
            )
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


def per(source, path, raw, country) -> float:
    if str(raw).strip() not in ("piece", "1 piece"):
        raise ValueError(f"is {raw!r}: only 'per: piece' is known; for a batch write 'makes: 24'")
    return 1.0


def amount_words(source, path, raw, country) -> str:
    if isinstance(raw, str) and raw in ("all", "none"):
        return raw
    mass(source, path, raw, country) if str(raw).strip()[:1] != "0" else None
    return text(source, path, raw, country)


COOK = {
    "before": ("before", mass),
    "after": ("after", mass),
    "loss": ("loss", _loss),
    "minutes": ("minutes", positive),
    "how": ("how", one_of("weighed", "estimated")),
    "fat": ("fat", _signed_mass),
    "fat_from": ("fat_from", text),
    "loses": ("loses", one_of("water", "everything")),
}
