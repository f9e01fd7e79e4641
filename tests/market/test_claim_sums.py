"""What a claim prints as a sum adds up as printed, and what labelgen tells a maker to write is accepted
once it is written.
"""

import random
import re
from datetime import date

import pytest

from labelgen.law.pack import Pack
from labelgen.market.claims.judge import judge_claims
from labelgen.market.nutrition.serving import declare_serving
from tests.market.foods import KITCHEN, amounts, line, product, profile

ON = date(2026, 12, 1)
MARKETS = ["us", "eu", "uk", "ca", "au", "nz"]


def judged(market, claim, per_piece, pieces=10):
    food = profile(
        amounts(
            40 * pieces,
            **{
                k: tuple(pieces * x for x in v) if isinstance(v, tuple) else pieces * v
                for k, v in per_piece.items()
            },
        ),
        pieces,
        [line("dough", 40 * pieces)],
    )
    pack, asked = Pack(market, ON), product(claims=[claim], unit="cookie", category="cookies")
    claims, findings = judge_claims(pack, asked, food, KITCHEN, declare_serving(pack, asked, food)[0])
    return claims[0], " ".join(f.message for f in findings)


def test_a_sum_whose_parts_round_apart():
    """2.04 - 0.45 - 0.75 - 0.25 = 0.59 g. Rounded each by itself the parts would give 0.5 or 0.6 by
    chance.
    """
    claim, message = judged(
        "us",
        "1 g net carbs per cookie",
        {"CHOCDF": 2.04, "FIBTG": 0.45, "ERYTHRITOL": 0.75, "ALLULOSE": 0.25, "POLYL": 0.75},
    )
    assert claim.allowed, message
    assert "= 0.6 g, rounded" in claim.said


@pytest.mark.parametrize("seed", range(120))
@pytest.mark.parametrize("market", ["us", "au"])
def test_every_printed_sum_adds_up(market, seed):
    rng = random.Random(seed)
    total = rng.uniform(0, rng.choice([1, 15]))
    figures = {"FIBTG": rng.uniform(0, 3), "ERYTHRITOL": rng.uniform(0, 3), "ALLULOSE": rng.uniform(0, 2)}
    figures["CHOCDF"] = total + sum(figures.values())
    claim, message = judged(
        market, f"{total:.0f} g net carbs per cookie", figures | {"POLYL": figures["ERYTHRITOL"]}
    )
    assert claim.allowed, message
    parts, total = re.search(r"per cookie: (.*) = ([\d.]+) g", claim.said).groups()
    signed = [
        (-1 if sign == "-" else 1) * int(tenths.replace(".", ""))
        for sign, tenths in re.findall(r"([-+]?) ?(\d+\.\d) g", parts)
    ]
    assert sum(signed) == int(total.replace(".", ""))


@pytest.mark.parametrize("seed", range(60))
@pytest.mark.parametrize(
    "claim",
    [
        "7 g protein per cookie",
        "7 g fibre per cookie",
        "7.5 g sugar per serving",
        "99 mg sodium per 100 g",
        "90 calories per cookie",
        "7 g net carbs per cookie",
        "7 g protein",
        "7.5 g fat",
        "7 g net carbs",
    ],
)
def test_what_is_suggested_is_accepted(claim, seed):
    rng = random.Random(seed)
    figures = {
        "CHOCDF": 18 + rng.random(),
        "FIBTG": 3 * rng.random(),
        "SUGAR": 9 * rng.random(),
        "FAT": 8 * rng.random(),
        "PROCNT": 9 * rng.random(),
        "NA": 90 * rng.random(),
        "SUGAD": 0.0,
    }
    if seed % 3 == 0:  # in doubt
        figures = {k: (0.93 * v, v, 1.07 * v) for k, v in figures.items()}
    market = MARKETS[seed % len(MARKETS)]
    first, message = judged(market, claim, figures)
    suggested = re.search(r"write (?:[\d.]+, as )?'([^']*)'", message)
    if first.allowed or not suggested:
        return
    again, message = judged(market, suggested[1], figures)
    assert again.allowed, (market, claim, suggested[1], message)
