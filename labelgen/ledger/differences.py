"""How a declaration differs from one that was printed: allergens first, then statement, figures, other words."""

from __future__ import annotations

from dataclasses import dataclass
from difflib import SequenceMatcher

#: What a difference concerns, the most dangerous first.
ASPECTS = ("allergen", "precaution", "statement", "figure", "claim", "warning", "other words")
_WORDS = {"identity": "identity", "product": "name", "net_quantity": "net quantity", "storage": "storage", "business": "producer", "dates": "dates"}


@dataclass(frozen=True)
class Difference:
    """aspect: one of ASPECTS. message: what was printed and what would be printed now."""

    aspect: str
    message: str


def compare_declarations(printed: dict, now: dict) -> list[Difference]:
    """Differences between two declarations as ``declaration_as_dict`` gives them, the most dangerous first."""
    found = [*_allergens(printed, now, "contains", "allergen"), *_allergens(printed, now, "may_contain", "precaution")]
    found += _text(printed, now, "allergens", "allergen", "allergen statement")
    found += _text(printed, now, "ingredients", "statement", "ingredient statement")
    found += _figures(printed, now)
    claims = [{c["text"] or c["asked"] for c in d["claims"] if c["allowed"]} for d in (printed, now)]
    found += [Difference("claim", f"the claim {text!r} no longer holds") for text in sorted(claims[0] - claims[1])]
    found += [Difference("claim", f"the claim {text!r} is new") for text in sorted(claims[1] - claims[0])]
    found += _list(printed, now, "advisories", "warning")
    for field, called in _WORDS.items():
        if printed[field] != now[field]:
            found.append(Difference("other words", f"{called}: {_shown(printed[field])} -> {_shown(now[field])}"))
    return sorted(found, key=lambda d: ASPECTS.index(d.aspect))


def _allergens(printed: dict, now: dict, field: str, aspect: str) -> list[Difference]:
    before, after = ({h["allergen"]: h["because"] for h in d[field]} for d in (printed, now))
    verb = "contains" if field == "contains" else "may contain"
    new = [Difference(aspect, f"NEW: {verb} {code}, because of {after[code]}; the printed label does not know it") for code in after if code not in before]
    return new + [Difference(aspect, f"no longer {verb} {code}") for code in before if code not in after]


def _text(printed: dict, now: dict, field: str, aspect: str, called: str) -> list[Difference]:
    before, after = ("".join(r["text"] for r in d[field]) for d in (printed, now))
    return [Difference(aspect, f"{called}: {_changed_words(before, after)}")] if before != after else []


def _changed_words(before: str, after: str) -> str:
    """Only the comma-separated parts that changed: ``butter`` -> ``margarine (rapeseed oil, water)``."""
    old, new = before.split(", "), after.split(", ")
    changes = [
        f"{', '.join(old[a:b]) or 'nothing'!r} -> {', '.join(new[c:d]) or 'nothing'!r}"
        for tag, a, b, c, d in SequenceMatcher(None, old, new, autojunk=False).get_opcodes()
        if tag != "equal"
    ]
    return "; ".join(changes)


def _list(printed: dict, now: dict, field: str, aspect: str) -> list[Difference]:
    gone = [Difference(aspect, f"no longer asked for: {text!r}") for text in printed[field] if text not in now[field]]
    return [Difference(aspect, f"missing on the printed label: {text!r}") for text in now[field] if text not in printed[field]] + gone


def _figures(printed: dict, now: dict) -> list[Difference]:
    found = []
    before, after = ({(c["heading"], r["key"]): (r["label"], r["declared"], r["percent"]) for c in d["panel"]["columns"] for r in c["rows"]} for d in (printed, now))
    for place in dict.fromkeys((*after, *before)):
        old, new = before.get(place), after.get(place)
        if old == new:
            continue
        name = (new or old)[0].replace("{amount} ", "")
        where = f"{name} ({place[0]})" if place[0] else name
        found.append(Difference("figure", f"{where}: {_row(old)} -> {_row(new)}"))
    for field in ("household", "metric", "per_container"):
        old, new = (d["panel"]["serving"][field] for d in (printed, now))
        if old != new:
            found.append(Difference("figure", f"serving: {old!r} -> {new!r}"))
    return found


def _row(row: tuple[str, str, str] | None) -> str:
    return "no such row" if row is None else " ".join(x for x in row[1:] if x) or "not known"


def _shown(value) -> str:
    return repr(value) if isinstance(value, str) else repr("; ".join(value))
