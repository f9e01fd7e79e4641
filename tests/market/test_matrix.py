"""The allergen poster of a stall: nothing that a product holds, may hold or nobody knows is left empty."""

import json

import pypdf

from labelgen import paths
from labelgen.cli import main
from tests.kitchens import write

DEMO = str(paths.templates("kitchens", "demo"))


def shown(capsys, *args):
    code = main(["stall", "--json", *args])
    data = json.loads(capsys.readouterr().out)
    return code, {row["product"]: row for row in data["products"]}, data["files"]


def test_every_allergen_of_a_declaration_stands_on_the_poster(tmp_path, capsys):
    for market in ("us", "eu", "au"):
        _, rows, _ = shown(capsys, "--kitchen", DEMO, "--market", market, "--out", str(tmp_path))
        main(["declare", "--kitchen", DEMO, "--market", market])
        for declared in json.loads(capsys.readouterr().out):
            cells = rows[declared["product"]]["allergens"]
            for hit in declared["contains"]:
                group, _, kind = hit["allergen"].partition("/")
                cell = cells["wheat and gluten" if group in ("wheat", "gluten") and "wheat and gluten" in cells else group.replace("_", " ")]
                assert cell["state"] == "contains" and (not kind or kind.replace("_", " ") in cell["kinds"] or group == "gluten")


def test_a_further_nut_that_may_be_there_is_not_hidden_by_one_that_is(tmp_path, capsys):
    _, rows, files = shown(capsys, "--kitchen", DEMO, "--market", "eu", "--out", str(tmp_path))
    cell = rows["Lantern biscuits with almonds"]["allergens"]["tree nut"]
    assert cell["kinds"] == ["almond"] and cell["may"] == ["hazelnut"]
    text = "".join(pypdf.PdfReader(files[0]).pages[0].extract_text().split())
    assert "almond;may:hazelnut" in text and len(pypdf.PdfReader(files[0]).pages) == 1


def test_an_ingredient_nobody_tells_about_makes_the_whole_row_unknown(tmp_path, capsys):
    kitchen = write(
        tmp_path / "k", "topping: {print: crunchy topping, per: 100 g, nutrients: {fat: 1 g}}\nmilk: {print: milk, food: usda/01077}\n",
        "formulations:\n  a: {ingredients: [100 g topping, 10 g milk], makes: 4}\nproducts:\n  p: {name: P, of: a, pieces: 4}\n",
    )
    code, rows, files = shown(capsys, "--kitchen", str(kitchen), "--out", str(tmp_path / "o"))
    states = {g: c["state"] for g, c in rows["P"]["allergens"].items()}
    assert code == 1 and states.pop("milk") == "contains" and set(states.values()) == {"unknown"}
    assert "crunchy topping" in rows["P"]["unknown_because"] and len(files) == 1


def test_what_the_room_handles_is_unknown_until_decided(tmp_path, capsys):
    base = "formulations:\n  a: {{ingredients: [100 g milk], makes: 4}}\nproducts:\n  p: {{name: P, of: a, pieces: 4{}}}\n"
    for n, (decision, state) in enumerate([("", "unknown"), (", may_contain: [peanut]", "may contain"), (', cross_contact: {peanut: "own room, 2026-11"}', "")]):
        kitchen = write(tmp_path / f"k{n}", "milk: {print: milk, food: usda/01077}\n", base.format(decision), "markets: [us]\nhandles: [peanut]\nproducer: {name: N, address: A}\n")
        _, rows, _ = shown(capsys, "--kitchen", str(kitchen), "--out", str(tmp_path / "o"))
        assert rows["P"]["allergens"]["peanut"]["state"] == state
