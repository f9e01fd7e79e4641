"""The words claims are printed in: what only the market's own wording may say, and claims in the language
of the label.
"""

from datetime import date

import pytest

from labelgen.market.declare_food import declare
from labelgen.order import Order
from tests.market.foods import KITCHEN, amounts, line, product, profile

ON = date(2026, 12, 1)
OATS = {
    "CHOCDF": 60,
    "FIBTG": 12,
    "SUGAR": 0.2,
    "SUGAD": 0,
    "FAT": 1,
    "FASAT": 0.1,
    "FATRN": 0,
    "CHOLE": 0,
    "NA": 2,
    "PROCNT": 10,
}


def declared(market, languages=(), **more):
    food = profile(amounts(400, **{k: 4 * v for k, v in OATS.items()}), 10, [line("rice", 400)])
    kitchen = KITCHEN.model_copy(update={"languages": languages})
    return declare(
        food,
        product(
            **{"unit": "bar", "category": "brownies" if market == "ca" else "bars", "pieces": 10, **more}
        ),
        kitchen,
        Order(market, ON),
    )


@pytest.mark.parametrize(
    "asked, printed",
    [
        ("loaded with fibre", "High source of fibre"),
        ("fibre rich", "High source of fibre"),
        ("High in fibre", "High in fibre"),
        ("low in fat", "Low in fat"),
        ("little fat", "Low in fat"),
        ("zero fat", "Zero fat"),
    ],
)
def test_canada_prints_only_permitted_wordings(asked, printed):
    """FDR B.01.503: the wording is one the table of permitted claims holds (the wordings from memory). 12
    x 0.40 = 4.8 g fibre, 0.4 g fat.
    """
    assert [c.text for c in declared("ca", claims=[asked]).claims] == [printed]


def test_other_words_in_a_canadian_name_warn():
    found = [f for f in declared("ca", name="Fatless bar").findings if f.code == "claim-not-exact"]
    assert [f.severity for f in found] == ["warn"] and "Fat-free" in found[0].message


@pytest.mark.parametrize(
    "asked, holds",
    [
        ("high in fiber", False),
        ("good source of fiber", True),
        ("packed with fiber", False),
        ("loaded with fiber", False),
    ],
)
def test_the_united_states_know_no_packed_or_loaded(asked, holds):
    """21 CFR 101.54(b), (c): "high", "rich in", "excellent source of"; "good source", "contains",
    "provides". 4.8 of 28 g is 17 %.
    """
    assert bool(declared("us", claims=[asked]).claims) == holds


def test_packed_is_refused_even_where_the_level_is_met():
    food = profile(amounts(400, CHOCDF=240, FIBTG=100), 10, [line("rice", 400)])
    d = [
        declare(food, product(unit="bar", category="bars", claims=[c]), KITCHEN, Order("us", ON)).claims
        for c in ("packed with fiber", "high in fiber")
    ]
    assert [bool(c) for c in d] == [False, True]


@pytest.mark.parametrize(
    "language, words, companion",
    [
        ("de", "Ohne Zuckerzusatz", "ENTHÄLT VON NATUR AUS ZUCKER"),
        ("fr", "Sans sucres ajoutés", "CONTIENT DES SUCRES NATURELLEMENT PRÉSENTS"),
        ("es", "Sin azúcares añadidos", "CONTIENE AZÚCARES NATURALMENTE PRESENTES"),
        ("it", "Senza zuccheri aggiunti", "CONTIENE IN NATURA ZUCCHERI"),
    ],
)
def test_european_claims_in_the_languages_of_the_annex(language, words, companion):
    """Regulation (EC) No 1924/2006, Annex, in each language (from memory): 2 g sugars, none added."""
    food = profile(amounts(100, **OATS | {"SUGAR": 2}), 10, [line("rice", 100)])

    def said(**more):
        d = declare(
            food,
            product(unit="bar", **more),
            KITCHEN.model_copy(update={"languages": (language,)}),
            Order("eu", ON),
        )
        assert not [
            f
            for f in d.findings
            if f.code == "claim-refused" or (f.code == "wording-missing" and "claim" in f.message)
        ]
        return [c.said for c in d.claims]

    assert said(claims=["no added sugar"]) == [f"{words}. {companion}"]
    assert said(claims=[words]) == [f"{words}. {companion}"]
    assert said(name=f"Riegel {words}") == [companion]  # the name says it already


def test_an_english_brand_name_leaves_the_french_claim_to_be_printed():
    """FDR B.01.012(2): a claim of the name in one official language stands in the other as well."""
    d = declared(
        "ca",
        name="Gluten-free Hill bars",
        identity="Rice bars",
        also={"fr": {"identity": "Barres de riz", "unit": "barre"}},
    )
    assert [c.text for c in d.claims] == [] and [c.text for c in d.second.claims] == ["Sans gluten"]
    d = declared(
        "ca",
        name="Gluten-free Hill bars",
        identity="Rice bars",
        also={"fr": {"identity": "Barres de riz sans gluten", "unit": "barre"}},
    )
    assert [c.text for c in d.second.claims] == []


def test_a_claim_in_a_language_the_label_is_not_in_warns():
    assert [
        f.severity for f in declared("us", claims=["fettarm"]).findings if f.code == "claim-language"
    ] == ["warn"]
    assert not [f for f in declared("us", claims=["low fat"]).findings if f.code == "claim-language"]


def test_a_claim_in_a_storage_line_is_not_asked_for_again_in_the_other_language():
    """The line itself must be worded in it."""
    d = declared(
        "ca",
        name="Bars",
        storage="Keep in a nut free kitchen",
        also={"fr": {"name": "Barres", "storage": "Garder dans une cuisine sans noix", "unit": "barre"}},
    )
    assert (
        not [f for f in d.findings if f.code in ("wording-missing", "claim-refused")]
        and not d.claims
        and not d.second.claims
    )


def test_a_name_that_is_the_identity_but_for_a_statement_is_not_printed_twice():
    """Regulation (EU) No 1169/2011, Annex III, 2.1: "with sweetener" stands with the name of the food."""
    from labelgen.layout.label_parts import read_parts

    food = profile(
        amounts(100, CHOCDF=100, POLYL=100, ERYTHRITOL=100, SUGAR=0, SUGAD=0), 10, [line("erythritol", 100)]
    )
    d = declare(food, product(name="Sugar-free drops", unit="drop"), KITCHEN, Order("eu", ON))
    texts = [runs[0].text for _, runs, _ in read_parts(d, 400, 400).front_texts]
    assert texts == ["Sugar-free drops with sweetener"]


@pytest.mark.parametrize(
    "market, said, printed",
    [
        # 21 CFR 101.54(b): the term is "high in fiber"
        ("us", "high in fibre", "High in fiber"),
        ("us", "Fibre rich", "Fiber rich"),
        ("us", "high in fiber", "High in fiber"),
        ("uk", "high in fibre", "High in fibre"),
    ],
)
def test_a_claim_is_spelt_as_the_market_spells(market, said, printed):
    d = declared(market, claims=[said], category="muffins")
    assert [c.text for c in d.claims] == [printed]
