"""What counts as a difference between a printed label and today's, and in which order it is told."""

from dataclasses import replace
from datetime import date

import pytest

from labelgen import __version__
from labelgen.chain import declare_product, roll_up_folder
from labelgen.export.declaration_json import declaration_as_dict
from labelgen.ledger.differences import ASPECTS, compare_declarations
from labelgen.ledger.stale_labels import Today, judge
from labelgen.ledger.store import Printing
from labelgen.order import Order
from tests.kitchens import write

ON = date(2026, 11, 25)
INGREDIENTS = """flour: {print: {en: flour, fr: farine}, food: usda/20481}
butter: {print: {en: butter, fr: beurre}, food: usda/01145}
sugar: {print: {en: sugar, fr: sucre}, food: usda/19335}
"""
RECIPES = """formulations:
  a: {ingredients: [20 g flour, 10 g butter, 8 g sugar], per: piece}
  b: {ingredients: [20 g flour, 9 g sugar], per: piece}
products:
  pa: {name: {en: Rounds, fr: Ronds}, of: a, pieces: 6, unit: {en: cookie, fr: biscuit}, category: cookies,
      nutrition_symbol: true}
  pb: {name: {en: Squares, fr: Carrés}, of: b, pieces: 6, unit: {en: cookie, fr: biscuit}, category: cookies,
      nutrition_symbol: true}
boxes:
  both: {name: Both, holds: {pa: 3, pb: 3}}
"""
KITCHEN = "producer: {name: Example Hill Bakes, address: 1 Example Hill}\nmarkets: [us, eu, ca]\n"


def declared(folder, key, market, ingredients=INGREDIENTS, recipes=RECIPES):
    return declaration_as_dict(
        declare_product(roll_up_folder(write(folder, ingredients, recipes, KITCHEN)), key, Order(market, ON))
    )


def compared(tmp_path, key, market, old, new, where="ingredients"):
    before = declared(tmp_path / "k", key, market)
    texts = {"ingredients": INGREDIENTS, "recipes": RECIPES}
    assert old in texts[where]
    texts[where] = texts[where].replace(old, new)
    return compare_declarations(before, declared(tmp_path / "k", key, market, **texts))


@pytest.mark.parametrize("market", ["us", "eu", "ca"])
@pytest.mark.parametrize("key", ["pa", "both"])
def test_nothing_changed_is_no_difference(tmp_path, key, market):
    assert not compare_declarations(
        declared(tmp_path / "k", key, market), declared(tmp_path / "k", key, market)
    )


@pytest.mark.parametrize("market", ["us", "eu"])
@pytest.mark.parametrize("key", ["pa", "both"])
def test_a_warning_that_was_only_a_doubt_before_is_told_among_the_allergens(tmp_path, key, market):
    """Natural flavour may hold soy, which is asked; once its supplier says so it must be warned of, and no
    figure goes before that.
    """
    before, after = (
        INGREDIENTS.replace(
            "food: usda/19335", f"food: usda/19335, statement: 'sugar, natural flavor', contains: []{more}"
        )
        for more in ("", ", may_contain: [soy]")
    )
    texts = [declared(tmp_path / "k", key, market, text) for text in (before, after)]
    assert any(h["allergen"] == "soy" for h in texts[0]["may_contain"])
    found = compare_declarations(*texts)
    assert (
        found[0].aspect == "precaution"
        and "missing on the printed label" in found[0].message
        and "soy" in found[0].message.lower()
    )


def test_words_of_the_second_language_count(tmp_path):
    (d,) = compared(tmp_path, "pa", "ca", "fr: farine", "fr: farine de blé")
    assert (
        d.aspect == "statement"
        and d.message.startswith("second language: ingredient statement")
        and "Farine de blé" in d.message
    )


@pytest.mark.parametrize("market", ["us", "eu"])
def test_a_box_names_the_product_that_changed(tmp_path, market):
    found = compared(tmp_path, "both", market, "en: butter", "en: creamery butter")
    assert [d.aspect for d in found] == ["statement"] and found[0].message.startswith(
        "Rounds: ingredient statement"
    )


@pytest.mark.parametrize("market", ["us", "eu"])
def test_figures_of_a_box_are_told_once_for_each_product(tmp_path, market):
    found = compared(tmp_path, "both", market, "9 g sugar", "14 g sugar", "recipes")
    figures = [d.message for d in found if d.aspect == "figure"]
    assert figures and all("Squares" in m for m in figures) and len(figures) == len(set(figures))


def test_a_new_allergen_in_a_box_is_first(tmp_path):
    found = compared(
        tmp_path,
        "both",
        "us",
        "sugar, fr: sucre}, food: usda/19335",
        "sugar with peanut, fr: sucre}, statement: 'sugar, peanut', contains: [peanut], food: usda/19335",
    )
    assert found[0].aspect == "allergen" and "NEW: contains peanut" in found[0].message
    assert [ASPECTS.index(d.aspect) for d in found] == sorted(ASPECTS.index(d.aspect) for d in found)


@pytest.mark.parametrize(
    "change, aspect, words",
    [
        ({"gtin": "0000000000000"}, "other words", "bar code"),
        ({"storage": "Keep dry."}, "other words", "storage"),
        ({"business": ["Another Hill"]}, "other words", "producer"),
        (
            {"front": [{"label": "Fat", "declared": "3 g", "percent": "4%", "colour": "green"}]},
            "other words",
            "front of the pack",
        ),
        ({"claims": [{"text": "vegan", "allowed": True}]}, "claim", "the claim 'vegan' is new"),
        ({"second": {"product": "Ronds"}}, "other words", "the second language is new"),
        (
            {"advisories": ["May contain egg."]},
            "warning",
            "missing on the printed label: 'May contain egg.'",
        ),
        ({"net_quantity": "1 kg"}, "other words", "net quantity"),
    ],
)
def test_every_field_counts(tmp_path, change, aspect, words):
    before = declared(tmp_path / "k", "pa", "us")
    (d,) = compare_declarations(before, before | change)
    assert d.aspect == aspect and words in d.message


@pytest.mark.parametrize(
    "change, aspect, words",
    [
        ({"claims": [{"text": "vegan", "allowed": True}]}, "claim", "the claim 'vegan' no longer holds"),
        ({"second": {"product": "Ronds"}}, "other words", "the second language is gone"),
        (
            {"advisories": ["Keep away from heat."]},
            "warning",
            "no longer asked for: 'Keep away from heat.'",
        ),
    ],
)
def test_what_goes_counts_as_well(tmp_path, change, aspect, words):
    now = declared(tmp_path / "k", "pa", "us")
    (d,) = compare_declarations(now | change, now)
    assert (d.aspect, d.message) == (aspect, words)


def test_a_claim_that_was_refused_was_never_printed(tmp_path):
    now = declared(tmp_path / "k", "pa", "us")
    assert not compare_declarations(now | {"claims": [{"text": "vegan", "allowed": False}]}, now)


def test_letters_that_are_no_longer_bold_count(tmp_path):
    """Regulation (EU) 1169/2011, Article 21(1)(b): an allergen is set off from the rest of the list."""
    before = declared(tmp_path / "k", "pa", "eu")
    plain = before | {"ingredients": [r | {"bold": False} for r in before["ingredients"]]}
    (d,) = compare_declarations(before, plain)
    assert d.aspect == "statement" and "in bold" in d.message


def test_a_record_of_an_earlier_form_without_a_field_is_compared_by_the_rest(tmp_path):
    now = declared(tmp_path / "k", "pa", "us")
    before = {k: v for k, v in now.items() if k not in ("second", "items", "front", "qr", "gtin", "warnings")}
    assert not compare_declarations(before, now)


def test_the_same_words_laid_out_differently_are_still_true(tmp_path):
    words = declared(tmp_path / "k", "pa", "us")
    p = Printing(
        "pa",
        "P",
        "us",
        ON,
        "A1",
        None,
        None,
        None,
        words,
        "as printed",
        b"",
        "0.0.1",
        {},
        (("kitchen", "a.yaml", "1"),),
    )
    (v,) = judge([p], lambda p: Today(words, "as drawn today", p.inputs))
    assert (
        v.true
        and not v.holds
        and [d.aspect for d in v.differences] == ["layout"]
        and "labelgen 0.0.1, now" in v.changed[-1]
    )
    (v,) = judge([p], lambda p: Today(words, "as printed", p.inputs))
    assert v.holds
    (v,) = judge(
        [replace(p, declaration=words | {"storage": "x"})], lambda p: Today(words, "as printed", p.inputs)
    )
    assert not v.true


def test_inputs_that_differ_are_named_once_and_only_what_was_kept_is_compared():
    """A ledger of earlier days did not keep the spices; a kitchen file that is new is told, and one that
    is gone.
    """
    then = (
        ("kitchen", "a.yaml", "1"),
        ("kitchen", "gone.yaml", "1"),
        ("law", "us", "1"),
        ("foods", "", "1"),
        ("code", "cli.py", "1"),
    )
    now = (
        ("kitchen", "a.yaml", "2"),
        ("kitchen", "new.yaml", "1"),
        ("law", "us", "2"),
        ("foods", "", "1"),
        ("code", "cli.py", "1"),
        ("spices", "", "1"),
    )
    old = Printing("p", "P", "us", ON, "A1", None, None, None, {}, "x", b"", __version__, {}, inputs=then)
    (verdict,) = judge([old], lambda p: Today(None, "", now))
    assert verdict.changed == (
        "kitchen file a.yaml",
        "kitchen file gone.yaml",
        "rules of market us",
        "kitchen file new.yaml",
    )
    (verdict,) = judge([replace(old, version="0")], lambda p: Today(None, "", then))
    assert verdict.changed == (f"labelgen 0, now {__version__}",)
