"""Claims on a food of which something is not known: a finding that says what to add, never a fault, and
nothing is claimed on it.
"""

from datetime import date

import pytest

from labelgen.law.pack import Pack
from labelgen.market.claims.judge import judge_claims
from labelgen.market.nutrition.energy import energy_of
from labelgen.market.nutrition.serving import declare_serving
from tests.market.foods import KITCHEN, amounts, line, product, profile

ON = date(2026, 12, 1)
FIGURES = {"PROCNT": 20, "FAT": 1, "CHOCDF": 10, "FIBTG": 5}


@pytest.mark.parametrize("market", ["us", "eu", "uk", "ca", "au", "nz"])
@pytest.mark.parametrize(
    "claim",
    [
        "high protein",
        "source of protein",
        "high fibre",
        "low fat",
        "reduced sugar",
        "light",
        "energy free",
        "5 g protein per cookie",
    ],
)
@pytest.mark.parametrize("unknown", [("FAT",), ("PROCNT",), ("CHOCDF", "FIBTG"), tuple(FIGURES)])
def test_what_is_not_known_ends_in_a_finding(market, claim, unknown):
    bare = amounts(0.001, FIGURES)
    food = profile(
        amounts(100, unknown, **{k: v for k, v in FIGURES.items() if k not in unknown}),
        10,
        [line("nut paste", 100, food=bare)],
    )
    pack, asked = Pack(market, ON), product(claims=[claim])
    claims, findings = judge_claims(pack, asked, food, KITCHEN, declare_serving(pack, asked, food)[0])
    assert len(claims) == 1 and findings
    if claim == "high protein":
        assert not claims[0].allowed


def test_protein_gives_no_share_of_an_energy_without_a_bound():
    """Fat nobody told could be any amount: 80 kcal from 20 g protein may be any share of the whole, so no
    share is claimed.
    """
    pack = Pack("eu", ON)
    assert energy_of(pack, amounts(100, ["FAT"], PROCNT=20, CHOCDF=10), "kcal").high == float("inf")
    assert energy_of(pack, amounts(100, PROCNT=20, CHOCDF=10), "kcal").high == 120
