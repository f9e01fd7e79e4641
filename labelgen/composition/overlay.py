"""Stated figures laid over a composition: narrowed by each other, scaled to 100 g, with what they imply
filled in.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from labelgen.composition.bounds import (
    AVAILABLE,
    MACROS,
    PARTS,
    PROXIMATES,
    Clash,
    check_energy,
    check_weight,
    energy_range,
    fill_available,
    filled_up,
    limits,
    narrow,
    upper_bounds,
)
from labelgen.composition.ingredient_records import Composition, Figure, Stated
from labelgen.composition.sheet_figures import read_figure
from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.nutrients import INDEX, KEYS, NUTRIENTS, POLYOLS, UNITS

#: A scaled part that moves by less than this is not worth telling [relative].
_WORTH_TELLING = 0.05
#: Binary dust [any unit].
_DUST = 1e-6
_NAMES = {n.key: n.name for n in NUTRIENTS}


def lay_over(base: Composition, stated: Stated, name: str) -> tuple[Composition, tuple[Finding, ...]]:
    """The composition with the stated figures in place of its own, per 100 g, and every contradiction found.

    Parts of a stated total that are not stated themselves keep their share of it.
    """
    found = list(stated.findings)
    if not stated.figures:
        return base, tuple(found)
    stated = _with_total(stated, base)
    own, clashes = _per_100g(stated, base)
    found += [_finding(c, stated, base, name) for c in clashes]
    made, scaled = _merge(base, own, stated.source)
    fill_available(made.low, made.value, made.high, AVAILABLE in stated.figures)
    if scaled:
        first = next(iter(stated.figures.values()))
        found.append(
            find(
                "parts-scaled",
                first.where,
                path=first.path.rpartition(".")[0],
                ingredient=name,
                nutrients=scaled,
            )
        )
    if not any(c.sure for c in clashes):
        found += _against_base(made, stated, name)
    return made, tuple(found)


def _with_total(stated: Stated, base: Composition) -> Stated:
    """Figures with an available carbohydrate, and the total carbohydrate it means: with the fibre stated,
    else with the share the food below has, else with as much as there is room for.
    """
    figures = stated.figures
    if AVAILABLE not in figures or "CHOCDF" in figures:
        return stated
    own, fibre = figures[AVAILABLE], figures.get("FIBTG")
    total, available = base.value[INDEX["CHOCDF"]], base.value[INDEX[AVAILABLE]]
    if fibre:
        made = Figure(
            own.low + fibre.low,
            own.value + fibre.value,
            own.high + fibre.high,
            f"{own.shown} with {fibre.shown}",
            own.where,
            own.digit + fibre.digit,
        )
    elif available > 0:
        k = float(total / available)
        made = replace(
            own,
            low=own.low * k,
            value=own.value * k,
            high=own.high * k,
            shown=f"{own.shown} with the fibre of {base.source[INDEX['FIBTG']]}",
        )
    else:
        made = replace(own, high=float("inf"))
    return replace(stated, figures={**figures, "CHOCDF": made})


def state_added_sugars(composition: Composition, words: str) -> Composition:
    """The composition with its added sugars as the maker states them: ``all``, ``none`` or an amount per 100
    g.

    Raises UnitError when the amount cannot be read.
    """
    low, value, high = composition.low.copy(), composition.value.copy(), composition.high.copy()
    i = INDEX["SUGAD"]
    if words == "all":
        low[i], value[i], high[i] = composition.get("SUGAR")
    else:
        low[i], value[i], high[i] = (0.0, 0.0, 0.0) if words == "none" else read_figure(words, "SUGAD")
    return Composition(
        low,
        value,
        high,
        composition.trace,
        (*composition.source[:i], f"added sugars: {words}", *composition.source[i + 1 :]),
    )


def find_disagreements(composition: Composition, panel: Stated, sheet: Stated, name: str) -> list[Finding]:
    """Figures of a sheet outside what the panel, laid over as ``composition``, allows."""
    found = []
    for key, figure in sheet.figures.items():
        low, _, high = composition.get(key)
        least, most = (
            (figure.low - figure.digit) * 100 / sheet.grams[1],
            (figure.high + figure.digit) * 100 / sheet.grams[1],
        )
        if key in panel.figures and (least > high + _DUST or most < low - _DUST):
            panels = {
                "of_panel": panel.figures[key].shown,
                "in_panel": panel.grams[1],
                "least": low,
                "most": high,
                "unit": UNITS[key].replace("ug", "mcg"),
            }
            found.append(
                find(
                    "sources-disagree",
                    figure.where,
                    path=figure.path,
                    ingredient=name,
                    figure=figure.shown,
                    grams=sheet.grams[1],
                    **panels,
                )
            )
    return found


def _figures(stated: Stated, digits: bool = False) -> tuple[np.ndarray, np.ndarray, np.ndarray]:
    """(low, value, high) of the stated figures in the amount they are stated for, NaN where nobody does.
    digits: as far apart as the last digits of those taken as exact leave them.
    """
    n = len(KEYS)
    low, value, high = np.zeros(n), np.full(n, np.nan), np.full(n, np.inf)
    for key, figure in stated.figures.items():
        off = figure.digit if digits else 0.0
        low[INDEX[key]], value[INDEX[key]], high[INDEX[key]] = (
            max(0.0, figure.low - off),
            figure.value,
            figure.high + off,
        )
    parts = [INDEX[k] for k in POLYOLS if k in stated.figures]
    if parts and "POLYL" not in stated.figures:
        for array in (low, value, high):
            array[INDEX["POLYL"]] = sum(array[parts])
    return low, value, high


def _per_100g(stated: Stated, base: Composition) -> tuple[Composition, list[Clash]]:
    least, middle, most = stated.grams
    wide = _figures(stated, digits=True)
    over = _over(base, *wide, middle / 100)
    clashes = narrow(*wide, most) or check_weight(*over, most)
    low, value, high = _figures(stated)
    if (
        not clashes
        and "ENERC" in stated.figures
        and not any(f.code == "carbohydrate-meaning" and f.blocks for f in stated.findings)
    ):
        clashes = check_energy(*over, most)
    known = ~np.isnan(value)
    narrow(low, value, high, most)
    low, value, high = low * (100 / most), value * (100 / middle), high * (100 / least)
    if not any(c.sure for c in clashes):
        narrow(low, value, high, 100.0)
    e = INDEX["ENERC"]
    if known[e] and high[e] > low[e]:
        # another lawful method, such as the food table's, would have given another energy
        least_energy, most_energy = energy_range(low, high, known, 100.0)
        slack = limits()["energy_slack"]["value"]
        low[e], high[e] = max(0.0, min(low[e], least_energy - slack)), max(high[e], most_energy + slack)
    trace = np.array(
        [k in stated.figures and "trace" in stated.figures[k].shown.lower().split() for k in KEYS]
    )
    source = tuple(stated.source if known[i] else "" for i in range(len(KEYS)))
    return Composition(low, np.clip(value, low, high), high, trace, source), clashes


def _over(
    base: Composition, low: np.ndarray, value: np.ndarray, high: np.ndarray, k: float
) -> tuple[np.ndarray, ...]:
    """Figures stated for ``k`` times 100 g, with those of the food below where nothing is stated; its
    water and its ash follow what is stated, and parts a stated whole.
    """
    mine = ~np.isnan(value)
    follows = [
        INDEX[k] for k in ("WATER", "ASH", *(part for part, whole in PARTS.items() if mine[INDEX[whole]]))
    ]
    base = replace(base, value=base.value.copy())
    base.value[follows] = np.nan
    return tuple(
        np.where(mine, own, below * k)
        for own, below in ((low, base.low), (value, base.value), (high, base.high))
    )


def _merge(base: Composition, own: Composition, source: str) -> tuple[Composition, list[str]]:
    """Own figures over the base; parts, energy and water of the base follow. Names of the parts that moved
    much.
    """
    mine = ~np.isnan(own.value)
    low, value, high, trace = (
        np.where(mine, a, b)
        for a, b in (
            (own.low, base.low),
            (own.value, base.value),
            (own.high, base.high),
            (own.trace, base.trace),
        )
    )
    sources = [source if m else s for m, s in zip(mine, base.source)]
    moved, told = mine.copy(), []
    for part, whole in sorted(PARTS.items(), key=lambda pair: pair[1] in PARTS):
        p, w = INDEX[part], INDEX[whole]
        if mine[p] or not moved[w] or np.isnan(base.value[p]) or base.value[p] == 0:
            continue
        share = base.value[p] / base.value[w] if base.value[w] > 0 else 0.0
        low[p], value[p], high[p] = share * low[w], share * value[w], share * high[w]
        sources[p], moved[p] = f"share of {_NAMES[whole]} kept: {base.source[p]}", True
        if abs(value[p] - base.value[p]) > _WORTH_TELLING * base.value[p]:
            told.append(_NAMES[part])
    e, changed = (
        INDEX["ENERC"],
        [INDEX[k] for k in MACROS if mine[INDEX[k]] and not np.isnan(base.value[INDEX[k]])],
    )
    if not mine[e] and changed and not np.isnan(base.value[e]):
        factors = np.array([limits()[KEYS[i]]["general"] for i in changed])
        low[e], value[e], high[e] = (
            max(0.0, base.value[e] + float(factors @ (a[changed] - base.value[changed])))
            for a in (own.low, own.value, own.high)
        )
        sources[e] = f"adjusted for the figures stated: {base.source[e]}"
    water = INDEX["WATER"]
    if not mine[water] and value[water] > 0 and mine[[INDEX[k] for k in MACROS]].any():
        rest = max(0.0, 100.0 - sum(np.nan_to_num(value[INDEX[k]]) for k in PROXIMATES if k != "WATER"))
        if rest < value[water]:
            low[water], value[water], high[water] = 0.0, rest, max(rest, 0.0)
            sources[water] = "what the figures stated leave of 100 g"
    exact = bool((own.low[mine] == own.high[mine]).all())
    high = upper_bounds(low, value, high, loose=not exact)
    if exact:
        empty = np.isnan(value) & filled_up(low, high)
        low[empty], value[empty], high[empty] = 0.0, 0.0, 0.0
        sources = [
            "nothing is left for it by the figures stated" if none else s for none, s in zip(empty, sources)
        ]
    return Composition(low, value, high, trace, tuple(sources)), told


def _against_base(made: Composition, stated: Stated, name: str) -> list[Finding]:
    """A stated part above the whole that the food table gives, or more of something than there is."""
    found = []
    for key, figure in stated.figures.items():
        i, whole = INDEX[key], PARTS.get(key)
        digit = figure.digit * 100 / stated.grams[1]
        told = {"path": figure.path, "ingredient": name, "figure": figure.shown, "grams": stated.grams[1]}
        if UNITS[key] == "g" and made.low[i] - digit > 100 + limits()["sum_slack"]["value"]:
            found.append(
                find("figure-impossible.above-100-g", figure.where, given=float(made.low[i]), **told)
            )
        elif (
            whole
            and whole not in stated.figures
            and made.low[i] - digit > made.high[INDEX[whole]] + limits()["difference_slack"]["value"]
        ):
            below = {
                "whole": _NAMES[whole],
                "most": float(made.value[INDEX[whole]]),
                "source": made.source[INDEX[whole]],
            }
            found.append(find("part-exceeds-whole.of-food", figure.where, **below, **told))
    return found


def _shown(key: str, stated: Stated, base: Composition) -> str:
    """A figure as its supplier wrote it, or where else it is from."""
    if key in stated.figures:
        return stated.figures[key].shown
    if key == "POLYL" and any(k in stated.figures for k in POLYOLS):
        return f"the sum of its parts ({_NAMES[key]})"
    return f"{_NAMES[key]} {base.value[INDEX[key]] * stated.grams[1] / 100:.4g} g ({base.source[INDEX[key]]})"


def _finding(clash: Clash, stated: Stated, base: Composition, name: str) -> Finding:
    shown = [_shown(k, stated, base) for k in clash.keys]
    first = next(stated.figures[k] for k in clash.keys if k in stated.figures)
    told = {"where": first.where, "path": first.path, "ingredient": name, "grams": stated.grams[1]}
    severity = "block" if clash.sure else "warn"
    if clash.code == "part-exceeds-whole":
        return find(
            "part-exceeds-whole" if clash.sure else "part-exceeds-whole.by-difference",
            part=shown[0],
            whole=shown[1],
            **told,
        )
    if clash.code == "parts-exceed-whole":
        return find(
            "parts-exceed-whole", severity=severity, parts=_listed(shown[:-1]), whole=shown[-1], **told
        )
    if clash.code == "parts-exceed-food":
        return find("parts-exceed-food", severity=severity, parts=_listed(shown), **told)
    above = clash.at > first.high
    energy = {
        "energy": shown[0],
        "others": _listed(shown[1:]),
        "side": "at least" if above else "at most",
        "kcal": float(clash.at),
    }
    if clash.sure:
        return find("energy-impossible", **energy, **told)
    return find("energy-unlikely" if above else "energy-unlikely.too-much", **energy, **told)


def part_exceeds(part: str, whole: str, mass: str, sure: bool) -> str:
    """What to say of a part that is more than its whole, both as shown."""
    said = f"{part} is more than {whole}, in {mass}: a part cannot exceed its whole"
    return (
        f"{said}, so one of the two is wrong: compare them with the packet"
        if sure
        else (
            f"{said}, though carbohydrate by difference may come out a little low: compare both with the"
            " packet"
        )
    )


def _listed(words: list[str]) -> str:
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"


def _mass(stated: Stated) -> str:
    return f"{stated.grams[1]:g} g"
