"""Keys that are none: what a comma made of a text without quotes, and what stands a level too high."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Collection, Mapping

from labelgen.errors import CompositionError
from labelgen.nutrients import key_of
from labelgen.recipe.near import near
from labelgen.recipe.yamlfile import Source

_UNDER_COOK = ("before", "after", "loss", "minutes", "how", "fat_from", "loses")
_UNDER_PANEL = ("market", "serving", "calories", "energy")


def _figure(key: str) -> bool:
    """Whether a key is a word of a nutrition panel."""
    if key in _UNDER_PANEL:
        return True
    try:
        key_of(key)
    except CompositionError:
        return False
    return True


#: Key whose value holds further keys -> whether a key is one of those.
_UNDER: Mapping[str, Callable[[str], bool]] = {
    "producer": ("name", "address", "phone", "email", "web", "role").__contains__,
    "panel": _figure,
    "nutrients": _figure,
    **dict.fromkeys(("bake", "roast", "fry", "boil", "dry"), _UNDER_COOK.__contains__),
}


def tell_misplaced(source: Source, path: tuple, table: Mapping, known: Collection[str]) -> bool:
    """Adds the fault that an unknown key is part of a text, or belongs under the key above; whether it is
    one of these.
    """
    keys = [str(key) for key in table]
    at = keys.index(str(path[-1]))
    first = at
    while first and keys[first - 1] not in known:
        first -= 1
    if not first or source.text is None:
        return False
    above = keys[first - 1]
    last = _last(keys, first, table, known)
    if at <= last and (text := _run_on(source, path[:-1], table, above, (keys[first], keys[last]))):
        if at == first:
            here = (*path[:-1], above)
            source.fault(
                "value.run-on", here, field=above, text=text, quoted=json.dumps(text, ensure_ascii=False)
            )
        return True
    if above in _UNDER and _UNDER[above](str(path[-1])):
        indent = _indent(source, path[:-1], table, above)
        source.fault("unknown-key.below", path, name=path[-1], above=above, indent=indent, sure=bool(indent))
        return True
    return False


def _last(keys: list[str], first: int, table: Mapping, known: Collection[str]) -> int:
    """The last key that may be part of a text: none that is known, or that holds a value and is like one."""
    while first + 1 < len(keys):
        key = keys[first + 1]
        if key in known or (table[key] is not None and near(key, known)):
            break
        first += 1
    return first


def _offset(source: Source, path: tuple) -> int:
    line, column = source.places[path]
    return sum(map(len, source.text.splitlines(keepends=True)[: line - 1])) + column - 1


def _run_on(source: Source, entry: tuple, table: Mapping, above: str, ends: tuple[str, str]) -> str:
    """The text that begins after a key and goes on over commas into what was read as keys; "" for none. ends:
    the first and the last of these.
    """
    if not isinstance(table[above], str) or table[ends[0]] is not None:
        return ""
    text, start, end = source.text, _offset(source, (*entry, above)), _offset(source, (*entry, ends[1]))
    if text[start : start + len(above)] != above:
        return ""
    tail = re.match(r"[^,}\n]*", text[end:])
    told = re.match(r":\s*([^\"'\s].*)", text[start + len(above) : end] + tail[0], re.DOTALL)
    return told[1].rstrip() if told and ", " in told[1] and "\n" not in told[1] else ""


def _indent(source: Source, entry: tuple, table: Mapping, above: str) -> str:
    """The spaces that put a line under the key above; "" where it is not written so that they would."""
    value, line = table[above], source.text.splitlines()[source.places[(*entry, above)][0] - 1]
    if isinstance(value, dict) and value:
        first = source.places[(*entry, above, next(iter(value)))]
        return " " * (first[1] - source.places[(*entry, above)][1]) if first[1:] and "{" not in line else ""
    return "  " if value is None and "{" not in line else ""
