"""Advisory and warning statements of Standard 1.2.3 and Schedule 9, on both sides of every amount."""

from datetime import date

import pytest

from labelgen.law.pack import read_pack
from labelgen.market.advisories import declare_advisories
from tests.market.foods import amounts, profile

AU = read_pack("au", date(2026, 12, 1))
LAXATIVE = "Excess consumption may have a laxative effect"


@pytest.mark.parametrize(
    "per_100g, said",
    [
        # lactitol, maltitol, mannitol, xylitol: 10 g per 100 g, singly or together
        ({"MALTITOL": 9.99}, False),
        ({"MALTITOL": 10}, True),
        ({"XYLITOL": 6, "MANNITOL": 4}, True),
        ({"XYLITOL": 6, "MANNITOL": 3.9}, False),
        # erythritol, isomalt, polydextrose, sorbitol: 25 g
        ({"ERYTHRITOL": 24.9}, False),
        ({"ERYTHRITOL": 25}, True),
        ({"POLYDEXTROSE": 15, "SORBITOL": 10}, True),
        ({"POLYDEXTROSE": 15, "SORBITOL": 9.9}, False),
        # a combination across the two lists: 10 g
        ({"ERYTHRITOL": 9, "MALTITOL": 1}, True),
        ({"ERYTHRITOL": 8.9, "MALTITOL": 1}, False),
        # a kind nobody told counts as the first list
        ({"POLYL": 10}, True),
        ({"POLYL": 24.9, "ERYTHRITOL": 24.9}, False),
        ({"POLYL": 12, "GLYCEROL": 12}, False),
        ({"POLYL": 10, "HSH": 10}, True),
        ({}, False),
    ],
)
def test_laxative_effect(per_100g, said):
    food = amounts(250, **{k: 2.5 * v for k, v in per_100g.items()})
    assert declare_advisories(AU, profile(food), 30, "flour").texts == ((LAXATIVE,) if said else ())


@pytest.mark.parametrize(
    "statement, text",
    [
        ("sugar, sweetener (951)", "Contains phenylalanine"),
        ("sweetener (aspartame)", "Contains phenylalanine"),
        ("sweetener (950)", None),
        (
            "honey, royal jelly",
            (
                "This product contains royal jelly which has been reported to cause severe allergic"
                " reactions and in rare cases, fatalities, especially in asthma and allergy sufferers"
            ),
        ),
        ("bee pollen", "Contains bee pollen, which can cause severe allergic reactions"),
        ("quinine", "Contains quinine"),
        ("guarana extract", "Contains caffeine"),
        ("honey", None),
        ("berry jelly", None),
    ],
)
def test_statements_by_name(statement, text):
    assert declare_advisories(AU, profile(amounts(100)), 30, statement).texts == ((text,) if text else ())


@pytest.mark.parametrize(
    "named, protein, density, said",
    [
        # S9-2 item 2(a): a beverage made from cereals, nuts or seeds, with less than 3 % m/m protein
        ("Oat milk", 2.99, 1.03, True),
        ("Oat milk", 3.0, 1.03, False),
        ("Almond drink", 0.5, 1.02, True),
        ("Soy drink", 2.0, 1.03, False),  # a legume
        ("Oat milk biscuits", 1.0, 0.0, False),  # no beverage
        ("Orange juice", 0.5, 1.04, False),
    ],
)
def test_drinks_that_replace_no_milk(named, protein, density, said):
    food = amounts(1000, PROCNT=10 * protein)
    text = "Not suitable as a complete milk replacement for children under 5 years"
    told = declare_advisories(AU, profile(food), 250, "water, oats", density=density, named=named).texts
    assert told == ((text,) if said else ())


def test_caffeine_that_was_added():
    def said(statement):
        return declare_advisories(AU, profile(amounts(100)), 30, statement).texts

    assert said("cola (water, sugar, flavour, caffeine)") == ("Contains caffeine",)
    assert said("decaffeinated coffee") == () == said("coffee")
