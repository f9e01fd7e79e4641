"""Texts in CSV that a spreadsheet would take for formulas: OWASP, CSV Injection (signs and their cure)."""

import pytest

from labelgen.export.cells import as_written, harmless


@pytest.mark.parametrize("text", ["=1+1", "+ Trans", "-5", "@SUM(A1)", "\t=1", "\r=1", "'=1", "''"])
def test_a_risky_text_is_no_formula_and_reads_back(text):
    assert harmless(text) == "'" + text and as_written(harmless(text)) == text


@pytest.mark.parametrize("text", ["", "Oat thins", "5 g", "<1 g", "O'Hill"])
def test_any_other_text_stands_as_it_is(text):
    assert harmless(text) == text and as_written(text) == text
