"""No figure weighs more than the food it is stated for."""

import pytest

from tests.commands.test_remedies import told


@pytest.mark.parametrize("figure", ("carbohydrate: 900 g", "carbohydrate: 120 g"))
def test_a_figure_heavier_than_its_food_stops_the_label(tmp_path, figure):
    found = told(tmp_path, "carbohydrate: 90 g", figure)
    assert any(entry.startswith("figure-impossible") for entry in found)
