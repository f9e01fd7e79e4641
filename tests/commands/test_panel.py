"""``labelgen panel``: every column of a market's panel, and every market's panel."""

import json

from labelgen import paths
from labelgen.cli import main

KITCHEN = ["--kitchen", str(paths.templates("kitchens", "demo"))]


def shown(capsys, *argv):
    code = main(["panel", *argv, *KITCHEN])
    return code, capsys.readouterr().out


def test_every_column_is_told(capsys):
    code, text = shown(capsys, "lantern-biscuits", "--market", "au", "--json")
    data = json.loads(text)
    assert (
        code == 0
        and [c["per"] for c in data["columns"]] == ["serving", "100g"]
        and data["rows"] == data["columns"][0]["rows"]
    )
    per_100g = {r["key"]: r for r in data["columns"][1]["rows"]}
    # available carbohydrate: total less fibre, Schedule 11
    held = data["per_100g"]
    assert (
        abs(per_100g["carbohydrate"]["unrounded"] - (held["CHOCDF"]["value"] - held["FIBTG"]["value"])) < 1e-9
    )
    assert "per serving" in shown(capsys, "lantern-biscuits", "--market", "au")[1].splitlines()[1]


def test_all_markets_and_some(capsys):
    every = json.loads(shown(capsys, "oat-thins", "--market", "all", "--json")[1])
    assert {"us", "eu", "uk", "ca", "au", "nz"} <= set(every) and every["nz"]["rows"] == json.loads(
        shown(capsys, "oat-thins", "--market", "nz", "--json")[1]
    )["rows"]
    code, text = shown(capsys, "oat-thins", "--market", "us, au")
    assert code == 0 and " us 27 g serving " in text.splitlines()[0] and "au 100 g" in text.splitlines()[0]


def test_an_unknown_market_among_several(capsys):
    assert main(["panel", "oat-thins", "--market", "au,atlantis", *KITCHEN]) == 2
    assert "atlantis" in capsys.readouterr().err
