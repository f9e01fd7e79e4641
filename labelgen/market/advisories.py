"""Statements a market attaches to certain ingredients: warnings that must stand on the label whenever they apply."""

from __future__ import annotations

import re

from labelgen.formulation.records import NutrientProfile
from labelgen.market.pack import Entry, Pack


def declare_advisories(pack: Pack, profile: NutrientProfile, serving_g: float, statement: str) -> tuple[str, ...]:
    """The texts that apply, each once. statement: the printed ingredient statement. An unknown amount counts as
    none only when no ingredient states any: what is stated is summed."""
    if not pack.has("advisories"):
        return ()
    return tuple(dict.fromkeys(e["text"] for e in pack.entries("advisories") if _applies(e, profile, serving_g, statement)))


def _applies(entry: Entry, profile: NutrientProfile, serving_g: float, statement: str) -> bool:
    if any(re.search(rf"\b{re.escape(word)}\b", statement, re.IGNORECASE) for word in entry.get("words", ())):
        return True
    if not entry.get("tag"):
        return False
    food = profile.pack if entry["per"] == "pack" else profile.pack.per(serving_g)
    grams, limit = food.get(entry["tag"])[1], float(entry["amount"])
    return grams > limit if entry.get("over") else grams >= limit
