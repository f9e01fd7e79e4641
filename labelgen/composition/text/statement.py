"""Reads a supplier's ingredient text into items, and prints items back as text.

``read_statement`` takes what stands on a bag or a specification sheet: nested brackets of any kind, function
classes, additive numbers, percentages, "contains 2% or less of", headings, footnote marks, declarations and
warnings. It never fails: what cannot be understood stays as a name, and ``bracket_depth`` says whether
brackets close.
"""

from __future__ import annotations

import re

from labelgen.composition.ingredient_records import StatementItem, SupplierStatement
from labelgen.composition.text.classes import CLASS_OF
from labelgen.composition.text.clauses import CONTAINS, LIST, MAY, read_clauses
from labelgen.composition.text.lexicon import one_item_a_line, survey, tidy
from labelgen.composition.text.long_texts import LONGEST
from labelgen.wordlists import any_of, words_for

_OPEN, _CLOSE = "([{", ")]}"
_MARKS = re.compile(r"[*†‡§°^#~®™©•·▪●◦‣■\u00b9\u00b2\u00b3]+")
_PERCENT = (
    rf"(?:(?:{any_of('list.limits')}|<|>|≤|≥)\.?\s*)?"
    rf"(\d{{1,3}}(?:[.,]\d+)?)\s?%(?:\s*{any_of('list.limits_behind')}\.?)?"
)
_LEADING = re.compile(rf"^{_PERCENT}\s+(?!{any_of('list.of_the_name')})(?=\S)", re.IGNORECASE)
_TRAILING = re.compile(rf"\s*[,:\-–]?\s*\b{_PERCENT}$", re.IGNORECASE)
_ONLY_PERCENT = re.compile(rf"^{_PERCENT}$", re.IGNORECASE)
_PERCENTS = re.compile(rf"(?:{_PERCENT}\s*)+", re.IGNORECASE)
_E_NUMBER = re.compile(
    r"^(?:e|ins)[\s\-]?(\d{3,4})\s?([a-h])?\s?(\((?:i|ii|iii|iv|v|vi)\)|(?:i|ii|iii|iv|v|vi)\b)?$",
    re.IGNORECASE,
)
_BARE_NUMBER = re.compile(r"^(\d{3,4})([a-h])?(\((?:i|ii|iii|iv|v)\))?$")
_ROMAN = re.compile(r"\b((?:E|INS)?[\s\-]?\d{3,4}[a-h]?)\s?\((i{1,3}|iv|v|vi)\)", re.IGNORECASE)
#: "Contains 2% or less of"; what shows that it is that, before an item and as an item of its own.
_MINOR = re.compile(any_of("list.minor"), re.IGNORECASE)
_MINOR_FOR_SURE = re.compile(any_of("list.minor_for_sure"), re.IGNORECASE)
_MINOR_ALONE = re.compile(any_of("list.minor_alone"), re.IGNORECASE)
_MINOR_PRINTED = words_for("list.minor_printed")[0]
#: What follows, to the end of the list, is a choice from which some are used.
_CHOICE = re.compile(rf"^{any_of('list.choice')}\s*:", re.IGNORECASE)
_HEADING = re.compile(rf"^\s*{any_of('list.heading')}\s*[:\-–]\s*", re.IGNORECASE)
#: Names that hold "and" themselves.
_PAIRED = re.compile(rf"\b{any_of('list.paired')}\b|{any_of('list.paired_marks')}", re.IGNORECASE)
_AND, _ALSO = any_of("list.and"), any_of("list.also")
_ABBREVIATED = re.compile(rf"\b{any_of('list.abbreviations')}$", re.IGNORECASE)
#: Brackets deeper than any packet's, and classes one behind the other: read flat.
_DEEPEST, _COLONS = 24, 6
_KEEP_CAPS = frozenset(words_for("list.capitals"))


def read_statement(text: str) -> SupplierStatement:
    """A supplier's ingredient text, read.

    items: the list, nested. contains/may_contain: what the text itself declares or warns of, as allergen
    hits; what follows from the names of the items is for ``lexicon.find_allergens``. text: as given.

    >>> s = read_statement("Ingredients: sugar, emulsifiers (soy lecithin, E471), cocoa 12%. Contains: soy.")
    >>> [(i.name, i.function, i.e_number, i.percent) for i in s.items]
    [('sugar', '', '', None), ('soy lecithin', 'emulsifier', '', None), ('E471', 'emulsifier', 'E471', None),
    ('cocoa', '', '', 12.0)]
    """
    items = _read_items(text)
    # what prints differently from how it reads is settled here, so that printed text reads the same
    for _ in range(8):
        again = _read_items(_printed(items))
        if again == items:
            break
        items = again
    seen = survey(text)
    return SupplierStatement(items, seen.declared, seen.precaution, text)


def _read_items(text: str) -> tuple[StatementItem, ...]:
    clean = tidy(text)[:LONGEST]
    listing = []
    for clause in read_clauses(clean):
        if clause.mode == LIST or (clause.nested and clause.mode != MAY):
            listing.append(clean[clause.start : clause.end])
        elif clause.mode in (CONTAINS, MAY) and listing and listing[-1].rstrip()[-1:] != ".":
            listing.append(" . ")
    body = "".join(listing)
    if one_item_a_line(clean):
        body = re.sub(r"\s*\n\s*", ", ", body.strip())
    body = _HEADING.sub("", " ".join(_MARKS.sub(" ", body).split()))
    if body and not any(c.islower() for c in body) and sum(c.isupper() for c in body) > 3:
        body = _quiet(body)
    return tuple(_items(_balanced(body)))


def bracket_depth(text: str) -> int:
    """How many brackets of a statement stay open; -1 where one closes that was never opened, 0 where all pair
    up.

    >>> bracket_depth("flour (wheat [hard]), salt"), bracket_depth("flour (wheat"), bracket_depth("flour)
    (wheat") (0, 1, -1)
    """
    depth = 0
    for c in text:
        depth += (c in _OPEN) - (c in _CLOSE)
        if depth < 0:
            break
    return depth


def print_statement(items: tuple[StatementItem, ...], style: str = "nested") -> str:
    """Items as one line of text.

    style ``nested`` keeps each item's own ingredients in brackets behind its name; ``dispersed`` leaves
    compound names out and lists every component once, in the order they come. Reading nested text again
    gives the same items. Raises ValueError for another style.
    """
    if style not in ("nested", "dispersed"):
        raise ValueError(f"style {style!r} is not nested or dispersed: use one of these")
    if style == "dispersed":
        items = tuple(dict.fromkeys(_leaves(items)))
    return _printed(items)


def _leaves(items):
    for item in items:
        if item.items:
            yield from _leaves(item.items)
        else:
            yield item


def _printed(items) -> str:
    parts: list[str] = []
    minor = False
    i = 0
    while i < len(items):
        lead = ""
        if items[i].minor and not minor:
            minor, lead = True, f"{_MINOR_PRINTED}: "
        j = i + 1
        if items[i].function:
            while (
                j < len(items) and items[j].function == items[i].function and items[j].minor == items[i].minor
            ):
                j += 1
            name = items[i].function + ("s" if j - i > 1 else "")
            parts.append(f"{lead}{name} ({', '.join(_one(x) for x in items[i:j])})")
        else:
            parts.append(lead + _one(items[i]))
        i = j
    return ", ".join(parts)


def _one(item: StatementItem) -> str:
    text = item.name
    if item.e_number and item.e_number != item.name:
        text += f" ({item.e_number})"
    if item.percent is not None:
        text += f" {item.percent:g}%"
    if item.items:
        text += f" ({_printed(item.items)})"
    return text


def _balanced(text: str) -> str:
    """The text with one kind of bracket; stray closing ones dropped, open ones closed at the end."""
    text = _ROMAN.sub(r"\1\2", text)
    out, depth = [], 0
    for c in text:
        if c in _OPEN:
            depth += 1
            out.append("(" if depth <= _DEEPEST else ", ")
        elif c in _CLOSE:
            if depth:
                depth -= 1
                out.append(")" if depth < _DEEPEST else ", ")
        else:
            out.append(c)
    return "".join(out) + ")" * min(depth, _DEEPEST)


def _split(text: str) -> list[str]:
    """Parts between separators outside brackets. A comma inside a number ("12,5 %") does not separate."""
    parts, depth, start = [], 0, 0
    for i, c in enumerate(text):
        if c == "(":
            depth += 1
        elif c == ")":
            depth -= 1
        elif depth == 0 and (
            c in ";"
            or (c == "," and not re.match(r"\d,\d+\s?%", text[i - 1 : i + 8]))
            or (
                c == "."
                and (i + 1 == len(text) or text[i + 1] in " )")
                and not _ABBREVIATED.search(text[max(0, i - 8) : i])
            )
        ):
            parts.append(text[start:i])
            start = i + 1
    parts.append(text[start:])
    return parts


def _items(text: str, function: str = "") -> list[StatementItem]:
    found: list[StatementItem] = []
    minor, carried = False, ""
    parts = _split(text)
    last = max((i for i, p in enumerate(parts) if p.strip(" .")), default=-1)
    for n, part in enumerate(parts):
        part = _trimmed(part)
        choice = _CHOICE.match(part)
        if choice:
            inner = tuple(_items(",".join([part[choice.end() :], *parts[n + 1 :]])))
            found.append(StatementItem(_trimmed(choice.group()), inner, None, function, "", minor))
            break
        lead = _MINOR.match(part)
        if (
            lead
            and lead.group().strip()
            and not _MINOR.fullmatch(part)
            and _MINOR_FOR_SURE.search(lead.group())
        ):
            minor, part = True, _trimmed(part[lead.end() :])
        elif lead and _MINOR.fullmatch(part) and _MINOR_ALONE.search(part):
            minor = True
            continue
        for piece in _last_two(part) if n == last else [part]:
            made, carried = _item(piece, function or "", carried)
            found += [_minor(item) if minor else item for item in made]
    return found


def _minor(item: StatementItem) -> StatementItem:
    return StatementItem(item.name, item.items, item.percent, item.function, item.e_number, True)


def _trimmed(part: str) -> str:
    part = " ".join(part.split()).strip(" .;,:*-–'\"“”!")
    return re.sub(rf"^(?:{_ALSO}|&)\s+(?!/)", "", part, flags=re.IGNORECASE).strip(" .;,:-–")


def _last_two(part: str) -> list[str]:
    """The last part of a list may hold several items: "salt and yeast"."""
    depth, start, pieces = 0, 0, []
    paired = [m.span() for m in _PAIRED.finditer(part)]
    for match in re.finditer(rf"\(|\)|\s(?:{_AND}|&)\s", part):
        if match.group() in "()":
            depth += 1 if match.group() == "(" else -1
        elif depth == 0 and not any(a <= match.start() < b for a, b in paired):
            pieces.append(part[start : match.start()])
            start = match.end()
    return [*map(_trimmed, pieces), _trimmed(part[start:])] if pieces else [part]


def _item(part: str, function: str, carried: str) -> tuple[list[StatementItem], str]:
    """Items of one part, and the plural class that a "class: a, b" start hands on to the parts that
    follow.
    """
    if not part:
        return [], carried
    label, colon, rest = part.partition(":")
    if colon and _ONLY_PERCENT.match(rest.strip()):
        part, colon = label + rest, ""
    if colon and "(" not in label and rest.strip() and part.count(":") <= _COLONS:
        named = CLASS_OF.get(label.strip().lower())
        if named:
            made, _ = _item(_trimmed(rest), named, "")
            return made, named if label.strip().lower() != named else ""
        sub = _items(rest)
        if len(label.split()) <= 5 and sub:
            return [StatementItem(_trimmed(label), tuple(sub), None, function)], ""
    name, groups = _taken_apart(part)
    named = CLASS_OF.get(name.lower())
    if named and groups:
        inner = [item for g in groups for item in _items(g, named)]
        if len(groups) > 1 and len(_items(groups[0], named)) == 1 and "(" not in groups[0]:
            # "preservative (lysozyme) (egg)": what it comes from
            inner = [_plain(_trimmed(groups[0]), groups[1:], named)]
        if inner:
            return inner, ""
    item = _plain(name, groups, function)
    if item is None:
        return [], carried
    if carried and not function:
        if item.e_number:
            return [StatementItem(item.name, item.items, item.percent, carried, item.e_number)], carried
        carried = ""
    if not item.function and not item.items:
        first = _class_in_front(item.name)
        if first:
            return [_plain(item.name[len(first) :].strip(), groups, CLASS_OF[first.lower()]) or item], ""
    return [item], carried


def _class_in_front(name: str) -> str:
    """A class written before an additive number without any mark: "colour E129"."""
    match = re.match(r"^(.*?)\s+(?=(?:e|ins)[\s\-]?\d{3,4}[a-h]?(?:i{1,3}|iv|v)?$)", name, re.IGNORECASE)
    return match.group(1) if match and match.group(1).lower() in CLASS_OF else ""


def _taken_apart(part: str) -> tuple[str, list[str]]:
    """A part's name, and the contents of its brackets in order. Words behind a bracket join the name."""
    name, groups, depth, start = [], [], 0, 0
    for i, c in enumerate(part):
        if c == "(":
            if depth == 0:
                name.append(part[start:i])
                start = i + 1
            depth += 1
        elif c == ")":
            depth -= 1
            if depth == 0:
                groups.append(part[start:i])
                start = i + 1
    name.append(part[start:])
    return _trimmed(" ".join(name)), [g for g in groups if g.strip()]


def _plain(name: str, groups: list[str], function: str) -> StatementItem | None:
    percent, e_number, sub = None, "", []
    for group in groups:
        stripped = _trimmed(group)
        only = _ONLY_PERCENT.match(stripped)
        number = _E_NUMBER.match(stripped) or (_BARE_NUMBER.match(stripped) if not sub else None)
        if only:
            percent = _number(only.group(1))
        elif number and name:
            e_number = _e(number)
        else:
            sub += _items(group)
    for pattern in (_LEADING, _TRAILING):
        match = pattern.search(name)
        rest = _trimmed(name[: match.start()] + name[match.end() :]) if match else ""
        if match and match.group(1) != "100" and percent is None and rest and not _PERCENTS.fullmatch(rest):
            percent, name = _number(match.group(1)), rest
    number = _E_NUMBER.match(name) or (_BARE_NUMBER.match(name) if function else None)
    if number:
        e_number = name = _e(number)
    if not name:
        return (
            StatementItem(sub[0].name, sub[0].items or tuple(sub[1:]), percent, function, sub[0].e_number)
            if sub
            else None
        )
    return StatementItem(name, tuple(sub), percent, function, e_number)


def _e(match: re.Match) -> str:
    return "E" + match.group(1) + (match.group(2) or "").lower() + (match.group(3) or "").strip("()").lower()


def _number(text: str) -> float:
    return float(text.replace(",", "."))


def _quiet(text: str) -> str:
    """Text all in capitals in small letters, short forms and additive numbers as they were."""

    def lower(match: re.Match) -> str:
        word = match.group()
        if (
            word in _KEEP_CAPS
            or (len(word) == 1 and word not in "AIO")
            or re.fullmatch(r"E\d+|[BDEK]\d+", word)
        ):
            return word
        return word.lower()

    return re.sub(r"FD&C|[^\W_]+(?:['’][^\W_]+)*", lower, text)
