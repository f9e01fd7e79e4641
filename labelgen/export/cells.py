"""Cells of a CSV file that a spreadsheet shows and never runs.

A text that begins with one of ``RISKY`` is taken for a formula by spreadsheets. Such a text gets an
apostrophe before it, the spreadsheets' own sign for "as it stands" (OWASP, CSV Injection, mitigations); a
text that begins with an apostrophe gets another, so that ``as_written`` can give every text back.
"""

from __future__ import annotations

RISKY = ("=", "+", "-", "@", "\t", "\r", "\n")
_AS_IT_STANDS = "'"


def harmless(text: str) -> str:
    """A text as a cell. Figures are no texts and need none of it."""
    return f"{_AS_IT_STANDS}{text}" if text.startswith((*RISKY, _AS_IT_STANDS)) else text


def as_written(cell: str) -> str:
    """The text that ``harmless`` made a cell of."""
    return cell.removeprefix(_AS_IT_STANDS)
