"""European labels in German, Spanish, French and Italian: the words of Regulation (EU) No 1169/2011 in its own language
versions (Annexes II, III, X, XIII and XV), where the maker words the ingredients."""

from datetime import date

import pytest

from labelgen.chain import roll_up_folder
from labelgen.market.declare import declare
from tests.kitchens import write

INGREDIENTS = """
flour: {print: {en: wheat flour, de: Weizenmehl, es: harina de trigo, fr: farine de blé, it: farina di grano}, food: usda/20481}
milk: {print: {en: milk powder, de: Vollmilchpulver, es: leche en polvo, fr: poudre de lait, it: latte in polvo}, food: usda/01090}
egg: {print: {en: egg, de: Hühnerei, es: huevo, fr: œuf, it: uovo}, food: usda/01123}
rice: {print: {en: rice, de: Reis, es: arroz, fr: riz, it: riso}, food: usda/20044}
"""
RECIPES = """
formulations:
  d: {ingredients: [60 g flour, 20 g milk, 15 g egg, 5 g rice], makes: 4}
products:
  p: {name: {en: Hill bread, de: Hügelbrot, es: Pan de colina, fr: Pain de colline, it: Pane di collina}, of: d, pieces: 4, unit: {en: piece, de: Stück, es: pieza, fr: pièce, it: pezzo}, best_before: 10 days}
"""
SAID = {
    "de": ("Zutaten: *Weizenmehl*, *Vollmilchpulver*, *Hühnerei*, Reis.", "Fett", "davon Zucker", "je 100 g", "*Referenzmenge für einen durchschnittlichen Erwachsenen (8 400 kJ/2 000 kcal)", "Mindestens haltbar bis 05.12.2026"),
    "es": ("Ingredientes: harina de *trigo*, *leche* en polvo, *huevo*, arroz.", "Grasas", "de los cuales azúcares", "por 100 g", "*Ingesta de referencia de un adulto medio (8 400 kJ/2 000 kcal)", "Consumir preferentemente antes del 05/12/2026"),
    "fr": ("Ingrédients : farine de *blé*, poudre de *lait*, *œuf*, riz.", "Matières grasses", "dont sucres", "pour 100 g", "*Apport de référence pour un adulte-type (8 400 kJ/2 000 kcal)", "À consommer de préférence avant le 05/12/2026"),
    "it": ("Ingredienti: farina di *grano*, *latte* in polvo, *uovo*, riso.", "Grassi", "di cui zuccheri", "per 100 g", "*Assunzioni di riferimento di un adulto medio (8 400 kJ/2 000 kcal)", "Da consumarsi preferibilmente entro il 05/12/2026"),
}


def label(folder, languages):
    rolled = roll_up_folder(write(folder, INGREDIENTS, RECIPES, f"producer: {{name: Example Hill Bakes, address: 1 Example Hill}}\nmarkets: [eu]\nlanguages: {languages}\n"))
    return declare(rolled.profiles["p"], rolled.kitchen.products["p"], rolled.kitchen, "eu", date(2026, 11, 25), made_on=date(2026, 11, 25))


@pytest.mark.parametrize("language", sorted(SAID))
def test_a_label_in_one_language(tmp_path, language):
    statement, fat, sugars, per, footnote, best_before = SAID[language]
    d = label(tmp_path, f"[{language}]")
    said = "".join(f"*{r.text}*" if r.bold else r.text for r in d.ingredients)
    assert said == f"*{statement.partition(' ')[0] if language != 'fr' else 'Ingrédients :'} *{statement.partition(': ')[2]}"
    rows = {r.key: r for r in d.panel.columns[0].rows}
    assert (rows["fat"].label, rows["sugars"].label, d.panel.columns[0].heading, d.panel.footnote, d.dates[0]) == (fat, sugars, per, footnote, best_before)
    assert "," in rows["fat"].declared and "." not in rows["fat"].declared and not d.second
    assert not [f for f in d.findings if f.blocks]


def test_english_is_printed_unless_another_language_is_chosen(tmp_path):
    d = label(tmp_path, "[en]")
    assert d.panel.columns[0].heading == "per 100 g" and "." in next(r for r in d.panel.columns[0].rows if r.key == "fat").declared


def test_two_languages_on_one_label(tmp_path):
    d = label(tmp_path, "[de, fr]")
    assert d.ingredients[0].text == "Zutaten: " and d.second.ingredients[0].text == "Ingrédients : "
