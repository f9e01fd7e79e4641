"""What accepted claims put on the label besides themselves: each worked from the paragraph named beside
it.
"""

from datetime import date

import pytest

from labelgen.market.declare_food import declare
from labelgen.order import Order
from tests.kitchens import write
from tests.market.foods import KITCHEN, amounts, line, product, profile

ON = date(2026, 12, 1)
DRY = {
    "CHOCDF": 80,
    "FIBTG": 2,
    "SUGAR": 0.2,
    "SUGAD": 0.2,
    "FAT": 1,
    "FASAT": 0.2,
    "FATRN": 0,
    "CHOLE": 0,
    "NA": 5,
    "PROCNT": 8,
}


def said(claims, market="us", category="bars", piece=40, **figures):
    """Every statement beside the claims of ten pieces of a food, figures per 100 g."""
    food = profile(
        amounts(10 * piece, **{k: v * piece / 10 for k, v in (DRY | figures).items()}),
        10,
        [line("rice", 10 * piece)],
    )
    d = declare(
        food, product(unit="bar", category=category, claims=claims, pieces=10), KITCHEN, Order(market, ON)
    )
    assert all(c.allowed for c in d.claims)
    return " ".join(c.said for c in d.claims)


@pytest.mark.parametrize(
    "claims, figures, there, absent",
    [
        # 101.60(c)(1)(iii): beside every use, unless the food is labelled low or reduced calorie; 340 kcal x
        # 0.40 = 136 kcal
        (["sugar free"], {}, "Not a low calorie food.", "weight control"),
        # 20 g x 4 x 0.40 = 32 kcal meets "low calorie", so that sentence would be untrue; not labelled so,
        # the third one stands
        (
            ["sugar free"],
            {"CHOCDF": 20, "FIBTG": 0, "FAT": 0, "PROCNT": 0},
            "Not for weight control.",
            "Not a low calorie",
        ),
        (
            ["sugar free", "low calorie"],
            {"CHOCDF": 20, "FIBTG": 0, "FAT": 0, "PROCNT": 0},
            "Low calorie",
            "Not ",
        ),
        # 101.60(c)(2)(v): the reference to the panel stands even where the food is low in calories
        (
            ["no added sugar"],
            {"SUGAD": 0},
            "Not a low calorie food. See nutrition information for sugar and calorie content.",
            "weight",
        ),
        (
            ["no added sugar"],
            {"SUGAD": 0, "CHOCDF": 20, "FIBTG": 0, "FAT": 0, "PROCNT": 0},
            "See nutrition information for sugar and calorie content.",
            "Not a low",
        ),
        # 101.54(d): total fat beside a fibre claim of a food that is not low in fat: 7.6 x 0.40 = 3.04 g, 7.5
        # x 0.40 = 3.0 g
        (
            ["high in fiber"],
            {"FIBTG": 20, "FAT": 7.6},
            "Contains 3g total fat per serving.",
            "nutrition information",
        ),
        (["high in fiber"], {"FIBTG": 20, "FAT": 7.5}, "High in fiber", "total fat"),
        # 101.61(c)(2)(iii)
        (["no salt added"], {"NA": 50}, "Not a sodium free food.", "control of"),
        (["no salt added"], {"NA": 12}, "No salt added", "Not a sodium free"),
    ],
)
def test_statements_beside_a_claim(claims, figures, there, absent):
    text = said(claims, **figures)
    assert there in text and absent not in text


def compared(claims, figures, other, market="us", category="bars"):
    from labelgen.quantity import read_quantity
    from labelgen.recipe.models import Printed, ReferenceFood

    reference = ReferenceFood(
        name="our old bar",
        per=read_quantity("100 g")[0],
        figures={k: Printed(name=k, text=v) for k, v in other.items()},
    )
    food = profile(amounts(400, **{k: v * 4 for k, v in (DRY | figures).items()}), 10, [line("rice", 400)])
    d = declare(
        food,
        product(unit="bar", category=category, claims=claims, pieces=10, compared_with=reference),
        KITCHEN,
        Order(market, ON),
    )
    return " ".join(c.said for c in d.claims), [f.message for f in d.findings if f.code == "claim-refused"]


def test_more_fiber_tells_the_fat_of_a_food_that_is_not_low_in_fat():
    """21 CFR 101.54(d)(1) names "more" fiber beside "high" and "good source": 20 x 0.40 = 8 g fat."""
    text, refused = compared(["more fiber"], {"FIBTG": 15, "FAT": 20}, {"FIBTG": "1 g"})
    assert not refused and "Contains 8g total fat per serving." in text


def test_reduced_saturated_fat_tells_fat_and_cholesterol():
    """21 CFR 101.62(c): beside any claim on saturated fat."""
    text, refused = compared(
        ["reduced saturated fat"], {"FASAT": 5, "FAT": 20, "CHOLE": 50}, {"FASAT": "10 g"}
    )
    assert not refused and "Contains 8g total fat and 20mg cholesterol per serving." in text


SUGARED = (
    "{print: rice puffs, statement: 'rice, honey, salt', contains: [], per: 100 g, nutrients: {fat: 1 g,"
    " saturated fat: 0.2 g, trans fat: 0 g, cholesterol: 0 mg, sodium: %s, carbohydrate: 80 g, fibre: 2 g,"
    " sugars: 0.5 g, added sugars: 0.5 g, protein: 8 g, potassium: 100 mg, calcium: 20 mg, iron: 1 mg,"
    " vitamin d: 0 mcg}}"
)


def listed(tmp_path, claims, ingredient, more=""):
    from labelgen.chain import declare_product, roll_up_folder

    folder = write(
        tmp_path,
        f"puffs: {ingredient}",
        "formulations:\n  bar: {ingredients: [400 g puffs], makes: 10}\nproducts:\n  bars: {name: Bars,"
        f" of: bar, pieces: 10, unit: bar, category: bars, claims: {claims}{more}}}\n",
        "producer: {name: Example Hill Bakes, address: x}\nmarkets: [us]\n",
    )
    d = declare_product(roll_up_folder(folder), "bars", Order("us", ON))
    assert not [f for f in d.findings if f.blocks], d.findings
    return "".join(r.text for r in d.ingredients), "".join(r.text for r in d.allergens), d.advisories


def test_the_sugar_of_a_sugar_free_food_is_marked_in_the_list(tmp_path):
    """21 CFR 101.60(c)(1)(ii): an asterisk behind the ingredient, which refers to a statement below the
    list; 0.5 x 0.40 = 0.2 g.
    """
    text, _, advice = listed(tmp_path, "[sugar free]", SUGARED % "5 mg")
    assert "honey*" in text and "salt*" not in text and advice[0] == "*Adds a trivial amount of sugar."


def test_the_salt_of_a_sodium_free_food_is_marked(tmp_path):
    """21 CFR 101.61(b)(1)(ii): 12 x 0.40 = 4.8 mg."""
    text, _, advice = listed(tmp_path, "[sodium free]", SUGARED % "12 mg")
    assert "salt*" in text and "honey*" not in text and advice[0] == "*Adds a trivial amount of sodium."


def test_wheat_of_a_gluten_free_food_is_marked_in_list_and_statement(tmp_path):
    """21 CFR 101.91(b)(3)."""
    starch = (SUGARED % "5 mg").replace(
        "statement: 'rice, honey, salt', contains: []",
        "statement: 'wheat starch', contains: [wheat], gluten_free: true",
    )
    text, contains, advice = listed(
        tmp_path, "[gluten free]", starch, ', tested: {gluten: "<5 mg/kg, Example Lab, 2026-11-02"}'
    )
    assert (
        "wheat*" in text.lower()
        and "wheat*" in contains.lower()
        and advice[0].startswith("*The wheat has been processed")
    )


def test_a_list_without_a_reason_has_no_mark(tmp_path):
    text, _, advice = listed(tmp_path, "[low fat]", SUGARED % "5 mg")
    assert "*" not in text and not advice


def test_the_disclosure_stands_beside_the_claim_of_the_name():
    """21 CFR 101.13(h)(4): beside the claim in the largest type; 11 x 0.40 = 4.4 g saturated fat is over
    4.0.
    """
    food = profile(
        amounts(400, **{k: 4 * v for k, v in (DRY | {"FAT": 20, "FASAT": 11}).items()}),
        10,
        [line("rice", 400)],
    )
    d = declare(
        food,
        product(name="Low-sodium bar", unit="bar", category="bars", claims=["sugar free", "low sodium"]),
        KITCHEN,
        Order("us", ON),
    )
    assert [c.said for c in d.claims] == [
        "See nutrition information for saturated fat content.",
        "Sugar free. Not a low calorie food.",
    ]


def test_a_price_card_with_the_name_carries_what_stands_beside_it():
    """21 CFR 101.60(c)(1)(iii), each time the claim is used; claims that only the label makes are not on
    the card.
    """
    from labelgen.layout.cards import lay_out_cards

    food = profile(amounts(400, **{k: 4 * v for k, v in DRY.items()}), 10, [line("rice", 400)])
    d = declare(
        food,
        product(name="Sugar-free bar", unit="bar", category="bars", claims=["low sodium"]),
        KITCHEN,
        Order("us", ON),
    )
    said = " ".join(s.text for page in lay_out_cards([d], "letter") for s in page.statements)
    assert "Not a low calorie food." in said and "Low sodium" not in said
