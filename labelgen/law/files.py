"""Reads a file of law: TOML with exact decimals."""

from __future__ import annotations

import tomllib
from decimal import Decimal
from pathlib import Path

from labelgen.errors import RuleError


def load_toml(path: Path, shown: str) -> dict:
    """A TOML file with exact decimals. Raises RuleError naming the file."""
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"), parse_float=Decimal)
    except FileNotFoundError:
        raise RuleError(f"{shown} does not exist; the market needs this table") from None
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as e:
        raise RuleError(f"{shown} is not readable TOML: {e}; correct the file") from None
