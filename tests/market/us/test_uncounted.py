"""What 21 CFR 101.9(c)(6)(i) does not count as dietary fiber: isomaltooligosaccharides (refused by FDA in
January 2020), xanthan gum.
"""

from datetime import date

import pytest

from labelgen.chain import declare_product, roll_up_folder
from labelgen.order import Order
from tests.kitchens import write

FIGURES = "carbohydrate: 98 g, fibre: {fibre} g, sugars: 3 g, fat: 0 g, protein: 0 g"
LARDER = (
    "flour: {{food: usda/20481}}\nx: {{print: {name}, {statement}per: 100 g, contains: [], nutrients: {{"
    + FIGURES
    + "}}}}\n"
)


def codes(tmp_path, name, fibre, grams, statement="", market="us"):
    larder = LARDER.format(name=name, fibre=fibre, statement=statement)
    kitchen = write(
        tmp_path,
        larder,
        f"formulations:\n  d: {{ingredients: [100 g flour, {grams} g x], makes: 4}}\nproducts:\n  p: {{of:"
        " d, pieces: 4, category: cookies}\n",
    )
    return [
        f.code
        for f in declare_product(roll_up_folder(kitchen), "p", Order(market, date(2026, 12, 1))).findings
    ]


@pytest.mark.parametrize("name", ["isomaltooligosaccharide", "Isomalto-oligosaccharides", "xanthan gum"])
def test_its_fibre_stops_the_label(tmp_path, name):
    assert "amount-not-counted" in codes(tmp_path, name, 90, 20)


def test_so_does_a_word_of_a_statement(tmp_path):
    assert "amount-not-counted" in codes(
        tmp_path, "sweet fiber", 90, 20, "statement: 'isomaltooligosaccharides, stevia', "
    )


@pytest.mark.parametrize(
    "name, fibre, grams, market",
    [
        ("xanthan gum", 0, 20, "us"),
        ("xanthan gum", 80, "0.01", "us"),
        ("inulin", 90, 20, "us"),
        ("isomalt", 90, 20, "us"),
        ("xanthan gum", 80, 20, "eu"),
    ],
)
def test_what_changes_no_figure_or_counts_does_not(tmp_path, name, fibre, grams, market):
    assert "amount-not-counted" not in codes(tmp_path, name, fibre, grams, market=market)
