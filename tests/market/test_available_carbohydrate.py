"""Packets whose carbohydrate leaves the fibre out and never tell it: what they state is used, what they hide
stays unknown.

Regulation (EU) No 1169/2011, Annex I, 8, and Schedule 11 of the Food Standards Code: carbohydrate without
fibre; declaring fibre is voluntary in both.
"""

from datetime import date

import pytest

from labelgen.chain import declare_product, roll_up_folder
from labelgen.order import Order
from tests.kitchens import write

ON = date(2026, 12, 1)
SPREAD = """
spread:
  print: hazelnut spread
  statement: sugar, palm oil, hazelnuts, milk powder, cocoa
  contains: [milk, tree_nut/hazelnut]
  panel: {market: MARKET, serving: 100 g, FIGURES}
oats: {print: rolled oats, contains: [gluten/oats], per: 100 g, source: invented,
    nutrients: {energy: 380 kcal, protein: 13 g, fat: 7 g, saturated fat: 1.2 g, total carbohydrate: 68 g,
    fibre: 10 g, sugars: 1 g, sodium: 2 mg, water: 9 g, ash: 2 g}}
"""
FIGURES = {
    "au": (
        "energy: 2250 kJ, protein: 6 g, fat: 31 g, saturated fat: 10.6 g, carbohydrate: 57.5 g, sugars:"
        " 56.3 g, sodium: 41 mg"
    ),
    "eu": (
        "energy: 2252 kJ / 539 kcal, fat: 31 g, saturates: 10.6 g, carbohydrate: 57.5 g, sugars: 56.3 g,"
        " protein: 6.0 g, salt: 0.10 g"
    ),
}
KITCHEN = "producer: {name: Example Hill Bakes, address: 1 Example Hill}\nmarkets: [au]\n"
RECIPE = """
formulations:
  dot: {ingredients: [10 g oats, 10 g spread], per: piece}
products:
  dots: {name: Oat dots, of: dot, pieces: 10, unit: dot, category: cookies}
"""


def made(tmp_path, market, packet, figures=""):
    ingredients = SPREAD.replace("MARKET", packet).replace("FIGURES", figures or FIGURES[packet])
    rolled = roll_up_folder(write(tmp_path, ingredients, RECIPE, KITCHEN))
    return rolled.profiles["dots"], declare_product(rolled, "dots", Order(market, ON))


@pytest.mark.parametrize("packet", ["au", "eu"])
@pytest.mark.parametrize("market", ["au", "nz", "eu", "uk"])
def test_what_the_packet_states_is_enough(tmp_path, market, packet):
    """Half oats, half spread: (68 - 10 + 57.5) / 2 = 57.75 g per 100 g, give or take half the last digit
    of 57.5 g.
    """
    _, label = made(tmp_path, market, packet)
    row = next(
        r for r in label.panel.columns[-1 if market in ("au", "nz") else 0].rows if r.key == "carbohydrate"
    )
    assert row.covered == 1 and row.low <= 57.75 <= row.high and row.high - row.low < 1
    assert not [f for f in label.findings if f.blocks]


def test_the_fibre_nobody_tells_stays_unknown(tmp_path):
    """So does carbohydrate by difference, which the United States declare with the fibre in it: that label
    is stopped.
    """
    profile, label = made(tmp_path, "us", "au")
    assert profile.pack.coverage("FIBTG") == pytest.approx(0.5) and profile.pack.coverage("CHOAVLDF") == 1
    assert "figure-missing" in {f.code for f in label.findings if f.blocks}


def test_an_american_packet_is_turned_by_its_fibre(tmp_path):
    """Total 60 g of which fibre 3 g: available 57 g, each give or take half a gram, as does the serving;
    without the fibre nobody could say.
    """
    figures = (
        "calories: 540, total fat: 31 g, saturated fat: 11 g, trans fat: 0 g, cholesterol: 0 mg, sodium: 40"
        " mg, total carbohydrate: 60 g, dietary fiber: 3 g, total sugars: 56 g, protein: 6 g"
    )
    profile, _label = made(tmp_path, "au", "us", figures)
    low, value, high = profile.per_100g.get("CHOAVLDF")
    assert value == pytest.approx((58 + 57) / 2, abs=0.3) and high - low < 1.5
    unsaid, stopped = made(tmp_path, "au", "us", figures.replace("dietary fiber: 3 g, ", ""))
    assert unsaid.pack.coverage("CHOAVLDF") == pytest.approx(0.5) and [
        f.code for f in stopped.findings if f.blocks
    ] == ["figure-missing"]


def test_polyols_stand_outside_the_australian_and_inside_the_european_figure(tmp_path):
    """20 g maltitol: an Australian 37.5 g leaves it out, a European 57.5 g holds it; both mean 57.5 g
    without the fibre.
    """
    au = FIGURES["au"].replace("57.5 g", "37.5 g").replace("56.3", "36.3") + ", maltitol: 20 g"
    eu = FIGURES["eu"].replace("56.3", "36.3") + ", polyols: 20 g"
    for packet, figures in (("au", au), ("eu", eu)):
        profile, _ = made(tmp_path / packet, "au", packet, figures)
        assert profile.per_100g.get("CHOAVLDF")[1] == pytest.approx(57.75, abs=0.1), packet
