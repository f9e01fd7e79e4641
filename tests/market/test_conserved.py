"""The gate on every output: what is known where ingredients are resolved, minus what is said, minus what a
cited rule exempts, is nothing. Each link is broken in turn, and the gate must close.
"""

from dataclasses import replace
from datetime import date

import pytest

from labelgen import chain
from labelgen.chain import (
    declare_product,
    draw_product,
    known_of_product,
    lost_in_codes,
    lost_in_words,
    roll_up_folder,
)
from labelgen.export.plain import declaration_as_text
from labelgen.law.pack import Pack
from labelgen.market.allergens.conserved import HELD, MAY, OPEN
from labelgen.order import Job, Order
from tests.kitchens import write

ON = date(2026, 12, 1)
INGREDIENTS = """sugar: {print: sugar, food: usda/19335, contains: [milk, celery], may_contain: [tree_nut]}
drops: {print: drops, food: usda/19335, statement: "sugar, lecithin"}
"""
RECIPES = (
    "formulations:\n  a: {ingredients: [60 g sugar, 40 g drops], makes: 4}\nproducts:\n  p: {name: P, of:"
    ' a, pieces: 4, category: cookies, may_contain: [peanut], cross_contact: {egg: "own room, 2026-11"}}\n'
)
KITCHEN = "producer: {name: N, address: A}\nmarkets: [us, eu]\nhandles: [sesame, egg]\n"


@pytest.fixture
def rolled(tmp_path):
    return roll_up_folder(write(tmp_path / "k", INGREDIENTS, RECIPES, KITCHEN))


def states(known):
    return {(m.code, m.state) for m in known.members}


def test_what_is_known_comes_from_the_ingredients_and_the_maker(rolled):
    known = known_of_product(rolled, "p", Pack("eu", ON))
    assert states(known) >= {
        ("milk", HELD),
        ("celery", HELD),
        ("tree_nut", MAY),
        ("peanut", MAY),
        ("soy", OPEN),
        ("sesame", OPEN),
    }
    assert {m.code for m, _ in known.exempt} == {"egg"}


def test_what_goes_unsaid_is_exempt_by_a_rule_that_can_be_shown(rolled):
    """Celery is on no list of the United States: 21 U.S.C. 343(w)."""
    known = known_of_product(rolled, "p", Pack("us", ON))
    assert ("celery", HELD) not in states(known)
    assert {m.code: rule.partition(" ")[0] for m, rule in known.exempt}["celery"] == "usc-21-343"


@pytest.mark.parametrize("market", ["us", "eu"])
@pytest.mark.parametrize(
    "field, kept", [("allergens", ()), ("ingredients", ()), ("advisories", ()), ("questions", ())]
)
def test_a_declaration_that_forgets_is_seen(rolled, market, field, kept):
    whole = declare_product(rolled, "p", Order(market, ON))
    assert lost_in_words(rolled, "p", whole, declaration_as_text(whole), "text") == ()
    forgetful = replace(whole, **{field: kept})
    if field in ("allergens", "ingredients"):
        forgetful = replace(forgetful, contains=())
    dropped = {"allergens": market == "us", "ingredients": market == "eu"}.get(field, True)
    assert bool(lost_in_words(rolled, "p", forgetful, declaration_as_text(forgetful), "text")) == dropped


def test_a_label_with_an_open_question_is_a_trial_and_not_for_sale(rolled):
    trial = draw_product(rolled, "p", Order("eu", ON, job=Job()))
    assert trial.label and not any(f.blocks for f in trial.findings)
    for_sale = draw_product(rolled, "p", Order("eu", ON, "A1", job=Job()))
    assert for_sale.label is None
    assert [f.code for f in for_sale.findings if f.blocks] == ["not-ready-allergens"]


def test_a_label_that_lost_a_warning_on_the_way_is_not_written(rolled, monkeypatch):
    made = draw_product(rolled, "p", Order("eu", ON, job=Job()))
    assert made.label and any(f.code == "not-ready-allergens" and "soy" in f.message for f in made.findings)
    real = chain.declare_product
    monkeypatch.setattr(
        chain,
        "declare_product",
        lambda *a, **k: replace(
            d := real(*a, **k),
            advisories=tuple(t for t in d.advisories if t != d.precaution),
            precaution="",
        ),
    )
    made = draw_product(rolled, "p", Order("eu", ON, job=Job()))
    assert made.label is None and {"peanut", "tree_nut"} <= {
        word
        for f in made.findings
        if f.code == "warning-lost"
        for word in f.message.replace(",", " ").split()
    }


def test_a_warning_does_not_stand_in_for_what_is_held(rolled):
    said = (
        "Ingredients: sugar, drops. May contain: milk, celery, peanuts, nuts. Not known, please ask us:"
        " soy, eggs, sesame."
    )
    d = declare_product(rolled, "p", Order("eu", ON))
    lost = lost_in_words(rolled, "p", d, said, "text")
    assert {
        code
        for code in ("milk", "celery", "peanut", "tree_nut", "soy", "sesame")
        if any(f"contains: {code} " in f.message or f": {code} (" in f.message for f in lost)
    } == {"milk", "celery"}, lost


def test_codes_are_asked_by_what_they_stand_under(rolled):
    lost = lost_in_codes(
        rolled,
        "p",
        "eu",
        ON,
        "csv",
        {"celery"},
        {"milk", "peanut", "tree_nut"},
        {"soy", "egg", "sesame"},
        (),
    )
    assert [("milk" in f.message, f.severity) for f in lost] == [(True, "danger")]


MORE = """apricot: {print: dried apricots, food: usda/09032, statement: "apricots,
    preservative (sulphur dioxide)"}
high: {print: oil, food: usda/04044, statement: highly refined soybean oil}
told: {print: vegetable oil, food: usda/04044, statement: refined soybean oil, contains: []}
open: {print: frying oil, food: usda/04044, statement: refined soybean oil}
"""


@pytest.mark.parametrize(
    "name, market, held, exempt",
    [
        ("apricot", "us", {"sulphite"}, {}),
        ("apricot", "eu", {"sulphite"}, {}),
        ("high", "us", set(), {"soy": "usc-21-321"}),
        ("told", "us", set(), {"soy": "usc-21-321"}),
        ("open", "us", {"soy"}, {}),
        ("told", "ca", {"soy"}, {}),
    ],
)
def test_what_stands_in_the_list_only_and_what_an_oil_is_exempt_by(tmp_path, name, market, held, exempt):
    """21 CFR 101.100(a)(4) has sulphites told in the list, though they are no major allergen; 21 USC
    321(qq)(2)(A) exempts highly refined oils, a merely refined one where its supplier, who knows, declares
    none; Canada exempts none.
    """
    recipes = (
        f"formulations:\n  a: {{ingredients: [60 g {name}], makes: 4}}\nproducts:\n  p: {{name: P, of: a,"
        " pieces: 4}\n"
    )
    known = known_of_product(
        roll_up_folder(write(tmp_path / "k", MORE, recipes, "producer: {name: N, address: A}\n")),
        "p",
        Pack(market, ON),
    )
    assert {code for code, state in states(known) if state == HELD} == held
    assert {m.code: rule.partition(" ")[0] for m, rule in known.exempt if m.state == HELD} == exempt
