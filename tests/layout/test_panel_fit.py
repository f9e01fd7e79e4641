"""Choosing a panel format: the first lawful one that fits, with the reason; else the least space and the
law's offers.
"""

from datetime import date

import pytest

from labelgen.errors import NoRoomError
from labelgen.law.pack import Pack
from labelgen.layout.fit import Package, fit_panel
from tests.layout.samples import anz_panel, dual_panel, eu_panel, panel

ON = date(2026, 11, 25)
MM = 72 / 25.4


def fit(sample, market, width_mm, height_mm, **more):
    return fit_panel(sample, Pack(market, ON), ON, width_mm * MM, height_mm * MM, **more)


@pytest.mark.parametrize(
    "sample, market, words",
    [
        (panel(), "us", "standard vertical panel (cfr-21-101-9 (d)(12))"),
        (dual_panel(), "us", "dual-column vertical panel (cfr-21-101-9 (e)"),
        (eu_panel(True, True), "eu", "reg-eu-1169-2011 Article 34(2)"),
        (anz_panel(), "au", "nutrition information panel"),
    ],
)
def test_large_space_takes_the_first_format(sample, market, words):
    block, why = fit(sample, market, 150, 200)
    assert words in why and block.width <= 150 * MM and block.height <= 200 * MM


@pytest.mark.parametrize(
    "sample, market",
    [(panel(), "us"), (dual_panel(), "us"), (eu_panel(True, True), "eu"), (anz_panel(True), "au")],
)
@pytest.mark.parametrize("size", [(25, 25), (40, 30), (60, 20), (20, 200)])
def test_the_least_space_named_is_enough_and_no_smaller_one_was_refused_in_vain(sample, market, size):
    with pytest.raises(NoRoomError) as refused:
        fit(sample, market, *size)
    width, height = refused.value.least
    block, _ = fit_panel(sample, Pack(market, ON), ON, max(width, size[0] * MM), max(height, size[1] * MM))
    assert block.width <= width + 1e-6 or block.height <= height + 1e-6
    assert width > size[0] * MM or height > size[1] * MM


def test_small_type_only_on_a_small_package():
    """Regulation (EU) No 1169/2011 Article 13(3): 0.9 mm where the largest surface is less than 80 cm2."""
    space = (45, 55)
    assert "small type" in fit(eu_panel(True, True), "eu", *space, package=Package(largest=7999))[1]
    for package in (Package(largest=8000), Package(), Package(total=7999)):
        assert (
            "small type" not in fit(eu_panel(True, True), "eu", *space, package=package)[1].partition(";")[0]
        )
    with pytest.raises(NoRoomError):
        fit(eu_panel(True, True), "eu", 30, 40, package=Package(largest=8000))
