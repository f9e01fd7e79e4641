"""Allergens of an ingredient: words that must be found, look-alikes that must not. Names: common practice
of the trade.
"""

import shutil
from functools import cache

import pytest

from labelgen import paths
from labelgen.chain import roll_up_folder
from labelgen.composition.dataset import open_dataset
from labelgen.composition.ingredient_allergens import allergens_of, code_fault
from labelgen.composition.text.terms import read_lexicon
from tests.kitchens import write

#: Found and kept, but no major allergen by themselves in the United States.
NOT_MAJOR = {"coconut", "gluten/wheat", "tree_nut"}


@pytest.mark.parametrize(
    "text, codes",
    [
        ("cocoa mass, sugar, cocoa butter, emulsifier (soy lecithin), vanilla", {"soy"}),
        ("sodium caseinate, whey powder", {"milk"}),
        ("durum semolina, egg albumen", {"wheat", "egg"}),
        ("marzipan (almonds, sugar)", {"tree_nut/almond"}),
        ("tahini; gianduja", {"sesame", "tree_nut/hazelnut"}),
        ("groundnuts", {"peanut"}),
        (
            (
                "nutmeg, butternut squash, water chestnut, cream of tartar, coconut milk, eggplant,"
                " buckwheat flour, peanut-free"
            ),
            set(),
        ),
        ("almond milk", {"tree_nut/almond"}),
        ("peanut butter", {"peanut"}),
        ("rice flour, corn flour", set()),
    ],
)
def test_words(text, codes):
    hits, _ = allergens_of("x", "", "", text, None, None)
    assert {h.allergen for h in hits if h.allergen not in NOT_MAJOR} == codes


@pytest.mark.parametrize(
    "food, code",
    [
        ("usda/20081", "wheat"),
        ("usda/01145", "milk"),
        ("usda/01123", "egg"),
        ("usda/12120", "tree_nut/hazelnut"),
        ("usda/12166", "sesame"),
        ("usda/16098", "peanut"),
        ("usda/20027", None),
        ("usda/19335", None),
        ("usda/12104", None),
    ],
)
def test_foods(food, code):
    hits, _ = allergens_of("x", "", open_dataset().food(food).name, "", None, None)
    found = {h.allergen for h in hits} - NOT_MAJOR
    assert found == ({code} if code else set())
    assert all(h.words in h.because for h in hits)


def test_a_manufactured_food_brings_what_is_usual_in_it_until_the_packet_speaks():
    """USDA 18114, gingerbread cake mix: its name says nothing of soy. Reviewed from common recipes (from
    memory).
    """
    food = open_dataset().food("usda/18114")
    hits, _ = allergens_of("mix", "", food.name, "", None, None, food.id)
    assert {"wheat", "soy"} <= {h.allergen for h in hits} and food.composite
    hits, _ = allergens_of("mix", "", food.name, "rice flour, sugar, ginger", [], None, food.id)
    assert "soy" not in {h.allergen for h in hits}


DEMO = paths.templates("kitchens", "demo")


@cache
def told_of(folder):
    return {(f.code, f.severity, str(f.where)) for f in roll_up_folder(str(folder)).findings}


def kitchen_with(tmp_path, packet: str):
    """What is told of one more specification in the demo kitchen."""
    folder = tmp_path / "kitchen"
    shutil.copytree(DEMO, folder)
    with (folder / "ingredients" / "larder.yaml").open("a", encoding="utf-8") as file:
        file.write(packet + "\n")
    return {(code, severity) for code, severity, _ in told_of(folder) - told_of(DEMO)}


@pytest.mark.parametrize(
    "packet, wanted",
    [
        (
            "x: {print: chips, statement: 'sugar, lecithin from soy', contains: [soy], food: usda/19335}",
            set(),
        ),
        (
            "x: {print: chips, statement: 'sugar, lecithin from soy', contains: [], food: usda/19335}",
            {("declaration-misses", "danger")},
        ),
        (
            "x: {print: chips, statement: 'sugar, lecithin from soy', contains: , food: usda/19335}",
            {("declaration-misses", "danger")},
        ),
        (
            (
                "x: {print: nuts, statement: 'almonds, cashews', contains: [tree_nut/almond], food:"
                " usda/12061}"
            ),
            {("declaration-misses", "danger")},
        ),
        (
            (
                "x: {print: nuts, statement: 'mixed nuts, pine nuts', contains: [tree_nut/pine_nut], food:"
                " usda/12061}"
            ),
            {("declaration-misses", "danger")},
        ),
        (
            "x: {print: flour, statement: 'spelt flour, wheat flour', contains: [wheat], food: usda/20081}",
            set(),
        ),
        (
            (
                "x: {print: flour, statement: 'wheat flour, malted barley flour', contains: [wheat], food:"
                " usda/20081}"
            ),
            {("declaration-misses", "warn")},
        ),
        ("x: {print: oil, contains: [], food: usda/04044}", {("declaration-misses", "warn")}),
        ("x: {print: butter, contains: [], food: usda/01145}", {("declaration-misses", "danger")}),
        ("x: {print: coconut, statement: 'coconut', contains: [], food: usda/12104}", set()),
        (
            "x: {print: mix, statement: 'spices, salt', contains: [soy], food: usda/02047}",
            {("declared-not-found", "note")},
        ),
        ("x: {print: biscuits, food: usda/18155}", {("make-up-unknown", "warn")}),
        (
            "x: {print: biscuits, statement: see packet, food: usda/18155}",
            {("statement-not-read", "danger")},
        ),
        (
            "x: {print: biscuits, statement: 'unga wa ngano, maziwa', food: usda/18155}",
            {("statement-not-read", "danger")},
        ),
        (
            (
                "x: {print: biscuits, statement: 'unga wa ngano, maziwa', may_contain: [milk], food:"
                " usda/18155}"
            ),
            {("statement-not-read", "danger")},
        ),
        (
            (
                "x: {print: biscuits, statement: 'unga wa ngano, maziwa', contains: [wheat, milk], food:"
                " usda/18155}"
            ),
            set(),
        ),
        (
            "x: {print: biscuits, statement: 'sugar, whey, blorp', food: usda/18155}",
            {("statement-read-in-part", "warn")},
        ),
    ],
)
def test_a_declaration_against_the_words_of_its_packet(tmp_path, packet, wanted):
    assert kitchen_with(tmp_path, packet) == wanted


def test_a_gap_is_shown_with_its_file_and_line(tmp_path, capsys):
    from labelgen.cli import main

    kitchen_with(
        tmp_path,
        "chips:\n  print: chips\n  food: usda/19335\n  statement: sugar, lecithin from soy\n  contains: []",
    )
    assert main(["check", str(tmp_path / "kitchen")]) == 1
    assert "ingredients/larder.yaml:26:" in capsys.readouterr().out


def test_the_reach_of_each_code_is_what_the_markets_list():
    """codes.csv says whether every market, some or none lists a group; the lists themselves are in
    reference/markets.
    """
    import csv
    from datetime import date

    from labelgen.composition.ingredient_records import AllergenHit
    from labelgen.market.allergens.declaration import count, pack_of

    kinds = {
        "fish": "fish/cod",
        "crustacean": "crustacean/crab",
        "mollusc": "mollusc/oyster",
        "tree_nut": "tree_nut/almond",
        "gluten": "gluten/rye",
    }
    for row in csv.DictReader(paths.reference("allergens", "codes.csv").open(encoding="utf-8")):
        hit = AllergenHit(kinds.get(row["group"], row["group"]), "")
        listing = [
            bool(count(pack_of(m, date(2026, 11, 25)), [hit])[0])
            for m in ("us", "eu", "uk", "ca", "au", "nz")
        ]
        assert row["listed"] == (
            "everywhere" if all(listing) else "somewhere" if any(listing) else "nowhere"
        ), row["group"]


def test_a_nickname_does_not_outweigh_what_is_printed():
    """ "flour" may be what a maker calls rice flour; a key that tells an allergen is asked about where it
    does not print.
    """
    assert not allergens_of("flour", "rice flour", "Rice flour, white", "", None, None)[0]
    assert {h.allergen for h in allergens_of("flour", "", "", "", None, None)[0]} == {
        "wheat",
        "gluten/wheat",
    }
    holds, asked = allergens_of("almond-flour", "hemp meal", "", "", None, None)
    assert (
        not holds
        and [(h.allergen, h.how) for h in asked] == [("tree_nut/almond", "key")]
        and "sounds like almond" in asked[0].because
    )


@pytest.mark.parametrize(
    "code, meant",
    [
        ("tree_nut/cashews", "tree_nut/cashew"),
        ("tree_nut/brazil_nut", "tree_nut/brazil"),
        ("tree_nut/coconut", "coconut"),
        ("tree_nut/filbert", "tree_nut/hazelnut"),
        ("gluten/oat", "gluten/oats"),
        ("gluten/malt", "gluten/barley"),
        ("dairy", "milk"),
        ("prawns", "crustacean/shrimp"),
    ],
)
def test_a_kind_nobody_lists_is_no_code(code, meant):
    """A closed list of nuts would silently leave out a kind it does not know."""
    assert f"write {meant!r}" in code_fault(code)


def test_every_kind_of_the_words_is_a_code():
    for term in read_lexicon().every_term():
        for code in (*term.contains, *term.typical, *term.may):
            assert "/" not in code or not code_fault(code), code


def test_the_packets_own_list_answers_for_its_name():
    """A name asks what a margarine is made of; its list tells."""
    assert not allergens_of(
        "margarine", "margarine", "", "palm oil, water, salt, sunflower lecithin", None, None
    )[1]
    assert {h.allergen for h in allergens_of("margarine", "margarine", "", "", [], None)[1]} == {
        "milk",
        "soy",
    }


def test_brackets_that_do_not_pair_up_are_told_with_their_line(tmp_path):
    """A bracket lost in copying can hide what belongs to what."""
    write(
        tmp_path,
        "a: {food: usda/19335, statement: 'sugar (cane, dextrose'}\nb: {food: usda/19335, statement: 'sugar"
        " (cane)'}\n",
        "products: {}\n",
    )
    (finding,) = [f for f in roll_up_folder(tmp_path).findings if f.code == "statement-brackets"]
    assert finding.where.line == 1 and finding.message.startswith("a: ") and not finding.blocks
