"""First kitchens of makers who typed their packets whole, as printed, by the README alone: from the check to
the label. The packets have the form of their countries; producers and figures are invented.
"""

import json
import shutil
from datetime import date
from pathlib import Path

import pytest

from labelgen.chain import declare_product, roll_up_folder
from labelgen.cli import main
from labelgen.order import Order

FIRST = Path(__file__).parent / "vectors" / "first-kitchens"
DAY = date(2026, 12, 1)
#: The most that may stop labels at the first check, and the edits that settle it: (file, typed, mended).
KITCHENS = {
    "us": (3, [("ingredients/all.yaml", "food: egg,", "food: usda/01123,")]),
    "de": (1, [("ingredients/zutaten.yaml", "print: Eier,", "print: Eier, weighs: {Stück: 55 g},")]),
}
HELD = {
    ("us", "chocolate-chip-cookies"): {"wheat", "milk", "soy", "egg"},
    ("us", "almond-shortbread"): {"wheat", "milk", "tree_nut/almond"},
    ("us", "brownies"): {"wheat", "milk", "soy", "egg"},
    ("de", "nusskekse"): {"wheat", "milk", "egg", "tree_nut/hazelnut"},
    ("de", "schokokuchen"): {"wheat", "milk", "egg", "soy"},
}
WARNED = {
    ("us", "chocolate-chip-cookies"): {"tree_nut"},
    ("de", "nusskekse"): {"tree_nut/almond", "tree_nut", "peanut"},
    ("de", "schokokuchen"): {"tree_nut"},
}


@pytest.fixture(params=sorted(KITCHENS))
def typed(request, tmp_path):
    folder = tmp_path / request.param
    shutil.copytree(FIRST / request.param, folder)
    return request.param, folder


def mend(name, folder):
    for file, old, new in KITCHENS[name][1]:
        text = (folder / file).read_text(encoding="utf-8")
        assert old in text
        (folder / file).write_text(text.replace(old, new), encoding="utf-8")


def test_the_first_check_asks_little(typed, capsys):
    name, folder = typed
    main(["check", str(folder), "--json", "--on", str(DAY)])
    found = json.loads(capsys.readouterr().out)
    assert len([f for f in found if f["severity"] in ("danger", "block")]) <= KITCHENS[name][0]


def test_every_label_prints_after_the_edits_and_none_before_what_stops_it(typed, capsys):
    name, folder = typed
    mend(name, folder)
    for country, product in HELD:
        if country == name:
            out = ["--out", str(folder / "out"), "--on", str(DAY), "--made-on", str(DAY)]
            assert main(["label", product, "--kitchen", str(folder), *out]) == 0, capsys.readouterr()
            assert (folder / "out" / f"{product}.pdf").is_file()


def test_every_allergen_of_the_packets_is_declared_and_every_warning_kept(typed):
    name, folder = typed
    mend(name, folder)
    rolled = roll_up_folder(folder, DAY)
    for (country, product), held in HELD.items():
        if country != name:
            continue
        declared = declare_product(rolled, product, Order(rolled.kitchen.markets[0], DAY))
        assert {hit.allergen for hit in declared.contains} - {"gluten/wheat"} == held
        assert WARNED.get((name, product), set()) <= {hit.allergen for hit in declared.may_contain}
