"""Existing labels against themselves and against a product: an old label that lacks something fails the
run.
"""

import json
from datetime import date

import pytest

from labelgen import paths
from labelgen.cli import main
from labelgen.commands.allergens import PARTS
from labelgen.composition.text.lexicon import find_allergens
from labelgen.market.allergens.declaration import declare_allergens
from labelgen.market.allergens.existing_label import compare_label

ON = date(2026, 11, 25)
KITCHEN = ["--kitchen", str(paths.templates("kitchens", "demo"))]


def codes(capsys, *argv):
    rc = main(["allergens", *argv, "--json"])
    shown = json.loads(capsys.readouterr().out)
    return rc, {part: {h["allergen"] for h in shown[part]} for part in PARTS}


def test_a_contains_statement_that_leaves_one_out(capsys):
    rc, got = codes(
        capsys,
        "--text",
        "Ingredients: sugar, wheat flour, whey powder. Contains: Wheat. May contain hazelnuts.",
    )
    assert rc == 1 and got["undeclared"] == {"milk"} and got["may_contain"] == {"tree_nut/hazelnut"}


def test_look_alikes(capsys):
    rc, got = codes(
        capsys, "--text", "cocoa butter, nutmeg, coconut milk, water chestnut, cream of tartar, buckwheat"
    )
    assert rc == 0 and not any(got.values())


def test_old_label_without_egg_and_nuts(capsys):
    rc, got = codes(
        capsys,
        "--text",
        "Ingredients: flour, butter, sugar, chocolate (soy lecithin). Contains: Wheat, Milk, Soy.",
        "--product",
        "lantern-biscuits",
        *KITCHEN,
    )
    assert rc == 1 and got["undeclared"] == {"egg", "tree_nut/hazelnut"}


def test_own_pdf_passes_and_another_products_fails(tmp_path, capsys):
    assert main(["label", "lantern-biscuits", "nut-clusters", *KITCHEN, "--out", str(tmp_path)]) == 0
    capsys.readouterr()
    assert (
        codes(
            capsys,
            "--pdf",
            str(tmp_path / "lantern-biscuits.pdf"),
            "--product",
            "lantern-biscuits",
            *KITCHEN,
        )[0]
        == 0
    )
    assert (
        codes(capsys, "--pdf", str(tmp_path / "nut-clusters.pdf"), "--product", "lantern-biscuits", *KITCHEN)[
            0
        ]
        == 1
    )


def test_a_warning_of_sulphites_is_told_where_no_major_allergen(capsys):
    assert codes(capsys, "--text", "apricots, rice flour. May contain sulfites.", "--market", "us")[1][
        "may_contain"
    ] == {"sulphite"}


def test_not_a_pdf(tmp_path, capsys):
    path = tmp_path / "x.pdf"
    path.write_bytes(b"no pdf at all")
    assert main(["allergens", "--pdf", str(path)]) == 2
    assert "x.pdf" in capsys.readouterr().err


def label(tmp_path, html: str, heading: str = "Ingredients: ") -> str:
    """An old label as a PDF: <b> sets bold, lines wrap."""
    from reportlab.lib.styles import ParagraphStyle
    from reportlab.platypus import Paragraph, SimpleDocTemplate

    path = tmp_path / "old.pdf"
    style = ParagraphStyle("list", fontName="Helvetica", fontSize=8, leading=10)
    SimpleDocTemplate(str(path), pagesize=(200, 400), leftMargin=10, rightMargin=10).build(
        [
            Paragraph("Old biscuits", style),
            *(Paragraph(heading * (n == 0) + part, style) for n, part in enumerate(html.split("|"))),
        ]
    )
    return str(path)


PRODUCT = ["--product", "lantern-biscuits", *KITCHEN]
LIST = (
    "<b>wheat</b> flour, butter (<b>milk</b>), sugar, <b>hazelnuts</b>, {egg}dark chocolate (cocoa mass,"
    " sugar, cocoa butter, emulsifier: <b>soya</b> lecithin), colour (beetroot), salt."
)


def test_an_old_european_label_that_is_right_passes(tmp_path, capsys):
    rc, got = codes(
        capsys, "--pdf", label(tmp_path, LIST.format(egg="<b>egg</b>, ")), "--market", "eu", *PRODUCT
    )
    assert rc == 0 and not (got["undeclared"] | got["misnamed"] | got["not_emphasised"] | got["not_found"])


def test_an_old_label_without_egg_or_nuts_is_caught_in_every_market(tmp_path, capsys):
    """What a market's list names is in reference/markets; a recipe's egg and hazelnuts are on all of them."""
    for market in ("us", "eu", "uk", "ca", "au", "nz"):
        old = label(tmp_path, LIST.format(egg="").replace("<b>hazelnuts</b>, ", ""))
        rc, got = codes(capsys, "--pdf", old, "--market", market, *PRODUCT)
        assert rc == 1 and got["undeclared"] == {"egg", "tree_nut/hazelnut"}, market


def test_a_warning_is_no_declaration(tmp_path, capsys):
    old = label(tmp_path, LIST.format(egg="") + "|May contain: egg.")
    assert codes(capsys, "--pdf", old, "--market", "eu", *PRODUCT)[1]["undeclared"] == {"egg"}


def test_names_in_plain_type_where_the_law_wants_emphasis(tmp_path, capsys):
    """Regulation (EU) No 1169/2011, Article 21(1)(b); Standard 1.2.3 of the Food Standards Code; none in
    the United States.
    """
    plain = label(tmp_path, LIST.format(egg="egg, "))
    for market, wanted in (
        ("eu", {"egg"}),
        ("uk", {"egg"}),
        ("au", {"egg"}),
        ("nz", {"egg"}),
        ("us", set()),
        ("ca", set()),
    ):
        rc, got = codes(capsys, "--pdf", plain, "--market", market, *PRODUCT)
        assert got["not_emphasised"] == wanted and rc == bool(wanted), market


def test_capitals_among_small_letters_emphasise_in_europe_and_not_in_australia(tmp_path, capsys):
    loud = label(tmp_path, LIST.format(egg="EGG, "))
    assert codes(capsys, "--pdf", loud, "--market", "eu", *PRODUCT)[0] == 0
    assert codes(capsys, "--pdf", loud, "--market", "au", *PRODUCT)[1]["not_emphasised"] == {"egg"}


def test_words_the_law_does_not_take_for_the_name(tmp_path, capsys):
    """The cereal and the nut are named: Annex II, 1 and 8; 21 USC 343(w)(2)."""
    old = label(tmp_path, LIST.format(egg="<b>egg</b>, ").replace("<b>wheat</b> flour", "semolina"))
    assert "gluten/wheat" in codes(capsys, "--pdf", old, "--market", "eu", *PRODUCT)[1]["misnamed"]
    old = label(
        tmp_path,
        "flour, butter, sugar, eggs, nut paste, chocolate.|Contains: Wheat, Milk, Egg, Soy, Tree Nuts",
    )
    rc, got = codes(capsys, "--pdf", old, "--market", "us", *PRODUCT)
    assert rc == 1 and got["misnamed"] == {"tree_nut/hazelnut"} and not got["undeclared"]


def test_what_a_label_declares_and_the_recipe_does_not_hold(tmp_path, capsys):
    old = label(tmp_path, LIST.format(egg="<b>egg</b>, <b>peanuts</b>, "))
    assert codes(capsys, "--pdf", old, "--market", "eu", *PRODUCT)[1]["not_found"] == {"peanut"}


def test_fish_by_its_group_is_enough_in_europe_and_not_in_the_united_states(capsys):
    """Annex II, 4 lists fish; 21 USC 343(w)(2) wants the species."""
    text = "Ingredients: cod, salt. Contains: fish."
    assert codes(capsys, "--text", text, "--market", "eu")[0] == 0
    rc, got = codes(capsys, "--text", text, "--market", "us")
    assert rc == 1 and got["misnamed"] == {"fish"} and not got["undeclared"]


def test_a_missing_file_is_told(capsys):
    assert main(["allergens", "--pdf", "no-such.pdf"]) == 2
    assert "no-such.pdf" in capsys.readouterr().err


def test_a_list_all_in_bold_emphasises_nothing(tmp_path, capsys):
    old = label(tmp_path, "<b>" + LIST.format(egg="egg, ").replace("<b>", "").replace("</b>", "") + "</b>")
    assert {"egg", "milk", "soy"} <= codes(capsys, "--pdf", old, "--market", "eu", *PRODUCT)[1][
        "not_emphasised"
    ]


def test_a_summary_names_gluten_besides_the_wheat(tmp_path, capsys):
    """Standard 1.2.3 and Schedule 9 of the Food Standards Code: wheat in the list, wheat and gluten in the
    summary.
    """
    right = (
        LIST.format(egg="<b>egg</b>, ").replace("<b>soya</b>", "<b>soy</b>")
        + "|<b>Contains: {}wheat, milk, egg, hazelnut, soy.</b>"
    )
    assert (
        codes(capsys, "--pdf", label(tmp_path, right.format("gluten, ")), "--market", "au", *PRODUCT)[0] == 0
    )
    rc, got = codes(capsys, "--pdf", label(tmp_path, right.format("")), "--market", "au", *PRODUCT)
    assert rc == 1 and got["misnamed"] == {"gluten/wheat"}


def test_sulphites_are_told_in_the_united_states_without_being_a_major_allergen(capsys):
    # 21 CFR 101.100(a)(4): sulfiting agents are declared in the list from 10 ppm on; 21 USC 321(qq) leaves
    # them out of the major allergens.
    rc, got = codes(
        capsys, "--text", "Dried mango (sodium bisulfite), celery, milk. Contains: Milk.", "--market", "us"
    )
    assert rc == 0 and got["contains"] == {"milk", "sulphite"} and got["also_found"] == {"celery"}
    hits = find_allergens("sodium bisulfite, milk").contains
    assert declare_allergens("us", date(2026, 11, 25), hits, ()).names == ("Milk",)


def test_syrup_of_unknown_source_is_asked_about_only_where_wheat_syrup_counts(capsys):
    # Regulation (EU) 1169/2011, Annex II 1(a)-(c): wheat- and barley-based glucose syrups and dextrose are
    # exempt.
    for text in ("sugar, glucose syrup", "dextrose", "maltodextrin"):
        assert not codes(capsys, "--text", text, "--market", "eu")[1]["may_contain"]
        assert codes(capsys, "--text", text, "--market", "us")[1]["may_contain"] == {"wheat"}
    assert (
        "gluten/wheat"
        in codes(capsys, "--text", "wheat starch, glucose syrup", "--market", "eu")[1]["contains"]
    )


def test_trade_names_on_packets(capsys):
    # Names as bakers' suppliers print them; common practice.
    for text, contains, may in (
        ("Brazil kernels, blanched", {"tree_nut/brazil"}, set()),
        ("salted Brazils", {"tree_nut/brazil"}, set()),
        ("ice cream wafers", {"wheat"}, set()),
        ("molasses (unsulphured)", set(), set()),
        ("treacle", set(), {"sulphite"}),
        ("golden raisins", set(), {"sulphite"}),
        ("lecithins (E322) (rapeseed)", set(), set()),
        ("lecithins (E322) (soya)", {"soy"}, {"egg"}),
    ):
        _, got = codes(capsys, "--text", text, "--market", "us")
        asked = {h.allergen for h in find_allergens(text).may_contain}
        assert got["contains"] == contains and asked == may, text


GERMAN = (
    "<b>Weizen</b>mehl, Butter (<b>Milch</b>), Zucker, <b>Haselnüsse</b>, {egg}dunkle Schokolade"
    " (Kakaomasse, Zucker, Kakaobutter, Emulgator: <b>Sojalecithin</b>), Salz."
)
FRENCH = (
    "farine de <b>blé</b>, beurre (<b>lait</b>), sucre, <b>noisettes</b>, {egg}chocolat noir (pâte de"
    " cacao, sucre, beurre de cacao, émulsifiant : lécithine de <b>soja</b>), sel."
)


def test_old_labels_in_other_languages_of_the_union(tmp_path, capsys):
    """Names of Annex II in German and French."""
    for words, heading, egg in (
        (GERMAN, "Zutaten: ", "<b>Ei</b>, "),
        (FRENCH, "Ingrédients : ", "<b>œufs</b>, "),
    ):
        assert (
            codes(
                capsys, "--pdf", label(tmp_path, words.format(egg=egg), heading), "--market", "eu", *PRODUCT
            )[0]
            == 0
        )
        rc, got = codes(
            capsys, "--pdf", label(tmp_path, words.format(egg=""), heading), "--market", "eu", *PRODUCT
        )
        assert rc == 1 and got["undeclared"] == {"egg"}
        rc, got = codes(
            capsys,
            "--pdf",
            label(tmp_path, words.format(egg=egg.replace("<b>", "").replace("</b>", "")), heading),
            "--market",
            "eu",
            *PRODUCT,
        )
        assert rc == 1 and got["not_emphasised"] == {"egg"}


def test_a_slanted_face_or_a_line_emphasises_in_europe_and_not_in_australia(tmp_path, capsys):
    for tag in "iu":
        old = label(tmp_path, LIST.format(egg=f"<{tag}>egg</{tag}>, "))
        assert codes(capsys, "--pdf", old, "--market", "eu", *PRODUCT)[0] == 0
        assert codes(capsys, "--pdf", old, "--market", "au", *PRODUCT)[1]["not_emphasised"] == {"egg"}


def test_advertising_declares_nothing(tmp_path, capsys):
    plain = LIST.format(egg="").replace("<b>", "").replace("</b>", "")
    rc, got = codes(
        capsys, "--pdf", label(tmp_path, plain + " Baked with farm eggs."), "--market", "us", *PRODUCT
    )
    assert rc == 1 and got["undeclared"] == {"egg"} and "egg" in got["contains"]


def test_sulphites_lacking_on_an_old_label(tmp_path, capsys):
    """From 10 ppm in the finished food: 21 CFR 101.100(a)(4), Annex II 12, B.01.010.1; not below it by the
    figures given.
    """
    for folder, text in {
        "kitchen.yaml": "producer: {name: Example Hill Bakes, address: 1 Example Hill}\nmarkets: [us]\n",
        "ingredients/all.yaml": (
            "flour: {print: rice flour, food: usda/20061}\nfruit: {print: dried apricots, statement:"
            ' "apricots, sulphur dioxide", contains: [sulphite], per: 100 g, nutrients: {sulphur dioxide:'
            ' 200 mg, carbohydrate: 60 g}, source: "sheet, invented"}\n'
        ),
        "recipes/all.yaml": (
            "formulations:\n  much: {ingredients: [90 g flour, 10 g fruit]}\n  little: {ingredients: [1000"
            " g flour, 1 g fruit]}\nproducts:\n  much: {name: Much, of: much, net: 100 g}\n  little: {name:"
            " Little, of: little, net: 1000 g}\n"
        ),
    }.items():
        path = tmp_path / folder
        path.parent.mkdir(exist_ok=True)
        path.write_text(text)
    for market in ("us", "eu", "uk", "ca", "au", "nz"):
        for product, lacking in (("much", {"sulphite"}), ("little", set())):
            got = codes(
                capsys,
                "--text",
                "Ingredients: rice flour, dried apricots.",
                "--market",
                market,
                "--product",
                product,
                "--kitchen",
                str(tmp_path),
            )[1]
            assert got["undeclared"] == lacking, (market, product)
    assert (
        codes(
            capsys,
            "--text",
            "Ingredients: rice flour, dried apricots (sulfites).",
            "--market",
            "us",
            "--product",
            "much",
            "--kitchen",
            str(tmp_path),
        )[0]
        == 0
    )


@pytest.mark.parametrize(
    "market, text, code, where",
    [
        ("us", "refined soybean oil", "soy", "may"),
        ("eu", "refined soybean oil", "soy", "may"),
        ("us", "soybean oil", "soy", "contains"),
        ("ca", "refined soybean oil", "soy", "contains"),
        ("au", "glucose syrup (wheat)", "wheat", "may"),
        ("us", "flour, refined soybean oil. Contains: wheat, soy", "soy", "contains"),
        ("eu", "refined soybean oil, soy lecithin", "soy", "contains"),
    ],
)
def test_what_is_exempt_under_a_condition_is_asked_about_where_only_words_are_known(
    market, text, code, where
):
    """21 USC 321(qq)(2)(A); Regulation (EU) No 1169/2011, Annex II, 6(a); Schedule 9: highly refined oils,
    starch syrups refined enough.
    """
    seen = compare_label(text, market, ON)
    assert (code in {h.allergen for h in seen.contains}) == (where == "contains") and (
        code in {h.allergen for h in seen.may_contain}
    ) == (where == "may")


def test_each_language_of_a_label_names_them(capsys):
    """Food and Drug Regulations, B.01.012(2): what the law asks for stands in English and in French."""
    english, french = (
        "Ingredients: wheat flour, butter (milk), sugar, {}soy lecithin. Contains: {}",
        "Ingrédients : farine de blé, beurre (lait), sucre, {}lécithine de soya. Contient : {}",
    )
    both = (
        ("eggs, hazelnuts, ", "wheat, milk, eggs, hazelnuts, soy."),
        (
            "oeufs, noisettes, ",
            "blé, lait, oeufs, noisettes, soya.",
        ),
    )
    lacking = (
        ("hazelnuts, ", "wheat, milk, hazelnuts, soy."),
        (
            "noisettes, ",
            "blé, lait, noisettes, soya.",
        ),
    )
    for first, second, wanted in (
        (both[0], both[1], set()),
        (lacking[0], both[1], {"egg"}),
        (both[0], lacking[1], {"egg"}),
    ):
        words = english.format(*first) + "\n" + french.format(*second)
        rc, got = codes(capsys, "--text", words, "--market", "ca", *PRODUCT)
        assert got["undeclared"] == wanted and rc == bool(wanted), words
