"""Least heights of net quantity and warnings: each market's own measure of the pack, on both sides of each
limit.
"""

from dataclasses import replace
from datetime import date

import pytest

from labelgen.law.format_tables import LetterHeight
from labelgen.law.pack import read_pack
from labelgen.layout.metrics import face
from labelgen.layout.rules import read_label_rules
from labelgen.layout.whole_label import lay_out_label
from labelgen.market.declare_food import declare
from labelgen.order import Order
from tests.layout.samples import anz_panel, declaration
from tests.market.foods import KITCHEN, amounts, line, product, profile

ON = date(2026, 12, 1)
MM = 72 / 25.4


@pytest.mark.parametrize("market", ["au", "nz"])
@pytest.mark.parametrize(
    "longest, least", [(120, 2.0), (120.1, 2.5), (230, 2.5), (230.1, 3.3), (360, 3.3), (360.1, 4.8)]
)
def test_australian_net_content_by_the_longest_side(market, longest, least):
    """National Trade Measurement Regulations 2009: character height by the longest dimension of the pack."""
    rule = read_label_rules(market, ON).net_quantity(longest * MM, 40 * MM, 200)
    assert (rule.minimum, rule.measured) == (pytest.approx(least * MM), "cap_height")


@pytest.mark.parametrize(
    "square_inches, least",
    [(5, 1 / 16), (5.01, 1 / 8), (25, 1 / 8), (25.1, 3 / 16), (100, 3 / 16), (400, 1 / 4), (401, 1 / 2)],
)
def test_united_states_net_quantity_by_the_area(square_inches, least):
    """21 CFR 101.7(i): 1/16 inch to 5 square inches, 1/8 to 25, 3/16 to 100, 1/4 to 400, 1/2 above."""
    assert read_label_rules("us", ON).net_quantity(square_inches * 72, 72, 200).minimum == pytest.approx(
        least * 72
    )


def test_the_warning_on_royal_jelly_is_three_millimetres_high():
    """1.2.1-25: a warning statement at least 3 mm; an advisory statement has no height of its own."""
    food = amounts(240, FAT=50, CHOCDF=150, PROCNT=15)
    made = declare(
        profile(food, 8, [line("honey", 200), line("royal jelly", 40), line("bee pollen", 1)]),
        product(pieces=8),
        KITCHEN,
        Order("au", ON),
    )
    assert len(made.advisories) == 2 and len(made.warnings) == 1 and "royal jelly" in made.warnings[0]
    heights = {
        s.part: max(
            b.size_pt * face(b.face).cap_height for b in lay.boxes if getattr(b, "part", "") == s.part
        )
        for lay in [lay_out_label(made)]
        for s in lay.statements
        if s.part.startswith("advisory")
    }
    loud, quiet = heights["advisory-0"], heights["advisory-1"]
    assert loud >= 3 * MM > quiet


def test_warnings_are_the_only_loud_ones():
    plain = declaration(market="au", panel=anz_panel(), advisories=("Contains caffeine",))
    sizes = {b.size_pt for b in lay_out_label(plain).boxes if getattr(b, "part", "") == "advisory-0"}
    loud = replace(plain, warnings=("Contains caffeine",))
    assert max(sizes) < max(
        b.size_pt for b in lay_out_label(loud).boxes if getattr(b, "part", "") == "advisory-0"
    )
    assert read_pack("us", ON).find(LetterHeight, "warning") is None
