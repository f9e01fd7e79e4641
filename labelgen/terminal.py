"""What is printed on a terminal, whatever the terminal is: no sign in a name or a file steers it, and a sign
that its encoding lacks is told by another, never by a fault.
"""

from __future__ import annotations

import codecs
import os
import re
import sys
import unicodedata
from typing import Any, TextIO

#: Signs that steer a terminal or turn the order of reading; a tabulator and the end of a line do no harm.
_STEERS = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069]")
#: What stands for signs that have no letters within them.
_LIKE = str.maketrans(
    {"–": "-", "—": "-", "−": "-", "‘": "'", "’": "'", "“": '"', "”": '"', "•": "*", "×": "x", "·": "."}
    | {"≥": ">=", "≤": "<=", "µ": "u", "μ": "u", "…": "...", "→": "->", "€": "EUR", "°": "deg ", "✓": "x"}
    | {"ß": "ss", "œ": "oe", "Œ": "OE", "æ": "ae", "Æ": "AE", "ø": "o", "Ø": "O", "⅓": "1/3", "⅔": "2/3"}
)


def shown(text: str) -> str:
    """A text with the signs that would steer a terminal written out: ESC as ``\\u001b``."""
    return _STEERS.sub(lambda sign: f"\\u{ord(sign[0]):04x}", text)


def settle() -> None:
    """Makes the streams of this process safe to print to. Called once, as the command starts."""
    codecs.register_error("labelgen", _told_otherwise)
    sys.stdout, sys.stderr = _settled(sys.stdout), _settled(sys.stderr)


def coloured(stream: Any = None) -> Any:
    """A console of rich on a stream of ours, which may steer the terminal itself. Texts for it go through
    ``shown`` first.
    """
    from rich.console import Console

    stream = stream or sys.stdout
    return Console(file=getattr(stream, "unguarded", stream))


class _Guarded:
    """A stream that writes out what would steer the terminal it leads to."""

    def __init__(self, stream: TextIO) -> None:
        self.unguarded = stream

    def write(self, text: str) -> int:
        self.unguarded.write(shown(text))
        return len(text)

    def writelines(self, texts: Any) -> None:
        for text in texts:
            self.write(text)

    def __getattr__(self, name: str) -> Any:
        return getattr(self.unguarded, name)


def _settled(stream: TextIO | None) -> Any:
    if stream is None:  # closed before the start
        return open(os.devnull, "w", encoding="utf-8")
    if hasattr(stream, "reconfigure"):
        stream.reconfigure(errors="labelgen")
    return _Guarded(stream)


def _told_otherwise(error: UnicodeError) -> tuple[str, int]:
    """What an encoding lacks, by letters alike, or else by its number."""
    if not isinstance(error, UnicodeEncodeError):
        raise error
    told = []
    for sign in error.object[error.start : error.end]:
        plain = unicodedata.normalize("NFKD", sign.translate(_LIKE)).encode("ascii", "ignore").decode()
        told.append(plain or f"\\u{ord(sign):04x}")
    return "".join(told), error.end
