"""Claims in the texts a label prints besides its claims: names in five languages, storage lines, words in
another language.
"""

from datetime import date

import pytest

from labelgen.market.claims.claim_words import read_claim
from labelgen.market.claims.in_text import claims_in
from labelgen.market.declare_food import declare
from labelgen.order import Order
from tests.market.foods import KITCHEN, amounts, line, product, profile

ON = date(2026, 12, 1)
#: 20 g sugars, all added, 8 g fat, 600 mg sodium, wheat: no claim of absence below can be true of it.
SWEET = {
    "CHOCDF": 70,
    "FIBTG": 1,
    "SUGAR": 20,
    "SUGAD": 20,
    "FAT": 8,
    "FASAT": 4,
    "FATRN": 0,
    "CHOLE": 20,
    "NA": 600,
    "PROCNT": 6,
}


def declared(market="us", lines=("wheat flour",), **more):
    food = profile(
        amounts(100, **SWEET),
        10,
        [line(n, 100, contains=["wheat", "gluten/wheat", "milk", "tree_nut/hazelnut", "egg"]) for n in lines],
    )
    return declare(
        food,
        product(**{"unit": "bar", "category": "bars" if market == "us" else "cookies", **more}),
        KITCHEN,
        Order(market, ON),
    )


def refusals(declaration):
    return [f.message for f in declaration.findings if f.code == "claim-refused" and f.blocks]


#: The words of the Annex to Regulation (EC) No 1924/2006 and of Regulation (EU) No 828/2014 in the four
# languages, and what
#: bakers commonly print; the latter from memory.
NAMES = [
    ("Zuckerfreie Kekse", "sugar_free"),
    ("Kekse ohne Zuckerzusatz", "no_added_sugar"),
    ("zucker-arme Kekse", "low_sugar"),
    ("GLUTENFREIER KUCHEN", "gluten_free"),
    ("Laktosefreies Gebäck", "lactose_free"),
    ("Fettarme Kekse", "low_fat"),
    ("Salzarme Cracker", "low_sodium"),
    ("Ballaststoffreiche Riegel", "fibre_high"),
    ("Nussfreie Riegel", "free_from"),
    ("Veganer Kuchen", "vegan"),
    ("Kekse für Diabetiker", "diabetic"),
    ("Stärkt das Immunsystem", "health"),
    ("Biscuits sans sucre", "sugar_free"),
    ("Biscuits sans sucres ajoutés", "no_added_sugar"),
    ("Gâteau SANS GLUTEN", "gluten_free"),
    ("Gateau vegetalien", "vegan"),
    ("Gâteau végétalien", "vegan"),
    ("Biscuits pauvres en sucres", "low_sugar"),
    ("Barre riche en fibres", "fibre_high"),
    ("Biscuits sans lactose", "lactose_free"),
    ("Biscuits sans noix", "free_from"),
    ("Biscuits pour diabétiques", "diabetic"),
    ("Galletas sin azúcar", "sugar_free"),
    ("Galletas sin azucar", "sugar_free"),
    ("Galletas sin azúcares añadidos", "no_added_sugar"),
    ("Pan sin gluten", "gluten_free"),
    ("Bizcocho vegano", "vegan"),
    ("Galletas bajas en grasa", "low_fat"),
    ("Biscotti senza zucchero", "sugar_free"),
    ("Biscotti senza zuccheri aggiunti", "no_added_sugar"),
    ("Pane senza glutine", "gluten_free"),
    ("Torta vegana", "vegan"),
    ("Biscotti a basso contenuto di grassi", "low_fat"),
    ("Sugarfree drops", "sugar_free"),
    ("Cures diabetes bar", "health"),
    ("Immune support bites", "health"),
    ("Doctor-approved bar", "health"),
    ("Guilt-free brownie", "healthy"),
    ("Superfood bar", "healthy"),
    ("Nondairy cake", "free_from"),
    ("Non-dairy cake", "free_from"),
    ("Eggless cake", "free_from"),
    ("Nutfree bar", "free_from"),
    ("Peanut-safe bar", "free_from"),
    ("Allergy-friendly bar", "free_from"),
    ("Cake w/o gluten", "gluten_free"),
    ("Low FODMAP bar", "health"),
    ("Cholesterol-lowering bar", "health"),
    ("20 g protein bar", "amount"),
    ("2g net carbs bar", "net_carbs"),
    ("Low cal bar", "low_calorie"),
    ("Sugar: none", "sugar_free"),
]


@pytest.mark.parametrize("name, key", NAMES)
def test_a_claim_in_a_name_is_found_whatever_the_language_and_spelling(name, key):
    assert key in [a.key for text in claims_in(name) for a in read_claim(text)]


@pytest.mark.parametrize(
    "name, key", [n for n in NAMES if n[1] not in ("fibre_high", "low_calorie") and "Peanut" not in n[0]]
)
def test_and_stops_the_label_of_a_food_it_is_untrue_of(name, key):
    said = refusals(declared(name=name))
    assert said and "in the name" in said[0]


@pytest.mark.parametrize(
    "name",
    [
        "Butter biscuits",
        "Pain au lait",
        "Feiertagskekse",
        "Lebkuchen",
        "Galletas de mantequilla",
        "Biscotti al burro",
        "Sin city bars",
        "Brain bars",
        "Cold brew bar",
        "Skin-on almond bar",
        "Memory lane cookies",
        "No bake energy balls",
        "Free range egg biscuits",
        "Local honey bar",
        "Non-stick buns",
        "Carefree cookies",
        "Seedless raspberry bar",
    ],
)
def test_words_that_claim_nothing_are_left_alone(name):
    assert claims_in(name) == ()


@pytest.mark.parametrize(
    "field, place",
    [
        ("identity", "identity"),
        ("storage", "storage line"),
        ("precaution", "precaution"),
        ("origin", "origin line"),
        ("unit", "word for one piece"),
    ],
)
def test_every_text_the_label_prints_is_read_for_claims(field, place):
    said = refusals(declared(name="Thing", **{field: "sugar free bar"}))
    assert said and f"in the {place}" in said[0]


def test_the_other_language_of_a_name_is_read_too():
    """Food and Drug Regulations B.24.018: no gluten-free claim on a food of wheat, in either official
    language.
    """
    d = declared(
        "ca",
        name="Hill bars",
        identity="Wheat bars",
        also={"fr": {"identity": "Barres sans gluten", "unit": "barre"}},
    )
    assert any("sans gluten" in m and "identity (fr)" in m for m in refusals(d))


def test_a_claim_worded_as_another_one_stops_the_label():
    d = declared("ca", name="Bars", claims=["gluten free"], also={"fr": {"claim gluten free": "sans sucre"}})
    assert any(f.code == "claim-wording" and f.blocks and "sugar free" in f.message for f in d.findings)
    d = declared("ca", name="Bars", claims=["gluten free"], also={"fr": {"claim gluten free": "sans gluten"}})
    assert not any(f.code == "claim-wording" for f in d.findings)


@pytest.mark.parametrize(
    "name", ["Light rye bars", "Organic bars", "Leichte Riegel", "Protein bar", "Diet bar"]
)
def test_words_that_may_only_name_the_food_warn(name):
    found = [f for f in declared(name=name).findings if f.code == "claim-in-name"]
    assert [(f.severity, name.split()[0] in f.message) for f in found] == [("warn", True)]


def test_the_makers_own_name_warns():
    kitchen = KITCHEN.model_copy(
        update={"producer": KITCHEN.producer.model_copy(update={"name": "Gluten Free Hill"})}
    )
    food = profile(amounts(100, **SWEET), 10, [line("wheat flour", 100, contains=["wheat", "gluten/wheat"])])
    found = [
        f for f in declare(food, product(), kitchen, Order("us", ON)).findings if f.code == "claim-in-name"
    ]
    assert len(found) == 1 and not found[0].blocks and "maker's name" in found[0].message


def test_a_claim_asked_for_and_named_is_printed_once():
    food = profile(amounts(100, CHOCDF=90, FIBTG=0, SUGAR=0, SUGAD=0), 10)
    d = declare(
        food,
        product(name="Sugar-free drops", unit="drop", category="candies", claims=["sugar free"]),
        KITCHEN,
        Order("us", ON),
    )
    assert [c.said for c in d.claims] == ["Not a low calorie food."]  # 21 CFR 101.60(c)(1)(iii)


@pytest.mark.parametrize(
    "text, codes",
    [
        ("ohne Gluten und Laktose", ["gluten_free", "lactose_free"]),
        ("senza glutine e lattosio", ["gluten_free", "lactose_free"]),
        ("sans gluten ni lactose", ["gluten_free", "lactose_free"]),
        ("sin gluten y sin huevo", ["gluten_free", "free_from"]),
    ],
)
def test_joined_absences_keep_their_own_rules(text, codes):
    assert [a.key for a in read_claim(text)] == codes


@pytest.mark.parametrize(
    "claim, row", [("ballaststoffreich", "FIBTG"), ("riche en fibres", "FIBTG"), ("high in fibre", "FIBTG")]
)
def test_a_claim_in_any_language_brings_its_row(claim, row):
    """Regulation (EU) No 1169/2011, Article 49 (Regulation (EC) No 1924/2006, Article 7): the nutrient of
    a claim is declared too.
    """
    food = profile(
        amounts(100, CHOCDF=60, FIBTG=10, SUGAR=1, SUGAD=0, FAT=1, FASAT=0.1, NA=1, PROCNT=5),
        10,
        [line("oats", 100)],
    )
    rows = [
        [r.tag for r in declare(food, product(claims=c), KITCHEN, Order("eu", ON)).panel.columns[0].rows]
        for c in ([claim], [])
    ]
    assert [row in tags for tags in rows] == [True, False]


@pytest.mark.parametrize(
    "claims, lost",
    [
        ([], False),
        (["vegan"], False),
        (["gluten free"], False),
        (["sugar free"], True),
        (["guérit le diabète"], True),
        (["love in every bite"], True),
    ],
)
def test_only_nutrition_and_health_claims_end_the_small_seller_exemption(claims, lost):
    """21 CFR 101.9(j)(1): nutrition claims or other nutrition information; "vegan" and "gluten free" are
    none.
    """
    food = profile(amounts(100, CHOCDF=60, SUGAR=0, SUGAD=0), 10, [line("rice", 100)])
    d = declare(
        food, product(claims=claims, category="bars", exempt=["small_retailer"]), KITCHEN, Order("us", ON)
    )
    assert d.without_panel != lost and ("exemption-lost" in {f.code for f in d.findings}) == lost


@pytest.mark.parametrize(
    "text, number, nutrient",
    [
        ("50 % weniger Zucker", 50, "SUGAR"),
        ("30% de matières grasses en moins", 30, "FAT"),
        ("25 % menos sal", 25, "NA"),
        ("30% di zuccheri in meno", 30, "SUGAR"),
        ("reich an Eisen", None, "FE"),
        ("riche en vitamine C", None, "VITC"),
        ("fuente de hierro", None, "FE"),
        ("fonte di ferro", None, "FE"),
    ],
)
def test_figures_and_nutrients_are_read_in_every_language(text, number, nutrient):
    [asked] = read_claim(text)
    assert (asked.number, asked.nutrient) == (number, nutrient)


@pytest.mark.parametrize(
    "text",
    [
        "Contains caffeine",
        "Contains alcohol. Contains sugar.",
        "Enthält Zucker",
        "Keep away from light",
        "Store in a cool, dry place, free from strong smells",
        "Best eaten within 3 days",
        "Made in a bakery that handles nuts, milk and eggs",
    ],
)
@pytest.mark.parametrize("market", ["us", "eu", "au"])
def test_warnings_and_directions_are_no_claims(text, market):
    assert not refusals(declared(market, name="Bars", precaution=text))


@pytest.mark.parametrize(
    "name, refused",
    [
        ("Unsalted butter biscuits", False),
        ("Biscuits au beurre non salé", False),
        ("Unsalted biscuits", True),
        ("Brownies with unsweetened cocoa", False),
        ("Unsweetened brownies", True),
    ],
)
def test_an_ingredient_that_is_called_so_is_no_claim_about_the_food(name, refused):
    food = profile(amounts(100, **SWEET), 10, [line("sugar", 50), line("sea salt", 50)])
    d = declare(food, product(name=name, unit="bar", category="bars"), KITCHEN, Order("us", ON))
    assert bool(refusals(d)) == refused
