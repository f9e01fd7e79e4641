"""A box of several products: one label for all of it."""

import json
from datetime import date

import pytest

from labelgen import paths
from labelgen.chain import declare_product, make_label, roll_up_folder
from labelgen.cli import main
from labelgen.pdf.readback import read_back
from tests.kitchens import write

DEMO = paths.templates("kitchens", "demo")
DAY = date(2026, 11, 25)
LARDER = "\n".join(
    f"{name}: {{print: {name}, food: usda/{ndb}}}"
    for name, ndb in (("butter", "01145"), ("sugar", "19335"), ("hazelnuts", "12120"), ("almonds", "12061"), ("walnuts", "12155"), ("egg", "01123"), ("wheat-flour", "20581"))
)
HEAD = "producer: {name: Example Hill Bakes, address: '1 Example Hill, Sampleton'}\nmarkets: [us, eu]\n"


def kitchen(tmp_path, count, holds):
    nuts = ("hazelnuts", "almonds", "walnuts", "egg")
    formulations = "".join(f"  f{i}: {{ingredients: [60 g wheat-flour, 40 g butter, {10 + i} g sugar, 10 g {nuts[i % 4]}], makes: 10}}\n" for i in range(count))
    products = "".join(f"  p{i}: {{name: Round {i}, of: f{i}, pieces: 10, unit: cookie, category: cookies, best_before: {30 - i} days}}\n" for i in range(count))
    return write(tmp_path, LARDER, f"formulations:\n{formulations}products:\n{products}boxes:\n  b: {{name: Big box, holds: {{{holds}}}}}\n", HEAD)


@pytest.mark.parametrize("market", ["us", "eu", "uk", "ca", "au", "nz"])
def test_the_demonstration_box_prints_and_reads_back(market):
    rolled = roll_up_folder(DEMO)
    label, findings = make_label(rolled, "harvest-box", market, DAY, "L1", DAY)
    assert label, findings
    words = "".join("".join(s.text.split()) for s in read_back(label)[1])
    for name in ("Harvestbox", "Lanternbiscuits", "Oatthins", "Almondpebbles"):
        assert name in words


def test_the_whole_is_the_sum_and_ends_with_its_first_product():
    """Four biscuits of 16 g, eight thins, four pebbles of 16.6 g; the pebbles keep ten days, the others longer."""
    rolled = roll_up_folder(DEMO)
    d = declare_product(rolled, "harvest-box", "us", DAY, "L1", DAY)
    thins = rolled.profiles["oat-thins"]
    assert d.net_grams == pytest.approx(4 * 16 + 8 * thins.pack.grams / thins.pieces + 4 * 16.6)
    assert any("5 Dec 2026" in line for line in d.dates)
    union = {h.allergen for item in d.items for h in item.contains}
    assert {h.allergen for h in d.contains} == union >= {"milk", "egg", "soy", "tree_nut/almond", "tree_nut/hazelnut"}
    assert [item.panel.serving.count for item in d.items] == pytest.approx([2, 4, 2])
    assert "".join(r.text for r in d.allergens) == "Contains: Milk, Egg, Wheat, Soy, Almond, Hazelnut."


@pytest.mark.parametrize("market", ["us", "eu", "au"])
@pytest.mark.parametrize("count", [1, 24])
def test_one_piece_and_twenty_four_products(tmp_path, market, count):
    folder = kitchen(tmp_path, count, ", ".join(f"p{i}: 1" for i in range(count)))
    rolled = roll_up_folder(folder)
    label, findings = make_label(rolled, "b", market, DAY, "L1", DAY)
    assert label, [f.message for f in findings if f.blocks]
    words = "".join("".join(s.text.split()) for s in read_back(label)[1])
    assert all(f"Round{i}" in words for i in range(count))


def test_what_stops_one_product_stops_the_box(tmp_path):
    folder = kitchen(tmp_path, 2, "p0: 1, p1: 2")
    larder = folder / "ingredients" / "all.yaml"
    larder.write_text(larder.read_text(encoding="utf-8") + "\ntopping: {print: topping, per: 100 g, nutrients: {fat: 1 g}}\n", encoding="utf-8")
    recipes = folder / "recipes" / "all.yaml"
    recipes.write_text(recipes.read_text(encoding="utf-8").replace("10 g almonds", "10 g topping"), encoding="utf-8")
    label, findings = make_label(roll_up_folder(folder), "b", "us", DAY)
    assert label is None and any(f.severity == "danger" and "topping" in f.message for f in findings)


def test_a_box_is_recorded_with_all_that_went_into_it(tmp_path, capsys):
    folder = kitchen(tmp_path, 2, "p0: 2, p1: 3")
    ask = ["--kitchen", str(folder), "--on", "2026-11-25"]
    assert main(["label", "b", *ask, "--out", str(tmp_path / "out"), "--made-on", "2026-11-25", "--lot", "B1"]) == 0
    capsys.readouterr()
    main(["ledger", "lot", "B1", "--kitchen", str(folder), "--json"])
    (p,) = json.loads(capsys.readouterr().out)
    used = {u["ingredient"]: u["grams_per_pack"] for u in p["used"]}
    assert used["wheat-flour"] == pytest.approx(2 * 6 + 3 * 6) and p["best_before"] == "2026-12-24"
    assert main(["status", *ask]) == 0
    larder = folder / "ingredients" / "all.yaml"
    larder.write_text(larder.read_text(encoding="utf-8").replace("almonds: {print: almonds, food: usda/12061}", "almonds: {print: almonds, food: usda/12120}"), encoding="utf-8")
    assert main(["status", *ask]) == 1


PUFFS = "rice: {print: rice puffs, statement: rice, per: 100 g, nutrients: {fat: 1 g, saturated fat: 0.2 g, trans fat: 0 g, cholesterol: 0 mg, sodium: 10 mg, carbohydrate: 80 g, fibre: 2 g, sugars: 0 g, added sugars: 0 g, protein: 8 g, potassium: 100 mg, calcium: 20 mg, iron: 1 mg, vitamin d: 0 mcg}}\nhoney: {food: usda/19296}\n"


def box_of_bars(tmp_path, name):
    return roll_up_folder(write(
        tmp_path, PUFFS,
        "formulations:\n  dry: {ingredients: [400 g rice], makes: 10}\n  sweet: {ingredients: [300 g rice, 100 g honey], makes: 10}\n"
        "products:\n  plain: {name: Sugar-free bar, of: dry, pieces: 5, unit: bar, category: bars}\n  sweets: {name: Sweet bar, of: sweet, pieces: 5, unit: bar, category: bars, claims: [low fat]}\n"
        f"boxes:\n  mix: {{name: {name}, holds: {{plain: 2, sweets: 2}}}}\n", HEAD,
    ))  # fmt: skip


@pytest.mark.parametrize("name, refused", [("Hill selection", False), ("Sugar-free selection", True), ("Caja sin azúcar", True)])
def test_the_name_of_a_box_is_judged_on_everything_in_it(tmp_path, name, refused):
    """21 CFR 101.60(c)(1): 25 g of honey in 100 g bring 8 g sugars a bar."""
    found = [f for f in declare_product(box_of_bars(tmp_path, name), "mix", "us", DAY).findings if f.code == "claim-refused"]
    assert bool(found) == refused and all(f.blocks and "out of the name of the box mix" in f.message for f in found)


def test_what_must_stand_beside_a_claim_in_an_items_name_stands_on_the_box(tmp_path):
    """21 CFR 101.60(c)(1)(iii), each time the claim is used; an item's own claims are not printed on a box."""
    said = [c.said for c in declare_product(box_of_bars(tmp_path, "Hill selection"), "mix", "us", DAY).claims]
    assert said == ["Sugar-free bar: Not a low calorie food."]
