"""Every word the code asks for by its name stands in a file of words, and every name there is asked for."""

import re
from pathlib import Path

import pytest

import labelgen
from labelgen import wordlists
from labelgen.wordlists import LANGUAGES, any_of, forms, word_file, words_for

#: Tables that bring words to one form are asked for whole.
FORMS = {"one_form"}


def test_each_name_in_the_files_is_asked_for_and_each_one_asked_for_is_there():
    code = "\n".join(p.read_text(encoding="utf-8") for p in Path(labelgen.__file__).parent.rglob("*.py"))
    tables = {
        f"{table}.{entry}"
        for language in LANGUAGES
        for table, entries in word_file(language).items()
        if isinstance(entries, dict) and table not in FORMS
        for entry in entries
    }
    asked = set(re.findall(r"""(?:words_for|any_of|folded|keyed)\(\s*["'](\w+\.\w+)["']""", code))
    assert asked == tables


def test_words_of_all_languages_come_together_and_each_once():
    assert words_for("denial.negating")[:2] == ("no", "without")
    assert {"ohne", "sin", "sans", "senza"} < set(words_for("denial.negating"))
    assert words_for("denial.closing", "de") == ("oder",)
    assert len(set(words_for("around.milled"))) == len(words_for("around.milled"))
    assert re.fullmatch(any_of("denial.ending"), "freie") and not re.fullmatch(any_of("denial.ending"), "fr")


def test_forms_bring_each_word_to_its_form():
    assert forms("one_form")["yoghurt"] == "yogurt" and forms("one_form")["litchi"] == "lychee"


def test_a_name_that_no_language_has_is_an_error():
    with pytest.raises(KeyError, match="denial.nothing"):
        wordlists.words_for("denial.nothing")
