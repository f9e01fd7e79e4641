"""Every kind of ingredient that a claim excludes, in every market, refuses it when a packet names it; and
a food without any of them does not refuse it. The examples are common knowledge of the trade.
"""

from dataclasses import replace
from datetime import date

import pytest

from labelgen.composition.dataset import open_dataset
from labelgen.composition.resolve import resolve_kitchen
from labelgen.law.claim_tables import ClaimRule
from labelgen.law.pack import Pack
from labelgen.market.claims.claim_words import read_claim
from labelgen.market.declare_food import declare
from labelgen.order import Order
from labelgen.recipe.models import IngredientSpec
from tests.market.foods import KITCHEN, amounts, line, product, profile

ON = date(2026, 12, 1)
MARKETS = ["us", "eu", "uk", "ca", "au", "nz"]
#: kind -> what a packet may call it.
EXAMPLES = {
    "milk": ["butter", "whey powder", "ghee", "Milchpulver", "beurre"],
    "egg": ["egg white powder", "Eigelb", "œufs"],
    "fish": ["anchovies", "fish gelatin"],
    "crustacean": ["shrimp powder"],
    "mollusc": ["squid ink"],
    "meat": ["lard", "beef tallow", "Schweineschmalz", "saindoux", "manteca de cerdo", "strutto"],
    "gelatine": ["gelatin", "Rindergelatine", "gélatine"],
    "honey": ["honey", "Honig", "miel", "miele"],
    "beeswax": ["beeswax", "E901", "Bienenwachs"],
    "insect": ["carmine (E120)", "shellac", "Karmin", "carminio"],
    "wool_fat": ["lanolin", "vitamin D3"],
    "animal_rennet": ["calf rennet", "parmesan cheese", "présure"],
    "animal_amino_acid": ["L-cysteine"],
    "animal_flavour": ["natural flavor"],
    "added_sugar": ["cane sugar", "honey", "Glukosesirup", "sucre de canne", "zucchero", "date paste"],
    "juice": ["apple juice", "jus de pomme"],
    "malt": ["malt extract", "Gerstenmalzextrakt"],
    "maltodextrin": ["maltodextrin"],
    "intense_sweetener": ["sucralose", "stevia", "édulcorant"],
    "polyol": ["xylitol", "maltitol syrup", "Erythrit"],
    "salt": ["sea salt", "soy sauce", "Speisesalz", "sel", "sal", "sale"],
    "sodium_compound": ["sodium bicarbonate", "baking powder", "bicarbonate de sodium", "Backpulver"],
    "refined_grain": ["wheat flour", "white rice flour", "Weizenmehl", "farine de blé"],
    "artificial_colour": ["Red 40", "tartrazine"],
    "artificial_flavour": ["vanillin"],
    "preservative": ["potassium sorbate"],
}
#: A wording of each claim whose rule excludes something.
WORDS = {
    "vegan": "vegan",
    "vegetarian": "vegetarian",
    "no_added_sugar": "no added sugar",
    "unsweetened": "unsweetened",
    "no_added_salt": "no added salt",
    "natural": "natural",
    "all_whole_grain": "100% whole grain",
    "lactose_free": "lactose free",
}
EXCLUDED = [
    (m, r.key, kind)
    for m in MARKETS
    for r in Pack(m, ON).entries(ClaimRule)
    if r.kind != "refused"
    for kind in r.without
]


def refused(market, claim, statement):
    """The refusals of a claim on oats and one more ingredient, read from a packet as a kitchen would."""
    spec = IngredientSpec(name="mix", print_name="mix", statement=statement)
    kitchen = KITCHEN.model_copy(update={"ingredients": {"mix": spec}})
    resolved = resolve_kitchen(kitchen, open_dataset(), ON)["mix"]
    food = profile(
        amounts(100, CHOCDF=60, SUGAR=0, SUGAD=0, NA=0),
        10,
        [replace(line("mix", 100), ingredient=resolved)],
    )
    d = declare(food, product(claims=[claim]), kitchen, Order(market, ON))
    return [f.message for f in d.findings if f.code == "claim-refused"]


@pytest.mark.parametrize("market, key, kind", EXCLUDED)
def test_each_excluded_kind_refuses(market, key, kind):
    for example in EXAMPLES[kind]:
        assert refused(market, WORDS[key], f"whole grain oats, {example}"), example


@pytest.mark.parametrize("market", MARKETS)
@pytest.mark.parametrize(
    "key",
    [
        "vegan",
        "vegetarian",
        "no_added_sugar",
        "unsweetened",
        "no_added_salt",
        "all_whole_grain",
        "lactose_free",
    ],
)
def test_a_food_of_oats_alone_is_not_refused(market, key):
    assert not refused(market, WORDS[key], "whole grain oats")
    assert [a.key for a in read_claim(WORDS[key])] == [key]
