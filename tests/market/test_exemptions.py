"""What each market exempts, under its whole condition, and how an exempt ingredient prints."""

from datetime import date

import pytest

from labelgen import chain
from labelgen.composition.ingredient_allergens import allergens_of
from labelgen.market.allergens.declaration import declare_allergens
from labelgen.order import Order
from tests.kitchens import write

ON = date(2026, 12, 1)

#: text -> market -> what is declared of the allergen it comes from: yes, ask (not, where its supplier
# declares none) or no.
#: Regulation (EU) No 1169/2011, Annex II; Standard 1.2.3 as varied by Proposal P1031 (2016); 21 USC
# 321(qq)(2)(A).
ROWS = [
    ("glucose syrup (wheat)", {"eu": "no", "uk": "no", "au": "ask", "nz": "ask", "us": "yes", "ca": "yes"}),
    ("Glukosesirup (aus Weizen)", {"eu": "no", "uk": "no", "au": "ask", "us": "yes"}),
    ("sciroppo di glucosio (frumento)", {"eu": "no", "au": "ask"}),
    ("wheat maltodextrin", {"eu": "no", "uk": "no", "au": "yes", "us": "yes"}),
    ("barley glucose syrup", {"eu": "no", "uk": "no", "au": "yes", "ca": "yes"}),
    ("vodka (wheat)", {"eu": "no", "uk": "no", "au": "no", "nz": "no", "us": "yes", "ca": "yes"}),
    ("whisky (barley)", {"eu": "no", "au": "ask", "ca": "yes"}),
    ("alcohol distilled from whey", {"eu": "no", "uk": "no", "au": "no", "us": "yes"}),
    ("fully refined soybean oil", {"eu": "no", "uk": "no", "au": "ask", "us": "no", "ca": "yes"}),
    ("highly refined soybean oil", {"eu": "ask", "uk": "ask", "au": "ask", "us": "no"}),
    (
        "soybean oil (degummed, neutralised, bleached and deodorised)",
        {"au": "no", "nz": "no", "eu": "ask", "us": "ask"},
    ),
    ("soybean oil", {"eu": "yes", "au": "yes", "us": "yes", "ca": "yes"}),
    ("natural mixed tocopherols (soya)", {"eu": "no", "uk": "no", "au": "no", "us": "yes", "ca": "yes"}),
    ("natürliche gemischte Tocopherole (Soja)", {"eu": "no"}),
    ("tocopherols (soya)", {"eu": "ask", "au": "no"}),
    ("phytosterols (soya)", {"eu": "no", "au": "no", "us": "yes"}),
    ("plant stanol ester (soya)", {"eu": "no", "au": "yes"}),
    ("isinglass", {"eu": "ask", "uk": "ask", "au": "ask", "us": "yes"}),
    ("vitamin A (carrier: fish gelatine)", {"eu": "ask", "au": "yes"}),
    ("fish gelatine", {"eu": "yes", "au": "yes"}),
    ("behenic acid (mustard)", {"eu": "ask", "uk": "yes"}),
    ("highly refined peanut oil", {"us": "no", "eu": "yes", "au": "yes"}),
    ("refined sesame oil", {"us": "ask", "eu": "yes"}),
]


@pytest.mark.parametrize("text, market, wanted", [(text, m, w) for text, by in ROWS for m, w in by.items()])
def test_each_market_exempts_its_own(text, market, wanted):
    declared, silent = (
        declare_allergens(market, ON, *allergens_of("x", text, "", text, contains, None))
        for contains in (None, [])
    )
    told = "no" if not declared.contains else "ask" if not silent.contains else "yes"
    assert told == wanted and bool(silent.asked) == (wanted == "ask")


@pytest.mark.parametrize(
    "market, syrup, summary",
    [
        ("eu", "glucose syrup (wheat)", ""),
        ("uk", "glucose syrup (wheat)", ""),
        ("au", "glucose syrup (wheat)", ""),
        ("nz", "glucose syrup (wheat)", ""),
        ("us", "glucose syrup (wheat)", "Contains: Wheat."),
    ],
)
def test_list_and_summary_agree(tmp_path, market, syrup, summary):
    """Declared none: where it counts it stands in both, where it does not in neither."""
    write(
        tmp_path,
        "syrup: {per: 100 g, nutrients: {energy: 300 kcal}, statement: glucose syrup (wheat), contains:"
        " []}\n",
        "formulations:\n  f: {ingredients: [100 g syrup], makes: 1}\nproducts:\n  p: {name: Drops, of: f,"
        " pieces: 1, category: cookies}\n",
        f"markets: [{market}]\n",
    )
    said = chain.declare_product(chain.roll_up_folder(tmp_path), "p", Order(market, ON))
    assert "".join(r.text for r in said.ingredients) == f"Ingredients: {syrup}."
    assert (
        not any(r.bold for r in said.ingredients[1:]) and "".join(r.text for r in said.allergens) == summary
    )
