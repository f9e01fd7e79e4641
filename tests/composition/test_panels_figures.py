"""Figures of specification sheets and laboratories, and a dataset food with some figures of its
supplier's.
"""

from datetime import date

import pytest

from labelgen.chain import roll_up_folder
from labelgen.composition.packet import read_panel
from labelgen.composition.sheet_figures import read_figure, read_printed
from labelgen.errors import UnitError, Where
from labelgen.nutrients import key_of
from labelgen.quantity import Quantity
from labelgen.recipe.models import PanelText, Printed
from tests.kitchens import write

ON = date(2026, 12, 1)


@pytest.mark.parametrize(
    "text, key, expected",
    [
        ("12 g", "FAT", (12, 12, 12)),
        ("12 ± 0.4 g", "FAT", (11.6, 12, 12.4)),
        ("12 +/- 0.4 g", "FAT", (11.6, 12, 12.4)),
        ("12 g ± 0.4 g", "FAT", (11.6, 12, 12.4)),
        ("12 g ± 5 %", "FAT", (11.4, 12, 12.6)),
        ("10-12 g", "FAT", (10, 11, 12)),
        ("10 to 12 g", "FAT", (10, 11, 12)),
        ("10 – 12 g", "FAT", (10, 11, 12)),
        ("0.2 ± 0.4 g", "FAT", (0, 0.2, 0.6)),
        ("<0.5 g", "FAT", (0, 0.25, 0.5)),
        ("≤ 0.5 g", "FAT", (0, 0.25, 0.5)),
        ("max. 0.5 g", "FAT", (0, 0.25, 0.5)),
        ("less than 5 mg", "NA", (0, 2.5, 5)),
        ("not detected (<0.1 g)", "FASAT", (0, 0.05, 0.1)),
        ("trace", "FAT", (0, 0, 0.5)),
        ("0.4 g", "NA", (400, 400, 400)),
        ("2 µg", "VITD", (2, 2, 2)),
        ("418.4 kJ", "ENERC", (100, 100, 100)),
        ("100 kcal", "ENERC", (100, 100, 100)),
    ],
)
def test_a_figure_as_written(text, key, expected):
    """1 kcal = 4.184 kJ; all else is arithmetic."""
    assert read_figure(text, key) == pytest.approx(expected)


@pytest.mark.parametrize(
    "text, key",
    [
        ("12 oz", "FAT"),
        ("a little", "FAT"),
        ("12-10 g", "FAT"),
        ("trace", "NA"),
        ("", "FAT"),
        ("-3 g", "FAT"),
        ("12 g of 30", "FAT"),
    ],
)
def test_what_is_no_figure(text, key):
    with pytest.raises(UnitError):
        read_figure(text, key)


def test_shares_of_a_kilogram():
    """Residues such as sulphur dioxide are told in mg/kg, which is parts per million: 2000 mg/kg are 200
    mg in 100 g.
    """
    assert (
        read_figure("1500-2000 mg/kg", "SO2", 100)
        == pytest.approx((150, 175, 200))
        == read_figure("1500 to 2000 ppm", "SO2", 100)
    )
    assert read_figure("<10 ppm", "SO2", 30) == pytest.approx((0, 0.15, 0.3)) and read_figure(
        "2 ± 0.5 g per kg", "NA", 100
    ) == pytest.approx((150, 200, 250))
    with pytest.raises(UnitError):
        read_figure("5 mg/kg", "SO2")


def resolved(folder, **specs):
    write(
        folder,
        "".join(f"{name.replace('_', '-')}: {text}\n" for name, text in specs.items()),
        "products: {}\n",
    )
    return roll_up_folder(folder)


def test_uncertainty_is_scaled_to_100_g(tmp_path):
    rolled = resolved(tmp_path, a="{contains: [], per: 30 g, nutrients: {fat: 6 ± 0.3 g, protein: 2-3 g}}")
    assert rolled.resolved["a"].composition.get("FAT") == pytest.approx((19, 20, 21))
    assert rolled.resolved["a"].composition.get("PROCNT") == pytest.approx((20 / 3, 25 / 3, 10))


def test_a_stated_total_takes_its_parts_along(tmp_path):
    """USDA 12061 almonds: about 50 g of fat, 3.7 g of it saturated. Half the fat is half of each, and a
    gram of fat is 9 kcal (general factor of CODEX CXG 2-1985).
    """
    rolled = resolved(
        tmp_path,
        whole="{food: usda/12061}",
        lean="{food: usda/12061, nutrients: {fat: 24.965 g}}",
        fixed="{food: usda/12061, nutrients: {fat: 24.965 g, saturated fat: 5 g}}",
    )
    whole, lean, fixed = (rolled.resolved[n].composition for n in ("whole", "lean", "fixed"))
    assert lean.get("FASAT")[1] == pytest.approx(whole.get("FASAT")[1] * 24.965 / whole.get("FAT")[1])
    assert lean.get("FAMS")[1] < lean.get("FAT")[1] and lean.get("PROCNT") == whole.get("PROCNT")
    assert lean.get("ENERC")[1] == pytest.approx(whole.get("ENERC")[1] - 9 * (whole.get("FAT")[1] - 24.965))
    assert fixed.get("FASAT")[1] == 5
    told = {f.code: f.message for f in rolled.resolved["lean"].findings}
    assert "saturated" in told["parts-scaled"] and not any(f.blocks for f in rolled.resolved["lean"].findings)


def test_sugars_follow_carbohydrate_and_added_sugars_follow_sugars(tmp_path):
    rolled = resolved(
        tmp_path, whole="{food: usda/19335}", half="{food: usda/19335, nutrients: {carbohydrate: 50 g}}"
    )
    whole, half = (rolled.resolved[n].composition for n in ("whole", "half"))
    share = 50 / whole.get("CHOCDF")[1]
    assert half.get("SUGAR")[1] == pytest.approx(share * whole.get("SUGAR")[1]) and half.get("SUGAD")[
        1
    ] == pytest.approx(share * whole.get("SUGAD")[1])


def test_a_part_stated_above_the_tables_total_is_told(tmp_path):
    """USDA 20081 white flour: fat 0.98 g."""
    (finding,) = [
        f
        for f in resolved(tmp_path, a="{food: usda/20081, nutrients: {saturated fat: 5 g}}").findings
        if f.blocks
    ]
    assert (
        finding.code == "part-exceeds-whole"
        and "5 g" in finding.message
        and "1.0 g" in finding.message
        and finding.where.line == 1
    )


def test_water_makes_room_for_what_is_stated(tmp_path):
    """USDA 01123 egg: 76 g of water. 40 g of protein leave less."""
    composition = (
        resolved(tmp_path, a="{food: usda/01123, nutrients: {protein: 40 g}}").resolved["a"].composition
    )
    parts = sum(composition.get(k)[1] for k in ("WATER", "PROCNT", "FAT", "CHOCDF", "ASH"))
    assert parts == pytest.approx(100, abs=0.1)


def test_a_sheet_is_laid_over_a_panel(tmp_path):
    """The laboratory's 38.2 g per 100 g lies in what 12 g in 30 g allow, and is taken; the rest stays the
    panel's.
    """
    spec = (
        "{contains: [], panel: {market: us, serving: 30 g, fat: 12 g, protein: 2 g}, nutrients: {fat: 38.2"
        " ± 0.5 g}}"
    )
    composition = resolved(tmp_path, a=spec).resolved["a"].composition
    assert composition.get("FAT") == pytest.approx((37.7, 38.2, 38.7)) and composition.get("PROCNT")[
        0
    ] == pytest.approx(150 / 30.5)


def test_a_sheet_that_contradicts_the_panel_is_told(tmp_path):
    spec = (
        "{contains: [], panel: {market: us, serving: 30 g, fat: 12 g, protein: 2 g}, nutrients: {fat: 20 g}}"
    )
    (finding,) = resolved(tmp_path, a=spec).resolved["a"].findings
    assert (
        finding.code == "sources-disagree"
        and "fat 20 g" in finding.message
        and "37.7" in finding.message
        and "42.4" in finding.message
    )


def test_the_amount_figures_are_for_must_be_a_weight(tmp_path):
    (finding,) = [
        f
        for f in resolved(tmp_path, a="{contains: [], per: 1 cup, nutrients: {fat: 20 g}}").findings
        if f.blocks
    ]
    assert finding.code == "per-not-mass"


def test_a_pure_substance_holds_nothing_else(tmp_path):
    """100 g of erythritol in 100 g leave no room for fat, sugars, minerals or vitamins; 90 g leave some."""
    sheet = "{{contains: [], nutrients: {{carbohydrate: {0} g, polyol/erythritol: {0} g}}}}"
    rolled = resolved(tmp_path, pure=sheet.format(100), wet=sheet.format(90))
    pure, wet = rolled.resolved["pure"].composition, rolled.resolved["wet"].composition
    assert all(
        pure.get(k) == (0, 0, 0)
        for k in ("FAT", "FASAT", "SUGAR", "FIBTG", "PROCNT", "NA", "CHOLE", "VITD", "WATER")
    )
    assert pure.get("CHOCDF")[1] == 100 and pure.get("POLYL")[1] == 100
    assert all(wet.get(k)[1] != wet.get(k)[1] for k in ("FAT", "NA", "VITD", "WATER")) and wet.get(
        "SUGAR"
    ) == (0, 0, 0)
    # nothing of this follows from a table's rounding or a packet's
    panel = (
        resolved(
            tmp_path,
            a="{contains: [], panel: {market: us, serving: 100 g, carbohydrate: 100 g, sugars: 100 g}}",
        )
        .resolved["a"]
        .composition
    )
    assert panel.get("NA")[1] != panel.get("NA")[1] and panel.get("NA")[2] == float("inf")


@pytest.mark.parametrize("words, expected", [("all", 40), ("none", 0), ("12 g", 12)])
def test_added_sugars_as_stated(tmp_path, words, expected):
    rolled = resolved(
        tmp_path,
        a=f"{{contains: [], added_sugars: {words}, nutrients: {{carbohydrate: 60 g, sugars: 40 g}}}}",
    )
    assert rolled.resolved["a"].composition.get("SUGAD") == (expected,) * 3


@pytest.mark.parametrize(
    "market, word, text, key, low, high",
    [
        # a European panel's row is salt; sodium, which some packets add, is the metal: 200 mg, not 80
        ("eu", "sodium", "0.2 g", "NA", 150, 250),
        ("eu", "salt", "0.5 g", "NA", 198, 202),
        ("uk", "sodium", "0.20 g", "NA", 195, 205),
        # traces and "less than" are something, up to what the rule prints as nothing or the packet says
        ("eu", "salt", "traces", "NA", 0, 5),
        ("eu", "fat", "traces", "FAT", 0, 0.5),
        ("au", "protein", "traces", "PROCNT", 0, 1),
        ("ca", "fat", "traces", "FAT", 0, 0.5),
        ("eu", "fat", "<1 g", "FAT", 0, 1),
        ("eu", "protein", "less than 0.5 g", "PROCNT", 0, 0.5),
        ("au", "sodium", "LESS THAN 5 mg", "NA", 0, 5),
        ("us", "total fat", "<0.5 g", "FAT", 0, 0.5),
    ],
)
def test_small_amounts_and_salt(market, word, text, key, low, high):
    panel = PanelText(
        market=market,
        serving=Quantity("100 g", "mass", grams=100.0),
        figures={word: Printed(name=word, text=text)},
    )
    stated = read_panel("food", panel, ON)
    figure = stated.figures[key]
    assert (
        not [f for f in stated.findings if f.blocks]
        and figure.low == pytest.approx(low, abs=1e-9)
        and figure.high == pytest.approx(high, abs=1e-9)
    )


def test_traces_that_no_rule_bounds_are_asked_for():
    panel = PanelText(market="eu", serving=None, figures={"iron": Printed(name="iron", text="traces")})
    assert [f.code for f in read_panel("food", panel, ON).findings if f.blocks] == ["panel-figure"]


def test_salt_is_told_as_the_sodium_in_it():
    """Regulation (EU) No 1169/2011, Annex I, point 11: salt = sodium x 2.5, so 1.25 g of salt hold 500 mg
    of sodium.
    """
    assert key_of("Salt") == "NA"
    assert read_printed(Printed(name="Salt", text="1.25 g", where=Where("i", 1)), "NA") == pytest.approx(
        (500, 500, 500)
    )
    assert read_printed(Printed(name="sodium", text="500 mg", where=Where("i", 1)), "NA") == pytest.approx(
        (500, 500, 500)
    )
