"""Claims that differ by market: each label judges and prints its own, and an unknown market is refused
where it stands.
"""

from datetime import date

from labelgen.chain import declare_product, roll_up_folder
from labelgen.order import Order
from tests.kitchens import write

ON = date(2026, 12, 1)
WATER = "drops: {print: sugar, statement: sugar, food: usda/19335}"


def rolled(tmp_path, claims, variants=""):
    recipes = (
        "formulations:\n  whole: {ingredients: [100 g drops], makes: 10}\nproducts:\n  thing:\n   "
        f" {{name: Hill drops, of: whole, pieces: 10, unit: drop,\n    claims: {claims}}}\n{variants}"
    )
    return roll_up_folder(
        write(tmp_path, WATER, recipes, "producer: {name: Example Hill Bakes, address: x}\n")
    )


def asked(kitchen, product, market):
    return {c.asked for c in declare_product(kitchen, product, Order(market, ON)).claims}


def test_each_market_has_its_own(tmp_path):
    kitchen = rolled(tmp_path, "{us: [vegan], uk: [fat free, {en: lactose free, fr: sans lactose}]}")
    assert not kitchen.misread
    assert [asked(kitchen, "thing", m) for m in ("us", "uk", "eu")] == [
        {"vegan"},
        {"fat free", "lactose free"},
        set(),
    ]


def test_a_variant_has_its_own_instead_of_its_parents(tmp_path):
    kitchen = rolled(
        tmp_path,
        "{us: [vegan]}",
        "variants:\n  other: {of: thing, claims: {uk: [vegan]}}\n  plain: {of: thing, claims: [dairy"
        " free]}\n  same: {of: thing}\n",
    )
    assert [asked(kitchen, "other", m) for m in ("us", "uk")] == [set(), {"vegan"}]
    assert [asked(kitchen, "plain", m) for m in ("us", "uk")] == [{"dairy free"}, {"dairy free"}]
    assert asked(kitchen, "same", "us") == {"vegan"}


def test_an_unknown_market_is_refused_at_its_place(tmp_path):
    [fault] = [f for f in rolled(tmp_path, "{us: [vegan], ux: [vegan]}").misread if "ux" in f.message]
    assert fault.blocks and "'ux' is no market" in fault.message and fault.where.line == 6


def test_one_claim_in_several_languages_is_no_list_of_markets(tmp_path):
    assert asked(rolled(tmp_path, "{en: vegan, fr: végane}"), "thing", "us") == {"vegan"}
