"""The allergen poster of a stall: nothing that a product holds, may hold or nobody knows is left empty."""

import json

import pypdf
import pytest

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
                cell = cells[
                    (
                        "wheat and gluten"
                        if group in ("wheat", "gluten") and "wheat and gluten" in cells
                        else group.replace("_", " ")
                    )
                ]
                assert cell["state"] == "contains" and (
                    not kind or kind.replace("_", " ") in cell["kinds"] or group == "gluten"
                )


def test_a_further_nut_that_may_be_there_is_not_hidden_by_one_that_is(tmp_path, capsys):
    _, rows, files = shown(capsys, "--kitchen", DEMO, "--market", "eu", "--out", str(tmp_path))
    cell = rows["Lantern biscuits with almonds"]["allergens"]["tree nut"]
    assert cell["kinds"] == ["almond"] and cell["may"] == ["hazelnut"]
    text = "".join(pypdf.PdfReader(files[0]).pages[0].extract_text().split())
    assert "almonds;may:hazelnuts" in text and len(pypdf.PdfReader(files[0]).pages) == 1


def test_an_ingredient_nobody_tells_about_makes_the_whole_row_unknown(tmp_path, capsys):
    kitchen = write(
        tmp_path / "k",
        "topping: {print: crunchy topping, per: 100 g, nutrients: {fat: 1 g}}\nmilk: {print: milk, food:"
        " usda/01077}\n",
        "formulations:\n  a: {ingredients: [100 g topping, 10 g milk], makes: 4}\nproducts:\n  p: {name: P,"
        " of: a, pieces: 4}\n",
    )
    code, rows, files = shown(capsys, "--kitchen", str(kitchen), "--out", str(tmp_path / "o"))
    states = {g: c["state"] for g, c in rows["P"]["allergens"].items()}
    assert code == 1 and states.pop("milk") == "contains" and set(states.values()) == {"unknown"}
    assert "crunchy topping" in rows["P"]["unknown_because"] and len(files) == 1


def test_what_the_room_handles_is_unknown_until_decided(tmp_path, capsys):
    base = (
        "formulations:\n  a: {{ingredients: [100 g milk], makes: 4}}\nproducts:\n  p: {{name: P, of: a,"
        " pieces: 4{}}}\n"
    )
    for n, (decision, state) in enumerate(
        [
            ("", "unknown"),
            (", may_contain: [peanut]", "may contain"),
            (', cross_contact: {peanut: "own room, 2026-11"}', ""),
        ]
    ):
        kitchen = write(
            tmp_path / f"k{n}",
            "milk: {print: milk, food: usda/01077}\n",
            base.format(decision),
            "markets: [us]\nhandles: [peanut]\nproducer: {name: N, address: A}\n",
        )
        _, rows, _ = shown(capsys, "--kitchen", str(kitchen), "--out", str(tmp_path / "o"))
        assert rows["P"]["allergens"]["peanut"]["state"] == state


OATS = (
    "oats: {print: gluten-free oats, food: usda/20038}\nmalt: {print: barley malt, food: usda/20005,"
    " statement: barley malt}\n"
)
TWO = (
    "formulations:\n  a: {ingredients: [100 g oats], makes: 4}\n  b: {ingredients: [100 g malt], makes:"
    " 4}\nproducts:\n  p: {name: P, of: a, pieces: 4}\n  q: {name: Q, of: b, pieces: 4}\n"
)


@pytest.mark.parametrize("market", ["us", "eu", "uk", "ca", "au", "nz"])
def test_oats_and_barley_do_not_hide_wheat(tmp_path, capsys, market):
    kitchen = write(
        tmp_path / "k",
        OATS,
        TWO,
        "markets: [us]\nhandles: [wheat, milk]\nproducer: {name: N, address: A}\n",
    )
    _, rows, _ = shown(capsys, "--kitchen", str(kitchen), "--market", market, "--out", str(tmp_path / "o"))
    for name, cereal in (("P", "oats"), ("Q", "barley")):
        cell = rows[name]["allergens"]["wheat and gluten"]
        assert (cell["state"], cell["kinds"], cell["unknown"]) == ("contains", [cereal], ["wheat"])


def test_a_poster_has_a_column_for_whatever_is_held_or_warned_of(tmp_path, capsys):
    """Sulphites and celery are on no list of the United States; sulphured apricots: food table, dried
    apricots.
    """
    kitchen = write(
        tmp_path / "k",
        "apricot: {print: dried apricots, food: usda/09032, statement: 'apricots, preservative (sulphur"
        " dioxide)'}\n",
        "formulations:\n  a: {ingredients: [100 g apricot], makes: 4}\nproducts:\n  p: {name: P, of: a,"
        " pieces: 4, may_contain: [celery]}\n",
    )
    _, rows, _ = shown(capsys, "--kitchen", str(kitchen), "--out", str(tmp_path / "o"))
    cells = rows["P"]["allergens"]
    assert (
        cells["sulphite"]["state"] == "contains"
        and cells["celery"]["state"] == "may contain"
        and "lupin" not in cells
    )


def test_a_group_that_may_be_there_shows_beside_a_kind_that_is(tmp_path, capsys):
    kitchen = write(
        tmp_path / "k",
        "almond: {print: almonds, food: usda/12061}\n",
        "formulations:\n  a: {ingredients: [100 g almond], makes: 4}\nproducts:\n  p: {name: P, of: a,"
        " pieces: 4, may_contain: [tree_nut]}\n",
    )
    _, rows, _ = shown(capsys, "--kitchen", str(kitchen), "--out", str(tmp_path / "o"))
    assert rows["P"]["allergens"]["tree nut"] == {
        "state": "contains",
        "kinds": ["almond"],
        "may": ["tree nut"],
        "unknown": [],
    }
