"""The Canadian tables against the Food and Drug Regulations B.01.450-455 and the description of the
directory's figures.
"""

from dataclasses import replace
from datetime import date

import pytest

from labelgen.errors import NoRoomError
from labelgen.layout.boxes import FillBox, RuleBox
from labelgen.layout.fit import Package, fit_panel
from labelgen.layout.metrics import HEAVY
from tests.layout.panels import assert_reads_back, texts_of
from tests.layout.samples import ca_panel

ON = date(2026, 11, 25)
BOTH, ENGLISH = ca_panel(), ca_panel(False)
#: key -> (panel, width [pt], least size of the nutrient lines): the point sizes of B.01.454's lists
FORMATS = {
    "bilingual_eight": (BOTH, 180, 8),
    "bilingual_seven": (BOTH, 170, 7),
    "bilingual_six": (BOTH, 150, 6),
    "pair_eight": (BOTH, 300, 8),
    "narrow_pair_seven": (BOTH, 110, 7),
    "horizontal_seven": (BOTH, 350, 7),
    "horizontal_six": (BOTH, 300, 6),
    "linear_seven": (BOTH, 200, 7),
    "linear_six": (BOTH, 120, 6),
    "standard_eight": (ENGLISH, 140, 8),
    "standard_six": (ENGLISH, 120, 6),
    "narrow_eight": (ENGLISH, 100, 8),
}


def drawn(key):
    panel, width, _ = FORMATS[key]
    return fit_panel(panel, "ca", ON, width, 900, only=(key,))[0]


def texts(block, text=""):
    return [b for b in texts_of(block) if b.text.startswith(text)]


@pytest.mark.parametrize("key", FORMATS)
def test_reads_back_clean(key):
    assert_reads_back(drawn(key), key)


@pytest.mark.parametrize("key", FORMATS)
def test_nutrient_lines_have_the_size_of_their_version(key):
    """B.01.450(3.1): the size in parentheses is the least of the nutrient lines."""
    block = drawn(key)
    roles = {s.part: s.role for s in block.statements}
    assert min(b.size_pt for b in texts(block) if roles[b.part] in ("nutrient", "vitamin")) == FORMATS[key][2]
    assert min(b.size_pt for b in texts(block)) >= 6


@pytest.mark.parametrize("key", FORMATS)
def test_both_languages_or_one(key):
    said = " ".join(b.text for b in texts(drawn(key)))
    french = FORMATS[key][0].second is not None
    assert "Nutrition Facts" in said
    for words in ("Valeur nutritive", "Lipides", "beaucoup", "Fer"):
        assert (words in said) == french


def test_figures_stand_once_in_the_bilingual_table():
    block = drawn("bilingual_eight")
    assert len(texts(block, "120 mg")) == 1 and len(texts(block, "Sodium")) == 1
    assert texts(block, "Fat / Lipides") and texts(block, "Carbohydrate / Glucides")


@pytest.mark.parametrize("key", ["bilingual_eight", "standard_eight", "narrow_eight"])
def test_rules_and_bold(key):
    """A thin rule after trans, sugars and protein, none between fat, saturated and trans; the rule under
    the calories ends after the number; names in bold, amounts and indented names not.
    """
    block = drawn(key)
    at = {b.part.rpartition(".")[2]: b for b in texts(block)}
    y = {
        name: at[name].y
        for name in (
            "fat",
            "saturated",
            "trans",
            "carbohydrate",
            "fibre",
            "sugars",
            "protein",
            "cholesterol",
        )
    }
    thin = [b.y1 for b in block.boxes if isinstance(b, RuleBox) and b.y1 == b.y2 and b.x1 > 1]

    def between(upper, lower):
        return any(y[lower] < line < y[upper] for line in thin)

    assert (
        between("trans", "carbohydrate")
        and between("sugars", "protein")
        and between("protein", "cholesterol")
    )
    assert (
        not between("fat", "saturated")
        and not between("saturated", "trans")
        and not between("carbohydrate", "sugars")
    )
    calories = at["calories"]
    bar = next(b for b in block.boxes if isinstance(b, FillBox) and b.y < calories.y)
    assert bar.x + bar.width == pytest.approx(calories.x + calories.width) and bar.height >= 2
    assert {at[n].face for n in ("fat", "carbohydrate", "protein", "cholesterol", "sodium")} <= HEAVY
    assert not {at[n].face for n in ("saturated", "trans", "fibre", "sugars", "potassium", "iron")} & HEAVY


@pytest.mark.parametrize("key", ["linear_seven", "linear_six"])
def test_running_text_keeps_the_telling_words_bold_and_the_languages_apart(key):
    """As the tables of the directory's figures set them; each language ends before the next begins."""
    block = drawn(key)
    for words in ("a little", "a lot", "peu", "beaucoup"):
        found = [b for b in texts(block) if words in b.text and "footnote" in b.part]
        assert found and all(b.face in HEAVY for b in found)
    (english,) = [s.text for s in block.statements if "footnote" in s.part and "a lot" in s.text]
    assert english.endswith(".")


def test_one_percentage_for_saturated_and_trans_half_way_between_them():
    block = drawn("bilingual_eight")
    percent = next(b for b in texts(block) if b.part.endswith("sat_plus_trans.percent"))
    lines = [
        next(b.y for b in texts(block) if b.part.endswith(f".{name}")) for name in ("saturated", "trans")
    ]
    assert percent.text == "21%" and percent.y == pytest.approx(sum(lines) / 2)


def test_fifteen_percent_of_the_display_surface():
    """B.01.454: the largest version that takes no more than 15 % of the display surface; beyond it only
    when none does.
    """
    space = (400, 400)
    for display, most in ((200_000, 0.15), (40_000, 0.15), (20_000, 0.15)):
        block, why = fit_panel(BOTH, "ca", ON, *space, Package(display=display))
        area = block.width * block.height / (72 / 25.4) ** 2
        assert area <= most * display and "within 15%" in why
    block, why = fit_panel(BOTH, "ca", ON, *space, Package(display=5_000))
    assert "beyond 15%" in why
    assert "was not tested" in fit_panel(BOTH, "ca", ON, *space)[1]


def test_offers_where_nothing_fits():
    """B.01.466-469: a tag or insert always; on request below 100 cm2."""
    with pytest.raises(NoRoomError) as refused:
        fit_panel(BOTH, "ca", ON, 70, 70, Package(display=9_000))
    said = " ".join(refused.value.offers)
    assert "tag" in said and "toll-free number" in said and "no table" not in said
    with pytest.raises(NoRoomError) as refused:
        fit_panel(BOTH, "ca", ON, 70, 70, Package(display=10_000))
    assert "toll-free number" not in " ".join(refused.value.offers)


@pytest.mark.parametrize("key", ["horizontal_seven", "horizontal_six"])
def test_the_columns_of_a_horizontal_table_are_kept_apart(key):
    """Columns that come out equally wide are still two: each heading is a text of its own."""
    rows = BOTH.columns[0].rows
    short = [
        replace(r, declared=r.declared and "1 g", percent=r.percent and "1%", label=r.label[:9]) for r in rows
    ]
    even = replace(
        BOTH,
        columns=(replace(BOTH.columns[0], rows=tuple(short)),),
        second=replace(BOTH.second, columns=(replace(BOTH.second.columns[0], rows=tuple(short)),)),
    )
    block, _ = fit_panel(even, "ca", ON, 400, 900, only=(key,))
    parts = [s.part for s in block.statements]
    assert len(parts) == len(set(parts))
    assert_reads_back(block, key)
