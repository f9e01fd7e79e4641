"""What Australian law asks besides, and who may be let off what."""

import json
from datetime import date

import pytest

from labelgen import paths
from labelgen.cli import main
from labelgen.law.pack import read_pack
from labelgen.market.asked import list_asked, list_exemptions
from labelgen.market.declare_food import declare
from labelgen.order import Order
from tests.market.foods import KITCHEN, amounts, line, product, profile

ON = date(2026, 12, 1)
AU = read_pack("au", ON)


def asked(*, ingredients=("flour",), **more):
    thing = product(pieces=8, **more)
    home = KITCHEN.model_copy(update={"products": {thing.key: thing}})
    food = amounts(240, FAT=50, CHOCDF=150, PROCNT=15)
    made = declare(
        profile(food, 8, [line(i, 240 / len(ingredients)) for i in ingredients]),
        thing,
        home,
        Order("au", ON),
    )
    return {f.code: f for f in list_asked(AU, home, {thing.key: made})}


def test_origin_is_asked_never_assumed():
    """Country of Origin Food Labelling Information Standard 2016."""
    found = asked()["asked-country-of-origin"]
    assert (
        found.severity == "note"
        and "asked, never assumed" in found.message
        and found.citation.startswith("coo-au-2016")
        and "authority" in found.message
    )


@pytest.mark.parametrize(
    "code, open_with, answered_with",
    [
        ("asked-storage", {}, {"storage": "Keep dry."}),
        ("asked-date-mark", {}, {"best_before": "14 days"}),
        ("asked-date-mark", {}, {"use_by": "4 days"}),
    ],
)
def test_a_question_closes_with_its_answer(code, open_with, answered_with):
    assert code in asked(**open_with) and code not in asked(**answered_with)


@pytest.mark.parametrize(
    "code, ingredients, other",
    [
        ("asked-alcohol", ["flour", "rum"], ["flour", "rump"]),
        ("asked-unpasteurised", ["flour", "eggs"], ["flour", "oil"]),
        ("asked-irradiated", ["ground cinnamon"], ["flour"]),
        ("asked-use-by", ["custard"], ["flour"]),
    ],
)
def test_a_question_is_asked_only_of_food_it_is_about(code, ingredients, other):
    assert code in asked(ingredients=ingredients) and code not in asked(ingredients=other)


def test_exemptions_tell_what_ends_them():
    """1.2.1-6: own premises, fund-raising; a surface below 100 cm2."""
    notes = {f.code: f.message for f in list_exemptions(AU, KITCHEN)}
    assert (
        "ends with selling it anywhere else" in notes["exemption-own-premises"]
        and "personal gain" in notes["exemption-fund-raising"]
    )
    assert (
        "below 100 cm²" in notes["exemption-small-package"]
        and "ends with a claim" in notes["exemption-small-package"]
    )
    assert all("authority" in m for m in notes.values())
    assert {
        "exemption-in-presence",
        "exemption-unpackaged",
        "exemption-express-order",
        "exemption-no-date",
    } <= set(notes)


@pytest.mark.parametrize("market", ["au", "nz"])
def test_check_lists_them_for_the_demo_kitchen(market, capsys):
    main(["check", str(paths.templates("kitchens", "demo")), "--market", market, "--json"])
    found = json.loads(capsys.readouterr().out)
    codes = [f["code"] for f in found]
    assert len([c for c in codes if c.startswith("exemption-")]) >= 9 and "asked-use-by" in codes
    assert ("asked-country-of-origin" in codes) == (market == "au")
    assert len(codes) == len({json.dumps(f) for f in found})
