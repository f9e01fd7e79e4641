"""A box of several products: one label for all of it."""

import json
from dataclasses import replace
from datetime import date

import pytest

from labelgen import paths
from labelgen.chain import declare_product, make_label, roll_up_folder
from labelgen.cli import main
from labelgen.errors import LayoutError
from labelgen.layout.label_stock import single_stock, stock_named
from labelgen.layout.whole_label import (
    _ONE_LABEL,
    find_fit,
    fit_label,
    lay_out_label,
    least_size,
    stock_that_holds,
)
from labelgen.market.box import item_list
from labelgen.order import Order
from labelgen.pdf.readback import read_back
from tests.kitchens import write

DEMO = paths.templates("kitchens", "demo")
DAY = date(2026, 11, 25)
LARDER = "\n".join(
    f"{name}: {{print: {name}, food: usda/{ndb}}}"
    for name, ndb in (
        ("butter", "01145"),
        ("sugar", "19335"),
        ("hazelnuts", "12120"),
        ("almonds", "12061"),
        ("walnuts", "12155"),
        ("egg", "01123"),
        ("wheat-flour", "20581"),
    )
)
HEAD = "producer: {name: Example Hill Bakes, address: '1 Example Hill, Sampleton'}\nmarkets: [us, eu]\n"


def kitchen(tmp_path, count, holds):
    nuts = ("hazelnuts", "almonds", "walnuts", "egg")
    formulations = "".join(
        f"  f{i}: {{ingredients: [60 g wheat-flour, 40 g butter, {10 + i} g sugar, 10 g {nuts[i % 4]}],"
        " makes: 10}\n"
        for i in range(count)
    )
    products = "".join(
        f"  p{i}: {{name: Round {i}, of: f{i}, pieces: 10, unit: cookie, category: cookies, best_before:"
        f" {30 - i} days}}\n"
        for i in range(count)
    )
    return write(
        tmp_path,
        LARDER,
        f"formulations:\n{formulations}products:\n{products}boxes:\n  b: {{name: Big box, holds:"
        f" {{{holds}}}}}\n",
        HEAD,
    )


@pytest.mark.parametrize("market", ["us", "eu", "uk", "ca", "au", "nz"])
def test_the_demonstration_box_prints_and_reads_back(market):
    rolled = roll_up_folder(DEMO)
    label, findings = make_label(rolled, "harvest-box", Order(market, DAY, "L1", DAY))
    assert label, findings
    words = "".join("".join(s.text.split()) for s in read_back(label)[1])
    for name in ("Harvestbox", "Lanternbiscuits", "Oatthins", "Almondpebbles"):
        assert name in words


def test_the_whole_is_the_sum_and_ends_with_its_first_product():
    """Four biscuits of 16 g, eight thins, four pebbles of 16.6 g; the pebbles keep ten days, the others
    longer.
    """
    rolled = roll_up_folder(DEMO)
    d = declare_product(rolled, "harvest-box", Order("us", DAY, "L1", DAY))
    thins = rolled.profiles["oat-thins"]
    assert d.net_grams == pytest.approx(4 * 16 + 8 * thins.pack.grams / thins.pieces + 4 * 16.6)
    assert any("5 Dec 2026" in line for line in d.dates)
    union = {h.allergen for item in d.items for h in item.contains}
    assert (
        {h.allergen for h in d.contains}
        == union
        >= {"milk", "egg", "soy", "tree_nut/almond", "tree_nut/hazelnut"}
    )
    assert [item.panel.serving.count for item in d.items] == pytest.approx([2, 4, 2])
    assert "".join(r.text for r in d.allergens) == "Contains: Milk, Egg, Wheat, Soy, Almond, Hazelnut."


def test_a_boxs_name_is_said_in_the_language_of_the_label(tmp_path):
    """As a product's is; a text that cannot be printed is told where it stands."""
    folder = kitchen(tmp_path, 2, "p0: 6, p1: 6")
    recipes = next((folder / "recipes").iterdir())
    recipes.write_text(
        recipes.read_text("utf-8").replace(
            "name: Big box", "name: {en: Big box, fr: Grande boîte sans sucre, de: Grosse Schachtel}"
        ),
        "utf-8",
    )
    (folder / "kitchen.yaml").write_text(HEAD + "languages: [de]\n", "utf-8")
    rolled = roll_up_folder(folder)
    box = rolled.kitchen.boxes["b"]
    assert (
        box.name,
        declare_product(rolled, "b", Order("us", DAY)).product,
        declare_product(rolled, "b", Order("eu", DAY)).product,
    ) == ("Big box", "Big box", "Grosse Schachtel")
    assert any(
        "sans sucre" in f.message and f.blocks
        for f in declare_product(rolled, "b", Order("us", DAY)).findings
    )
    recipes.write_text(recipes.read_text("utf-8").replace("Big box", "Big box " + 10_000 * "x"), "utf-8")
    told = [f for f in roll_up_folder(folder).findings if "longer than" in f.message]
    assert told and told[0].where.file == "recipes/all.yaml" and told[0].where.line


@pytest.mark.parametrize("market", ["us", "eu", "au"])
@pytest.mark.parametrize("count", [1, 24])
def test_one_piece_and_twenty_four_products(tmp_path, market, count):
    folder = kitchen(tmp_path, count, ", ".join(f"p{i}: 1" for i in range(count)))
    rolled = roll_up_folder(folder)
    label, findings = make_label(rolled, "b", Order(market, DAY, "L1", DAY))
    assert label, [f.message for f in findings if f.blocks]
    words = "".join("".join(s.text.split()) for s in read_back(label)[1])
    assert all(f"Round{i}" in words for i in range(count))


def test_what_stops_one_product_stops_the_box(tmp_path):
    folder = kitchen(tmp_path, 2, "p0: 1, p1: 2")
    larder = folder / "ingredients" / "all.yaml"
    larder.write_text(
        larder.read_text(encoding="utf-8")
        + "\ntopping: {print: topping, per: 100 g, nutrients: {fat: 1 g}}\n",
        encoding="utf-8",
    )
    recipes = folder / "recipes" / "all.yaml"
    recipes.write_text(
        recipes.read_text(encoding="utf-8").replace("10 g almonds", "10 g topping"), encoding="utf-8"
    )
    label, findings = make_label(roll_up_folder(folder), "b", Order("us", DAY))
    assert label is None and any(f.severity == "danger" and "topping" in f.message for f in findings)


def test_a_box_is_recorded_with_all_that_went_into_it(tmp_path, capsys):
    folder = kitchen(tmp_path, 2, "p0: 2, p1: 3")
    ask = ["--kitchen", str(folder), "--on", "2026-11-25"]
    assert (
        main(["label", "b", *ask, "--out", str(tmp_path / "out"), "--made-on", "2026-11-25", "--lot", "B1"])
        == 0
    )
    capsys.readouterr()
    main(["ledger", "lot", "B1", "--kitchen", str(folder), "--json"])
    (p,) = json.loads(capsys.readouterr().out)
    used = {u["ingredient"]: u["grams_per_pack"] for u in p["used"]}
    assert used["wheat-flour"] == pytest.approx(2 * 6 + 3 * 6) and p["best_before"] == "2026-12-24"
    assert main(["status", *ask]) == 0
    larder = folder / "ingredients" / "all.yaml"
    larder.write_text(
        larder.read_text(encoding="utf-8").replace(
            "almonds: {print: almonds, food: usda/12061}", "almonds: {print: almonds, food: usda/12120}"
        ),
        encoding="utf-8",
    )
    assert main(["status", *ask]) == 1


PUFFS = (
    "rice: {print: rice puffs, statement: rice, per: 100 g, nutrients: {fat: 1 g, saturated fat: 0.2 g,"
    " trans fat: 0 g, cholesterol: 0 mg, sodium: 10 mg, carbohydrate: 80 g, fibre: 2 g, sugars: 0 g, added"
    " sugars: 0 g, protein: 8 g, potassium: 100 mg, calcium: 20 mg, iron: 1 mg, vitamin d: 0 mcg}}\nhoney:"
    " {food: usda/19296}\n"
)


def box_of_bars(tmp_path, name):
    return roll_up_folder(
        write(
            tmp_path,
            PUFFS,
            "formulations:\n  dry: {ingredients: [400 g rice], makes: 10}\n  sweet: {ingredients: [300"
            " g rice, 100 g honey], makes: 10}\nproducts:\n  plain: {name: Sugar-free bar, of: dry,"
            " pieces: 5, unit: bar, category: bars}\n  sweets: {name: Sweet bar, of: sweet, pieces: 5,"
            f" unit: bar, category: bars, claims: [low fat]}}\nboxes:\n  mix: {{name: {name}, holds:"
            " {plain: 2, sweets: 2}}\n",
            HEAD,
        )
    )


NAMED = [
    ("Hill selection", False),
    ("Sugar-free selection", True),
    ("Caja sin azúcar", True),
    ("sugarfree selection", True),
    ("Sugr-free selection", True),
    ("Sug\u0430r-free selection", True),
]


@pytest.mark.parametrize("name, refused", NAMED)
def test_the_name_of_a_box_is_judged_on_everything_in_it(tmp_path, name, refused):
    """21 CFR 101.60(c)(1): 25 g of honey in 100 g bring 8 g sugars a bar."""
    found = [
        f
        for f in declare_product(box_of_bars(tmp_path, name), "mix", Order("us", DAY)).findings
        if f.code == "claim-refused"
    ]
    assert bool(found) == refused and all(
        f.blocks and "out of the name of the box mix" in f.message for f in found
    )
    assert all(f.path == "boxes.mix.name" and f"{name!r}" in f.said for f in found)


def test_what_a_product_says_of_itself_in_a_box_is_told_of_the_product(tmp_path):
    """Honey in a bar whose own name says sugar free: taking it off the box alone would not do."""
    rolled = roll_up_folder(
        write(
            tmp_path,
            PUFFS,
            "formulations:\n  sweet: {ingredients: [300 g rice, 100 g honey], makes: 10}\n"
            "products:\n  sweets: {name: Sugar-free bar, of: sweet, pieces: 5, unit: bar, category: bars}\n"
            "boxes:\n  mix: {name: Sugar-free selection, holds: {sweets: 2}}\n",
            HEAD,
        )
    )
    found = [
        f for f in declare_product(rolled, "mix", Order("us", DAY)).findings if f.code == "claim-refused"
    ]
    assert sorted(f.path for f in found) == ["boxes.mix.name", "products.sweets.claims"]


def test_what_must_stand_beside_a_claim_in_an_items_name_stands_on_the_box(tmp_path):
    """21 CFR 101.60(c)(1)(iii), each time the claim is used; an item's own claims are not printed on a
    box.
    """
    said = [
        c.said
        for c in declare_product(box_of_bars(tmp_path, "Hill selection"), "mix", Order("us", DAY)).claims
    ]
    assert said == ["Sugar-free bar: Not a low calorie food."]


def test_a_claim_that_the_box_does_not_print_brings_nothing_along():
    """The demonstration's almond pebbles say 'no added sugar' under claims:, not in their name; the box
    does not say it.
    """
    rolled = roll_up_folder(DEMO)
    assert any(c.companions for c in declare_product(rolled, "almond-pebbles", Order("eu", DAY)).claims)
    assert declare_product(rolled, "harvest-box", Order("eu", DAY)).claims == ()


def test_a_box_says_what_food_each_item_is_and_what_the_law_puts_behind_its_name():
    """Regulation (EU) No 1169/2011, Article 17(1) and (4): a fancy name does not replace the name of the
    food; Annex III, 2.1: 'with sweetener(s)' accompanies the name.
    """
    rolled = roll_up_folder(DEMO)
    eu, us = (declare_product(rolled, "harvest-box", Order(m, DAY)).identity for m in ("eu", "us"))
    assert (
        "8 Oat thins (Honey oat crackers), 4 Almond pebbles (Almond cookies with erythritol and chicory"
        " fiber with sweetener)" in eu
    )
    assert us.endswith("4 Almond pebbles (Almond cookies with erythritol and chicory fiber)")


TRACES = {
    "cake": "{ingredients: [50 g wheat-flour, 30 g sugar], makes: 4}",
    "bar": "{ingredients: [80 g sugar, 20 g almonds], makes: 4}",
}


def box_of_two(tmp_path, market, cake="", bar=""):
    """Cakes that hold wheat and bars that hold almond, with further keys of each product."""
    formulations = "".join(f"  {k}: {v}\n" for k, v in TRACES.items())
    more = {"cake": cake, "bar": bar}
    products = "".join(
        f"  {k}: {{name: Hill {k}, of: {k}, pieces: 4, unit: {k}, category: cookies, best_before: 9"
        f" days{', ' + more[k] if more[k] else ''}}}\n"
        for k in TRACES
    )
    folder = write(
        tmp_path,
        LARDER,
        f"formulations:\n{formulations}products:\n{products}boxes:\n  b: {{name: Pair, holds: {{cake: 3,"
        " bar: 1}}\n",
        HEAD,
    )
    return declare_product(roll_up_folder(folder), "b", Order(market, DAY, "L1", DAY))


def test_what_an_item_may_contain_stands_with_it_and_once_for_the_box(tmp_path):
    """What one item warns of and another holds is not in doubt for the box, but it is for the item."""
    d = box_of_two(
        tmp_path, "us", cake="may_contain: [tree_nut/almond, milk]", bar="may_contain: [egg, milk]"
    )
    assert [t for t in d.advisories if t.startswith("May contain")] == ["May contain: Milk, Egg."]
    lists = ["".join(r.text for r in item_list(item)) for item in d.items]
    assert lists[0].endswith("Contains: Wheat. May contain: Milk, Almond.") and lists[1].endswith(
        "Contains: Almond. May contain: Milk, Egg."
    )


def test_a_box_names_its_products_in_both_languages(tmp_path):
    """Canada, B.01.012(2): mandatory information in English and French; a product's own name may stay, its
    identity may not.
    """
    worded = "identity: {en: %s, fr: %s}, storage: {en: Keep dry., fr: Garder au sec.}"
    d = box_of_two(
        tmp_path,
        "ca",
        cake=worded % ("Little wheat cakes", "Petits gâteaux de blé"),
        bar=worded % ("Almond bars", "Barres aux amandes"),
    )
    assert d.identity == "3 Hill cake (Little wheat cakes), 1 Hill bar (Almond bars)"
    assert d.second.identity == "3 Petits gâteaux de blé, 1 Barres aux amandes"
    assert [item.product for item in d.second.items] == ["Petits gâteaux de blé", "Barres aux amandes"]


def test_a_unit_of_two_reference_amounts_in_a_box_keeps_its_second_column(tmp_path):
    """21 CFR 101.9(b)(2)(i)(D): a unit of 200 to 300 percent; an aggregate panel has no room for it, so
    each product has its own.
    """
    heavy = "{ingredients: [200 g wheat-flour, 100 g sugar], makes: 4}"
    rolled = dict(TRACES, cake=heavy)
    formulations = "".join(f"  {k}: {v}\n" for k, v in rolled.items())
    products = "".join(
        f"  {k}: {{name: Hill {k}, of: {k}, pieces: 4, unit: {k}, category: cookies, best_before: 9 days}}\n"
        for k in rolled
    )
    folder = write(
        tmp_path,
        LARDER,
        f"formulations:\n{formulations}products:\n{products}boxes:\n  b: {{name: Pair, holds: {{cake: 3,"
        " bar: 1}}\n",
        HEAD,
    )
    label, findings = make_label(roll_up_folder(folder), "b", Order("us", DAY, "L1", DAY))
    assert label, findings
    words = " ".join(s.text for s in read_back(label)[1])
    assert words.count("Nutrition Facts") == 2 and "Per cake" in words


@pytest.mark.parametrize("market, name", [("us", "letter-30"), ("eu", "a4-24"), ("us", "letter-20-round")])
def test_a_box_too_small_for_its_stock_is_told_a_size_that_does(tmp_path, market, name):
    """What is sought quickly, with nothing made to look well, is found again when the label is really laid
    out.
    """
    folder = kitchen(tmp_path, 4, ", ".join(f"p{i}: 2" for i in range(4)))
    said = declare_product(roll_up_folder(folder), "b", Order(market, DAY, "L1", DAY))
    stock = stock_named(name)
    assert find_fit(said, stock) is None
    width, height = least_size(said, stock)
    assert find_fit(
        said, replace(stock, width=width, height=height, corner=width / 2 if stock.round else 0.0)
    )
    assert all(find_fit(said, s) for s in stock_that_holds(said, stock, 3))


def test_a_box_no_listed_stock_holds_is_told_a_size_that_does(tmp_path):
    """Twenty-four lists and panels: whoever asks for the size told gets the label, on as many faces as
    told.
    """
    declaration = declare_product(
        roll_up_folder(kitchen(tmp_path, 24, ", ".join(f"p{i}: 1" for i in range(24)))),
        "b",
        Order("us", DAY),
    )
    like = stock_named("letter-2")
    with pytest.raises(LayoutError, match="needs at least .* mm .* on one label"):
        fit_label(declaration, like)
    for ways, most in (((), 3), (_ONE_LABEL, 1)):
        wide, high = least_size(declaration, like, ways)
        found = find_fit(declaration, single_stock(wide, high))
        assert found and len(found.faces) <= most


@pytest.mark.parametrize("size, running", [((100, 180), False), ((50, 65), True)])
def test_the_panels_of_a_box_are_tables_where_there_is_room(tmp_path, size, running):
    """Regulation (EU) No 1169/2011, Article 34(2): a table where space permits, else linear form."""
    declaration = declare_product(roll_up_folder(kitchen(tmp_path, 1, "p0: 8")), "b", Order("eu", DAY))
    found = find_fit(declaration, single_stock(*(mm * 72 / 25.4 for mm in size)))
    assert any(s.role == "running-title" for face in found.faces for s in face.statements) == running


def test_a_box_is_as_wide_as_its_roll(tmp_path, capsys):
    folder = kitchen(tmp_path, 2, "p0: 6, p1: 6")
    declaration = declare_product(roll_up_folder(folder), "b", Order("us", DAY))
    roll = stock_named("roll-100mm")
    assert fit_label(declaration, roll).faces[0].width_pt == pytest.approx(roll.width)
    with pytest.raises(LayoutError, match="wide but needs"):
        fit_label(declaration, replace(roll, width=60 * 72 / 25.4))
    assert main(["stock", "--holds", "b", "--kitchen", str(folder), "--json"]) == 0
    able = {s["name"] for s in json.loads(capsys.readouterr().out)}
    assert "roll-100mm" in able and "roll-2x1in" not in able


def test_a_box_leaves_out_its_panel_only_when_every_product_may(tmp_path):
    """Regulation (EU) No 1169/2011, Annex V: an exemption is of a food, and a box holds several."""
    local = "exempt: [local_supply]"
    assert not box_of_two(tmp_path, "eu", cake=local).without_panel
    assert not box_of_two(tmp_path, "eu", bar=local).without_panel
    assert box_of_two(tmp_path, "eu", cake=local, bar=local).without_panel


def test_a_box_speaks_the_language_the_kitchen_asks_for(tmp_path):
    """Decimal comma and the warning's words in German; a product goes by its German identity, or its name
    where that is worded.
    """
    names = {"wheat-flour": "Weizenmehl", "sugar": "Zucker", "almonds": "Mandeln"}
    larder = "\n".join(
        f"{n}: {{print: {{en: {n}, de: {de}}}, food: usda/{ndb}}}"
        for (n, de), ndb in zip(names.items(), ("20581", "19335", "12061"))
    )
    products = """
products:
  cake: {name: Hill cake, identity: {en: Wheat cake, de: Weizenkuchen}, of: cake, pieces: 4, unit: {en: cake,
      de: Kuchen}, may_contain: [milk]}
  bar: {name: {en: Hill bar, de: Hügelriegel}, identity: {en: Almond bar, de: Mandelriegel}, of: bar,
      pieces: 4, unit: {en: bar, de: Riegel}}
boxes:
  b: {name: Paar, holds: {cake: 120, bar: 4}}
"""
    formulations = "formulations:\n" + "".join(f"  {k}: {v}\n" for k, v in TRACES.items())
    folder = write(
        tmp_path,
        larder,
        formulations + products,
        "producer: {name: Example Hill Bakes, address: '1 Example Hill, Sampleton'}\nlanguages: [de]\n",
    )
    d = declare_product(roll_up_folder(folder), "b", Order("eu", DAY, "L1", DAY))
    assert not [f.message for f in d.findings if f.blocks]
    assert d.identity == "120 Weizenkuchen, 4 Hügelriegel (Mandelriegel)" and d.net_quantity == "2,5 kg"
    assert d.precaution == "Kann enthalten: Milch." and d.precaution in d.advisories


def test_panels_of_a_box_stand_side_by_side_whatever_one_of_them_needs(tmp_path):
    """One product with a second column needs a wider panel; the others are not set one below the other for
    it.
    """
    formulations = "".join(
        f"  f{i}: {{ingredients: [50 g wheat-flour, 30 g sugar, {1 + i} g almonds], makes:"
        f" {1 if i == 3 else 4}}}\n"
        for i in range(4)
    )
    products = "".join(
        f"  p{i}: {{name: Round {i}, of: f{i}, pieces: {1 if i == 3 else 4}, unit: cookie, category:"
        " cookies}\n"
        for i in range(4)
    )
    folder = write(
        tmp_path,
        LARDER,
        f"formulations:\n{formulations}products:\n{products}boxes:\n  b: {{name: Big box, holds: {{p0: 4,"
        " p1: 4, p2: 4, p3: 1}}\n",
        HEAD,
    )
    layout = lay_out_label(declare_product(roll_up_folder(folder), "b", Order("us", DAY)))
    titles = {
        b.part: (round(b.x), round(b.y))
        for b in layout.boxes
        if getattr(b, "part", "").startswith("panel.title")
    }
    assert (
        len(titles) == 4
        and len({x for x, _ in titles.values()}) > 1
        and len({y for _, y in titles.values()}) < 4
    )


def test_panels_of_a_box_are_named_in_both_languages(tmp_path):
    worded = "identity: {en: %s, fr: %s}, storage: {en: Keep dry., fr: Garder au sec.}"
    said = box_of_two(
        tmp_path,
        "ca",
        cake=worded % ("Little wheat cakes", "Petits gâteaux de blé"),
        bar=worded % ("Almond bars", "Barres aux amandes"),
    )
    names = [s.text for s in lay_out_label(said).statements if s.role == "panel-name"]
    assert names == ["Hill cake / Petits gâteaux de blé", "Hill bar / Barres aux amandes"]
