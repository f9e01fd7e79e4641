"""How large an unknown figure could be at most: a part never exceeds its whole."""

from __future__ import annotations

import numpy as np

from labelgen.nutrients import INDEX, KEYS, UNITS

#: part -> the whole it is part of (both per 100 g of food, in g).
PARTS = {
    "FASAT": "FAT", "FAMS": "FAT", "FAPU": "FAT", "FATRN": "FAT", "FIBTG": "CHOCDF", "SUGAR": "CHOCDF", "STARCH": "CHOCDF",
    "POLYL": "CHOCDF", "ALLULOSE": "CHOCDF", "FIBSOL": "FIBTG", "FIBINS": "FIBTG", "POLYDEXTROSE": "CHOCDF", "SUGAD": "SUGAR",
    "OA": "CHOCDF", "TAGATOSE": "CHOCDF", "SALATRIM": "FAT",
    **{k: "POLYL" for k in ("ERYTHRITOL", "XYLITOL", "MALTITOL", "SORBITOL", "MANNITOL", "ISOMALT", "LACTITOL", "HSH", "GLYCEROL")},
}  # fmt: skip
PROXIMATES = ("WATER", "PROCNT", "FAT", "CHOCDF", "ASH", "ALC")


def upper_bounds(value: np.ndarray) -> np.ndarray:
    """The most each nutrient could be in 100 g, given what is known (NaN = unknown) [each nutrient's unit].

    Grams: what the known proximates leave of 100 g, and never more than the whole a part belongs to.
    Milligrams and micrograms have no bound (inf).
    """
    known = np.where(np.isnan(value), 0.0, value)
    room = max(0.0, 100.0 - sum(known[INDEX[k]] for k in PROXIMATES))
    high = np.array([v if v == v else (room if UNITS[k] == "g" else np.inf) for k, v in zip(KEYS, value)])
    for part, whole in PARTS.items():
        if np.isnan(value[INDEX[part]]):
            high[INDEX[part]] = high[INDEX[whole]]
    sugar, carbohydrate = INDEX["SUGAR"], INDEX["CHOCDF"]
    if np.isnan(value[sugar]):
        rest = high[carbohydrate] - known[INDEX["FIBTG"]] - known[INDEX["POLYL"]] - known[INDEX["ALLULOSE"]]
        high[sugar] = max(0.0, min(high[sugar], rest))
        if np.isnan(value[INDEX["SUGAD"]]):
            high[INDEX["SUGAD"]] = high[sugar]
    return high
