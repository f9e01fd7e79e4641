"""Ratios a maker of low-carbohydrate food works with. None of them is a defined term of food law."""

from __future__ import annotations

from labelgen.composition.bounds import limits
from labelgen.formulation.batch_records import Amounts

#: Share of the energy -> the proximate whose general factor it is counted by.
_ENERGY = {"fat": "FAT", "protein": "PROCNT", "net_carbohydrate": "CHOCDF", "alcohol": "ALC"}


def ratios(amounts: Amounts) -> dict[str, float | None]:
    """Net carbohydrate [g] two ways, fat : (protein + net carbohydrate) by weight, and shares of the energy
    (0..1).

    net_carbohydrate = total carbohydrate - fibre - polyols - allulose; net_carbohydrate_with_polyols leaves
    the polyols in. Figures follow the basis of ``amounts``. None where fat, protein or the carbohydrate less
    fibre is not known of everything in the food; polyols, allulose and alcohol that nobody states are counted
    as absent, which never makes the carbohydrate less. Energy shares: fat, protein, net carbohydrate and
    alcohol by the general factors of CODEX CXG 2-1985, of their sum; what fibre, polyols and allulose give is
    left out, because each market counts it its own way.
    """
    value = {
        k: amounts.get(k)[1] if amounts.coverage(k) > 1 - 1e-9 else float("nan")
        for k in ("CHOAVLDF", "FAT", "PROCNT")
    }
    stated = {k: 0.0 if (x := amounts.get(k)[1]) != x else x for k in ("POLYL", "ALLULOSE", "ALC")}
    with_polyols = value["CHOAVLDF"] - stated["ALLULOSE"]
    net = with_polyols - stated["POLYL"]
    rest = value["PROCNT"] + net
    grams = {
        "fat": value["FAT"],
        "protein": value["PROCNT"],
        "net_carbohydrate": max(net, 0.0),
        "alcohol": stated["ALC"],
    }
    energy = {k: grams[k] * limits()[key]["general"] for k, key in _ENERGY.items()}
    whole = sum(energy.values())

    def known(x: float) -> float | None:
        return None if x != x else x

    return {
        "net_carbohydrate_g": known(net),
        "net_carbohydrate_with_polyols_g": known(with_polyols),
        "fat_to_protein_and_net_carbohydrate": known(value["FAT"] / rest) if rest > 0 else None,
        **{f"energy_share_{k}": known(e / whole) if whole > 0 else None for k, e in energy.items()},
    }
