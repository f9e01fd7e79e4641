"""Existing labels against themselves and against a product: an old label that lacks something fails the run."""

import json

from labelgen import paths
from labelgen.cli import main

KITCHEN = ["--kitchen", str(paths.templates("kitchens", "demo"))]


def codes(capsys, *argv):
    rc = main(["allergens", *argv, "--json"])
    shown = json.loads(capsys.readouterr().out)
    return rc, {k: {h["allergen"] for h in v} for k, v in shown.items()}


def test_a_contains_statement_that_leaves_one_out(capsys):
    rc, got = codes(capsys, "--text", "Ingredients: sugar, wheat flour, whey powder. Contains: Wheat. May contain hazelnuts.")
    assert rc == 1 and got["undeclared"] == {"milk"} and got["may_contain"] == {"tree_nut/hazelnut"}


def test_look_alikes(capsys):
    rc, got = codes(capsys, "--text", "cocoa butter, nutmeg, coconut milk, water chestnut, cream of tartar, buckwheat")
    assert rc == 0 and not any(got.values())


def test_old_label_without_egg_and_nuts(capsys):
    rc, got = codes(capsys, "--text", "Ingredients: flour, butter, sugar, chocolate (soy lecithin). Contains: Wheat, Milk, Soy.", "--product", "lantern-biscuits", *KITCHEN)
    assert rc == 1 and got["undeclared"] == {"egg", "tree_nut/hazelnut"}


def test_own_pdf_passes_and_another_products_fails(tmp_path, capsys):
    assert main(["label", "lantern-biscuits", "nut-clusters", *KITCHEN, "--out", str(tmp_path)]) == 0
    capsys.readouterr()
    assert codes(capsys, "--pdf", str(tmp_path / "lantern-biscuits.pdf"), "--product", "lantern-biscuits", *KITCHEN)[0] == 0
    assert codes(capsys, "--pdf", str(tmp_path / "nut-clusters.pdf"), "--product", "lantern-biscuits", *KITCHEN)[0] == 1


def test_not_a_pdf(tmp_path, capsys):
    path = tmp_path / "x.pdf"
    path.write_bytes(b"no pdf at all")
    assert main(["allergens", "--pdf", str(path)]) == 2
    assert "x.pdf" in capsys.readouterr().err
