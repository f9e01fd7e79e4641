"""Whole labels: arrangements by the room there is, the display panel's size, codes, and what does not fit."""

from dataclasses import replace
from datetime import date

import pytest

from labelgen.chain import declare_product, draw_product, roll_up_folder
from labelgen.cli import main
from labelgen.errors import LayoutError
from labelgen.layout.boxes import CodeBox, TextBox
from labelgen.layout.label_stock import read_size, single_stock, stock_named
from labelgen.layout.linebreak import break_runs
from labelgen.layout.metrics import face
from labelgen.layout.whole_label import fit_label, lay_out_label, least_size
from labelgen.market.declaration_records import Run
from labelgen.order import Job, Order
from labelgen.paths import templates
from labelgen.pdf.check_label import check_label
from labelgen.pdf.draw import draw_pages
from tests.layout import samples

#: Odd-parity digit patterns of the EAN/UPC symbology (ISO/IEC 15420, from memory); the right half is their
# complement.
LEFT = [
    "0001101",
    "0011001",
    "0010011",
    "0111101",
    "0100011",
    "0110001",
    "0101111",
    "0111011",
    "0110111",
    "0001011",
]


def sized(text):
    return single_stock(*read_size(text))


def fitted(declaration, text):
    faces = fit_label(declaration, sized(text)).faces
    assert check_label(draw_pages(faces), *faces) == ()
    return faces


@pytest.mark.parametrize(
    "size, names",
    [
        ("200x200mm", ["panel left, text right"]),
        ("70x190mm", ["stacked"]),
        ("190x105mm", ["text left, panel right"]),
        ("105x100mm", ["text", "panel"]),
    ],
)
def test_arrangement_follows_the_room(size, names):
    assert [f.arrangement for f in fitted(samples.declaration(), size)] == names


@pytest.mark.parametrize("name", samples.EVERY)
def test_every_sample_on_a_page_of_its_own(name):
    for face_ in fitted(samples.EVERY[name](), "200x280mm"):
        assert face_.width_pt == pytest.approx(200 * 72 / 25.4)


def net_height(faces):
    """x-height of the net quantity in inches."""
    (box,) = {
        b.size_pt: b for f in faces for b in f.boxes if isinstance(b, TextBox) and b.part == "net-quantity"
    }.values()
    return box.size_pt * face(box.face).x_height / 72


def test_net_quantity_grows_with_the_display_panel():
    """21 CFR 101.7(h)-(i): 1/8 in up to 25 sq in, 3/16 in up to 100; the package's side counts where it is
    known.
    """
    said = samples.short()
    assert 1 / 8 <= net_height(fitted(said, "101x150mm")) < 1 / 8 + 0.01
    assert (
        3 / 16 <= net_height(fitted(replace(said, package=(200.0, 150.0, 50.0)), "101x150mm")) < 3 / 16 + 0.01
    )


def test_net_quantity_stands_in_the_lowest_part_by_itself():
    """21 CFR 101.7(f): within the lowest 30 %, clear above by the height of its letters."""
    for name in ("letter-1", "letter-2", "letter-4", "fold-6x8in"):
        front = fit_label(samples.declaration(), stock_named(name)).faces[0]
        net = [b for b in front.boxes if isinstance(b, TextBox) and b.part == "net-quantity"]
        top = max(b.y + b.size_pt * face(b.face).cap_height for b in net)
        assert top <= 0.3 * front.height_pt
        right = max(b.x + b.width for b in net)
        over = [
            b.y
            for b in front.boxes
            if isinstance(b, TextBox) and b.part != "net-quantity" and b.y > top and b.x < right
        ]
        assert not over or min(over) - top >= net[0].size_pt * face("bold").x_height


def test_figure_and_unit_stay_together():
    narrow = fitted(replace(samples.short(), net_quantity="Net Wt 24 oz (1 lb 8 oz) 680g"), "60x190mm")
    lines = [b.text for f in narrow for b in f.boxes if isinstance(b, TextBox) and b.part == "net-quantity"]
    assert len(lines) > 1 and not any(line.rstrip()[-1].isdigit() for line in lines)


def test_a_back_names_its_product():
    """Backs of different products in one pile cannot be told apart otherwise: the wrong list is the worst
    slip.
    """
    for name in ("fold-6x8in", "tag-80x130mm", "letter-4-square"):
        _front, *backs = fit_label(samples.declaration(), stock_named(name)).faces
        assert backs and all(any(s.text == "Lantern Biscuits" for s in back.statements) for back in backs)


def test_too_small_tells_the_least_size_and_what_would_do():
    said = samples.declaration()
    with pytest.raises(LayoutError) as refused:
        fit_label(said, stock_named("letter-30"))
    assert "66.7 x 25.4 mm" in str(refused.value) and "--stock letter-" in str(refused.value)
    width, height = least_size(said, stock_named("letter-30"))
    assert fit_label(said, replace(stock_named("letter-30"), width=width, height=height)).faces


def test_narrow_labels_say_how_wide_they_must_be():
    with pytest.raises(LayoutError, match="needs .* in: choose a wider one"):
        lay_out_label(samples.declaration(), 90)


def test_letters_no_face_can_draw_are_named():
    with pytest.raises(LayoutError, match="U\\+4E00"):
        lay_out_label(samples.declaration(storage="keep 一 dry"))


@pytest.mark.parametrize("gtin", ["012345678905", "4006381333931", "96385074"])
def test_bar_code_stands_clear_and_is_drawn(gtin):
    """Quiet zones of 9 to 11 modules (GS1 General Specifications, from memory); the digits stand below in
    full.
    """
    (whole,) = fitted(samples.declaration(gtin=gtin, qr="https://example.org"), "200x200mm")
    code, bars = sorted((b for b in whole.boxes if isinstance(b, CodeBox)), key=lambda b: b.kind != "qr")
    assert code.kind == "qr" and any(s.text == gtin for s in whole.statements)
    quiet = 7 * bars.width / (67 if len(gtin) == 8 else 95)
    for box in whole.boxes:
        if isinstance(box, TextBox) and box.part != "gtin" and bars.y < box.y < bars.y + bars.height:
            assert box.x + box.width <= bars.x - quiet or box.x >= bars.x + bars.width + quiet


def test_bars_decode_to_the_digits():
    import pypdfium2

    (whole,) = fitted(samples.declaration(gtin="012345678905"), "200x200mm")
    (bars,) = [b for b in whole.boxes if isinstance(b, CodeBox)]
    scale = 8
    image = pypdfium2.PdfDocument(draw_pages([whole]))[0].render(scale=scale).to_pil().convert("L")
    y = int((whole.height_pt - bars.y - bars.height / 2) * scale)
    module = bars.width / 95
    seen = "".join(
        "01"[image.getpixel((int((bars.x + (n + 0.5) * module) * scale), y)) < 128] for n in range(95)
    )
    assert seen[:3] == seen[-3:] == "101" and seen[45:50] == "01010"
    left = [LEFT.index(seen[3 + 7 * n : 10 + 7 * n]) for n in range(6)]
    right = [LEFT.index(seen[50 + 7 * n : 57 + 7 * n].translate(str.maketrans("01", "10"))) for n in range(6)]
    assert "".join(map(str, left + right)) == "012345678905"


@pytest.mark.parametrize(
    "key, value, said",
    [
        ("gtin", '"012345678906"', "would have to be 5"),
        ("gtin", '"12345"', "8, 12 or 13"),
        ("package", "big", "10 x 15 x 4 cm"),
        ("qr", "x" * 101, "100 bytes"),
    ],
)
def test_faults_of_codes_and_package(key, value, said, tmp_path, capsys):
    import shutil

    kitchen = tmp_path / "k"
    shutil.copytree(templates("kitchens", "starter"), kitchen)
    recipe = kitchen / "recipes" / "shortbread.yaml"
    text = recipe.read_text().replace(
        "products:\n", f"products:\n  extra: {{name: Extra, of: nothing, {key}: {value}}}\n", 1
    )
    recipe.write_text(text)
    assert main(["check", str(kitchen)]) == 1
    assert said in capsys.readouterr().out


def test_the_first_format_that_fits_goes_before_larger_letters():
    """Regulation (EU) 1169/2011 Art 34(2): a table where there is space for one, else linear form."""
    from datetime import date

    from labelgen.chain import declare_product, roll_up_folder

    rolled = roll_up_folder(templates("kitchens", "demo"))
    said = declare_product(rolled, "lantern-biscuits", Order("eu", date(2026, 11, 25)))
    for size, table in (("99x68mm", True), ("63x45mm", False)):
        (panel,) = [f for f in fitted(said, size) if any(s.part.startswith("panel") for s in f.statements)]
        assert any(s.text == "of which sugars" for s in panel.statements) == table


@pytest.mark.parametrize("market", ["eu", "au"])
@pytest.mark.parametrize("words", [1, 30])
def test_a_panel_takes_the_room_there_is(market, words):
    """On a label as high as it needs to be no name of the table is broken and no heading takes more than
    two lines, however much stands beside it.
    """
    said = declare_product(
        roll_up_folder(templates("kitchens", "demo")), "oat-thins", Order(market, date(2026, 11, 25))
    )
    layout = lay_out_label(replace(said, ingredients=said.ingredients * words))
    lines = {}
    for box in layout.boxes:
        if isinstance(box, TextBox) and box.part.startswith("panel."):
            lines.setdefault(box.part, set()).add(round(box.y, 1))
    assert all(len(ys) <= (2 if "heading" in part or "foot" in part else 1) for part, ys in lines.items()), (
        lines
    )


@pytest.mark.parametrize(
    "market, size, running",
    [
        ("eu", "90x60mm", False),
        ("eu", "55x45mm", True),
        ("ca", "60x150mm", True),
        ("ca", "140x140mm", False),
        ("us", "200x280mm", False),
    ],
)
def test_a_panel_as_running_text_is_told(market, size, running):
    """Regulation (EU) No 1169/2011, Article 34(2): a table where space permits; Canada, B.01.454: linear
    where no other fits.
    """
    rolled = roll_up_folder(templates("kitchens", "demo"))
    made = draw_product(rolled, "oat-thins", Order(market, date(2026, 11, 25), job=Job(label_size=size)))
    assert (
        made.label and [f.severity for f in made.findings if f.code == "panel-as-text"] == ["warn"] * running
    )


def test_a_wide_front_carries_its_text_beside_the_name():
    """Two labels instead of three, where the text finds no room under the front matter."""
    front, back = fitted(samples.declaration(), "190x60mm")
    assert front.arrangement == "front left, text right" and back.arrangement == "panel"
    name = next(b for b in front.boxes if isinstance(b, TextBox) and b.part == "identity")
    text = [b for b in front.boxes if isinstance(b, TextBox) and b.part == "ingredients"]
    assert all(b.x > name.x + name.width for b in text)


@pytest.mark.parametrize(
    "command",
    [["label", "oat-thins"], ["declare", "oat-thins", "--as", "pdf"], ["weigh", "oat-thins"], ["stall"]],
)
def test_a_file_is_no_folder(tmp_path, capsys, command):
    """--out names a folder where the files have names of their own; a folder called label.pdf helps
    nobody.
    """
    assert (
        main(
            [
                *command,
                "--kitchen",
                str(templates("kitchens", "demo")),
                "--out",
                str(tmp_path / "label.pdf"),
            ]
        )
        == 2
    )
    assert "folder" in capsys.readouterr().err and not (tmp_path / "label.pdf").exists()


def test_a_temperature_keeps_its_unit():
    """No line ends between a figure and its degrees."""
    for width in range(160, 240, 4):
        layout = lay_out_label(
            samples.declaration(storage="Keep at all times in a dry place at 15–25 °C."), width
        )
        lines = [b.text for b in layout.boxes if isinstance(b, TextBox) and b.part == "storage"]
        assert not any(line.rstrip().endswith("25") for line in lines), (width, lines)


def test_no_line_ends_inside_a_date():
    said = (
        "Best before 8 Dec 2026",
        "Best before / Meilleur avant 2026 DE 08",
        "Mindestens haltbar bis 8. Dez. 2026",
    )
    for width in range(180, 300, 6):
        layout = lay_out_label(samples.declaration(dates=said), width)
        lines = [
            " ".join(b.text.split())
            for b in layout.boxes
            if isinstance(b, TextBox) and b.part.startswith("date-")
        ]
        assert all(
            sum(date in line for line in lines) == 1 for date in ("8 Dec 2026", "2026 DE 08", "8. Dez. 2026")
        ), (width, lines)


def test_a_mark_that_french_sets_apart_never_begins_a_line():
    """Typographic custom: "Ingrédients :" keeps its colon, whatever the width."""
    runs = (
        Run("Biscuits aux noisettes. "),
        Run("Ingrédients : ", bold=True),
        Run("farine de blé, sucre ; sel !"),
    )
    for width in range(60, 260, 5):
        lines = ["".join(s.text for s in line.segments) for line in break_runs(runs, width, 8.0)]
        assert not [text for text in lines if text[0] in ":;!"], lines
        assert " ".join(lines) == "Biscuits aux noisettes. Ingrédients : farine de blé, sucre ; sel !"
