"""What Great Britain has of its own: exemptions, food prepacked for direct sale, colour-coded figures,
questions.
"""

from datetime import date, timedelta

import pytest

from labelgen.cli import main
from labelgen.law.figure_tables import Nutrient
from labelgen.law.label_tables import Allowed, AskedOf
from labelgen.law.pack import Pack, read_pack, read_table
from labelgen.law.tables import TABLES
from labelgen.market.declare_food import declare
from labelgen.market.nutrition.front_of_pack import FRONT
from labelgen.order import Order
from labelgen.quantity import read_quantity
from tests.kitchens import write
from tests.market.foods import KITCHEN, amounts, line, product, profile

ON = date(2026, 12, 1)
SHORTBREAD = {
    "FAT": 26.4,
    "FASAT": 16.5,
    "CHOCDF": 63.0,
    "FIBTG": 1.8,
    "SUGAR": 18.05,
    "PROCNT": 5.95,
    "NA": 180,
}


def label(per_100g=SHORTBREAD, grams=250, pieces=10, market="uk", on=ON, **more):
    food = amounts(grams, **{k: v * grams / 100 for k, v in per_100g.items()})
    return declare(
        profile(food, pieces, [line("flour", grams, contains=["wheat"])]),
        product(unit="biscuit", **more),
        KITCHEN,
        Order(market, on),
    )


def test_only_what_differs_is_written_down():
    assert {e.cite for e in read_table("uk", Nutrient)} == {"fic-gb"}
    # Delegated Regulation (EU) 2024/2512 on behenic acid from mustard was not taken over
    for table, without in (
        ("nutrients", ""),
        ("energy", ""),
        ("daily_values", ""),
        ("percent", ""),
        ("allergens", "exempt-mustard-behenic"),
    ):
        european = [
            (e.key, e.effective, dict(e.written)) for e in read_table("eu", TABLES[table]) if e.key != without
        ]
        assert [
            (e.key, e.effective, dict(e.written)) for e in read_table("uk", TABLES[table])
        ] == european and (not without or Pack("eu", ON).find(TABLES[table], without))


def test_direct_sale_leaves_the_name_and_the_list():
    """Food Information Regulations 2014, regulation 5A: name and ingredient list with the allergens
    emphasised.
    """
    d = label(exempt=["direct_sale"], best_before="5 days", storage="Keep cool.")
    assert d.without_panel and (d.net_quantity, d.dates, d.business, d.storage) == ("", (), (), "")
    assert d.identity == "Thing" and [(r.text, r.bold) for r in d.ingredients[1:3]] == [
        ("flour (", False),
        ("wheat", True),
    ]
    assert {f.code for f in d.findings} >= {"exemption-taken"} and not [f for f in d.findings if f.blocks]


def test_direct_sale_begins_on_the_first_of_october_2021():
    assert (
        not label(exempt=["direct_sale"], on=date(2021, 9, 30)).without_panel
        and label(exempt=["direct_sale"], on=date(2021, 10, 1)).without_panel
    )


@pytest.mark.parametrize("market, taken", [("uk", True), ("eu", True), ("us", False)])
def test_local_supply_leaves_the_panel_out(market, taken):
    """Annex V, point 19; the United States have no exemption of that name."""
    d = label(exempt=["local supply"], market=market)
    assert (
        d.without_panel is taken
        and d.net_quantity
        and ("exemption-unknown" in {f.code for f in d.findings}) is not taken
    )


def test_a_claim_ends_the_exemption():
    d = label(exempt=["local_supply"], claims=["high fibre"])
    assert not d.without_panel and "exemption-lost" in {f.code for f in d.findings}


def test_direct_sale_does_not_end_with_a_claim():
    """Regulation 5A turns on where the food is sold, not on what is said of it."""
    assert label(exempt=["direct_sale"], claims=["high fibre"]).without_panel


@pytest.mark.parametrize(
    "on, told", [(date(2014, 12, 13), True), (date(2016, 12, 12), True), (date(2016, 12, 13), False)]
)
def test_the_nutrition_declaration_was_voluntary_for_two_years(on, told):
    """Regulation (EU) No 1169/2011, Article 55: the declaration applies from 13 December 2016, the rest
    from 13 December 2014.
    """
    assert (
        any(
            f.code == "law-in-transition" and "nutrients" in f.message
            for f in label(market="eu", on=on).findings
        )
        is told
    )


def test_small_and_local_in_figures(tmp_path, capsys):
    """Department of Health guidance of September 2016: fewer than 10 staff, below 1.4 million pounds, 35
    miles.
    """
    write(
        tmp_path,
        "oats: {print: oats, food: usda/20038}\n",
        "formulations:\n  d: {ingredients: [60 g oats], makes: 4}\nproducts:\n  thins: {name: Thins, of: d,"
        " pieces: 4}\n",
    )
    main(["check", str(tmp_path), "--market", "uk"])
    out = capsys.readouterr().out
    assert (
        "fewer than 10 staff" in out
        and "£1,400,000" in out
        and "up to 50 km from the border" in out
        and "postal address in the United Kingdom" in out
    )
    main(["check", str(tmp_path), "--market", "eu"])
    assert "each Member State says" in capsys.readouterr().out


def colours(per_100g, grams=30.0):
    d = label({**SHORTBREAD, **per_100g}, serving=read_quantity(f"{grams:g} g", "uk")[0], show=[FRONT])
    return {f.label: (f.declared, f.percent, f.colour) for f in d.front}


@pytest.mark.parametrize(
    "figures, label_, colour",
    [
        # guide of November 2016: fat 3.0 and 17.5, saturates 1.5 and 5.0, sugars 5.0 and 22.5, salt 0.3 and
        # 1.5 g per 100 g
        ({"FAT": 3}, "Fat", "green"),
        ({"FAT": 3.01}, "Fat", "amber"),
        ({"FAT": 17.5}, "Fat", "amber"),
        ({"FAT": 17.51}, "Fat", "red"),
        ({"FASAT": 1.5}, "Saturates", "green"),
        ({"FASAT": 5}, "Saturates", "amber"),
        ({"FASAT": 5.01}, "Saturates", "red"),
        ({"SUGAR": 5}, "Sugars", "green"),
        ({"SUGAR": 22.5}, "Sugars", "amber"),
        ({"SUGAR": 22.51}, "Sugars", "red"),
        # 120 mg sodium is 0.3 g salt, 600 mg 1.5 g
        ({"NA": 120}, "Salt", "green"),
        ({"NA": 121}, "Salt", "amber"),
        ({"NA": 600}, "Salt", "amber"),
        ({"NA": 601}, "Salt", "red"),
    ],
)
def test_colours_by_100_g(figures, label_, colour):
    assert colours(figures)[label_][2] == colour


@pytest.mark.parametrize("grams, colour", [(100, "amber"), (121, "red"), (120, "amber")])
def test_a_large_portion_is_red_by_its_own_weight(grams, colour):
    """17.5 g fat in 100 g are amber; a portion of 120 g holds 21.0 g, not above 21 g, one of 121 g holds
    21.175 g.
    """
    assert colours({"FAT": 17.5}, grams)["Fat"][2] == colour


def test_the_figures_of_a_portion():
    """A portion of 30 g of the shortbread: 639.8 kJ, 7.6 % of 8400; 152.9 kcal; fat 7.92 g, 11.3 % of 70
    g.
    """
    front = colours({})
    assert front["Energy"] == ("640 kJ / 153 kcal", "8%", "") and front["Fat"] == ("7.9 g", "11%", "red")
    assert list(front) == ["Energy", "Fat", "Saturates", "Sugars", "Salt"]
    assert label(market="eu", show=[FRONT]).front == () and "front-of-pack-none" in {
        f.code for f in label(market="eu", show=[FRONT]).findings
    }


def test_the_address_had_three_years():
    """gov.uk: a United Kingdom address in full effect from 1 January 2024."""
    entry = Pack("uk", date(2023, 12, 31)).entry(AskedOf, "operator")
    assert entry.mandatory == date(2024, 1, 1) and "United Kingdom" in entry.text
    before = Pack("uk", entry.effective - timedelta(days=1)).entry(AskedOf, "operator")
    assert "European Union" in before.text and before.until == entry.effective - timedelta(days=1)


def test_titanium_dioxide_is_not_taken_over():
    assert read_pack("uk", ON).find(Allowed, "titanium_dioxide") is None and read_pack("eu", ON).find(
        Allowed, "titanium_dioxide"
    )
