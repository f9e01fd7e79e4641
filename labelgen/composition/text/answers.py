"""Reads the allergen table of a specification sheet: "Milk: yes; Egg: no; Nuts: may contain"."""

from __future__ import annotations

import re

from labelgen.composition.text.clauses import ABSENT, CONTAINS, MAY, NOISE, Clause

_NO = r"does\s+not\s+contain|contains?\s+no(?:ne)?|free\s+from|nil|no|none|absent|not\s+(?:present|contained|used)|negative|nein|nicht\s+enthalten|non|n"
_YES = r"yes|present|contained|contains|positive|ja|enthalten|oui|s[iìí]|y|x"
_MAY = (
    r"(?:yes,?\s*)?(?:may\s+(?:contain|be\s+present)|(?:possible\s+)?traces?|possible|cross[- ]?(?:contact|contamination)"
    r"(?:\s+(?:possible|risk))?|on\s+site|same\s+line|spuren|tracce|trazas)"
)
#: A row: what is asked about, a separating mark, the answer, and in a second column whether it comes near.
_ROW = re.compile(
    r"(?P<name>[^\W\d_](?:[^;:=|\n\t.,()?]|\([^()\n]*\)){1,58}?)[ \t]*(?:[:=|\t(–—?]|\s-\s|(?=[✓✔✗✘])|[ \t](?=(?-i:YES|Yes|NO|No|Y|N)[ \t]*(?:[;,.\n]|$)))[ \t|]*"
    rf"(?:(?P<may>{_MAY})\b|(?P<no>(?:{_NO})\b|[✗✘])|(?P<yes>(?:{_YES})\b|[✓✔]))"
    rf"(?:[ \t]*[|\t][ \t]*(?P<near>(?:{_YES})\b|[✓✔]|{_MAY}))?[ \t]*\)?[ \t]*(?=[;,.|\n/\t]|$|(?-i:[A-Z]))",
    re.IGNORECASE | re.MULTILINE,
)


def read_answers(text: str) -> list[Clause]:
    """The clauses of a table of allergens with answers, [] where there is none: at least two rows, one of them sure.

    A row answered "no" whose next column says "yes" counts as a warning.
    """
    rows = list(_ROW.finditer(text))
    if len(rows) < 2 or all(m["may"] for m in rows):
        return []
    clauses = []
    for row in rows:
        mode = MAY if row["may"] or (row["no"] and row["near"]) else ABSENT if row["no"] else CONTAINS
        clauses += [Clause(mode, *row.span("name")), Clause(NOISE, row.end("name"), row.end())]
    return clauses
