"""Statements as an inspector reads them: nothing told twice, alike things once, figures that are true,
order by weight.
"""

from datetime import date

import pytest

from labelgen import chain
from labelgen.order import Order
from tests.kitchens import write

ON = date(2026, 12, 1)
FIGURES = "per: 100 g, nutrients: {energy: 400 kcal}"


def declared(folder, ingredients, market, name="Bites", languages="", more=""):
    """(the statement with *plain allergens* marked, the declaration). ingredients: key -> (grams, YAML)."""
    lines = "".join(f"{key}: {{{FIGURES}, {text}}}\n" for key, (_, text) in ingredients.items())
    used = ", ".join(f"{grams} g {key}" for key, (grams, _) in ingredients.items())
    recipe = (
        f"formulations:\n  f: {{ingredients: [{used}], makes: 1}}\nproducts:\n  p: {{name: {name}, of: f,"
        f" pieces: 1, category: cookies{more}}}\n"
    )
    write(
        folder,
        lines,
        recipe,
        f"markets: [{market}]\n" + (f"languages: [{languages}]\n" if languages else ""),
    )
    said = chain.declare_product(chain.roll_up_folder(folder), "p", Order(market, ON))
    return (
        "".join(f"*{r.text}*" if r.bold and n else r.text for n, r in enumerate(said.ingredients)).partition(
            ": "
        )[2],
        said,
    )


@pytest.mark.parametrize(
    "market, text, wanted",
    [
        ("eu", "print: steviol glycosides from stevia", "sweetener (steviol glycosides from stevia)"),
        ("eu", "print: lecithin from soy", "emulsifier (lecithins from *soy*)"),
        ("au", "print: lecithin from soy", "emulsifier (lecithin from *soy*)"),
        ("us", "print: lecithin from soy", "lecithin from soy"),
        ("eu", "print: cod, statement: cod (fish)", "cod (*fish*)"),
        ("eu", "print: cod (fish)", "cod (*fish*)"),
        (
            "uk",
            "print: smoked salmon, statement: 'salmon (fish), salt'",
            "smoked salmon (salmon (*fish*), salt)",
        ),
        (
            "eu",
            "print: surimi, statement: 'fish (pollock), water, egg white'",
            "surimi (*fish* (pollock), water, *egg* white)",
        ),
        ("eu", "print: surimi, statement: 'pollock, water'", "surimi (pollock (*fish*), water)"),
        (
            "eu",
            "print: wash, statement: 'water, preservative (lysozyme) (egg)'",
            "wash (water, preservative (lysozyme (*egg*)))",
        ),
        (
            "us",
            "print: wash, statement: 'water, preservative (lysozyme) (egg)'",
            "wash (water, preservative (lysozyme (egg)))",
        ),
        (
            "eu",
            "print: dried apricots, statement: 'apricots, preservative: sulphur dioxide (sulphites)'",
            "dried apricots (apricots, preservative (sulphur dioxide (*sulphites*)))",
        ),
        (
            "au",
            "print: dried apricots, statement: 'apricots, preservative: sulphur dioxide (sulphites)'",
            "dried apricots (apricots, preservative (220 (*sulphites*)))",
        ),
        (
            "us",
            "print: dried apricots, statement: 'apricots, preservative: sulphur dioxide (sulphites)'",
            "dried apricots (apricots, preservative (sulphur dioxide (sulphites)))",
        ),
        # a warning in the list is printed as one, not as an ingredient; a group whose kinds follow is no
        # whole
        # name in bold
        (
            "eu",
            "print: paste, statement: 'hazelnuts, cocoa butter (may contain traces of milk)'",
            "paste (*hazelnuts*, cocoa butter)",
        ),
        ("au", "print: praline paste, statement: 'hazelnuts, sugar'", "praline paste (*hazelnuts*, sugar)"),
        ("eu", "print: premix, statement: 'sugar, vitamins A and D'", "premix (sugar, vitamins A and D)"),
        (
            "eu",
            (
                "print: baking powder, statement: 'raising agents (baking soda, sodium hydrogen carbonate),"
                " maize starch'"
            ),
            "baking powder (raising agent (sodium carbonates), maize starch)",
        ),
        (
            "au",
            "print: flour, statement: 'wheat flour (wheat flour, thiamin)'",
            "wheat flour (*wheat* flour, thiamin)",
        ),
    ],
)
def test_nothing_is_told_twice(tmp_path, market, text, wanted):
    said, _ = declared(tmp_path, {"x": (100, text)}, market)
    assert said == f"{wanted}."


SODA = {
    "soda": (5, "print: sodium bicarbonate"),
    "bicarb": (3, "print: baking soda"),
    "flour": (6, "print: rice flour, contains: []"),
}


@pytest.mark.parametrize(
    "market, wanted",
    [
        ("eu", "raising agent (sodium carbonates), rice flour."),
        ("au", "raising agent (500), rice flour."),
        ("us", "rice flour, sodium bicarbonate, baking soda."),
    ],
)
def test_what_prints_alike_is_one_entry_of_both_weights(tmp_path, market, wanted):
    """5 g and 3 g of one additive outweigh 6 g of flour, where the market gives both one name."""
    said, declaration = declared(tmp_path, SODA, market)
    assert said == wanted
    if market != "us":
        assert declaration.entries[0].grams == pytest.approx(8) and declaration.entries[0].ingredients == (
            "soda",
            "bicarb",
        )


@pytest.mark.parametrize("market", ["eu", "uk", "au", "nz"])
@pytest.mark.parametrize("grams, wanted", [(0.2, "0.2%"), (0.04, "0.04%"), (0.36, "0.4%"), (1.2, "1")])
def test_a_percentage_never_prints_as_nothing(tmp_path, market, grams, wanted):
    said, _ = declared(
        tmp_path,
        {"saffron": (grams, "print: saffron"), "sugar": (100 - grams, "print: sugar")},
        market,
        name="Saffron cakes",
    )
    assert f"saffron ({wanted}" in said and "(0%" not in said and "(0.0%" not in said


@pytest.mark.parametrize("market", ["us", "eu", "uk", "ca", "au", "nz"])
@pytest.mark.parametrize("heavier", ["rice", "cane"])
def test_order_by_exact_weight(tmp_path, market, heavier):
    """100.4 g goes before 100.1 g, which a whole gram would call equal, whichever comes first by name."""
    weights = {"rice": 100.1, "cane": 100.1} | {heavier: 100.4}
    said, _ = declared(
        tmp_path,
        {"rice": (weights["rice"], "print: rice flour"), "cane": (weights["cane"], "print: cane sugar")},
        market,
    )
    assert said.casefold().startswith({"rice": "rice flour", "cane": "cane sugar"}[heavier])


def test_a_second_language_is_read_and_emphasised(tmp_path):
    text = (
        "print: {en: mix, de: Mischung}, statement: {en: 'sugar, glucose syrup (maize), flavouring', de:"
        " 'Zucker, Glukosesirup (Mais), Vollmilchpulver, Haselnüsse, Aroma'}"
    )
    said, _ = declared(tmp_path, {"mix": (100, text)}, "eu", languages="de")
    assert said == "Mischung (Zucker, Glukosesirup (Mais), *Vollmilchpulver*, *Haselnüsse*, Aroma)."


def test_french_alone_counts_in_both_languages_of_canada(tmp_path):
    text = (
        "print: {en: mix, fr: mélange}, statement: {en: 'sugar, cocoa', fr: 'sucre, cacao, noisettes. Peut"
        " contenir des arachides'}"
    )
    _, said = declared(tmp_path, {"mix": (100, text)}, "ca")
    assert "Hazelnuts" in said.allergens[1].text and "Noisettes" in said.second.allergens[1].text
    assert (
        said.precaution == "May contain: Peanuts." and said.second.precaution == "Peut contenir : Arachides."
    )


@pytest.mark.parametrize(
    "name, wanted",
    [
        ("{en: Crunchy biscuits, de: Haselnusskekse}", [("name-not-held", "danger")]),
        ("Hazelnut biscuits", [("name-not-held", "warn")]),
        ("{en: Hazelnut biscuits, de: Haselnusskekse}", [("name-not-held", "warn")] * 2),
        ("Ginger nuts", []),
        ("Vegan butter biscuits", []),
        ("Nut free bars", []),
        ("Almond flavour biscuits", []),
        ("Butternut squash cakes", []),
        ("Sugar bites", []),
    ],
)
def test_a_name_that_speaks_of_what_nothing_holds(tmp_path, name, wanted):
    _, said = declared(
        tmp_path, {"x": (100, "print: {en: sugar, de: Zucker}")}, "eu", name=name, languages="de"
    )
    assert [(f.code, f.severity) for f in said.findings if f.code == "name-not-held"] == wanted


@pytest.mark.parametrize(
    "field, text, severities",
    [
        ("precaution", "Contient des noisettes.", ["danger"]),
        ("storage", "Trocken lagern. Enthält Haselnüsse.", ["danger"]),
        ("storage", "Keep with your hazelnuts.", ["warn"]),
        ("origin", "Made with peanuts from far away", ["warn"]),
        ("unit", "peanut bite", ["warn"]),
        ("precaution", "May contain traces of hazelnuts", []),
        ("precaution", "Not nut free", []),
        ("storage", "Keep cool and dry, away from light.", []),
    ],
)
def test_a_text_that_speaks_of_what_nothing_holds(tmp_path, field, text, severities):
    _, said = declared(tmp_path, {"x": (100, "print: sugar")}, "eu", more=f", {field}: {text!r}")
    assert [f.severity for f in said.findings if f.code == "text-not-held"] == severities


def test_a_name_may_speak_of_what_is_held(tmp_path):
    _, said = declared(
        tmp_path, {"x": (100, "print: hazelnuts")}, "eu", name="{en: Crunchy biscuits, de: Haselnusskekse}"
    )
    assert not [f for f in said.findings if f.code == "name-not-held"]


def test_names_of_formulations_and_boxes_are_read(tmp_path):
    write(
        tmp_path,
        f"x: {{{FIGURES}, print: sugar}}\n",
        "formulations:\n  filling: {print: {en: filling, de: Haselnussfüllung}, ingredients: [50 g x],"
        " yields: 50 g}\n  f: {ingredients: [10 g x, 10 g filling], makes: 1}\nproducts:\n  p: {name:"
        " Bites, of: f, pieces: 1, category: cookies}\nboxes:\n  b: {name: {en: Gift box, de:"
        " Haselnusskiste}, holds: {p: 2}}\n",
        "markets: [eu]\n",
    )
    rolled = chain.roll_up_folder(tmp_path)
    for key, words in (("p", "Haselnussfüllung"), ("b", "Haselnusskiste")):
        found = [
            f
            for f in chain.declare_product(rolled, key, Order("eu", ON)).findings
            if f.code == "name-not-held"
        ]
        assert any(words in f.message and f.severity == "danger" for f in found), key
