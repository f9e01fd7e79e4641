"""Retention factors: the share of a vitamin or mineral that survives heat, by food class and method.

USDA Table of Nutrient Retention Factors, Release 6 (2007). Nothing is lost where no row fits.
"""

from __future__ import annotations

from functools import cache

import numpy as np

from labelgen import paths
from labelgen.nutrients import INDEX, KEYS

#: The table's column for a key where the names differ.
_SAME = {"VITB6A": "VITB6", "FOLDFE": "FOL"}


@cache
def _tables() -> tuple[dict, dict]:
    rows = {r["code"]: r for r in paths.read_rows("factors", "retention.csv")}
    return rows, {
        (r["class"], r["method"]): r["code"] for r in paths.read_rows("factors", "retention_map.csv")
    }


@cache
def factors(food_class: str, method: str) -> tuple[np.ndarray, str]:
    """(fractions kept, in the order of KEYS; "code description" or "" when no row fits)."""
    rows, codes = _tables()
    kept = np.ones(len(KEYS))
    code = codes.get((food_class, method))
    if code is None:
        return kept, ""
    for key in KEYS:
        text = rows[code].get(_SAME.get(key, key)) or ""
        if text and key != "ALC":
            kept[INDEX[key]] = int(text) / 100
    if food_class == "alcohol" and rows[code]["ALC"]:
        kept[INDEX["ALC"]] = int(rows[code]["ALC"]) / 100
    return kept, f"{code} {rows[code]['description']}"
