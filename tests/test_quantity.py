"""Amounts: factors against NIST Handbook 44 Appendix C (1 lb = 453.59237 g, 1 US cup = 236.5882365 mL
exactly).
"""

import pytest

from labelgen.errors import UnitError
from labelgen.quantity import read_mass, read_percent, read_quantity


@pytest.mark.parametrize(
    "text, grams",
    [("250 g", 250), ("1 lb", 453.59237), ("8 oz", 226.796185), ("1½ kg", 1500), ("3/4 lb", 340.1942775)],
)
def test_mass(text, grams):
    assert read_mass(text) == pytest.approx(grams, rel=1e-12)


@pytest.mark.parametrize(
    "text, country, millilitres",
    [
        ("1 cup milk", "us", 236.5882365),
        ("1 cup milk", "ca", 250),
        ("2 tbsp oil", "au", 40),
        ("½ tsp salt", "nz", 2.5),
        ("1 fl oz rum", "uk", 28.4130625),
    ],
)
def test_volume_follows_the_country(text, country, millilitres):
    quantity, rest = read_quantity(text, country)
    assert quantity.kind == "volume" and quantity.millilitres == pytest.approx(millilitres, rel=1e-12)
    assert rest == text.split()[-1]


def test_a_count_keeps_its_words():
    quantity, rest = read_quantity("3 large egg")
    assert (quantity.kind, quantity.count, rest) == ("count", 3, "large egg")


@pytest.mark.parametrize(
    "text",
    [
        "-3 g",
        "nan g",
        "inf g",
        "1e308 g",
        "1,5 kg",
        "1/0 g",
        "abc",
        "",
        "12 %",
        "2 1/0 cup",
        "1:30",
        "1_000 g a",
        "1 000 g a",
        "2-3 large egg",
        "0x10 g a",
        "½½ cup a",
    ],
)
def test_what_cannot_be_an_amount_is_refused_with_what_to_type(text):
    with pytest.raises(UnitError):
        read_quantity(text)


def test_percent_range():
    assert read_percent("10-13 %") == (0.1, 0.13)
    with pytest.raises(UnitError):
        read_percent("130 %")
