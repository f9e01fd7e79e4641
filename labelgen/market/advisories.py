"""Statements a market attaches to certain ingredients: warnings that must stand on the label whenever they apply."""

from __future__ import annotations

import re

from labelgen.formulation.records import Amounts, NutrientProfile
from labelgen.market.pack import Entry, Pack

#: Slack at a threshold [g]: binary dust only.
_DUST = 1e-9


def declare_advisories(pack: Pack, profile: NutrientProfile, serving_g: float, statement: str) -> tuple[str, ...]:
    """The texts that apply, each once. statement: the printed ingredient statement. An unknown amount counts as
    none only when no ingredient states any: what is stated is summed."""
    if not pack.has("advisories"):
        return ()
    return tuple(dict.fromkeys(e["text"] for e in pack.entries("advisories") if _applies(e, profile, serving_g, statement)))


def warnings_among(pack: Pack, texts: tuple[str, ...]) -> tuple[str, ...]:
    """Those of the texts for which the law asks letters of their own."""
    loud = {e["text"] for e in pack.entries("advisories") if e.get("warning")} if pack.has("advisories") else set()
    return tuple(t for t in texts if t in loud)


def _applies(entry: Entry, profile: NutrientProfile, serving_g: float, statement: str) -> bool:
    if any(re.search(rf"\b{re.escape(word)}\b", statement, re.IGNORECASE) for word in entry.get("words", ())):
        return True
    tags = entry.get("tags") or [t for t in (entry.get("tag"),) if t]
    if not tags:
        return False
    food = {"pack": profile.pack, "100g": profile.per_100g}.get(entry["per"]) or profile.pack.per(serving_g)
    if any(not _sum(food, group) for group in entry.get("each", ())):
        return False
    grams, limit = _sum(food, tags) - _sum(food, entry.get("less", ())), float(entry["amount"])
    return grams > limit if entry.get("over") else grams >= limit - _DUST


def _sum(food: Amounts, tags) -> float:
    return sum(x for x in (food.get(tag)[1] for tag in tags) if x == x)
