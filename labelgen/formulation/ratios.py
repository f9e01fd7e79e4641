"""Ratios a maker of low-carbohydrate food works with. None of them is a defined term of food law."""

from __future__ import annotations

from labelgen.formulation.records import Amounts


def ratios(amounts: Amounts) -> dict[str, float | None]:
    """Net carbohydrate [g] two ways, and fat : (protein + net carbohydrate) by weight; None where unknown.

    net_carbohydrate = total carbohydrate - fibre - polyols - allulose; net_carbohydrate_with_polyols leaves the
    polyols in. Figures follow the basis of ``amounts``.
    """
    value = {k: amounts.get(k)[1] for k in ("CHOAVLDF", "POLYL", "ALLULOSE", "FAT", "PROCNT")}

    def known(x: float) -> float | None:
        return None if x != x else x

    net = value["CHOAVLDF"] - value["POLYL"] - value["ALLULOSE"]
    rest = value["PROCNT"] + net
    return {
        "net_carbohydrate_g": known(net),
        "net_carbohydrate_with_polyols_g": known(value["CHOAVLDF"] - value["ALLULOSE"]),
        "fat_to_protein_and_net_carbohydrate": known(value["FAT"] / rest) if rest > 0 else None,
    }
