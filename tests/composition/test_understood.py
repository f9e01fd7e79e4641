"""Unread is not absent: how much of a text was understood, and what is said where it was not."""

import csv
from pathlib import Path

import pytest

from labelgen.composition.text.lexicon import survey
from labelgen.composition.text.understood import IN_PART, NOT_READ, READ

HERE = Path(__file__).parent


def reading(text):
    return survey(text).reading


def lists(name):
    with (HERE.parent / "allergens" / name).open(encoding="utf-8", newline="") as file:
        return [r["text"] for r in csv.DictReader(line for line in file if not line.startswith("#"))]


UNREAD = [
    line
    for line in (HERE / "unread_texts.txt").read_text(encoding="utf-8").splitlines()
    if not line.startswith("#")
]


@pytest.mark.parametrize("text", UNREAD)
def test_a_list_in_an_unread_language_is_never_none_found(text):
    """Either it is not read, or the language has been learnt meanwhile and its allergens are found."""
    seen = survey(text)
    assert seen.reading.verdict == NOT_READ or (seen.listed and seen.reading.verdict in (READ, IN_PART))


@pytest.mark.parametrize(
    "text",
    [
        "see packet",
        "?",
        "n/a",
        "xqzzy blorp",
        "as per label",
        "unknown",
        "tbc",
        "none",
        "-",
        "siehe Verpackung",
        "voir emballage",
        "ver envase",
        "vedi confezione",
        "",
    ],
)
def test_words_that_say_nothing_are_no_make_up(text):
    assert reading(text).verdict == NOT_READ


@pytest.mark.parametrize(
    "text, language",
    [
        ("unga wa ngano, sukari, maziwa, mayai", "Swahili"),
        ("bột mì, đường, sữa bột, trứng", "Vietnamese"),
        ("tepung terigu, gula, susu bubuk, telur", "Indonesian or Malay"),
        ("小麦粉、卵、バター", "Japanese"),
        ("밀가루, 설탕, 우유", "Korean"),
        ("面粉, 鸡蛋", "Chinese"),
        ("мука пшеничная, сахар, молоко, яйцо", "Russian"),
        ("دقيق القمح, سكر, حليب", "Arabic"),
        ("blawd gwenith, siwgr, llaeth", "Welsh"),
        ("sugar, cocoa butter, salt", "English"),
        ("Zucker, Kakaobutter, Salz", "German"),
        ("sucre, beurre de cacao, sel", "French"),
        ("azúcar, harina de trigo, sal", "Spanish"),
        ("zucchero, farina di frumento, sale", "Italian"),
        ("qamħ, ħalib, bajd, zokkor", "Maltese"),
    ],
)
def test_the_language_is_named(text, language):
    assert reading(text).looks_like == language


@pytest.mark.parametrize(
    "text, verdict, unread",
    [
        ("sugar, salt, cocoa butter", READ, ()),
        ("E471, E322", READ, ()),
        ("emulsifier E471", READ, ()),
        ("sugar, whey, blorp", IN_PART, ("blorp",)),
        ("bột mì, E471, sorbitol, lecithin, sữa", NOT_READ, ("bột", "sữa")),
        ("sukari, E471, sorbitol, maziwa, mayai", NOT_READ, ("sukari", "maziwa", "mayai")),
        (
            (
                "Sugar, salt, palm oil, cocoa butter, rice flour, yeast, honey, water, apples, pears. Unga"
                " wa ngano, maziwa, mayai, karanga."
            ),
            NOT_READ,
            ("Unga", "wa", "ngano", "maziwa", "mayai", "karanga"),
        ),
        (
            (
                "sugar, salt, palm oil, rice flour, yeast, honey, water, apples, pears, unga ngano maziwa"
                " mayai"
            ),
            IN_PART,
            ("unga", "ngano", "maziwa", "mayai"),
        ),
    ],
)
def test_verdict(text, verdict, unread):
    seen = reading(text)
    assert (seen.verdict, seen.unread) == (verdict, unread)


def test_the_share_is_that_of_the_words():
    assert reading("sugar, salt, cocoa, blorp").share == 0.75 and reading("sugar, 12 %, salt").share == 1


def test_ordinary_lists_are_read():
    texts = lists("packets.csv") + lists("texts.csv")
    lost = [t for t in texts if reading(t).verdict == NOT_READ]
    assert len(lost) <= 0.01 * len(texts) and len(texts) > 2500, lost


def test_what_is_not_read_is_told_with_its_words_and_language():
    assert (
        reading("unga wa ngano, maziwa").told == "not read (it looks like Swahili): unga, wa, ngano, maziwa"
    )
    assert (
        reading("see packet").told == "not read: no word of it names a food" and reading("sugar").told == ""
    )
