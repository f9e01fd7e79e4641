"""Foods that some market exempts are known by their whole name, in the label languages, and by nothing
less.
"""

import pytest

from labelgen.composition.text.derived import read_derived
from labelgen.composition.text.lexicon import find_allergens

NAMED = [
    ("glucose syrup (from wheat)", "wheat", "glucose-syrup", ""),
    ("Weizenglukosesirup", "wheat", "glucose-syrup", ""),
    ("Glukosesirup (aus Weizen)", "gluten/wheat", "glucose-syrup", ""),
    ("sirop de glucose (blé)", "wheat", "glucose-syrup", ""),
    ("jarabe de glucosa (trigo)", "wheat", "glucose-syrup", ""),
    ("sciroppo di glucosio (frumento)", "wheat", "glucose-syrup", ""),
    ("salt and glucose syrup (wheat, maize)", "wheat", "glucose-syrup", ""),
    ("barley glucose syrup", "gluten/barley", "glucose-syrup", ""),
    ("jarabe de glucosa y fructosa (trigo)", "wheat", "glucose-fructose-syrup", ""),
    ("Traubenzucker (Weizen)", "wheat", "dextrose", ""),
    ("maltodextrine de blé", "wheat", "maltodextrin", ""),
    ("vodka (wheat)", "wheat", "distillate", ""),
    ("Wodka (Weizen)", "wheat", "distillate", ""),
    ("whisky (malted barley)", "gluten/barley", "distillate", ""),
    ("whey spirit", "milk", "distillate", ""),
    ("fully refined soya oil", "soy", "soy-oil", "fully refined"),
    ("vollständig raffiniertes Sojaöl", "soy", "soy-oil", "fully refined"),
    ("huile de soja (entièrement raffinée)", "soy", "soy-oil", "fully refined"),
    ("aceite de soja totalmente refinado", "soy", "soy-oil", "fully refined"),
    ("olio di soia completamente raffinato", "soy", "soy-oil", "fully refined"),
    (
        "soybean oil (degummed, neutralised, bleached and deodorised)",
        "soy",
        "soy-oil",
        "degummed, neutralised, bleached and deodorised",
    ),
    ("refined soybean oil", "soy", "soy-oil", "refined"),
    ("soybean oil", "soy", "soy-oil", ""),
    ("antioxidant (mixed tocopherols (E306) (soya))", "soy", "natural-tocopherols", ""),
    ("D-alpha-tocopherol (soya)", "soy", "natural-tocopherols", ""),
    ("tocopherols (soya)", "soy", "tocopherols", ""),
    ("plant sterol esters (soya)", "soy", "phytosterols", ""),
    ("plant stanol ester (soya)", "soy", "stanol-ester", ""),
    ("lactitol (E966) (milk)", "milk", "lactitol", ""),
    ("isinglass", "fish", "isinglass", ""),
    ("refined peanut oil", "peanut", "peanut-oil", "refined"),
    ("behenic acid (mustard)", "mustard", "behenic-acid", ""),
    ("vitamin A (carrier: fish gelatine)", "fish", "fish-gelatine", "carrier"),
]


@pytest.mark.parametrize("text, code, derived, state", NAMED)
def test_named_whole(text, code, derived, state):
    assert [
        (h.derived, h.state)
        for h in find_allergens(text).contains + find_allergens(text).may_contain
        if h.allergen == code
    ] == [(derived, state)]


def test_every_kind_is_named_by_a_text():
    assert {k.key for k in read_derived()} - {row[2] for row in NAMED} == {"sesame-oil", "nut-oil"}


@pytest.mark.parametrize(
    "text, code",
    [
        ("glucose syrup and wheat", "wheat"),
        ("glucose syrup, wheat", "wheat"),
        ("jarabe de glucosa y trigo", "wheat"),
        ("sciroppo di glucosio e grano", "wheat"),
        ("sauce (glucose syrup, wheat)", "wheat"),
        ("glucose syrup (wheat, soy)", "wheat"),
        ("glucose syrup (wheat), wheat flour", "wheat"),
        ("glucose syrup with wheat", "wheat"),
        ("modified starch (wheat)", "wheat"),
        ("hydrolysed wheat dextrose", "wheat"),
        ("vodka and wheat", "wheat"),
        ("malt vinegar", "gluten/barley"),
        ("Contains: wheat (glucose syrup)", "wheat"),
        ("fish gelatine", "fish"),
        ("vitamin E with soya", "soy"),
        ("plant stanols (soya)", "soy"),
    ],
)
def test_anything_less_is_the_allergen_itself(text, code):
    assert "" in {h.derived for h in find_allergens(text).contains if h.allergen == code}


@pytest.mark.parametrize(
    "text",
    [
        "soybean and fully refined rapeseed oil",
        "soybean oil / fully refined rapeseed oil",
        "vegetable oils (fully refined rapeseed, soybean)",
        "unrefined soybean oil",
        "partially refined soybean oil",
    ],
)
def test_what_is_said_of_one_oil_is_not_said_of_another(text):
    assert {h.state for h in find_allergens(text).contains if h.allergen == "soy"} == {""}
