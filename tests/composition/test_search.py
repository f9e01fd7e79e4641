"""Food search against what bakers type. The queries and the foods a careful baker would accept are
``search_queries.csv``: common practice, written down before the search was tuned on them; ``tune`` first,
``hold1``-``hold10`` each blind to the state it first measured (top-1/top-3 per cent at first sight: hold1
100/100, hold2 91.8/95.3, hold3 97.9/99.1, hold4 97.1/98.8, hold5 95.3/98.0, hold6 93.1/95.8, hold7 82.5/84.8:
a tenth of it words of other kitchens, hold8 92.8/95.9, hold9 97.0/98.5, hold10 94.4/98.9: typing errors and
whole lines of recipes). Ids and names are those of USDA SR24.
"""

import csv
import doctest
import subprocess
import sys
from pathlib import Path

import pytest

from labelgen import paths
from labelgen.composition.dataset import open_dataset
from labelgen.composition.search import search_words as searchwords
from labelgen.composition.search.food_search import search
from labelgen.composition.search.kitchen import kitchen_names
from labelgen.composition.search.search_words import read_query, spell

with open(Path(__file__).with_name("search_queries.csv"), encoding="utf-8", newline="") as f:
    QUERIES = list(csv.DictReader(f))
NAMES = dict(open_dataset().names())
PARTS = sorted({q["part"] for q in QUERIES})
#: Queries whose first hit is not accepted (the accepted food stands among the first three), by part.
NOT_FIRST = {
    "hold3": {"decaf coffee"},
    "hold6": {"almond drink", "crystallised ginger", "peppermint extract", "dried blueberries"},
    "hold7": {"zest and juice of 1 lime"},
    "hold8": {"10x sugar", "tinned cherries in light syrup"},
    "hold9": {"bitter chocolate 80%"},
}
#: What is in no row of the table.
ABSENT = [
    "rice syrup",
    "mincemeat",
    "stem ginger",
    "dry cider",
    "ragi flour",
    "paneer",
    "malai",
    "creme fraiche d'isigny",
    "quark 20%",
    "vanillezucker",
    "malted wheat flour",
    "tigernut flour",
    "hazlenut paste",
    "crystalised violets",
    "dried mango",
    "elderflower cordial",
    "skyr",
    "greek yogurt 10%",
    "kefir",
    "creme anglaise",
    "curry leaves",
    "five spice",
    "garam masala",
    "pomegranate molasses",
    "white wine vinegar",
    "prosciutto",
    "amaretti",
    "almonds smoked",
    "gluten free plain flour",
    "pecans, candied",
    "smoked mackerel",
    "italian herbs",
    "quinoa flakes",
    "polenta cooked",
    "dried cherries",
    "candied ginger",
    "t80 flour",
    "flour type 1600",
]


def test_queries_name_foods_of_the_table():
    assert len(QUERIES) >= 1000 and sum(q["part"] != "tune" for q in QUERIES) >= 80
    assert not {i for q in QUERIES for i in q["accept"].split("|")} - NAMES.keys()


@pytest.mark.parametrize("part", PARTS)
def test_first_and_first_three(part):
    queries = [q for q in QUERIES if q["part"] == part]
    places = {}
    for q in queries:
        ids = [h.id for h in search(open_dataset(), q["query"])]
        places[q["query"]] = next((n for n, i in enumerate(ids, 1) if i in q["accept"].split("|")), 99)
    first = sum(n == 1 for n in places.values()) / len(places)
    three = sum(n <= 3 for n in places.values()) / len(places)
    print(f"{part}: {len(places)} queries, first {first:.1%}, first three {three:.1%}")
    assert {q for q, n in places.items() if n > 1} <= NOT_FIRST.get(part, set())
    assert {q for q, n in places.items() if n > 3} == set()


def test_both_butters_are_near_the_top():
    assert [h.id for h in search(open_dataset(), "butter")[:2]] == ["usda/01145", "usda/01001"]


def test_the_full_name_finds_the_food():
    """Every tenth food of the raw-material groups, typed as USDA writes it."""
    foods = [
        (i, n)
        for i, n in NAMES.items()
        if i[5:7] in ("01", "02", "04", "09", "11", "12", "16", "18", "19", "20")
    ][::10]
    lost = [n for i, n in foods if i not in [h.id for h in search(open_dataset(), n, 3)]]
    assert len(lost) <= len(foods) // 100, lost


@pytest.mark.parametrize("query", ["01123", "1123", "usda/01123", " USDA/01123 ", "pure/erythritol"])
def test_an_id_finds_that_food_alone(query):
    (hit,) = search(open_dataset(), query)
    assert hit.id == ("pure/erythritol" if "pure" in query else "usda/01123") and hit.name == NAMES[hit.id]


@pytest.mark.parametrize(
    "query", ["", "   ", "250 g", "!!!", '"', "AND", "the of", "zzqqxw", "halloumi", "é" * 300]
)
def test_nothing_fits(query):
    assert search(open_dataset(), query) == []


@pytest.mark.parametrize(
    "query", ["NEAR(", "name:*", 'egg" OR "milk', "butter" * 50, "flour " * 200, "'; DROP TABLE food; --"]
)
def test_no_query_is_an_error(query):
    assert all(h.id in NAMES for h in search(open_dataset(), query))


def test_stand_ins_say_so():
    """Almond drink is in no row of the table; what is offered instead carries a note, an exact food
    carries none.
    """
    assert all(h.note for h in search(open_dataset(), "almond milk", 3))
    assert not search(open_dataset(), "almonds")[0].note


@pytest.mark.parametrize("query", ABSENT)
def test_what_is_not_in_the_table_is_not_offered_as_if_it_were(query):
    assert search(open_dataset(), query)[0].note


def test_a_note_names_the_words_that_are_not_in_the_name_as_they_were_typed():
    assert search(open_dataset(), "tigernut flour")[0].note == "not in its name: tigernut"
    assert search(open_dataset(), "dried mangoes")[0].note == "not in its name: dried"
    assert search(open_dataset(), "bajra ka atta")[0].note.endswith("not in its name: bajra, ka")
    assert not search(open_dataset(), "isomalt sugar")[0].note


def test_limit_and_order():
    hits = search(open_dataset(), "flour", 25)
    assert len(hits) == 25 and [h.score for h in hits] == sorted((h.score for h in hits), reverse=True)
    assert len({h.id for h in hits}) == 25 and hits[:3] == search(open_dataset(), "flour", 3)
    assert all(0 < h.score <= 100 for h in hits)


@pytest.mark.parametrize(
    "one, other",
    [
        ("self-raising flour", "self rising flour"),
        ("courgettes", "zucchini"),
        ("tinned pineapple", "canned pineapple"),
        ("yoghurt", "yogurt"),
        ("Crème Fraîche", "creme fraiche"),
        ("250g butter, softened", "softened butter"),
        ("½ tsp ground cinnamon", "ground cinnamon"),
        ("wholemeal flour", "whole-wheat flour"),
    ],
)
def test_two_ways_of_writing_find_the_same(one, other):
    assert [h.id for h in search(open_dataset(), one, 3)] == [h.id for h in search(open_dataset(), other, 3)]


def test_kitchen_names_are_sound():
    """Ids exist; a name stands for one thing (word order apart); no name is only an amount or a connecting
    word.
    """
    meant: dict[tuple[str, ...], str] = {}
    for row in kitchen_names():
        assert set(row.ids) <= NAMES.keys(), row
        for name in row.names:
            key = tuple(spell(name))
            assert read_query(name).tokens, name
            assert meant.setdefault(key, row.ids[0]) == row.ids[0], (
                f"{name} means both {meant[key]} and {row.ids[0]}"
            )


def test_synonyms_are_settled():
    """What a synonym means is itself final: no row is undone by another."""
    with open(paths.reference("composition", "synonyms.csv"), encoding="utf-8", newline="") as f:
        rows = list(csv.DictReader(f))
    with open(paths.reference("composition", "foreign_words.csv"), encoding="utf-8", newline="") as f:
        foreign = list(csv.DictReader(f))
    for table in (rows, foreign):
        assert [r["written"] for r in table] == sorted({r["written"] for r in table})
    for row in rows + foreign:
        assert spell(row["written"]) == spell(row["means"]), row


def test_rapidfuzz_only_when_a_word_is_unknown():
    code = (
        "import sys; from labelgen.composition.dataset import open_dataset as o; from"
        " labelgen.composition.search.food_search import search; search(o(), %r); print('rapidfuzz' in"
        " sys.modules)"
    )
    for query, expected in (("plain flour", "False"), ("vanila extract", "True")):
        assert (
            subprocess.run(
                [sys.executable, "-c", code % query], capture_output=True, text=True, check=True
            ).stdout.strip()
            == expected
        )


def test_examples_in_the_words_module():
    assert doctest.testmod(searchwords).failed == 0
