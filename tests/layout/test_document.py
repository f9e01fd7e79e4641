"""Papers that run over pages: nothing lost, nothing over the edge, headers repeated."""

import pytest

from labelgen import paths
from labelgen.cli import main
from labelgen.layout.document import Table, Text, lay_out_document, plain
from labelgen.pdf.check import check_label
from labelgen.pdf.draw import draw_label

DEMO = str(paths.templates("kitchens", "demo"))


@pytest.mark.parametrize("page", ["a4", "letter"])
@pytest.mark.parametrize("landscape", [False, True])
def test_a_long_table_breaks_between_rows(page, landscape):
    rows = tuple((plain(f"ingredient {i} " + "with a long name " * (i % 4)), plain(f"{i} g")) for i in range(120))
    pages = lay_out_document("Title", [Text(plain("Heading"), "heading"), Table((3, 1), ("name", "mass"), rows, right=(1,))], page, landscape)
    assert len(pages) > 2
    said = " ".join(s.text for p in pages for s in p.statements)
    assert all(f"ingredient {i} " in said for i in range(120))
    for p in pages:
        assert check_label(draw_label(p), p) == ()
        assert any(s.text == "name" for s in p.statements)


def test_one_page_is_set_smaller_when_that_saves_one():
    rows = tuple((plain(f"row {i}"),) for i in range(45))
    assert len(lay_out_document("T", [Table((1,), (), rows)])) == 2
    assert len(lay_out_document("T", [Table((1,), (), rows)], one_page=True)) == 1


@pytest.mark.parametrize("market", ["us"])
def test_every_product_has_a_one_page_specification(tmp_path, market):
    import pypdf

    assert main(["declare", "--as", "pdf", "--kitchen", DEMO, "--market", market, "--out", str(tmp_path)]) == 0
    papers = list(tmp_path.glob("*-specification.pdf"))
    assert len(papers) >= 6
    for paper in papers:
        reader = pypdf.PdfReader(paper)
        assert len(reader.pages) == 1 and "Allergens" in reader.pages[0].extract_text()
