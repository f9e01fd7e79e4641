"""How a declaration differs from one that was printed: allergens first, then statement, figures, other
words.
"""

from __future__ import annotations

from dataclasses import dataclass
from difflib import SequenceMatcher

#: What a difference concerns, the most dangerous first.
ASPECTS = ("allergen", "precaution", "statement", "figure", "claim", "warning", "other words", "layout")
_WORDS = {
    "identity": "identity",
    "product": "name",
    "net_quantity": "net quantity",
    "storage": "storage",
    "business": "producer",
    "dates": "dates",
    "warnings": "warnings in larger letters",
    "gtin": "bar code",
    "qr": "QR code",
    "package": "size of the package",
    "without_panel": "left without a panel",
    "front": "front of the pack",
}
#: Words of a panel that stand outside its rows.
_PANEL_WORDS = {
    "title": "title",
    "caption": "lines over the table",
    "foot": "statements under the rows",
    "footnote": "footnote",
}


@dataclass(frozen=True)
class Difference:
    """aspect: one of ASPECTS. message: what was printed and what would be printed now."""

    aspect: str
    message: str


def compare_declarations(printed: dict, now: dict) -> list[Difference]:
    """Differences between two declarations as ``declaration_as_dict`` gives them, the most dangerous
    first; those of the second language and of the products in a box with them.
    """
    found = _compare(printed, now)
    parts = []
    if all(both := [d.get("second") for d in (printed, now)]):
        parts.append(("second language", _compare(*both)))
    before, after = ({item["product"]: item for item in d.get("items") or ()} for d in (printed, now))
    for name in (name for name in before if name in after):
        own = [] if _one_panel(printed) and _one_panel(now) else _panel(before[name], after[name])
        parts.append((name, _statements(before[name], after[name]) + own))
    told = {d.message for d in found}
    found += [
        Difference(d.aspect, f"{where}: {d.message}")
        for where, differences in parts
        for d in differences
        if d.message not in told
    ]
    return sorted(found, key=lambda d: ASPECTS.index(d.aspect))


def _one_panel(declaration: dict) -> bool:
    """Whether one panel stands for everything: of one product, or of a box whose products share its
    columns.
    """
    return not declaration.get("items") or any(c.get("serving") for c in declaration["panel"]["columns"])


def _statements(printed: dict, now: dict) -> list[Difference]:
    found = [
        *_allergens(printed, now, "contains", "allergen"),
        *_allergens(printed, now, "may_contain", "precaution"),
    ]
    found += _text(printed, now, "allergens", "allergen", "allergen statement")
    return found + _text(printed, now, "ingredients", "statement", "ingredient statement")


def _panel(printed: dict, now: dict) -> list[Difference]:
    return _figures(printed, now) + _words(printed["panel"], now["panel"], _PANEL_WORDS, "panel ")


def _compare(printed: dict, now: dict) -> list[Difference]:
    found = _statements(printed, now)
    if _one_panel(printed) or _one_panel(now):
        found += _panel(printed, now)
    claims = [{c["text"] for c in d["claims"] if c["allowed"]} for d in (printed, now)]
    found += [
        Difference("claim", f"the claim {text!r} no longer holds") for text in sorted(claims[0] - claims[1])
    ]
    found += [Difference("claim", f"the claim {text!r} is new") for text in sorted(claims[1] - claims[0])]
    found += _list(printed, now, "advisories", "warning")
    if bool(printed.get("second")) != bool(now.get("second")):
        found.append(
            Difference("other words", "the second language " + ("is new" if now.get("second") else "is gone"))
        )
    return found + _words(printed, now, _WORDS, "")


def _words(printed: dict, now: dict, fields: dict[str, str], of: str) -> list[Difference]:
    return [
        Difference("other words", f"{of}{called}: {_shown(printed[f])} -> {_shown(now[f])}")
        for f, called in fields.items()
        if f in printed and f in now and printed[f] != now[f]
    ]


def _allergens(printed: dict, now: dict, field: str, aspect: str) -> list[Difference]:
    before, after = ({h["allergen"]: h["because"] for h in d[field]} for d in (printed, now))
    verb = "contains" if field == "contains" else "may contain"
    new = [
        Difference(aspect, f"NEW: {verb} {code}: {after[code]}; the printed label does not know it")
        for code in after
        if code not in before
    ]
    return new + [Difference(aspect, f"no longer {verb} {code}") for code in before if code not in after]


def _text(printed: dict, now: dict, field: str, aspect: str, called: str) -> list[Difference]:
    before, after = ("".join(r["text"] for r in d[field]) for d in (printed, now))
    if before != after:
        return [Difference(aspect, f"{called}: {_changed_words(before, after)}")]
    bold = [", ".join(r["text"].strip() for r in d[field] if r["bold"]) for d in (printed, now)]
    return (
        [Difference(aspect, f"{called}, in bold: {bold[0]!r} -> {bold[1]!r}")] if bold[0] != bold[1] else []
    )


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
    gone = [
        Difference(aspect, f"no longer asked for: {text!r}")
        for text in printed[field]
        if text not in now[field]
    ]
    return [
        # what suppliers warn of is about allergens, whatever was suspected before
        Difference(
            "precaution" if text == now.get("precaution") else aspect,
            f"missing on the printed label: {text!r}",
        )
        for text in now[field]
        if text not in printed[field]
    ] + gone


def _figures(printed: dict, now: dict) -> list[Difference]:
    found = []
    before, after = (
        {
            (c["heading"], r["key"]): (r["label"], r["declared"], r["percent"])
            for c in d["panel"]["columns"]
            for r in c["rows"]
        }
        for d in (printed, now)
    )
    for place in dict.fromkeys((*after, *before)):
        old, new = before.get(place), after.get(place)
        if old == new:
            continue
        name = (new or old)[0].replace("{amount} ", "")
        where = f"{name} ({place[0]})" if place[0] else name
        found.append(
            Difference(
                "figure",
                (
                    f"{where}: {_row(old)} -> {_row(new)}"
                    if old is None or new is None or old[1:] != new[1:]
                    else f"{where}: called {old[0]!r} -> {new[0]!r}"
                ),
            )
        )
    for field in ("household", "metric", "per_container"):
        old, new = (d["panel"]["serving"][field] for d in (printed, now))
        if old != new:
            found.append(Difference("figure", f"serving: {old!r} -> {new!r}"))
    return found


def _row(row: tuple[str, str, str] | None) -> str:
    return "no such row" if row is None else " ".join(x for x in row[1:] if x) or "not known"


def _shown(value: object) -> str:
    """A field's value in words."""
    if isinstance(value, dict):
        value = " ".join(str(v) for v in value.values() if v)
    elif isinstance(value, list):
        value = "; ".join(_shown(v).strip("'") for v in value)
    return repr(value)
