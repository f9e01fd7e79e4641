"""From a kitchen to the finished file: what the serving calls for is what the panel shows."""

import io
import shutil
from datetime import date

import pytest

from labelgen import paths
from labelgen.chain import declare_product, make_label, roll_up_folder
from labelgen.layout.boxes import PageLayout
from labelgen.layout.fit import fit_panel
from labelgen.order import Order
from labelgen.pdf.check_label import check_label
from labelgen.pdf.draw import draw_label

ON = date(2026, 11, 25)


@pytest.fixture(scope="module")
def demo():
    return roll_up_folder(paths.templates("kitchens", "demo"))


def kitchen_with(folder, pieces):
    """The demo kitchen, its biscuits (16 g) packed by another number."""
    shutil.copytree(paths.templates("kitchens", "demo"), folder, dirs_exist_ok=True)
    recipes = folder / "recipes" / "biscuits.yaml"
    text = recipes.read_text("utf-8")
    assert "of: lantern, pieces: 12" in text
    recipes.write_text(text.replace("of: lantern, pieces: 12", f"of: lantern, pieces: {pieces}"), "utf-8")
    return roll_up_folder(folder)


@pytest.mark.parametrize("pieces, columns", [(3, 1), (4, 2), (5, 2), (6, 1)])
def test_two_columns_from_two_to_three_reference_amounts(tmp_path, pieces, columns):
    """21 CFR 101.9(b)(12)(i): 60 to 90 g of cookies (reference amount 30 g), so 4 or 5 of 16 g, are shown
    per container too.
    """
    from pypdf import PdfReader

    rolled = kitchen_with(tmp_path, pieces)
    pdf, findings = make_label(rolled, "lantern-biscuits", Order("us", ON))
    assert pdf is not None, findings
    text = PdfReader(io.BytesIO(pdf)).pages[0].extract_text()
    panel = declare_product(rolled, "lantern-biscuits", Order("us", ON)).panel
    assert len(panel.columns) == columns
    assert ("Per container" in text) == ("Per serving" in text) == (columns == 2)
    for column in panel.columns:
        assert column.rows[0].declared in text
    if columns == 2:
        serving, container = (float(c.rows[0].declared) for c in panel.columns)
        assert container == pytest.approx(serving * pieces / 2, rel=0.06)


@pytest.mark.parametrize("market", ["us", "eu", "uk", "ca", "au", "nz"])
@pytest.mark.parametrize(
    "key", ["lantern-biscuits", "oat-thins", "almond-pebbles", "salted-caramels", "hill-loaf"]
)
def test_declared_panels_of_every_market_read_back(demo, market, key):
    panel = declare_product(demo, key, Order(market, ON)).panel
    block, why = fit_panel(panel, market, ON, 420, 600)
    layout = PageLayout(block.width, block.height, block.boxes, block.statements, key)
    assert check_label(draw_label(layout), layout) == () and why
    said = "".join("".join(s.text.split()) for s in block.statements)
    for column in panel.columns:
        for row in column.rows:
            assert "".join(row.declared.split()) in said and "".join(row.percent.split()) in said


@pytest.mark.parametrize("size, code", [("60x120mm", 0), ("30x30mm", 1)])
def test_panel_command_says_which_format_fits_and_why(capsys, size, code):
    import json

    from labelgen.cli import main

    kitchen = str(paths.templates("kitchens", "demo"))
    assert (
        main(
            [
                "panel",
                "lantern-biscuits",
                "--kitchen",
                kitchen,
                "--on",
                "2026-11-25",
                "--fit",
                size,
                "--json",
            ]
        )
        == code
    )
    said = json.loads(capsys.readouterr().out)["fit"]
    if code == 0:
        assert said["fits"] and "cfr-21-101-9" in said["why"] and said["mm"][0] <= 60 and said["mm"][1] <= 120
    else:
        assert not said["fits"] and max(said["least_mm"]) > 30 and said["offers"]
