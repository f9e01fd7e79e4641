"""Variants: what they weigh, and what they say of themselves. Weights by hand."""

import pytest

from labelgen.chain import roll_up_folder
from labelgen.cli import main
from tests.kitchens import write

LARDER = """\
flour: {print: wheat flour, food: usda/20481}
oats: {print: rolled oats, food: usda/20038}
walnuts: {print: walnuts, food: usda/12155}
sugar: {print: sugar, food: usda/19335}
water: {print: water, food: usda/14411}
"""
#: 500 + 250 + 50 = 800 g in, 640 g out: the loaf weighs 0.8 of its dough.
LOAF = """\
formulations:
  loaf: {ingredients: [500 g flour, 250 g water, 50 g walnuts], bake: {before: 800 g, after: 640 g,
      how: weighed}}
products:
  loaf: {name: Loaf, of: loaf, NET, unit: {en: loaf, fr: pain}, unit_plural: loaves, best_before: 5 days,
      storage: Keep dry., gtin: "4006381333931", category: bread}
variants:
  v: {of: loaf, OWN}
"""
KITCHEN = "producer: {name: A, address: 1 B}\nmarkets: [us]\n"


def rolled(tmp_path, own, net="net: 640 g", recipes=LOAF):
    return roll_up_folder(write(tmp_path, LARDER, recipes.replace("NET", net).replace("OWN", own), KITCHEN))


@pytest.mark.parametrize(
    "net, own, grams",
    [
        # its own oven: 750 g of dough, 550 of 740 g weighed: 750 x 550 / 740
        (
            "net: 640 g",
            "omit: [walnuts], bake: {before: 740 g, after: 550 g, how: weighed}",
            750 * 550 / 740,
        ),
        # no oven of its own: 750 g lose a fifth
        ("net: 640 g", "omit: [walnuts]", 600.0),
        ("net: 640 g", "add: [100 g oats]", 720.0),
        ("net: 640 g", "replace: {walnuts: oats}", 640.0),
        # declared a little low: 620 of 640 g, and 620 / 640 of 600 g
        ("net: 620 g", "omit: [walnuts]", 581.25),
        # said by the variant itself
        ("net: 640 g", "omit: [walnuts], net: 590 g", 590.0),
        ("net: 640 g", "omit: [walnuts], pieces: 1", 600.0),
        # filled to a weight that is no part of the batch
        ("net: 250 g", "omit: [walnuts]", 250.0),
        # half a loaf each, and said
        ("net: 320 g", "omit: [walnuts], net: 300 g", 300.0),
        ("net: 320 g", "replace: {walnuts: oats}", 320.0),
        ("pieces: 1", "omit: [walnuts], bake: {loss: 25 %, how: weighed}", 562.5),
    ],
)
def test_what_a_pack_of_a_variant_weighs(tmp_path, net, own, grams):
    kitchen = rolled(tmp_path, own, net)
    assert kitchen.profiles["v"].pack.grams == pytest.approx(grams)
    assert not [f for f in kitchen.findings if f.blocks]


@pytest.mark.parametrize(
    "net, own", [("net: 320 g", "omit: [walnuts]"), ("net: 640 g, volume: 700 mL", "omit: [walnuts]")]
)
def test_a_net_weight_that_could_be_meant_in_two_ways_is_asked_for(tmp_path, capsys, net, own):
    kitchen = rolled(tmp_path, own, net)
    (told,) = [f for f in kitchen.findings if f.code == "variant-net"]
    assert told.blocks and "v" not in kitchen.profiles and "loaf" in kitchen.profiles
    assert ("net: 300 g" in told.message and "net: 320 g" in told.message) or "volume" in told.message
    assert main(["label", "v", "--kitchen", str(tmp_path), "--out", str(tmp_path / "out")]) == 1


def test_a_variant_leaves_the_share_of_its_base_in_the_bowl(tmp_path):
    """Of 600 g, 570 come out: 5 % stay behind. Of the 700 g of the variant 665 come out, in 19 pieces of
    35 g.
    """
    recipes = """\
formulations:
  dough: {ingredients: [300 g flour, 300 g sugar], yields: 570 g, makes: 19}
products:
  p: {of: dough, pieces: 19}
variants:
  v: {of: p, add: [100 g oats]}
  w: {of: p, omit: [sugar]}
"""
    kitchen = rolled(tmp_path, "", recipes=recipes)
    assert {key: round(p.pack.grams, 6) for key, p in kitchen.profiles.items()} == {
        "p": 570.0,
        "v": 665.0,
        "w": 285.0,
    }
    assert not [f for f in kitchen.findings if f.blocks]


@pytest.mark.parametrize(
    "own, expected",
    [
        (
            "net: 700 g",
            {
                "net": 700.0,
                "pieces": None,
                "best_before": "5 days",
                "storage": "Keep dry.",
                "gtin": "",
                "unit": "loaf",
                "unit_plural": "loaves",
            },
        ),
        ("pieces: 1", {"net": None, "pieces": 1.0}),
        ("unit: bun", {"unit": "bun", "unit_plural": ""}),
        ("use_by: 3 days", {"use_by": "3 days", "best_before": ""}),
        (
            "storage: Freeze., category: rolls, price: 4.50, show: [fibre], origin: Made in Sampleton",
            {
                "storage": "Freeze.",
                "category": "rolls",
                "price": "4.50",
                "show": ("fibre",),
                "origin": "Made in Sampleton",
            },
        ),
        (
            'gtin: "96385074", package: 10 x 20 x 8 cm',
            {"gtin": "96385074", "package": (100.0, 200.0, 80.0)},
        ),
        ("name: Oat loaf, claims: [vegan]", {"name": "Oat loaf", "claims": ("vegan",)}),
    ],
)
def test_a_variant_says_of_itself_what_a_product_may(tmp_path, own, expected):
    product = rolled(tmp_path, own).kitchen.products["v"]
    assert {key: getattr(product, key) for key in expected} == expected
    assert "fr" not in product.also or "unit" not in own or "unit" not in product.also["fr"]


def test_claims_of_the_base_for_one_market_are_not_those_of_a_variant_with_claims_of_its_own(tmp_path):
    recipes = LOAF.replace("storage:", "claims: {us: [vegan]}, storage:")
    assert rolled(tmp_path, "omit: [walnuts]", recipes=recipes).kitchen.products["v"].in_market(
        "us"
    ).claims == ("vegan",)
    assert rolled(tmp_path, "claims: [high fibre]", recipes=recipes).kitchen.products["v"].in_market(
        "us"
    ).claims == ("high fibre",)


@pytest.mark.parametrize(
    "own, told",
    [
        ("net: 700 g, pieces: 2", "two-sizes"),
        ("net: 250 ml", "value amount"),
        ("volume: 250 mL", "volume-weight"),
        ("of_: x", "unknown-key"),
        ("weight: 20 g", "unknown-key"),
    ],
)
def test_what_a_variant_may_not_say(tmp_path, own, told):
    assert any(f.code in told.split() and f.blocks for f in rolled(tmp_path, own).stops.get("v", ()))
