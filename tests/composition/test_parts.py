"""Long texts: read in parts that together are the text, and told where one is longer than any packet's."""

from labelgen.composition.text.lexicon import find_allergens, survey
from labelgen.composition.text.long_texts import LONGEST, LONGEST_PART, in_parts
from labelgen.composition.text.understood import NOT_READ


def test_parts_are_the_text_and_none_is_longer_than_read_at_once():
    text = "sugar, salt. " * 1000
    parts = in_parts(text)
    assert "".join(parts) == text and max(map(len, parts)) <= LONGEST_PART


def test_an_allergen_at_the_end_of_a_long_sheet_is_found():
    assert [h.allergen for h in find_allergens("sugar, salt, " * 800 + "whey").contains] == ["milk"]


def test_a_text_longer_than_any_packet_is_not_read():
    reading = survey("sugar, " * LONGEST).reading
    assert reading.verdict == NOT_READ and "more than a packet says" in reading.told
