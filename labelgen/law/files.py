"""Reads a file of law: TOML with exact decimals."""

from __future__ import annotations

from pathlib import Path

from labelgen.errors import RuleError
from labelgen.tomlfile import read_toml


def load_toml(path: Path, shown: str) -> dict:
    """A TOML file with exact decimals. Raises RuleError naming the file."""
    try:
        return read_toml(path, exact=True)
    except FileNotFoundError:
        raise RuleError(f"{shown} does not exist; the market needs this table") from None
    except ValueError as e:
        raise RuleError(f"{shown} is not readable TOML: {e}; correct the file") from None
