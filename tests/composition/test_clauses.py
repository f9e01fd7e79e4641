"""Each clause of a packet keeps its own mode; in doubt between "contains" and "may contain", it is
contained.
"""

import pytest

from labelgen.composition.text.lexicon import find_allergens

WARNS = {
    "en": "May contain nuts",
    "fr": "Peut contenir des arachides",
    "de": "Kann Haselnüsse enthalten",
    "es": "Puede contener huevo",
    "it": "Può contenere soia",
}
DECLARES = {
    "en": "contains milk",
    "fr": "contient du lait",
    "de": "enthält Milch",
    "es": "contiene leche",
    "it": "contiene latte",
}
MARKS = {
    "comma": ", ",
    "semicolon": "; ",
    "dash": " - ",
    "long dash": " – ",
    "bullet": " • ",
    "slash": " / ",
    "bar": " | ",
    "line": "\n",
    "stop": ". ",
}
AND = {"en": " and ", "fr": " et ", "de": " und ", "es": " y ", "it": " e "}


def found(text):
    seen = find_allergens(text)
    return {h.allergen for h in seen.contains} - {"gluten/wheat"}, {h.allergen for h in seen.may_contain}


@pytest.mark.parametrize("mark", [*MARKS, "and", "bracket"])
@pytest.mark.parametrize("language", WARNS)
def test_what_is_declared_after_a_warning_is_contained(language, mark):
    between = AND[language] if mark == "and" else MARKS.get(mark, " (")
    text = f"{WARNS[language]}{between}{DECLARES[language]}{')' if mark == 'bracket' else ''}"
    contains, may = found(text)
    assert contains == {"milk"} and len(may) == 1
    contains, may = found(f"{DECLARES[language]}{between}{WARNS[language]}{')' if mark == 'bracket' else ''}")
    assert contains == {"milk"} and len(may) == 1


@pytest.mark.parametrize(
    "text, contains, may",
    [
        ("Contains wheat, may contain egg, contains soy", "wheat soy", "egg"),
        ("Allergens: contains milk, may contain nuts, contains soya", "milk soy", "tree_nut"),
        ("Sugar. May contain nuts (contains milk) and soy.", "milk", "tree_nut soy"),
        ("Sugar (may contain nuts, contains milk), salt", "milk", "tree_nut"),
        ("Sucre (peut contenir des noisettes et contient du lait), sel", "milk", "tree_nut/hazelnut"),
        ("Chips (sugar, may contain peanuts, contains soy lecithin), rice", "soy", "peanut"),
        ("Sugar (may contain nuts (contains milk), egg), salt", "milk", "tree_nut egg"),
        ("Sugar (may contain products that contain nuts)", "", "tree_nut"),
        ("Contains milk, nuts may be present", "milk", "tree_nut"),
        ("Sugar. Contains milk; nuts are also handled in our bakery.", "milk", "tree_nut"),
        ("Made with butter and eggs in our small bakery.", "milk egg", ""),
        ("Produced in Italy, contains milk, packed in a factory handling nuts", "milk", "tree_nut"),
        ("Zucker, Kakaobutter. Kann Haselnüsse enthalten, Milchpulver", "milk", "tree_nut/hazelnut"),
        ("Made in a factory that also contains nuts", "", "tree_nut"),
        ("Made in a facility handling products that contain nuts", "", "tree_nut"),
        ("Kann Spuren enthalten von Haselnüssen", "", "tree_nut/hazelnut"),
        ("Kann enthalten: Haselnüsse, Ei", "", "tree_nut/hazelnut egg"),
    ],
)
def test_clauses_beside_each_other(text, contains, may):
    assert found(text) == (set(contains.split()), set(may.split()))


@pytest.mark.parametrize(
    "text, may",
    [
        ("may not be suitable for people with egg allergy", "egg"),
        ("Not nut free", "tree_nut"),
        ("This product is not nut free.", "tree_nut"),
        ("Isn't dairy free", "milk"),
        ("Not suitable for nut allergy sufferers", "tree_nut"),
        ("Nut allergy sufferers should avoid this product", "tree_nut"),
        ("Avoid if allergic to soya", "soy"),
        ("People with milk allergy should not eat this", "milk"),
        ("We cannot claim this to be free from egg", "egg"),
        ("Not certified gluten free", "gluten"),
        ("Für Nussallergiker nicht geeignet", "tree_nut"),
        ("Nicht geeignet für Personen mit Eiallergie", "egg"),
        ("Déconseillé aux personnes allergiques aux arachides", "peanut"),
        ("Non garanti sans lait", "milk"),
        ("Ne convient pas aux personnes allergiques à l'œuf", "egg"),
        ("No apto para alérgicos al huevo", "egg"),
        ("No está libre de leche", "milk"),
        ("Non adatto a chi è allergico alle uova", "egg"),
        ("Sconsigliato a chi è allergico al latte", "milk"),
    ],
)
def test_a_promise_withheld_warns(text, may):
    assert found(text) == (set(), set(may.split()))


def test_a_promise_kept_denies():
    assert found("May contain milk. Free from nuts. Egg free.") == (set(), {"milk"})


def test_only_words_files_of_languages_bring_phrases():
    from labelgen.composition.text.tongues import languages

    assert {"en", "pl"} <= set(languages()) and "papers" not in languages()


@pytest.mark.parametrize(
    "text, contains, may",
    [
        ("Sugar. May contain nuts; made with milk", {"milk"}, {"tree_nut"}),
        ("Sugar. May contain nuts; includes milk", {"milk"}, {"tree_nut"}),
        ("Sugar. May contain nuts as well as containing milk", {"milk"}, {"tree_nut"}),
        ("Sugar. May contain nuts; with milk", {"milk"}, {"tree_nut"}),
        ("Sugar. May contain nuts; milk is an ingredient", {"milk"}, {"tree_nut"}),
        ("Sugar. May contain nuts; made with equipment that handles milk", set(), {"tree_nut", "milk"}),
        ("Zucker. Kann Spuren von Nüssen enthalten, mit Milch hergestellt", {"milk"}, {"tree_nut"}),
        ("Sucre. Peut contenir du soja ; fabriqué avec du lait", {"milk"}, {"soy"}),
        ("Sucre. Peut contenir du soja ainsi que du lait", set(), {"soy", "milk"}),
        ("Azúcar. Puede contener soja; elaborado con leche", {"milk"}, {"soy"}),
        ("Zucchero. Può contenere soia; prodotto con latte", {"milk"}, {"soy"}),
        ("Zucchero. Può contenere soia; prodotto con macchinari che usano latte", set(), {"soy", "milk"}),
        ("Nicht ohne Milch", set(), {"milk"}),
        ("Nicht nussfrei", set(), {"tree_nut"}),
        ("Non senza soia", set(), {"soy"}),
        ("No es sin soja", set(), {"soy"}),
        ("Sugar, palm oil, melkpoeder", {"milk"}, set()),
        ("Sugar, salt, süt tozu", {"milk"}, set()),
        ("Sugar, palm oil, mleko w proszku", {"milk"}, set()),
        ("Cabbage, savoy, boiled, bulk", set(), set()),
    ],
)
def test_what_is_in_it_all_the_same(text, contains, may):
    found = find_allergens(text)
    assert ({h.allergen for h in found.contains}, {h.allergen for h in found.may_contain}) == (contains, may)
