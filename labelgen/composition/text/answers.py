"""Reads the allergen table of a specification sheet: "Milk: yes; Egg: no; Nuts: may contain"."""

from __future__ import annotations

import re
from functools import cache

from labelgen.composition.text.clauses import ABSENT, CONTAINS, MAY, NOISE, Clause, phrases


@cache
def _row() -> re.Pattern:
    """A row: what is asked about, a separating mark, the answer, and in a second column whether it comes near."""
    no, yes, may = (phrases()[f"answer_{kind}"] for kind in ("no", "yes", "may"))
    may = rf"(?:yes,?\s*)?(?:{may})"
    return re.compile(
        r"(?P<name>[^\W\d_](?:[^;:=|\n\t.,()?]|\([^()\n]*\)){1,58}?)[ \t]*(?:[:=|\t(–—?]|\s-\s|(?=[✓✔✗✘])|[ \t](?=(?-i:YES|Yes|NO|No|Y|N)[ \t]*(?:[;,.\n]|$)))[ \t|]*"
        rf"(?:(?P<may>{may})\b|(?P<no>(?:{no})\b|[✗✘])|(?P<yes>(?:{yes})\b|[✓✔]))"
        rf"(?:[ \t]*[|\t][ \t]*(?P<near>(?:{yes})\b|[✓✔]|{may}))?[ \t]*\)?[ \t]*(?=[;,.|\n/\t]|$|(?-i:[A-Z]))",
        re.IGNORECASE | re.MULTILINE,
    )


def read_answers(text: str) -> list[Clause]:
    """The clauses of a table of allergens with answers, [] where there is none: at least two rows, one of them sure.

    A row answered "no" whose next column says "yes" counts as a warning.
    """
    rows = list(_row().finditer(text))
    if len(rows) < 2 or all(m["may"] for m in rows):
        return []
    clauses = []
    for row in rows:
        mode = MAY if row["may"] or (row["no"] and row["near"]) else ABSENT if row["no"] else CONTAINS
        clauses += [Clause(mode, *row.span("name")), Clause(NOISE, row.end("name"), row.end())]
    return clauses
