"""The days between commencement and the end of a transition, on both sides of each."""

from datetime import date, timedelta

import pytest

from labelgen.law.figure_tables import Nutrient
from labelgen.law.pack import Pack, read_pack
from labelgen.law.transition import list_transitions
from labelgen.market.advisories import check_allowed
from labelgen.market.asked import list_asked
from labelgen.market.declare_food import declare
from labelgen.order import Order
from tests.market.foods import KITCHEN, amounts, line, product, profile

DAY = timedelta(days=1)


@pytest.mark.parametrize(
    "market, table, effective, mandatory",
    [
        # plain English allergen labelling: 25 February 2021 to 25 February 2024 for newly packed food (FSANZ
        # notices)
        ("au", "allergens", date(2021, 2, 25), date(2024, 2, 25)),
        ("nz", "allergens", date(2021, 2, 25), date(2024, 2, 25)),
        # 81 FR 33742: 26 July 2016; the last makers by 1 January 2021 (83 FR 19619)
        ("us", "nutrients", date(2016, 7, 26), date(2021, 1, 1)),
    ],
)
def test_both_forms_are_lawful_only_between_the_two_days(market, table, effective, mandatory):
    def told(day):
        return [f for f in list_transitions(Pack(market, day)) if f"rules of {table} " in f.message]

    assert told(effective - DAY) == [] and len(told(effective)) == 1
    assert len(told(mandatory - DAY)) == 1 and told(mandatory) == []
    assert f"compulsory from {mandatory}" in told(mandatory - DAY)[0].message


def test_nothing_is_in_transition_today():
    for market in ("us", "au", "nz"):
        assert list_transitions(read_pack(market, date(2026, 11, 25))) == ()


@pytest.mark.parametrize(
    "market, statement, day, severity, said",
    [
        # 90 FR 4628: food is made without FD&C Red No. 3 by 15 January 2027
        ("us", "sugar, erythrosine", date(2025, 1, 15), None, ""),
        ("us", "sugar, erythrosine", date(2025, 1, 16), "warn", "It may still be used until 2027-01-15"),
        ("us", "sugar, erythrosine", date(2027, 1, 14), "warn", "until 2027-01-15"),
        ("us", "sugar, erythrosine", date(2027, 1, 15), "block", ""),
        # Regulation (EU) 2022/63: no titanium dioxide since 7 February 2022, stocks to 7 August 2022
        ("eu", "sugar, titanium dioxide", date(2022, 2, 6), None, ""),
        (
            "eu",
            "sugar, titanium dioxide",
            date(2022, 2, 7),
            "warn",
            "Food made by the older rules may be sold until 2022-08-07",
        ),
        ("eu", "sugar, titanium dioxide", date(2022, 8, 6), "warn", "2022-08-07"),
        ("eu", "sugar, titanium dioxide", date(2022, 8, 7), "block", ""),
        ("uk", "sugar, titanium dioxide", date(2026, 11, 25), None, ""),
    ],
)
def test_an_ingredient_on_its_way_out(market, statement, day, severity, said):
    found = [
        f
        for f in check_allowed(Pack(market, day), product(), statement)
        if "red-3" in f.code or "titanium" in f.code
    ]
    assert [f.severity for f in found] == ([severity] if severity else []) and all(
        said in f.message for f in found
    )


@pytest.mark.parametrize(
    "day, told", [(date(2024, 12, 13), True), (date(2026, 12, 12), True), (date(2026, 12, 13), False)]
)
def test_a_question_whose_rule_is_not_yet_compulsory_says_so(day, told):
    """Folic acid in British flour: transition to 13 December 2026."""
    d = declare(
        profile(
            amounts(200, FAT=10, CHOCDF=100, PROCNT=20), 4, [line("wheat flour", 200, contains=["wheat"])]
        ),
        product(),
        KITCHEN,
        Order("uk", day),
    )
    said = [
        f.message
        for f in list_asked(
            Pack("uk", day), KITCHEN.model_copy(update={"products": {"thing": product()}}), {"thing": d}
        )
        if f.code == "asked-flour"
    ]
    assert len(said) == 1 and ("compulsory from 2026-12-13" in said[0]) is told


@pytest.mark.parametrize(
    "day, told",
    [
        (date(2023, 12, 12), False),
        (date(2023, 12, 13), True),
        (date(2027, 12, 12), True),
        (date(2027, 12, 13), False),
    ],
)
def test_a_claim_judged_by_a_rule_not_yet_compulsory_says_so(day, told):
    """Amendment 224 of the Code: no added sugar, compulsory from 13 December 2027."""
    d = declare(
        profile(amounts(200, FAT=10, CHOCDF=100, PROCNT=20), 4, [line("oats", 200)]),
        product(claims=["no added sugar"]),
        KITCHEN,
        Order("au", day),
    )
    assert (
        any("compulsory from 2027-12-13" in f.message for f in d.findings if f.code == "law-in-transition")
        is told
    )


@pytest.mark.parametrize("market", ["us", "eu", "uk", "ca", "au", "nz"])
def test_rules_read_long_before_the_label_are_told(market):
    """A year and a day after the last comparison nothing is said, a day later it is."""
    read = max(e.reviewed for e in Pack(market, date(2026, 11, 25)).entries(Nutrient))
    aged = [
        [
            f.severity
            for f in list_transitions(Pack(market, read + timedelta(days=n)))
            if f.code == "law-last-read"
        ]
        for n in (0, 366, 367)
    ]
    assert aged == [[], [], ["warn"]]


@pytest.mark.parametrize(
    "market, statement, code, severity",
    [
        ("ca", "partially hydrogenated soybean oil", "partially-hydrogenated", "block"),
        ("ca", "colours (carmoisine)", "colours-not-listed", "block"),
        ("ca", "colours (allura red, tartrazine)", "", ""),
        ("au", "colour (127)", "erythrosine", "warn"),
        ("nz", "colour (129)", "", ""),
        ("us", "color (carmoisine)", "colours-not-listed", "block"),
        ("us", "color (Red 40)", "", ""),
    ],
)
def test_ingredients_a_market_does_not_take(market, statement, code, severity):
    """The lists of permitted colours of each market, from memory; the Canadian list of contaminants of 17
    September 2018.
    """
    found = check_allowed(Pack(market, date(2026, 11, 25)), product(), statement)
    assert [(f.code, f.severity) for f in found] == ([(f"not-allowed-{code}", severity)] if code else [])
