"""The United States panel formats against 21 CFR 101.9(d), (e) and (j)(13), figures typed from the
paragraphs.
"""

from dataclasses import replace
from datetime import date

import pytest

from labelgen.layout.boxes import FillBox, PageLayout, RuleBox
from labelgen.layout.fit import Package, fit_panel
from labelgen.layout.metrics import HEAVY
from labelgen.market.assortment import aggregate_panel
from labelgen.market.declaration_records import Column
from labelgen.pdf.check_label import check_label
from labelgen.pdf.draw import draw_label
from tests.layout.panels import assert_reads_back, texts_of
from tests.layout.samples import assortment, dual_panel, panel, rows

ON = date(2026, 11, 25)
SMALL = Package(total=40 * 25.4**2)
TINY = Package(total=12 * 25.4**2 - 1)
FOOT = ("Not a significant source of trans fat, vitamin D and calcium.",)
#: key -> (a panel, the package, a width [pt], least sizes: title, servings, serving size, calories word,
# number, nutrients)
STANDARD, TABULAR, LITTLE = (16, 10, 10, 16, 22, 8), (10, 10, 9, 10, 22, 8), (10, 9, 9, 10, 14, 8)
FORMATS = {
    "vertical": (panel(foot=FOOT), Package(), 160, STANDARD),
    "vertical_two": (panel(), Package(), 200, STANDARD),
    "side_by_side": (panel(foot=FOOT), Package(), 280, STANDARD),
    "dual_vertical": (dual_panel(), Package(), 260, STANDARD),
    "tabular": (panel(foot=FOOT), Package(), 420, TABULAR),
    "dual_tabular": (dual_panel(), Package(), 640, TABULAR),
    "small_tabular": (panel(), SMALL, 310, LITTLE),
    "small_tabular_stacked": (panel(), SMALL, 240, LITTLE),
    "linear": (panel(), SMALL, 150, LITTLE),
    "tiny_tabular": (panel(), TINY, 270, (6,) * 6),
    "tiny_tabular_stacked": (panel(), TINY, 240, (6,) * 6),
    "tiny_linear": (panel(), TINY, 150, (6,) * 6),
}


def drawn(key):
    sample, package, width, _ = FORMATS[key]
    return fit_panel(sample, "us", ON, width, 215 if "tabular" in key else 600, package, only=(key,))[0]


def texts(block, part=""):
    return [b for b in texts_of(block) if b.part.startswith(part)]


@pytest.mark.parametrize("key", FORMATS)
def test_reads_back_clean(key):
    assert_reads_back(drawn(key), key)


@pytest.mark.parametrize("key", FORMATS)
def test_type_sizes(key):
    """(d)(1)(iii), (d)(2)-(8), (j)(13)(i)(B), (ii)(A)."""
    block = drawn(key)
    title, servings, serving_size, word, number, nutrient = FORMATS[key][3]
    sizes = {s.role.removeprefix("running-"): [] for s in block.statements}
    for statement in block.statements:
        sizes[statement.role.removeprefix("running-")] += [
            b.size_pt for b in texts(block) if b.part == statement.part
        ]
    assert (
        min(sizes["title"]) >= title
        and min(sizes["servings"]) >= servings
        and min(sizes["serving_size"]) >= serving_size
    )
    assert min(sizes["calories"]) >= word and min(sizes["calorie_number"]) >= number
    assert min(sizes["nutrient"] + sizes["vitamin"]) >= nutrient
    assert min(b.size_pt for b in texts(block)) >= 6
    assert min(sizes["title"]) >= max(
        b.size_pt for b in texts(block) if not b.part.startswith("panel.calories")
    )


@pytest.mark.parametrize("key", FORMATS)
def test_bold_where_the_law_says_and_nowhere_else(key):
    """(d)(1)(iv): core names and (d)(7)(ii) percentages are bold; amounts, indented names, vitamins are
    not.
    """
    block = drawn(key)
    parts = {b.part: {x.face for x in texts(block) if x.part == b.part} for b in texts(block)}
    linear = "linear" in key
    for name in ("total_fat", "cholesterol", "sodium", "total_carbohydrate", "protein"):
        assert parts[f"panel.{name}.0" if linear else f"panel.{name}"] & HEAVY
    for name in ("saturated_fat", "dietary_fiber", "total_sugars", "vitamin_d", "iron"):
        assert not parts[f"panel.{name}.0" if linear else f"panel.{name}"] & HEAVY
    assert parts["panel.title"] <= HEAVY
    if not linear:
        assert parts["panel.total_fat.0.percent"] <= HEAVY and parts["panel.saturated_fat.0.percent"] <= HEAVY
        assert not parts["panel.calcium.0.percent"] & HEAVY
        assert parts["panel.serving_size"] <= HEAVY or key.startswith("tiny")


@pytest.mark.parametrize("key", FORMATS)
def test_nutrient_lines_keep_four_points_of_leading(key):
    """(d)(1)(ii): at least 4 points between lines of (d)(7) and (d)(8) information."""
    block = drawn(key)
    roles = {s.part: s.role for s in block.statements}
    lines = [b for b in texts(block) if roles[b.part] in ("nutrient", "vitamin")]
    for a in lines:
        for b in lines:
            if a.y > b.y and a.x < b.x + b.width and b.x < a.x + a.width:
                assert a.y - b.y >= max(a.size_pt, b.size_pt) + 4 - 1e-6, (a, b)


@pytest.mark.parametrize("key", [k for k in FORMATS if "linear" not in k])
def test_hairlines_and_bars(key):
    """(d)(1)(v) hairlines between nutrient lines, (d)(4), (d)(6), (d)(8) bars; a quarter point and 3 to 7
    points in App. B.
    """
    block = drawn(key)
    bars = sorted((b for b in block.boxes if isinstance(b, FillBox)), key=lambda b: -b.y)
    hairlines = [b for b in block.boxes if isinstance(b, RuleBox) and b.thickness == 0.25 and b.y1 == b.y2]
    at = {b.part: b.y for b in texts(block)}
    assert any(at["panel.calories"] < b.y < at["panel.serving_size"] for b in bars)
    fat, sugars = (
        next(b for b in texts(block) if b.part == f"panel.{n}") for n in ("total_fat", "added_sugars")
    )
    assert any(at["panel.total_fat"] < b.y and b.x <= fat.x < b.x + b.width for b in bars)
    assert any(
        at["panel.saturated_fat"] < r.y1 < at["panel.total_fat"] and r.x1 <= fat.x + 1 for r in hairlines
    )
    if key != "side_by_side":
        assert any(at["panel.vitamin_d"] < b.y < at["panel.protein"] for b in bars)
    added = next(
        r
        for r in hairlines
        if at["panel.added_sugars"] < r.y1 < at["panel.total_sugars"] and r.x1 <= sugars.x < r.x2
    )
    others = next(
        r
        for r in hairlines
        if at["panel.total_sugars"] < r.y1 < at["panel.dietary_fiber"] and r.x1 <= sugars.x < r.x2
    )
    assert added.x1 > others.x1 and added.x2 == others.x2


def test_vitamins_two_a_line():
    """(d)(8): vitamin D and calcium on the first line, iron and potassium on the second."""
    at = {b.part: (b.x, b.y) for b in texts(drawn("vertical_two"))}
    d, ca, fe, k = (at[f"panel.{n}"] for n in ("vitamin_d", "calcium", "iron", "potassium"))
    assert d[1] == ca[1] > fe[1] == k[1] and d[0] == fe[0] < ca[0] == k[0]


def test_footnote_stands_at_the_far_right_of_a_tabular_panel():
    """(d)(11)(iii)."""
    block = drawn("tabular")
    assert min(b.x for b in texts(block, "panel.footnote")) > max(b.x for b in texts(block, "panel.calcium"))


def test_dual_columns_are_of_equal_prominence_and_parted_by_lines():
    """(e)(6): per serving first, per container second, same size, vertical lines between."""
    block = drawn("dual_vertical")
    one, two = (next(b for b in texts(block, f"panel.calories.{n}")) for n in (0, 1))
    assert one.size_pt == two.size_pt and one.x < two.x and one.y == two.y
    lines = [b.x1 for b in block.boxes if isinstance(b, RuleBox) and b.x1 == b.x2]
    assert any(one.x < x < two.x for x in lines)


def test_small_packages_may_leave_the_second_column_out():
    """(b)(12)(i)(A)."""
    block, why = fit_panel(dual_panel(), "us", ON, 330, 200, SMALL)
    assert "tabular panel for small packages" in why and "'Per serving' alone" in why
    assert not texts(block, "panel.calories.1")


def test_abbreviations_only_on_small_packages():
    """(j)(13)(ii)(B), and no vitamin amounts there, (c)(8)(ii)."""
    block, why = fit_panel(panel(), "us", ON, 276, 200, SMALL, only=("small_tabular",))
    said = {s.text for s in block.statements}
    assert "with abbreviations" in why and {"Total carb", "Cholest", "Fiber", "Servings: about 6"} <= said
    assert not texts(block, "panel.vitamin_d.0.amount")
    assert "Total Carbohydrate" in {s.text for s in drawn("vertical").statements}


@pytest.mark.parametrize("key", ["tabular", "dual_tabular"])
def test_tabular_only_where_height_lacks(key):
    """(d)(11)(iii): less than about 3 inches."""
    from labelgen.errors import NoRoomError

    with pytest.raises(NoRoomError, match="3 in"):
        fit_panel(FORMATS[key][0], "us", ON, 640, 3 * 72.0, only=(key,))


@pytest.mark.parametrize("area_sq_in, allowed", [(11.99, True), (12, False), (40, False), (None, False)])
def test_six_point_type_only_below_twelve_square_inches(area_sq_in, allowed):
    """(j)(13)(i)(B)."""
    from labelgen.errors import NoRoomError

    package = Package(total=area_sq_in and area_sq_in * 25.4**2)
    try:
        why = fit_panel(panel(), "us", ON, 150, 100, package)[1]
    except NoRoomError:
        why = ""
    assert ("6 point" in why) == allowed


@pytest.mark.parametrize("foods, width", [(2, 300), (3, 420), (5, 420), (24, 400)])
def test_aggregate_panel_of_several_foods(foods, width):
    """(h)(2), (d)(13): per serving of each food; the names right of the heading, an amount and a
    percentage for each.
    """
    block, why = fit_panel(assortment(foods), "us", ON, width)
    whole = PageLayout(block.width, block.height, block.boxes, block.statements, "assortment")
    assert check_label(draw_label(whole), whole) == () and "aggregate" in why
    titles = texts(block, "panel.title")
    names = texts(block, "panel.column_heading")
    said = " ".join(s.text for s in block.statements if s.role == "column_heading")
    assert all(column.heading in said for column in assortment(foods).columns)
    for name in names:
        title = min((t for t in titles), key=lambda t: abs(t.y - name.y))
        assert name.x >= title.x + title.width
    assert len([s for s in block.statements if s.role == "calorie_number"]) == foods
    assert min(b.size_pt for b in titles) >= 16 and {b.size_pt for b in texts(block, "panel.servings")} == {
        10
    }


def test_assortment_of_declared_panels():
    """The columns keep each food's figures; foods with different rows take no shared panel."""
    one, two = panel(), panel((Column("", 40.0, rows(2)),))
    both = aggregate_panel([("One", one), ("Two", two)])
    assert [c.heading for c in both.columns] == ["One", "Two"] and both.columns[1].rows == rows(2)
    assert aggregate_panel([("One", one), ("Two", panel((Column("", 40.0, rows()[:-1]),)))]) is None


@pytest.mark.parametrize(
    "household, size",
    [
        ("2 biscuits", 10),
        ("1/12 package of large tartlets", 8),
        ("1/12 of the whole package of tartlet halves", 8),
    ],
)
def test_serving_size_may_be_eight_point_where_it_does_not_fit_otherwise(household, size):
    """(d)(3)(ii): 10 points, 8 on a package of any size where the line does not fit."""
    sample = panel()
    sample = replace(sample, serving=replace(sample.serving, household=household, metric="125g"))
    block = fit_panel(sample, "us", ON, 150, 600, only=("vertical",))[0]
    whole = PageLayout(block.width, block.height, block.boxes, block.statements, "panel")
    assert check_label(draw_label(whole), whole) == ()
    assert {b.size_pt for b in texts(block, "panel.serving_size")} == {size}
