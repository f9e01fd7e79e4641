"""Pins where every rule stands in its source: ``python -m tests.vectors.pin_locators`` writes locators.csv
anew.

One line a place in a source: cite, locator, and the rules that rest on it (market/table/key; ...). After a
locator was corrected against its source, run it and read the difference line by line: it must show what was
corrected and nothing else.
"""

from __future__ import annotations

import csv
from pathlib import Path

from labelgen import paths
from labelgen.law.pack import read_table
from labelgen.law.registry import markets
from labelgen.law.tables import TABLES

PINS = Path(__file__).with_name("locators.csv")


def places() -> dict[tuple[str, str], list[str]]:
    """(cite, locator) -> the rules that rest on it, of every market and period."""
    found: dict[tuple[str, str], set[str]] = {}
    for market in markets():
        for table in TABLES:
            if paths.market(market.code, f"{table}.toml").is_file():
                for e in read_table(market.code, TABLES[table]):
                    found.setdefault((e.cite, e.locator), set()).add(f"{market.code}/{table}/{e.key}")
    return {place: sorted(rules) for place, rules in sorted(found.items())}


def pinned() -> dict[tuple[str, str], list[str]]:
    with open(PINS, encoding="utf-8", newline="") as f:
        return {(r["cite"], r["locator"]): r["rules"].split("; ") for r in csv.DictReader(f)}


if __name__ == "__main__":
    with open(PINS, "w", encoding="utf-8", newline="") as f:
        writer = csv.writer(f, lineterminator="\n")
        writer.writerow(("cite", "locator", "rules"))
        writer.writerows((cite, locator, "; ".join(rules)) for (cite, locator), rules in places().items())
