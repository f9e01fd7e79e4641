"""Letters in their plain form, so that no way of writing them hides an allergen."""

import pytest

from labelgen.composition.text.lexicon import find_allergens
from labelgen.composition.text.plain_letters import plain_letters


@pytest.mark.parametrize(
    "written, plain",
    [
        ("W H E A T  F L O U R", "WHEAT FLOUR"),
        ("C O N T A I N S :  m i l k", "CONTAINS : milk"),
        ("contains m i l k", "contains milk"),
        ("wh\u0435at fl\u043eur", "wheat flour"),
        ("\u0441\u043e\u0441\u043e\u0430, milk powder", "cocoa, milk powder"),
        ("\u041cILK", "MILK"),
        ("ｍｉｌｋ", "milk"),
        ("\ufb02our", "flour"),
        ("𝐦𝐢𝐥𝐤", "milk"),
        ("ᴍɪʟᴋ", "milk"),
        ("mi\u00adl\u200bk", "milk"),
        ("cre\u0300me", "crème"),
        ("какао, молоко", "какао, молоко"),
        ("fındık", "fındık"),
        ("vitamins A C D E", "vitamins A C D E"),
        ("milk x x x", "milk x x x"),
    ],
)
def test_plain_letters(written, plain):
    assert plain_letters(written) == plain


@pytest.mark.parametrize(
    "written, allergen",
    [
        ("W H E A T  F L O U R", "wheat"),
        ("W H E A T F L O U R", "wheat"),
        ("whea t flour", "wheat"),
        ("C O N T A I N S :  m i l k", "milk"),
        ("mìlk? ᴍɪʟᴋ", "milk"),
        ("sugar, m\u0456lk powder", "milk"),
        ("cre\u0300me frai\u0302che", "milk"),
        ("ｈａｚｅｌｎｕｔｓ", "tree_nut/hazelnut"),
        ("e g g", "egg"),
    ],
)
def test_an_allergen_is_seen_however_its_letters_are_written(written, allergen):
    assert allergen in {h.allergen for h in find_allergens(written).contains}
