"""Substances the tables lack: polyols, both kinds of fibre and a grade for each."""

import csv

import pytest

from labelgen import paths
from labelgen.composition.dataset import open_dataset

with open(paths.reference("composition", "substances.csv"), encoding="utf-8", newline="") as f:
    IDS = [row["id"] for row in csv.DictReader(f)]
#: What low-carbohydrate bakers and confectioners use and USDA SR24 lacks.
WANTED = (
    "erythritol xylitol maltitol isomalt allulose stevia-extract inulin psyllium-husk konjac-glucomannan"
    " xanthan-gum dextrose glucose-syrup agave-syrup vital-wheat-gluten whey-protein-isolate potato-starch"
    " gel-colour"
)


def test_they_are_there():
    assert {f"pure/{name}" for name in WANTED.split()} <= set(IDS)


@pytest.mark.parametrize("food", IDS)
def test_polyols_and_fibres_are_told(food):
    found = open_dataset().food(food)
    total, soluble, insoluble, polyols, carbohydrate = (
        found.composition.get(k)[1] for k in ("FIBTG", "FIBSOL", "FIBINS", "POLYL", "CHOCDF")
    )
    assert soluble + insoluble == pytest.approx(total) and total + polyols <= carbohydrate
    assert found.grade in ("by definition", "typical")


@pytest.mark.parametrize(
    "food, key",
    [
        ("inulin", "FAMS"),
        ("inulin", "FAPU"),
        ("mct-oil", "FIBTG"),
        ("mct-oil", "SUGAR"),
        ("gel-colour", "FIBSOL"),
    ],
)
def test_a_part_of_nothing_is_nothing(food, key):
    """A fat-free substance has no fatty acids, one without carbohydrate no sugars (INFOODS logical zeros)."""
    assert open_dataset().food(f"pure/{food}").composition.get(key) == (0, 0, 0)
