"""Canadian labels of the demonstration kitchen: printed in both languages, read back, and honest about
what they lack.
"""

import io
from datetime import date

import pypdf
import pytest

from labelgen import paths
from labelgen.chain import make_label, roll_up_folder
from labelgen.cli import main
from labelgen.order import Order

DEMO = str(paths.templates("kitchens", "demo"))


@pytest.fixture(scope="module")
def demo():
    return roll_up_folder(DEMO)


def test_every_product_prints_in_both_languages(demo):
    """B.01.012: what must be told is told in English and French. Words are read from the PDF by a second
    library.
    """
    assert len(demo.profiles) >= 8
    for key in demo.profiles:
        pdf, findings = make_label(demo, key, Order("ca", date(2026, 11, 25), made_on=date(2026, 11, 25)))
        assert pdf, [f.message for f in findings if f.blocks]
        text = " ".join(pypdf.PdfReader(io.BytesIO(pdf)).pages[0].extract_text().split())
        for words in (
            "Nutrition Facts",
            "Valeur nutritive",
            "Ingredients:",
            "Ingrédients :",
            "Contains:",
            "Contient :",
            "Best before / Meilleur avant 202",
        ):
            assert words in text, (key, words)
        product = demo.kitchen.products[key]
        assert product.also["fr"]["identity"] in text and product.also["fr"]["storage"] in text


def test_a_label_that_needs_the_symbol_is_not_ready_to_sell(tmp_path, capsys):
    assert (
        main(
            [
                "label",
                "lantern-biscuits",
                "--market",
                "ca",
                "--kitchen",
                DEMO,
                "--on",
                "2026-11-25",
                "--out",
                str(tmp_path),
            ]
        )
        == 0
    )
    out = capsys.readouterr().out
    assert (
        "lantern-biscuits.pdf, NOT READY TO SELL" in out
        and "Directory of Nutrition Symbol Specifications" in out
    )
    assert (
        main(
            [
                "label",
                "lantern-biscuits",
                "--market",
                "us",
                "--kitchen",
                DEMO,
                "--on",
                "2026-11-25",
                "--out",
                str(tmp_path),
            ]
        )
        == 0
    )
    assert "NOT READY" not in capsys.readouterr().out


def test_check_asks_what_canada_asks(capsys):
    main(["check", DEMO, "--market", "ca", "--on", "2026-11-25"])
    out = capsys.readouterr().out
    assert "asked-one-sitting" in out and "asked-quebec" in out and "exemption-farmers-market" in out
    assert "by the very person who prepared" in out and "200 cm²" in out


def test_the_type_of_the_list_is_as_high_as_the_tables(demo):
    """B.01.008.1: at least 1.4 mm in x-height, and the same height as the nutrients of a table of at least
    8 pt.
    """
    from labelgen.chain import declare_product
    from labelgen.layout.boxes import TextBox
    from labelgen.layout.metrics import face
    from labelgen.layout.whole_label import lay_out_label

    layout = lay_out_label(declare_product(demo, "oat-thins", Order("ca", date(2026, 11, 25))))
    roles = {s.part: s.role for s in layout.statements}
    sizes = {
        role: {b.size_pt for b in layout.boxes if isinstance(b, TextBox) and roles.get(b.part) == role}
        for role in set(roles.values())
    }
    assert sizes["ingredients"] == sizes["ingredients1"] == sizes["nutrient"]
    assert min(sizes["ingredients"]) * face("regular").x_height * 25.4 / 72 >= 1.4
