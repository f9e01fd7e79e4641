"""Shortens a panel by the words that the law lets a small package use."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import replace

from labelgen.market.declaration_records import Column, Panel


def abbreviate(panel: Panel, short: Mapping[str, str], percent_only: tuple[str, ...] = ()) -> Panel:
    """The panel with every long name in ``short`` replaced by its abbreviation, the longest first.

    percent_only: row groups whose amounts may be left out beside a percentage.
    """
    if not short and not percent_only:
        return panel
    words = _pattern(short)

    def cut(text: str) -> str:
        return words.sub(lambda found: short[found.group()], text) if short else text

    def column(given: Column) -> Column:
        rows = [
            replace(
                r, label=cut(r.label), declared="" if r.group in percent_only and r.percent else r.declared
            )
            for r in given.rows
        ]
        return replace(given, rows=tuple(rows))

    serving = replace(panel.serving, per_container=_count_last(panel.serving.per_container, short))
    return replace(
        panel,
        columns=tuple(column(c) for c in panel.columns),
        serving=serving,
        serving_heading=cut(panel.serving_heading),
    )


def _pattern(short: Mapping[str, str]) -> re.Pattern:
    names = sorted(short, key=len, reverse=True)
    return re.compile("|".join(rf"\b{re.escape(name)}\b" for name in names))


def _count_last(text: str, short: Mapping[str, str]) -> str:
    """ "about 6 servings per container" as "Servings: about 6", where that abbreviation exists."""
    for name, word in short.items():
        if text.endswith(f" {name}"):
            return f"{word}: {text.removesuffix(name).strip()}"
    return text
