"""Additives on labels in German, French, Spanish and Italian: behind their class, as Annex VII, Part C of
Regulation (EU) No 1169/2011 wants it; class names of that annex and names of Regulation (EC) No 1333/2008
in those languages, from memory.
"""

from __future__ import annotations

import csv
from datetime import date

import pytest

from labelgen import paths
from labelgen.chain import declare_product, roll_up_folder
from labelgen.market.statement.additives import LANGUAGES, additive_name, additive_of, class_name
from labelgen.order import Order


def rows(name: str) -> list[dict[str, str]]:
    with paths.reference("additives", name).open(encoding="utf-8", newline="") as f:
        return list(csv.DictReader(line for line in f if not line.startswith("#")))


ADDITIVES, NAMES, CLASSES = (
    rows("additives.csv"),
    rows("names.csv"),
    {r["class"]: r for r in rows("classes.csv")},
)


def test_every_additive_and_class_is_named_in_every_language():
    assert [r["e_number"] for r in NAMES] == [r["e_number"] for r in ADDITIVES]
    assert all(r[language] for r in NAMES for language in LANGUAGES)
    assert {r["class"] for r in ADDITIVES} - {""} <= set(CLASSES)
    assert all(r[language] and r[f"{language}_plural"] for r in CLASSES.values() for language in LANGUAGES)


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_name_means_its_own_additive(language):
    for row in NAMES:
        for name in row[language].split("|"):
            known = additive_of(name)
            assert known is not None and known.number == row["e_number"] and not known.source, name


FOODS = """
flour: {print: {en: wheat flour, de: Weizenmehl, fr: farine de blé, es: harina de trigo,
    it: farina di frumento}, food: usda/20481}
lecithin: {print: {en: soya lecithin, de: Sojalecithin, fr: lécithine de soja, es: lecitina de soja,
    it: lecitina di soia}, contains: [soy], food: usda/04053}
xanthan: {print: xanthan gum, contains: [], food: usda/19335}
soda: {print: {en: baking soda, de: Natron, fr: bicarbonate de soude, es: bicarbonato sódico,
    it: bicarbonato di sodio}, contains: [], food: usda/18372}
marge:
  print: {en: margarine, de: Margarine, fr: margarine, es: margarina, it: margarina}
  statement: {en: "palm oil, emulsifier: lecithins, preservative: potassium sorbate",
      de: "Palmöl, Emulgator: Lecithine, Konservierungsstoff: Kaliumsorbat",
    fr: "huile de palme, émulsifiant : lécithines, conservateur : sorbate de potassium",
        es: "aceite de palma, emulgente: lecitinas, conservador: sorbato potásico",
    it: "olio di palma, emulsionante: lecitine, conservante: sorbato di potassio"}
  contains: [soy]
  food: usda/04053
"""
RECIPE = """
formulations:
  a: {ingredients: [100 g flour, 30 g marge, 3 g lecithin, 2 g soda, 1 g xanthan]}
products:
  a: {name: {en: Biscuits, de: Kekse, fr: Biscuits, es: Galletas, it: Biscotti}, of: a, net: 136 g,
      unit: {en: piece, de: Stück, fr: pièce, es: pieza, it: pezzo}}
"""


@pytest.mark.parametrize(
    "language, words, servings",
    [
        (
            "de",
            (
                "Emulgator (Sojalecithin)",
                "Backtriebmittel (Natron)",
                "Verdickungsmittel (Xanthan)",
                "Emulgator (Lecithine (Soja)), Konservierungsstoff (Kaliumsorbat)",
            ),
            "etwa 1,5",
        ),
        (
            "fr",
            (
                "émulsifiant (lécithine de soja)",
                "poudre à lever (bicarbonate de soude)",
                "épaississant (gomme de xanthane)",
                "conservateur (sorbate de potassium)",
            ),
            "environ 1,5",
        ),
        (
            "es",
            (
                "emulgente (lecitina de soja)",
                "gasificante (bicarbonato sódico)",
                "espesante (goma xantana)",
                "conservador (sorbato potásico)",
            ),
            "aproximadamente 1,5",
        ),
        (
            "it",
            (
                "emulsionante (lecitina di soia)",
                "agente lievitante (bicarbonato di sodio)",
                "addensante (gomma di xanthan)",
                "conservante (sorbato di potassio)",
            ),
            "circa 1,5",
        ),
    ],
)
def test_a_label_names_the_class_in_its_language(tmp_path, language, words, servings):
    (tmp_path / "ingredients").mkdir()
    (tmp_path / "recipes").mkdir()
    (tmp_path / "kitchen.yaml").write_text(
        "producer: {name: Example Hill Bakes, address: 1 Example Hill}\nmarkets: [eu]\nlanguages:"
        f" [{language}]\n"
    )
    (tmp_path / "ingredients" / "all.yaml").write_text(FOODS)
    (tmp_path / "recipes" / "all.yaml").write_text(RECIPE)
    declared = declare_product(roll_up_folder(tmp_path), "a", Order("eu", date(2026, 12, 1)))
    text = "".join(r.text for r in declared.ingredients)
    assert all(w in text for w in words), text
    assert not [f for f in declared.findings if f.code == "wording-missing"]
    assert servings in declared.panel.serving.per_container
    for english in ("emulsifier", "thickener", "raising", "preservative", "xanthan gum", "about"):
        assert english not in f"{text} {declared.panel.serving.per_container}".casefold()


@pytest.mark.parametrize("language", ["fr", "de", "es", "it"])
def test_the_lists_names_of_additives_are_known(language):
    """What labelgen words itself in another language it also knows as an additive."""
    with paths.reference("names", f"{language}.csv").open(encoding="utf-8", newline="") as f:
        for row in csv.DictReader(f):
            known = additive_of(row["en"])
            if known and known.function and not known.source:
                assert additive_of(row[language]), row


def test_a_word_of_the_list_and_a_class():
    assert (
        additive_name("citric acid", "de") == "Citronensäure"
        and additive_name("E415", "it") == "gomma di xanthan"
    )
    # a source cannot be worded
    assert additive_name("soya lecithin", "de") == "" and additive_name("flour", "de") == ""
    assert class_name("emulsifier", "es", several=True) == "emulgentes" and class_name("no class", "es") == ""


def test_a_caramel_of_no_class_keeps_none():
    """Regulation (EC) No 1333/2008 knows four; a packet that tells none of them is no plain caramel."""
    told = {
        w: additive_of(w).number
        for w in ("caramel colour", "Zuckerkulör", "plain caramel", "einfaches Zuckerkulör", "E150d")
    }
    assert told == {
        "caramel colour": "",
        "Zuckerkulör": "",
        "plain caramel": "E150a",
        "einfaches Zuckerkulör": "E150a",
        "E150d": "E150d",
    }
    assert (
        additive_of("caramel") is None
        and additive_of("E1105").number == additive_of("lysozyme").number == "E1105"
    )


@pytest.mark.parametrize(
    "name, ingredient, quantity",
    [
        ("Haselnusskekse", "Haselnüsse", True),
        ("Mandelkekse", "Mandeln", True),
        ("Apfelkuchen", "Äpfel", True),
        ("Schokoladenkekse", "Schokolade", True),
        ("Zuckerkekse", "Zucker", True),
        ("Kekse", "Haselnüsse", False),
        ("Mandeln", "Mandeln", True),
        ("Eis", "Eier", False),
        ("Lebkuchen", "Lebensmittelstärke", False),
    ],
)
def test_a_german_name_stresses_what_it_is_put_together_with(name, ingredient, quantity):
    """Article 22(1)(a) of Regulation (EU) No 1169/2011: an ingredient that appears in the name of the
    food.
    """
    from labelgen.market.statement.entries import Part
    from labelgen.market.statement.quantities import _named

    assert bool(_named([Part(ingredient), Part("Mehl")], name, True)) == quantity


#: Caustic sulphite caramel and sulphite ammonia caramel: made with sulphites, of which some may remain.
# Words for them ask or say so.
SULPHITE_CARAMELS = ("E150b", "E150d")


def test_no_additive_or_class_sounds_like_an_allergen():
    """But the sulphites, lysozyme, the lecithins that name soya, and the caramels made with sulphites."""
    from labelgen.composition.text.lexicon import find_allergens

    for row in NAMES:
        for name in "|".join(row[language] for language in LANGUAGES).split("|"):
            meant = (
                {"egg"}
                if row["e_number"] == "E1105"
                else (
                    {"sulphite"}
                    if "E220" <= row["e_number"] <= "E228"
                    else (
                        {"soy"} if {"soja", "soia"} & {name.casefold()[:4], name.casefold()[-4:]} else set()
                    )
                )
            )
            found = find_allergens(f"sugar, {name}, salt")
            sure = {h.allergen for h in found.contains}
            if row["e_number"] in SULPHITE_CARAMELS:
                assert sure <= {"sulphite"} and "sulphite" in sure | {
                    h.allergen for h in found.may_contain
                }, name
            else:
                assert sure == meant, name
    for row in ADDITIVES:
        if row["e_number"] in SULPHITE_CARAMELS:
            found = find_allergens(f"sugar, {row['name']}, salt")
            assert not found.contains and {h.allergen for h in found.may_contain} == {"sulphite"}, row["name"]
    for row in CLASSES.values():
        for name in "|".join(v for k, v in row.items() if k not in ("class", "grade")).split("|"):
            assert not find_allergens(f"sugar, {name}, salt").contains, name


@pytest.mark.parametrize(
    "number, name",
    [
        ("E150b", "caustic sulphite caramel"),
        ("E150d", "sulphite ammonia caramel"),
        ("E226", "calcium sulphite"),
        ("E260", "acetic acid"),
        ("E281", "sodium propionate"),
        ("E297", "fumaric acid"),
        ("E319", "tertiary-butyl hydroquinone"),
        ("E401", "sodium alginate"),
        ("E451", "triphosphates"),
        ("E466", "sodium carboxymethyl cellulose"),
        ("E472a", "acetic acid esters of mono- and diglycerides of fatty acids"),
        ("E472c", "citric acid esters of mono- and diglycerides of fatty acids"),
        ("E482", "calcium stearoyl-2-lactylate"),
        ("E491", "sorbitan monostearate"),
        ("E551", "silicon dioxide"),
        ("E627", "disodium guanylate"),
        ("E961", "neotame"),
        ("E1200", "polydextrose"),
        ("E1442", "hydroxypropyl distarch phosphate"),
    ],
)
def test_a_number_and_a_name_mean_one_additive(number, name):
    """Numbers and names of the Codex (CXG 36-1989), from memory."""
    assert (
        additive_of(number).name == additive_of(f"E {number[1:]}").name == name
        and additive_of(name).number == number
        and not additive_of(name).source
    )


@pytest.mark.parametrize(
    "food",
    [
        "amaranth",
        "popped amaranth",
        "amaranth flour",
        "saffron",
        "caramel",
        "dextrin",
        "modified starch",
        "rice starch",
        "vinegar",
    ],
)
def test_a_food_is_no_additive_of_the_same_word(food):
    assert additive_of(food) is None


SUPPLIED = """
flour: {print: {en: wheat flour, de: Weizenmehl}, food: usda/20481}
syrup:
  print: {en: glaze, de: Glasur}
  statement: "glucose syrup, colour (150d), acidity regulator: E338, thickener (1442),
    emulsifiers (471, 472c), antioxidant E319"
  contains: []
  food: usda/19351
gum: {print: cellulose gum, contains: [], food: usda/19335}
sweet: {print: neotame, contains: [], food: pure/sucralose}
"""


def declared_of(folder, market, settings=""):
    (folder / "ingredients").mkdir()
    (folder / "recipes").mkdir()
    (folder / "kitchen.yaml").write_text(
        f"producer: {{name: Example Hill Bakes, address: 1 Example Hill}}\nmarkets: [{market}]\n{settings}"
    )
    (folder / "ingredients" / "all.yaml").write_text(SUPPLIED)
    (folder / "recipes" / "all.yaml").write_text(
        "formulations:\n  a: {ingredients: [100 g flour, 20 g syrup, 1 g gum, 0.1 g sweet]}\nproducts:\n "
        " a: {name: {en: Slices, de: Schnitten}, of: a, net: 121 g, unit: {en: piece, de: Stück}}\n"
    )
    return declare_product(roll_up_folder(folder), "a", Order(market, date(2026, 12, 1)))


@pytest.mark.parametrize(
    "market, words",
    [
        (
            "au",
            (
                "colour (150d)",
                "acidity regulator (338)",
                "thickener (1442)",
                "emulsifiers (471, 472c)",
                "antioxidant (319)",
                "thickener (466)",
                "sweetener (neotame)",
            ),
        ),
        (
            "eu",
            (
                "colour (E150d)",
                "thickener (E1442)",
                "emulsifiers (E471, E472c)",
                "thickener (sodium carboxymethyl cellulose)",
                "sweetener (neotame)",
            ),
        ),
        (
            "us",
            (
                "color (caramel color)",
                "phosphoric acid",
                "food starch-modified",
                "citric acid esters of mono- and diglycerides",
                "TBHQ",
                "cellulose gum",
            ),
        ),
        ("ca", ("colour (caramel)", "phosphoric acid", "modified starch", "TBHQ")),
    ],
)
def test_each_market_words_a_suppliers_numbers(tmp_path, market, words):
    """Code numbers: Standard 1.2.4-7 and Schedule 8 of Australia and New Zealand; class and number: Annex
    VII, Part C of Regulation (EU) No 1169/2011;
    names: 21 CFR 101.4(a)(1) and 101.22(k), B.01.010 of the Canadian regulations.
    """
    declared = declared_of(tmp_path, market)
    text = "".join(r.text for r in declared.ingredients)
    assert all(w in text for w in words), text
    assert not [f for f in declared.findings if f.code == "additive-number"]


@pytest.mark.parametrize(
    "settings, said",
    [("", "with sugars and sweetener"), ("languages: [de]\n", "mit Zuckerarten und Süßungsmittel")],
)
def test_a_sweetener_stands_with_the_name_of_the_food(tmp_path, settings, said):
    """Annex III, 2.1 and 2.2 of Regulation (EU) No 1169/2011; neotame is Neotam in German."""
    assert said in repr(declared_of(tmp_path, "eu", settings))


def test_a_name_that_ends_like_a_metal_is_no_colour():
    assert additive_of("edible gold leaf").number == "E175" and additive_of("E174").number == "E174"
    assert not any(map(additive_of, ("Yukon gold", "gold", "sirop d’or", "butter or", "silver")))
