"""Cross-contact is decided by the maker, allergen by allergen; nothing is printed of the kitchen's own
accord.

FDA leaflet on allergen labelling: a warning must be truthful and never stands in for good manufacturing
practice.
"""

from dataclasses import replace
from datetime import date

import pytest

from labelgen.composition.ingredient_records import AllergenHit
from labelgen.law.pack import Pack
from labelgen.market.allergens.cross_contact import decide_cross_contact, open_questions
from labelgen.recipe.models import LabTest
from tests.market.foods import KITCHEN, product

ON = date(2026, 12, 1)
WARNED = AllergenHit("milk", "the supplier of choc says it may be present", "choc", "milk", "declaration")
NONE_FOUND = LabTest(text="below 1 mg/kg, report 7", most=1.0, detected=False)


def decided(handles=(), contains=(), may=(), market="us", **more):
    home = KITCHEN.model_copy(update={"handles": tuple(handles)})
    return decide_cross_contact(
        Pack(market, ON), product(**more), home, [AllergenHit(c, "") for c in contains], may
    )


def test_nothing_handled_nothing_asked():
    assert decided() == ((), ())


def test_one_finding_names_all_that_is_open_and_what_to_type():
    warned, found = decided(
        ["peanut", "sesame", "milk"], ["milk"], [WARNED, replace(WARNED, allergen="tree_nut/hazelnut")]
    )
    assert len(found) == 1 and found[0].severity == "warn" and found[0].citation
    text = found[0].message
    assert (
        "peanut, sesame are handled" in text
        and "choc warns of tree_nut/hazelnut" in text
        and "warns of milk" not in text
    )
    assert "may_contain: [peanut, sesame, tree_nut/hazelnut]" in text and "cross_contact: {peanut:" in text
    # a supplier's warning stands until decided
    assert [h.allergen for h in warned] == ["milk", "tree_nut/hazelnut"]


def test_a_decision_closes_it_either_way():
    warned, found = decided(
        ["peanut", "sesame"],
        may_contain=["peanut"],
        cross_contact={"sesame": "separate room, cleaned, 2026-11"},
    )
    assert found == () and [(h.allergen, h.how) for h in warned] == [("peanut", "kitchen")]


def test_a_reason_takes_a_suppliers_warning_off():
    warned, found = decided(
        may=[WARNED], cross_contact={"milk": "supplier runs a milk-free line, letter of 2026-10"}
    )
    assert warned == () and found == ()


def test_a_sentence_counts_for_the_allergens_it_names():
    assert decided(["sesame", "peanut"], precaution="Made in a kitchen that also handles sesame.")[1][
        0
    ].message.startswith("thing: peanut is handled")


@pytest.mark.parametrize(
    "handled, decision, closed",
    [
        ("tree_nut/hazelnut", "tree_nut", True),
        ("tree_nut", "tree_nut/hazelnut", False),
        ("wheat", "gluten", True),
        ("gluten", "wheat", False),
        ("milk", "egg", False),
    ],
)
def test_a_kind_never_explains_its_group_away(handled, decision, closed):
    assert (decided([handled], cross_contact={decision: "separate room, 2026-11"})[1] == ()) == closed


@pytest.mark.parametrize(
    "more, code",
    [
        ({"may_contain": ["peanuts"]}, "allergen-code"),
        ({"cross_contact": {"nuts": "separate room"}}, "allergen-code"),
        ({"may_contain": ["peanut"], "cross_contact": {"peanut": "separate room"}}, "cross-contact-both"),
        ({"cross_contact": {"milk": "separate room"}}, "cross-contact-held"),
        ({"tested": {"nuts": NONE_FOUND}}, "allergen-code"),
    ],
)
def test_faults_block(more, code):
    found = decided(contains=["milk"], **more)[1]
    assert code in {f.code for f in found if f.blocks}


@pytest.mark.parametrize("market", ["us", "eu", "uk", "ca", "au", "nz"])
def test_every_market_says_what_it_thinks_of_warnings(market):
    found = decided(["peanut"], market=market)[1]
    assert found[0].citation and len(found[0].why.split()) > 8


@pytest.mark.parametrize(
    "held, handled, asked",
    [
        ("gluten/oats", "wheat", True),
        ("gluten/barley", "wheat", True),
        ("gluten/rye", "gluten/wheat", True),
        ("gluten", "wheat", True),
        ("gluten/oats", "gluten", True),
        ("wheat", "gluten", False),
        ("wheat", "gluten/wheat", False),
        ("gluten/spelt", "gluten", False),
        ("tree_nut/almond", "tree_nut", True),
        ("fish", "fish/cod", False),
    ],
)
def test_what_is_held_tells_only_of_itself(held, handled, asked):
    """A cereal with gluten tells nobody of wheat: Regulation (EU) 1169/2011 Annex II names each by its
    kind.
    """
    assert ("cross-contact" in {f.code for f in decided([handled], [held])[1]}) == asked


def test_a_suppliers_warning_stays_when_the_maker_names_another():
    warned, _ = decided(
        may=[WARNED, replace(WARNED, allergen="tree_nut/hazelnut")], may_contain=["peanut", "tree_nut"]
    )
    assert {h.allergen for h in warned} == {"milk", "tree_nut/hazelnut", "peanut", "tree_nut"}


def test_a_warning_of_wheat_is_not_lost_in_gluten_of_no_named_cereal():
    assert [h.allergen for h in decided(contains=["gluten"], may_contain=["wheat"])[0]] == ["wheat"]


@pytest.mark.parametrize("tested", ["lactose", "milk", "tree_nut/almond"])
def test_what_a_laboratory_may_test_for_is_no_fault(tested):
    assert decided(tested={tested: NONE_FOUND})[1] == ()


@pytest.mark.parametrize(
    "contains, warned, asked, left",
    [
        ([], [], [], ["sesame"]),
        (["sesame"], [], [], []),
        ([], [("sesame", "declaration")], [], []),
        ([], [("sesame", "kitchen")], [], []),
        ([], [("soy", "text")], [], ["soy", "sesame"]),
        (["soy"], [("soy", "text")], [], ["sesame"]),
        (["soy"], [], ["soy"], ["soy", "sesame"]),
    ],
)
def test_a_question_is_open_until_somebody_tells(contains, warned, asked, left):
    """What counts only once the maker has said more ("asked") is not held yet."""
    hits = {code: AllergenHit(code, "") for code in ("soy", "sesame")}
    may = [replace(hits[code], how=how) for code, how in warned]
    home = KITCHEN.model_copy(update={"handles": ("sesame",)})
    maker = product(may_contain=["sesame"] if ("sesame", "kitchen") in warned else [])
    found = open_questions(maker, home, [hits[c] for c in contains], may, [hits[c] for c in asked])
    assert [h.allergen for h in found] == left


def test_gluten_warns_nobody_of_wheat():
    assert "may_contain: [wheat]" in decided(["wheat"], may_contain=["gluten"])[1][0].message
    assert (
        decided(["wheat"], may_contain=["gluten", "wheat"])[1]
        == ()
        == decided(["wheat"], cross_contact={"gluten": "another room"})[1]
    )


@pytest.mark.parametrize(
    "french, asked", [("Peut contenir des arachides.", False), ("Fait avec soin.", True)]
)
def test_a_sentence_warns_of_what_it_names_in_every_language(french, asked):
    said = {"precaution": "May contain peanuts.", "also": {"fr": {"precaution": french}}}
    assert bool(decided(["peanut"], market="ca", **said)[1]) == asked
