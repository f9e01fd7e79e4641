"""The lexicon against foods and texts whose allergens were written down from what the foods are.

foods.csv: foods of the open USDA SR24 table. texts.csv: invented packets, trade words and false friends;
names of allergens in five languages after Regulation (EU) No 1169/2011, Annex II.
"""

from __future__ import annotations

import csv
from pathlib import Path

import pytest

from labelgen import paths
from labelgen.composition.dataset import open_dataset
from labelgen.composition.text.lexicon import allergens_of_food, find_allergens

HERE = Path(__file__).parent


def rows(name: str) -> list[dict[str, str]]:
    with (HERE / name).open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def codes(text: str) -> set[str]:
    return set(text.split()) | ({"gluten/wheat"} if "wheat" in text.split() else set())


FOODS, TEXTS = rows("foods.csv"), rows("texts.csv")


def test_sets_are_large_enough_to_mean_something():
    assert len(FOODS) >= 300 and len(TEXTS) >= 220


@pytest.mark.parametrize("row", FOODS, ids=lambda r: r["id"])
def test_food(row):
    found = {h.allergen for h in allergens_of_food(row["id"], row["name"])}
    wanted = codes(row["contains"])
    assert not wanted - found, "missed"
    groups = {c.partition("/")[0] for c in wanted}
    if row["others"] == "none":
        assert not {c for c in found - wanted if c.partition("/")[0] not in groups}, "false alarm"


@pytest.mark.parametrize("row", TEXTS, ids=lambda r: r["text"][:40])
def test_text(row):
    found = find_allergens(row["text"])
    contains = {h.allergen for h in found.contains}
    assert not codes(row["contains"]) - contains, "missed"
    assert not contains - codes(row["contains"]), "false alarm"
    assert not set(row["may_contain"].split()) - {h.allergen for h in found.may_contain}, "missed warning"


#: Kinds of wheat, and nuts that no market lists.
WHEATS = {
    f"gluten/{c}" for c in ("wheat", "spelt", "kamut", "khorasan", "durum", "einkorn", "emmer", "triticale")
}
UNLISTED = {
    "coconut",
    "chestnut",
    "shea",
    "beech_nut",
    "butternut",
    "chinquapin",
    "ginkgo",
    "hickory",
    "pili",
    "lychee",
    "cola_nut",
    "palm_nut",
}


def plain(found) -> set[str]:
    """Codes without species of fish and shellfish, every wheat as wheat, unlisted nuts left out."""
    found = {c.partition("/")[0] if c.startswith(("fish", "crustacean", "mollusc")) else c for c in found}
    return {"wheat" if c in WHEATS else c for c in found} - UNLISTED


@pytest.mark.parametrize("row", rows("packets.csv"), ids=lambda r: r["text"][:40])
def test_packet(row):
    found = find_allergens(row["text"])
    contains, may = plain(h.allergen for h in found.contains), plain(h.allergen for h in found.may_contain)
    wanted, perhaps, warned = (plain(row[part].split()) for part in ("contains", "perhaps", "may_contain"))
    group = {c.partition("/")[0] for c in wanted if "/" in c}
    assert not {
        c
        for c in wanted - contains
        if c != "tree_nut" or not any(k.startswith("tree_nut/") for k in contains)
    }, "missed"
    assert not {
        c for c in contains - wanted - perhaps - group if c.partition("/")[0] not in wanted | perhaps
    }, "false alarm"
    assert not warned - may - contains - {c.partition("/")[0] for c in may}, "missed warning"


@pytest.mark.parametrize("row", rows("dataset_foods.csv"), ids=lambda r: r["id"])
def test_dataset_food(row):
    food = open_dataset().food(row["id"])
    found = plain(h.allergen for h in allergens_of_food(food.id, food.name))
    wanted, perhaps = plain(row["contains"].split()), plain(row["perhaps"].split())
    assert food.name == row["name"]
    assert not {
        c for c in wanted - found if c != "tree_nut" or not any(k.startswith("tree_nut/") for k in found)
    }, "missed"
    assert "any" in perhaps or not {
        c for c in found - wanted - perhaps if c.partition("/")[0] not in wanted | perhaps
    }, "false alarm"
    assert not row["composite"] or food.composite == (row["composite"] == "yes"), "composite"


WORDS = [(row["allergen"], word) for row in rows("words.csv") for word in row["words"].split("|")]


@pytest.mark.parametrize(
    "written", ["{}", "sugar, {}, salt", "SUGAR ({}); SALT"], ids=["alone", "listed", "bracketed"]
)
def test_words(written):
    missed, alarms = [], []
    for code, word in WORDS:
        text = written.format(word.upper() if written.isupper() else word)
        found = plain(h.allergen for h in find_allergens(text).contains)
        if code == "none":
            alarms += [(word, found)] if found else []
        elif code not in found and not (code == "tree_nut" and any(c.startswith("tree_nut/") for c in found)):
            missed.append((word, code))
    assert not missed and not alarms and len(WORDS) > 900


#: French words that say more or less than the English ones they stand for.
NOT_ALIKE = {
    "cheesecake",
    "dough",
    "kamut flour",
    "loaf",
    "macaroon",
    "roll",
    "tartlet",
    "waffle",
    "whole wheat rye flour",
}


@pytest.mark.parametrize("language, least", [("fr", 500), ("de", 100), ("es", 100), ("it", 100)])
def test_names_in_another_language_tell_what_the_english_ones_tell(language, least):
    with paths.reference("names", f"{language}.csv").open(encoding="utf-8", newline="") as file:
        pairs = [(r["en"], r[language]) for r in csv.DictReader(file) if r["en"] not in NOT_ALIKE]
    told = {
        en: tuple(plain(h.allergen for h in find_allergens(f"x, {word}, x").contains) for word in (en, fr))
        for en, fr in pairs
    }
    assert not {en: both for en, both in told.items() if both[0] != both[1]} and len(pairs) >= least
