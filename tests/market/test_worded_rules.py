"""Rules worded in further languages: a pack read in a language holds its words, everything else stays."""

from datetime import date

import pytest

from labelgen.errors import RuleError
from labelgen.law import pack
from labelgen.law.figure_tables import PanelText
from labelgen.law.pack import Pack

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
        pack.forget()
        return Pack("toy", date(2026, 1, 1)), Pack("toy", date(2026, 1, 1), "fr")

    yield make
    pack.forget()


def test_words_of_the_language_asked_for(market):
    first, french = market("text")
    assert (first.text(PanelText, "title"), french.text(PanelText, "title")) == ("Nutrition", "Valeur")
    assert french.text(PanelText, "other") == "Only so"
    assert french.entry(PanelText, "title").source == first.entry(PanelText, "title").source


def test_an_unknown_word_is_refused(market):
    first, _ = market("texte")
    with pytest.raises(RuleError, match="fr words texte"):
        first.entries(PanelText)
