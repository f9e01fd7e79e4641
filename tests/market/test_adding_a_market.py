"""A market is a folder of tables: two invented ones, in a folder of their own, are declared without
touching code.
"""

import shutil
from datetime import date

import pytest

from labelgen.cli import main
from labelgen.errors import RuleError
from labelgen.law import pack as packs
from labelgen.law import registry
from labelgen.law.figure_tables import EnergyMethod, PanelText
from labelgen.law.pack import Pack, read_pack, read_table
from labelgen.market.declare_food import declare
from labelgen.order import Order
from tests.kitchens import write
from tests.market.foods import KITCHEN, amounts, line, product, profile

ON = date(2026, 12, 1)
ALL = '[all]\neffective = 2020-01-01\ncite = "zz-act"\nlocator = "1"\ngrade = "read"\nreviewed = 2026-11-25\n'


def table(*rules: str, shared: str = "") -> str:
    return ALL + shared + "".join(f"[[rule]]\n{rule}\n" for rule in rules)


ISLAND = {
    "market": 'code = "zz"\nname = "Island"\nstatus = "complete"\nlanguage = "en"\n',
    "columns": table(
        'key = "ounce"\nper = "28g"\nheading = "in 28 g"\npercent = ["main"]\nstatus = "mandatory"'
    ),
    "nutrients": table(
        'key = "energy"\ntag = "ENERC"\nlabel = "Energy"\nrule = "energy"\ngroup = "head"',
        'key = "starchy"\ntag = "CHOCDF"\nless = ["FIBTG", "SUGAR"]\nlabel = "Starches"\nrule ='
        ' "grams"\ngroup = "main"\npercent = true',
        'key = "salt"\ntag = "NA"\ntimes = 3\nlabel = "Sea salt"\nrule = "grams"\ngroup = "main"',
        shared='indent = 0\nbold = false\nstatus = "mandatory"\n',
    ),
    "rounding": table(
        'key = "energy"\nunit = "kJ"\nafter = " kJ"\nbands = [{step = 10}]',
        'key = "grams"\nunit = "g"\nafter = " g"\nbands = [{step = 0.5}]',
        'key = "serving_metric"\nunit = "g"\nbands = [{step = 1}]',
        'key = "servings_per_container"\nunit = "servings"\nbands = [{step = 1}]',
        shared='ties = "half_up"\n',
    ),
    "percent": table(
        'key = "starchy"\npattern = "share_*"\nbasis = "unrounded"\nties = "half_up"\nafter = " %"\nbands ='
        " [{step = 5}]"
    ),
    "daily_values": table('key = "starchy"\namount = 140\nunit = "g"'),
    "energy": table(
        'key = "kcal"\nunit = "kcal"\ntitle = "island factors"\nfactors = {FAT = 10, CHOCDF = 5, PROCNT = 5}',
        'key = "kj"\nunit = "kJ"\ntitle = "island factors"\nof = "kcal"\ntimes = 4',
    ),
    "panel": table(
        'key = "title"\ntext = "What is in it"',
        'key = "servings"\ntext = "{count} of them"',
        'key = "servings_one"\ntext = "one"',
    ),
    "statement": table(
        'key = "heading"\ntext = "Made of: "',
        'key = "tail_share"\nvalue = 0',
        'key = "tail_phrase"\ntext = ", "',
        'key = "water_from"\nvalue = 99',
    ),
    "net_quantity": table(
        'key = "words"\ntext = "Weight"',
        'key = "kilogram_from"\nvalue = 1000',
        'key = "metric_digits"\nvalue = 3',
        'key = "metric_decimals"\nvalue = 1',
    ),
    "dates": table(
        'key = "best_before"\ntext = "Good until {iso}"',
        'key = "made_on"\ntext = "Made {iso}"',
        'key = "lot"\ntext = "Batch {lot}"',
    ),
    "allergens": table('key = "milk"\ncodes = ["milk"]\nname = "Milk"'),
    "formats": table('key = "plain"\ntitle = "the island table"\ntemplate = "table"\nsizes = "all"'),
    "type_sizes": table('key = "any"\nsizes = {all = 1.5}\nunit = "mm"\nmeasured = "x_height"\nbold = false'),
    "letter_heights": table(
        'key = "information_panel"\nbands = [{to = 1.5}]\nof = "any package"\nmeasured = "x_height"',
        'key = "net_quantity"\nbands = [{to = 5}]\nof = "any package"\nmeasured = "capitals and figures"',
        shared='unit = "mm"\n',
    ),
    "geometry": table(
        *(
            f'key = "{key}"\nvalue = {value}'
            for key, value in (
                ("box", 1),
                ("box_gap", 4),
                ("hairline", 0.5),
                ("heading_line", 1),
                ("leading", 2),
            )
        ),
        shared='unit = "pt"\n',
    ),
    "allergen_wording": table(
        'key = "contains"\ntext = "Holds: "', 'key = "may_contain"\ntext = "May hold: "'
    ),
}
#: Differs from the European Union by a title since 2025, a footnote of its own always, and one row less.
COAST = {
    "market": (
        'code = "zy"\nname = "Coast"\nstatus = "complete"\nlanguage = "en"\nstarts_from = "eu"\ncites ='
        ' {reg-eu-1169-2011 = "coast-act"}\n'
    ),
    "panel": table(
        'key = "title"\neffective = 2025-01-01\ntext = "Coastal figures"',
        'key = "footnote"\neffective = 2010-01-01\ntext = "*of a sailor"',
    ),
    "nutrients": (
        ALL
        + '[[without]]\nkey = "sugars"\n[[rule]]\nkey = "caffeine"\ntag = "CAFFN"\nlabel = "Caffeine"\nrule'
        ' = "caffeine"\nindent = 0\nbold = false\ngroup = "main"\nstatus = "mandatory"\n'
    ),
    "rounding": table('key = "caffeine"\nunit = "mg"\nafter = " mg"\nties = "half_up"\nbands = [{step = 1}]'),
}


@pytest.fixture
def folder(tmp_path, monkeypatch):
    for code, files in (("zz", ISLAND), ("zy", COAST)):
        (tmp_path / code).mkdir()
        for name, text in files.items():
            (tmp_path / code / f"{name}.toml").write_text(text, encoding="utf-8")
    monkeypatch.setenv("LABELGEN_MARKETS", str(tmp_path))
    caches = (registry.markets, registry.market_named, registry.starts_from, packs._table, packs._in_force)

    def forget():
        for cached in caches:
            cached.cache_clear()

    forget()
    yield tmp_path
    monkeypatch.undo()
    forget()


def loaf():
    food = amounts(280, FAT=10, CHOCDF=100, PROCNT=20, FIBTG=10, SUGAR=20, NA=500)
    return profile(food, 4, [line("flour", 200, contains=["milk"]), line("syrup", 90)])


def test_the_whole_declaration_of_an_invented_market(folder):
    """A tenth of 280 g: 1 g fat, 10 g carbohydrate, 2 g protein: 1 x 10 + 10 x 5 + 2 x 5 = 70 kcal, times
    4 = 280 kJ. Starches 10 - 1 - 2 = 7 g, 5 % of 140 g. Salt 50 mg x 3 = 0.15 g, nearest half gram 0.
    """
    d = declare(loaf(), product(best_before="2 days"), KITCHEN, Order("zz", ON, "7", ON))
    assert d.panel.title == "What is in it" and [c.heading for c in d.panel.columns] == ["in 28 g"]
    assert [(r.label, r.declared, r.percent) for r in d.panel.columns[0].rows] == [
        ("Energy", "280 kJ", ""),
        ("Starches", "7 g", "5 %"),
        ("Sea salt", "0 g", ""),
    ]
    assert "".join(r.text for r in d.ingredients) == "Made of: flour, syrup."
    assert "".join(r.text for r in d.allergens) == "Holds: Milk." and d.net_quantity == "Weight 280g"
    assert d.dates == ("Good until 2026-12-03", "Batch 7") and not [f for f in d.findings if f.blocks]


def test_a_market_that_differs_from_another(folder):
    d = declare(loaf(), product(), KITCHEN, Order("zy", ON))
    assert d.panel.title == "Coastal figures" and d.panel.footnote == "*of a sailor"
    keys = [r.key for r in d.panel.columns[0].rows]
    assert "sugars" not in keys and keys[-1] == "caffeine" and keys[:3] == ["energy_kj", "energy_kcal", "fat"]
    assert {e.cite for e in read_table("zy", EnergyMethod)} == {"coast-act"}


def test_a_difference_takes_over_on_its_day(folder):
    """The European title until the last of December 2024, the coast's own from the first of January 2025."""
    assert Pack("zy", date(2024, 12, 31)).text(PanelText, "title") == Pack("eu", ON).text(PanelText, "title")
    assert Pack("zy", date(2025, 1, 1)).text(PanelText, "title") == "Coastal figures"
    assert len([e for e in read_table("zy", PanelText) if e.key == "footnote"]) == 1


def test_only_what_is_there_can_be_taken_out(folder):
    (folder / "zy" / "panel.toml").write_text(ALL + '[[without]]\nkey = "glow"\n', encoding="utf-8")
    with pytest.raises(RuleError, match="glow cannot be taken out: 'eu' has no such rule"):
        read_pack("zy", ON).entries(PanelText)


def test_its_label_is_drawn_and_read_back(folder, tmp_path, capsys):
    """The island asks for letters of 1.5 mm x-height: what is read back from the PDF is measured against
    its own tables.
    """
    from pypdf import PdfReader

    kitchen = write(
        tmp_path / "kitchen",
        "oats: {print: oats, food: usda/20038}\nbutter: {print: butter, food: usda/01145}\n",
        "formulations:\n  d: {ingredients: [60 g oats, 40 g butter], makes: 4}\nproducts:\n  thins: {name:"
        " Island thins, of: d, pieces: 4}\n",
        "producer: {name: Example Hill Bakes, address: 1 Example Hill}\n",
    )
    assert (
        main(
            [
                "label",
                "thins",
                "--kitchen",
                str(kitchen),
                "--market",
                "zz",
                "--label-size",
                "90x90mm",
                "--out",
                str(tmp_path / "out"),
            ]
        )
        == 0
    )
    text = " ".join(PdfReader(tmp_path / "out" / "thins.pdf").pages[0].extract_text().split())
    assert all(
        said in text
        for said in ("What is in it", "Sea salt", "Made of: oats, butter.", "Holds: Milk.", "Weight 100g")
    )
    # a neighbour with the same law in letters of 9 mm: nothing of it fits
    shutil.copytree(folder / "zz", folder / "zx")
    (folder / "zx" / "market.toml").write_text(ISLAND["market"].replace('"zz"', '"zx"'), encoding="utf-8")
    (folder / "zx" / "type_sizes.toml").write_text(ISLAND["type_sizes"].replace("1.5", "9"), encoding="utf-8")
    assert (
        main(
            [
                "label",
                "thins",
                "--kitchen",
                str(kitchen),
                "--market",
                "zx",
                "--label-size",
                "90x90mm",
                "--out",
                str(tmp_path / "out"),
            ]
        )
        == 1
    )


def test_commands_know_the_market(folder, capsys):
    assert main(["round", "starchy", "7.3", "--market", "zz"]) == 0
    assert capsys.readouterr().out == "7.5 g\n"
