"""Reads ``templates/``: how panels and labels are arranged, in points, with no law in it."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache

from labelgen import tomlfile
from labelgen.errors import LayoutError
from labelgen.paths import templates

#: "table.key" -> number, text or list.
Spacing = Mapping[str, object]


@cache
def read_spacing(name: str, folder: str = "panels") -> Spacing:
    """An arrangement file as one flat mapping, keys joined by a dot; whole numbers become floats.

    Raises LayoutError naming the file when it cannot be read.
    """
    raw = read_toml(folder, f"{name}.toml")
    flat = {
        f"{table}.{key}": value
        for table, inner in raw.items()
        if isinstance(inner, dict)
        for key, value in inner.items()
    }
    return {key: float(value) if type(value) is int else value for key, value in flat.items()}


def read_toml(*parts: str) -> dict:
    """One file below ``templates/``."""
    shown = "/".join(("templates", *parts))
    try:
        return tomlfile.read_toml(templates(*parts))
    except FileNotFoundError:
        raise LayoutError(
            f"{shown} does not exist: reinstall labelgen, or name a file that is there"
        ) from None
    except ValueError as error:
        raise LayoutError(f"{shown} cannot be read ({error}): correct the file") from None
