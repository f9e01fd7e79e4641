"""European labels in German, Spanish, French and Italian: the words of Regulation (EU) No 1169/2011 in its
own language versions (Annexes II, III, X, XIII and XV), where the maker words the ingredients.
"""

from datetime import date

import pytest

from labelgen.chain import roll_up_folder
from labelgen.law.label_tables import Advisory
from labelgen.law.pack import read_table
from labelgen.market.declare_food import declare
from labelgen.order import Order
from tests.kitchens import write

INGREDIENTS = """
flour: {print: {en: wheat flour, de: Weizenmehl, es: harina de trigo, fr: farine de blé, it: farina di grano},
    food: usda/20481}
milk: {print: {en: milk powder, de: Vollmilchpulver, es: leche en polvo, fr: poudre de lait,
    it: latte in polvere}, food: usda/01090}
egg: {print: {en: egg, de: Hühnerei, es: huevo, fr: œuf, it: uovo}, food: usda/01123}
rice: {print: {en: rice, de: Reis, es: arroz, fr: riz, it: riso}, food: usda/20044}
"""
RECIPES = """
formulations:
  d: {ingredients: [60 g flour, 20 g milk, 15 g egg, 5 g rice], makes: 4}
products:
  p: {name: {en: Hill bread, de: Hügelbrot, es: Pan de colina, fr: Pain de colline, it: Pane di collina},
      of: d, pieces: 4, unit: {en: piece, de: Stück, es: pieza, fr: pièce, it: pezzo}, best_before: 10 days}
"""
SAID = {
    "de": (
        "Zutaten: *Weizenmehl*, *Vollmilchpulver*, *Hühnerei*, Reis.",
        "Fett",
        "davon Zucker",
        "je 100 g",
        "*Referenzmenge für einen durchschnittlichen Erwachsenen (8 400 kJ/2 000 kcal)",
        "Mindestens haltbar bis 05.12.2026",
    ),
    "es": (
        "Ingredientes: harina de *trigo*, *leche* en polvo, *huevo*, arroz.",
        "Grasas",
        "de los cuales azúcares",
        "por 100 g",
        "*Ingesta de referencia de un adulto medio (8 400 kJ/2 000 kcal)",
        "Consumir preferentemente antes del 05/12/2026",
    ),
    "fr": (
        "Ingrédients : farine de *blé*, poudre de *lait*, *œuf*, riz.",
        "Matières grasses",
        "dont sucres",
        "pour 100 g",
        "*Apport de référence pour un adulte-type (8 400 kJ/2 000 kcal)",
        "À consommer de préférence avant le 05/12/2026",
    ),
    "it": (
        "Ingredienti: farina di *grano*, *latte* in polvere, *uovo*, riso.",
        "Grassi",
        "di cui zuccheri",
        "per 100 g",
        "*Assunzioni di riferimento di un adulto medio (8 400 kJ/2 000 kcal)",
        "Da consumarsi preferibilmente entro il 05/12/2026",
    ),
}


def label(folder, languages):
    rolled = roll_up_folder(
        write(
            folder,
            INGREDIENTS,
            RECIPES,
            "producer: {name: Example Hill Bakes, address: 1 Example Hill}\nmarkets: [eu]\nlanguages:"
            f" {languages}\n",
        )
    )
    return declare(
        rolled.profiles["p"],
        rolled.kitchen.products["p"],
        rolled.kitchen,
        Order("eu", date(2026, 11, 25), made_on=date(2026, 11, 25)),
    )


@pytest.mark.parametrize("language", sorted(SAID))
def test_a_label_in_one_language(tmp_path, language):
    statement, fat, sugars, per, footnote, best_before = SAID[language]
    d = label(tmp_path, f"[{language}]")
    said = "".join(f"*{r.text}*" if r.bold else r.text for r in d.ingredients)
    assert (
        said == f"*{statement.partition(' ')[0] if language != 'fr' else 'Ingrédients :'}"
        f" *{statement.partition(': ')[2]}"
    )
    rows = {r.key: r for r in d.panel.columns[0].rows}
    assert (
        rows["fat"].label,
        rows["sugars"].label,
        d.panel.columns[0].heading,
        d.panel.footnote,
        d.dates[0],
    ) == (fat, sugars, per, footnote, best_before)
    assert "," in rows["fat"].declared and "." not in rows["fat"].declared and not d.second
    assert not [f for f in d.findings if f.blocks]


def test_english_is_printed_unless_another_language_is_chosen(tmp_path):
    d = label(tmp_path, "[en]")
    assert (
        d.panel.columns[0].heading == "per 100 g"
        and "." in next(r for r in d.panel.columns[0].rows if r.key == "fat").declared
    )


def test_two_languages_on_one_label(tmp_path):
    d = label(tmp_path, "[de, fr]")
    assert d.ingredients[0].text == "Zutaten: " and d.second.ingredients[0].text == "Ingrédients : "


SWEETS = """
icing: {print: {en: icing, de: Glasur},
    statement: {en: "sugar, water, colours (tartrazine, E129), acid (E330)",
    de: "Zucker, Wasser, Farbstoffe (Tartrazin, E129), Säuerungsmittel (E330)"}, food: usda/19336}
bonbon: {print: {en: drops, de: Bonbons},
    statement: {en: "sweetener (maltitol), flavouring, sweetener (aspartame)",
    de: "Süßungsmittel (Maltit), Aroma, Süßstoff (Aspartam)"}, contains: [], per: 100 g,
  nutrients: {energy: 240 kcal, fat: 0 g, saturated fat: 0 g, carbohydrate: 99 g, fibre: 0 g, sugars: 0 g,
      polyols: 98 g, maltitol: 98 g, protein: 0 g, sodium: 0 mg}}
plain: {print: {en: glaze, de: Guss}, statement: "Zucker, Wasser, Farbstoff (Azorubin)", food: usda/19336}
"""
SWEET_RECIPES = """
formulations:
  a: {ingredients: [60 g icing], makes: 4}
  b: {ingredients: [60 g bonbon], makes: 4}
  c: {ingredients: [60 g plain], makes: 4}
products:
  a: {name: {en: Hill one, de: Hügel eins}, of: a, pieces: 4, unit: {en: piece, de: Stück}}
  b: {name: {en: Hill two, de: Hügel zwei}, of: b, pieces: 4, unit: {en: piece, de: Stück}}
  c: {name: {en: Hill three, de: Hügel drei}, of: c, pieces: 4, unit: {en: piece, de: Stück}}
"""


@pytest.mark.parametrize(
    "product, statement, identity, advisories",
    [
        # Regulation (EC) 1333/2008, Article 24: "name or E number of the colour(s)"; the names stand as the
        # maker words them
        (
            "a",
            "Zutaten: Glasur (Zucker, Wasser, Farbstoffe (Tartrazin, E129), Säuerungsmittel (E330)).",
            "Hügel eins",
            ("E129, E102: kann Aktivität und Aufmerksamkeit bei Kindern beeinträchtigen",),
        ),
        # Regulation (EU) 1169/2011, Annex III, 2.1, 2.3, 2.4
        (
            "b",
            "Zutaten: Bonbons (Süßungsmittel (Maltit), Aroma, Süßstoff (Aspartam)).",
            "Hügel zwei mit Süßungsmitteln",
            ("Enthält eine Phenylalaninquelle", "Kann bei übermäßigem Verzehr abführend wirken"),
        ),
        # a statement typed in German only
        ("c", None, "Hügel drei", ("E122: kann Aktivität und Aufmerksamkeit bei Kindern beeinträchtigen",)),
    ],
)
def test_additives_and_their_warnings_in_another_language(tmp_path, product, statement, identity, advisories):
    rolled = roll_up_folder(
        write(
            tmp_path,
            SWEETS,
            SWEET_RECIPES,
            "producer: {name: Example Hill Bakes, address: 1 Example Hill}\nmarkets: [eu]\nlanguages: [de]\n",
        )
    )
    d = declare(
        rolled.profiles[product],
        rolled.kitchen.products[product],
        rolled.kitchen,
        Order("eu", date(2026, 11, 25)),
    )
    assert statement is None or "".join(r.text for r in d.ingredients) == statement
    assert (d.identity, d.advisories) == (identity, advisories)


@pytest.mark.parametrize(
    "serving, asked", [("", False), ("serving: 30 g, ", True), ("serving: 2 piece, ", True)]
)
def test_a_unit_is_asked_for_only_where_a_serving_prints_it(tmp_path, serving, asked):
    recipes = (
        "formulations:\n  a: {ingredients: [80 g sugar], makes: 4}\nproducts:\n  a: {name: {de:"
        f" Hügel}}, of: a, pieces: 4, {serving}unit: {{en: rounding}}}}\n"
    )
    rolled = roll_up_folder(
        write(
            tmp_path,
            "sugar: {print: {en: sugar, de: Zucker}, food: usda/19335}\n",
            recipes,
            "producer: {name: Example Hill Bakes, address: 1 Example Hill}\nmarkets: [eu]\nlanguages: [de]\n",
        )
    )
    d = declare(
        rolled.profiles["a"], rolled.kitchen.products["a"], rolled.kitchen, Order("eu", date(2026, 11, 25))
    )
    assert any(f.code == "wording-missing" and "'unit:" in f.message for f in d.findings) == asked


def test_every_statement_of_the_law_is_worded_in_every_language():
    for entry in read_table("eu", Advisory):
        assert all(entry.is_worded(language, "text") for language in ("de", "es", "fr", "it")), entry.key


TWO = (
    "flour: {print: {en: wheat flour, de: Weizenmehl, es: harina de trigo, fr: farine de blé, it: farina di"
    " frumento}, food: usda/20481}\nmaltitol: {print: {en: maltitol, de: Maltit, es: maltitol, fr:"
    " maltitol, it: maltitolo}, food: pure/maltitol}\nsorbitol: {print: {en: sorbitol, de: Sorbit, es:"
    " sorbitol, fr: sorbitol, it: sorbitolo}, food: pure/sorbitol}\n"
)


@pytest.mark.parametrize(
    "language, one, two",
    [
        ("de", "mit Süßungsmittel", "mit Süßungsmitteln"),
        ("es", "con edulcorante", "con edulcorantes"),
        ("fr", "avec édulcorant", "avec édulcorants"),
        ("it", "con edulcorante", "con edulcoranti"),
    ],
)
def test_one_sweetener_and_two(tmp_path, language, one, two):
    """Regulation (EU) No 1169/2011, Annex III, 2.1: "with sweetener(s)"; the languages' words from memory."""
    recipes = (
        "formulations:\n  a: {ingredients: [60 g flour, 20 g maltitol], makes: 4}\n  b: {ingredients: [60 g"
        " flour, 20 g maltitol, 20 g sorbitol], makes: 4}\nproducts:\n"
        + "".join(
            f"  {p}: {{name: {{en: Hill, {language}: Hill}}, of: {p}, pieces: 4, unit: {{en: piece,"
            f" {language}: Rund}}}}\n"
            for p in "ab"
        )
    )
    rolled = roll_up_folder(
        write(
            tmp_path,
            TWO,
            recipes,
            "producer: {name: Example Hill Bakes, address: 1 Example Hill}\nmarkets: [eu]\nlanguages:"
            f" [{language}]\n",
        )
    )
    said = [
        declare(
            rolled.profiles[p], rolled.kitchen.products[p], rolled.kitchen, Order("eu", date(2026, 11, 25))
        ).identity
        for p in "ab"
    ]
    assert said == [f"Hill {one}", f"Hill {two}"]


@pytest.mark.parametrize(
    "language, unit, plural, served",
    [
        ("de", "Taler", "", None),
        ("de", "Taler", "Taler", "je 2 Taler"),
        ("de", "Keks", "", "je 2 Kekse"),
        ("it", "cialda", "cialde", "per 2 cialde"),
        ("it", "cialda", "", None),
        ("fr", "gâteau", "", "pour 2 gâteaux"),
        ("fr", "galette", "", "pour 2 galettes"),
    ],
)
def test_several_pieces_in_another_language_are_never_spelt_the_english_way(
    tmp_path, language, unit, plural, served
):
    several = f", unit_plural: {{en: cookies, {language}: {plural}}}" if plural else ""
    recipes = (
        "formulations:\n  a: {ingredients: [80 g flour], makes: 4}\nproducts:\n  a: {name: {en: Hill,"
        f" {language}: Hill}}, of: a, pieces: 4, serving: 2 cookie, unit: {{en: cookie, {language}:"
        f" {unit}}}{several}}}\n"
    )
    rolled = roll_up_folder(
        write(
            tmp_path,
            TWO,
            recipes,
            "producer: {name: Example Hill Bakes, address: 1 Example Hill}\nmarkets: [eu]\nlanguages:"
            f" [{language}]\n",
        )
    )
    d = declare(
        rolled.profiles["a"], rolled.kitchen.products["a"], rolled.kitchen, Order("eu", date(2026, 11, 25))
    )
    asked = [f for f in d.findings if f.code == "wording-missing" and "unit_plural" in f.message]
    assert bool(asked) == (served is None) and (
        served is None or d.panel.columns[1].heading == f"{served} (40 g)"
    )


@pytest.mark.parametrize(
    "printed, worded",
    [
        ("color", "Farbstoff (Kurkuma)"),
        ("leavening agents", "Backtriebmittel"),
        ("colors", "Farbstoffe (Kurkuma)"),
    ],
)
def test_a_class_in_another_spelling_is_one_or_several_as_it_is_written(tmp_path, printed, worded):
    larder = (
        f"flour: {{print: wheat flour, food: usda/20481}}\ntint: {{print: {printed}, statement: {{en:"
        " turmeric, de: Kurkuma}, contains: [], food: usda/19335}\n"
    )
    recipes = (
        "formulations:\n  a: {ingredients: [80 g flour, 10 g tint], makes: 4}\nproducts:\n  a: {name: {en:"
        " Hill, de: Hügel}, of: a, pieces: 4}\n"
    )
    rolled = roll_up_folder(
        write(
            tmp_path,
            larder,
            recipes,
            "producer: {name: Example Hill Bakes, address: 1 Example Hill}\nmarkets: [eu]\nlanguages: [de]\n",
        )
    )
    d = declare(
        rolled.profiles["a"], rolled.kitchen.products["a"], rolled.kitchen, Order("eu", date(2026, 11, 25))
    )
    assert worded in "".join(r.text for r in d.ingredients)


@pytest.mark.parametrize(
    "languages, told", [("de", []), ("de, fr", ["German alone"]), ("en, fr", ["English alone"])]
)
def test_several_languages_on_one_label_are_not_ready(tmp_path, languages, told):
    """Regulation (EU) No 1169/2011, Article 15(2): every particular in each language a member state asks
    for; the table has one.
    """
    recipes = (
        "formulations:\n  a: {ingredients: [80 g flour], makes: 4}\nproducts:\n  a: {name: {en: Hill, de:"
        " Hügel, fr: Colline}, of: a, pieces: 4}\n"
    )
    rolled = roll_up_folder(
        write(
            tmp_path,
            TWO,
            recipes,
            "producer: {name: Example Hill Bakes, address: 1 Example Hill}\nmarkets: [eu]\nlanguages:"
            f" [{languages}]\n",
        )
    )
    found = [
        f.message
        for f in declare(
            rolled.profiles["a"],
            rolled.kitchen.products["a"],
            rolled.kitchen,
            Order("eu", date(2026, 11, 25)),
        ).findings
        if f.code == "not-ready-languages"
    ]
    assert len(found) == len(told) and all(words in message for words, message in zip(told, found))
