"""Whatever is known of allergens is said by every output, in every market and language: random kitchens,
judged by the tables.
"""

import tempfile
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.conservation import LANGUAGES, OUTPUTS, faults, invent

LIGHT = tuple(o for o in OUTPUTS if o != "label")


@settings(max_examples=40, deadline=None, derandomize=True)
@given(
    st.integers(0, 10**6),
    st.sampled_from(["pa", "pb", "both"]),
    st.sets(st.sampled_from(LIGHT), min_size=2, max_size=4),
)
def test_no_paper_or_export_loses_a_warning(seed, key, wanted):
    with tempfile.TemporaryDirectory() as folder:
        made = invent(seed)
        assert faults(made, Path(folder) / "k", key, wanted) == [], (made.market, made.language)


@settings(max_examples=12, deadline=None, derandomize=True)
@given(st.integers(0, 10**6), st.sampled_from(["pa", "pb", "both"]))
def test_no_label_loses_a_warning(seed, key):
    with tempfile.TemporaryDirectory() as folder:
        made = invent(seed)
        assert faults(made, Path(folder) / "k", key, ("label",)) == [], (made.market, made.language)


def test_the_kitchens_reach_every_market_and_language():
    reached = {(made.market, made.language) for made in map(invent, range(300))}
    assert reached == {(m, lang) for m, languages in LANGUAGES.items() for lang in languages}
