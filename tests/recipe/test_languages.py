"""Texts given in several languages: read, kept beside the first, faults told with their place."""

from labelgen.recipe.read import read_kitchen

KITCHEN = "producer: {name: Example Hill Bakes, address: Sampleton}\nmarkets: [ca]\n"


def kitchen(tmp_path, ingredients, recipes="formulations: {}\n"):
    (tmp_path / "ingredients").mkdir()
    (tmp_path / "recipes").mkdir()
    (tmp_path / "kitchen.yaml").write_text(KITCHEN, encoding="utf-8")
    (tmp_path / "ingredients" / "larder.yaml").write_text(ingredients, encoding="utf-8")
    (tmp_path / "recipes" / "r.yaml").write_text(recipes, encoding="utf-8")
    return read_kitchen(tmp_path)


def test_the_first_language_stands_and_the_others_are_kept(tmp_path):
    read, findings = kitchen(
        tmp_path,
        "flour: {print: {fr: farine de blé, en: wheat flour}, food: usda/20081}\nsel: {print: {fr: sel}}\n",
    )
    assert not findings
    flour = read.ingredients["flour"]
    assert flour.print_name == "wheat flour" and flour.also["fr"]["print_name"] == "farine de blé"
    assert read.ingredients["sel"].print_name == "sel"


def test_a_variant_drops_the_wordings_it_replaces(tmp_path):
    recipes = """
formulations:
  dough: {ingredients: [100 g flour, 50 g butter], makes: 10}
products:
  plain: {name: {en: Plain, fr: Nature}, identity: {en: Biscuits, fr: Biscuits nature}, unit: {en: cookie,
      fr: biscuit}, of: dough, pieces: 5}
variants:
  nutty: {of: plain, name: Nutty, replace: {butter: nuts}}
  noisette: {of: plain, name: {en: Nutty, fr: Noisettine}, replace: {butter: nuts}}
"""
    read, findings = kitchen(
        tmp_path,
        "flour: {food: usda/20081}\nbutter: {food: usda/01145}\nnuts: {food: usda/12120}\n",
        recipes,
    )
    assert not findings
    assert read.products["nutty"].also["fr"] == {"identity": "Biscuits nature", "unit": "biscuit"}
    assert read.products["noisette"].also["fr"]["name"] == "Noisettine"


def test_faults_name_their_line(tmp_path):
    _, findings = kitchen(
        tmp_path, "flour: {print: {qq: wheat flour}}\nsalt: {print: {}}\nsugar: {food: {en: usda/19335}}\n"
    )
    assert [(f.where.line, f.code) for f in findings] == [(1, "value"), (2, "value"), (3, "value")]
    assert "{en: butter, fr: beurre}" in findings[0].message and all(f.blocks for f in findings)


def test_claims_are_worded_one_by_one(tmp_path):
    recipes = """
formulations:
  dough: {ingredients: [100 g flour], makes: 10}
products:
  plain: {of: dough, pieces: 5, claims: [gluten free, {en: source of fibre, fr: source de fibres}]}
  one: {of: dough, pieces: 5, claims: {en: vegan, fr: végétalien}}
  odd: {of: dough, pieces: 5, claims: [[vegan]]}
"""
    read, findings = kitchen(tmp_path, "flour: {food: usda/20081}\n", recipes)
    assert read.products["plain"].claims == ("gluten free", "source of fibre")
    assert read.products["plain"].also == {
        "en": {"claim source of fibre": "source of fibre"},
        "fr": {"claim source of fibre": "source de fibres"},
    }
    assert read.products["one"].claims == ("vegan",) and read.products["one"].also["fr"] == {
        "claim vegan": "végétalien"
    }
    assert [(f.code, f.where.line) for f in findings] == [("value", 7)]
