"""Reads TOML, labelgen's own files from what is kept of them in the user's cache folder.

Reading TOML is slow and JSON fast, so the files of a folder below ``reference`` or ``templates`` are kept
together as JSON under a name made of their content; a figure or a date stands there as it was written.
"""

from __future__ import annotations

import json
from datetime import date
from decimal import Decimal
from functools import cache
from pathlib import Path
from typing import Any

from labelgen import paths

#: What a value that JSON has no form for is kept under, by its type.
_FIGURE, _DATE = "#figure", "#date"


def read_toml(path: Path, exact: bool = False) -> dict[str, Any]:
    """What a file holds, afresh for each who asks. exact: figures with a point as Decimal, not as float.

    Raises FileNotFoundError, and ValueError for what is no TOML.
    """
    figure = Decimal if exact else float
    text = _kept(path.parent).get(path.name) if paths.data_root() in path.parents else None
    if text is None:
        import tomllib

        return tomllib.loads(path.read_text(encoding="utf-8"), parse_float=figure)

    def as_written(table: dict) -> Any:
        if _FIGURE in table:
            return figure(table[_FIGURE])
        return date.fromisoformat(table[_DATE]) if _DATE in table else table

    return json.loads(text, object_hook=as_written)


@cache
def _kept(folder: Path) -> dict[str, str]:
    """The TOML files of a folder by name, as JSON; none where one of them is faulty, so that each is read by
    itself and the fault is told where it stands.
    """
    files = sorted(folder.glob("*.toml"))
    name = "-".join(folder.relative_to(paths.data_root()).parts)
    try:
        return paths.made_once(name, (*files, Path(__file__)), lambda: {p.name: _as_json(p) for p in files})
    except (OSError, ValueError, TypeError):
        return {}


def _as_json(path: Path) -> str:
    import tomllib

    read = tomllib.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)
    return json.dumps(read, ensure_ascii=False, separators=(",", ":"), default=_as_text)


def _as_text(value: Any) -> dict[str, str]:
    """A figure or date. Raises TypeError for a time, which no table holds."""
    if isinstance(value, Decimal):
        return {_FIGURE: str(value)}
    if type(value) is date:
        return {_DATE: value.isoformat()}
    raise TypeError(type(value).__name__)
