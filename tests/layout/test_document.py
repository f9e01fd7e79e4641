"""Papers that run over pages: nothing lost, nothing over the edge, headers repeated."""

import pytest

from labelgen import paths
from labelgen.cli import main
from labelgen.layout.document import Table, Text, lay_out_document, plain
from labelgen.pdf.check_label import check_label
from labelgen.pdf.draw import draw_label

DEMO = str(paths.templates("kitchens", "demo"))


@pytest.mark.parametrize("page", ["a4", "letter"])
@pytest.mark.parametrize("landscape", [False, True])
def test_a_long_table_breaks_between_rows(page, landscape):
    rows = tuple(
        (plain(f"ingredient {i} " + "with a long name " * (i % 4)), plain(f"{i} g")) for i in range(120)
    )
    pages = lay_out_document(
        "Title",
        [Text(plain("Heading"), "heading"), Table((3, 1), ("name", "mass"), rows, right=(1,))],
        page,
        landscape,
    )
    assert len(pages) > 2
    said = " ".join(s.text for p in pages for s in p.statements)
    assert all(f"ingredient {i} " in said for i in range(120))
    for p in pages:
        assert check_label(draw_label(p), p) == ()
        assert any(s.text == "name" for s in p.statements)
    for p in pages[1:]:
        # whoever holds a later page alone sees which table it goes on with
        assert [s.text for s in p.statements][:2] == ["Heading (continued)", "name"]


def test_only_the_heading_right_before_a_table_is_repeated():
    rows = tuple((plain(f"row {i}"),) for i in range(60))
    parts = [
        Text(plain("First"), "heading"),
        Table((1,), ("a",), rows[:3]),
        Text(plain("Words between")),
        Table((1,), ("b",), rows),
    ]
    said = [[s.text for s in p.statements] for p in lay_out_document("T", parts)]
    assert (
        len(said) > 1 and said[1][0] == "b" and not any("continued" in text for page in said for text in page)
    )


def test_one_page_is_set_smaller_when_that_saves_one():
    rows = tuple((plain(f"row {i}"),) for i in range(45))
    assert len(lay_out_document("T", [Table((1,), (), rows)])) == 2
    assert len(lay_out_document("T", [Table((1,), (), rows)], one_page=True)) == 1


@pytest.mark.parametrize("market", ["us"])
def test_every_product_has_a_one_page_specification(tmp_path, market):
    import pypdf

    assert (
        main(["declare", "--as", "pdf", "--kitchen", DEMO, "--market", market, "--out", str(tmp_path)]) == 0
    )
    papers = list(tmp_path.glob("*-specification.pdf"))
    assert len(papers) >= 6
    for paper in papers:
        reader = pypdf.PdfReader(paper)
        assert len(reader.pages) == 1 and "Allergens" in reader.pages[0].extract_text()


def test_a_specification_tells_what_the_label_warns_of(tmp_path):
    """Oat thins warn of almond and hazelnut by the maker's decision; the cracker's serving is in whole
    grams, 21 CFR 101.9(b)(7).
    """
    import pypdf

    assert main(["declare", "oat-thins", "--as", "pdf", "--kitchen", DEMO, "--out", str(tmp_path)]) == 0
    lines = pypdf.PdfReader(next(tmp_path.glob("*-specification.pdf"))).pages[0].extract_text().splitlines()
    told = " ".join(lines)
    assert (
        "almonds may contain the maker warns of it" in told
        and "hazelnuts may contain the maker warns of it" in told
    )
    assert "crackers (" in told and "g)" in told and "." not in told.split("crackers (")[1].split("g)")[0]


def test_a_specification_does_not_warn_of_what_the_maker_ruled_out(tmp_path):
    import shutil

    folder = tmp_path / "kitchen"
    shutil.copytree(DEMO, folder)
    recipes = folder / "recipes" / "bread-and-sweets.yaml"
    text = recipes.read_text(encoding="utf-8")
    assert text.count("may_contain: [milk, tree_nut/hazelnut],\n    cross_contact: {") == 1
    recipes.write_text(
        text.replace(
            "may_contain: [milk, tree_nut/hazelnut],\n    cross_contact: {",
            'may_contain: [milk],\n    cross_contact: {tree_nut/hazelnut: "own line, cleaned, 2026-11", ',
        ),
        encoding="utf-8",
    )
    import pypdf

    assert (
        main(["declare", "nut-clusters", "--as", "pdf", "--kitchen", str(folder), "--out", str(tmp_path)])
        == 0
    )
    told = pypdf.PdfReader(next(tmp_path.glob("*-specification.pdf"))).pages[0].extract_text()
    assert "milk" in told and "hazelnut" not in told


def test_an_allergen_is_told_once_on_a_weigh_sheet(tmp_path):
    """Rolled oats and wheat flour: cereals with gluten by their names, wheat not twice."""
    import pypdf

    assert main(["weigh", "oat-thins", "--packs", "2", "--kitchen", DEMO, "--out", str(tmp_path)]) == 0
    told = pypdf.PdfReader(next(tmp_path.glob("*.pdf"))).pages[0].extract_text()
    line = next(part for part in told.split("Allergens in this batch: ")[1:]).split(".")[0]
    assert line.split(", ") == ["milk", "oats (gluten)", "wheat (gluten)"]
