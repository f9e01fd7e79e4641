"""Rules worded in further languages: a pack read in a language holds its words, everything else stays."""

from datetime import date

import pytest

from labelgen.errors import RuleError
from labelgen.law import pack
from labelgen.law.pack import Pack, read_table

TABLE = """
[all]
effective = 2020-01-01
reviewed = 2026-11-25
cite = "x"
locator = "1"
grade = "memory"
[[rule]]
key = "title"
text = "Nutrition"
fr = {%s = "Valeur"}
[[rule]]
key = "other"
text = "Only so"
"""


@pytest.fixture
def market(tmp_path, monkeypatch):
    def make(word):
        (tmp_path / "panel.toml").write_text(TABLE % word, encoding="utf-8")
        monkeypatch.setattr(pack, "_path", lambda market, table: tmp_path / f"{table}.toml")
        read_table.cache_clear(), pack._in_force.cache_clear()
        return Pack("toy", date(2026, 1, 1)), Pack("toy", date(2026, 1, 1), "fr")

    yield make
    read_table.cache_clear(), pack._in_force.cache_clear()


def test_words_of_the_language_asked_for(market):
    first, french = market("text")
    assert (first.text("panel", "title"), french.text("panel", "title")) == ("Nutrition", "Valeur")
    assert french.text("panel", "other") == "Only so"
    assert french.entry("panel", "title").source == first.entry("panel", "title").source


def test_an_unknown_word_is_refused(market):
    first, _ = market("texte")
    with pytest.raises(RuleError, match="fr words texte"):
        first.entries("panel")
