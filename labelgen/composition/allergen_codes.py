"""Allergens as makers and packets call them ("almonds", "Milch", "other tree nuts") -> codes, wherever a
kitchen declares some.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from labelgen.composition.ingredient_allergens import codes_meant
from labelgen.composition.text.lexicon import fold, survey
from labelgen.recipe.models import IngredientSpec, Kitchen, Product


def code_of(word: str) -> str:
    """The code that a word means, where the lexicon reads all of it and with one meaning; else the word as it
    stands.

    >>> code_of("Tree nut/almond"), code_of("andere Nüsse"), code_of("œufs"), code_of("wheat")
    ('tree_nut/almond', 'tree_nut', 'egg', 'wheat')
    >>> code_of("shellfish"), code_of("milk and eggs"), code_of("almond flavour")
    ('shellfish', 'milk and eggs', 'almond flavour')
    """
    plain = "_".join(fold(word).replace("/ ", "/").replace(" /", "/").split())
    if codes_meant(plain) is None:
        return plain
    named = survey(word, kind="name")
    meant = dict.fromkeys(h.allergen for h in named.listed if h not in named.usual)
    # of wheat the kind that is named: spelt; "wheat" where none is
    kinds = [c for c in meant if c not in ("wheat", "gluten/wheat")] or [c for c in meant if c == "wheat"]
    if len(kinds) != 1 or named.source_unknown or codes_meant(kinds[0]) is not None:
        return word
    return word if survey(word).reading.unread else kinds[0]


def in_codes(kitchen: Kitchen) -> Kitchen:
    """The kitchen with each allergen it declares, warns of, handles or tested for under its code; a word that
    has no single meaning stays, and is refused where it is used.
    """
    return _with(
        kitchen,
        handles=_codes(kitchen.handles),
        ingredients={k: _ingredient(spec) for k, spec in kitchen.ingredients.items()},
        products={k: _product(product) for k, product in kitchen.products.items()},
    )


def _ingredient(spec: IngredientSpec) -> IngredientSpec:
    return _with(spec, contains=_codes(spec.contains), may_contain=_codes(spec.may_contain))


def _product(product: Product) -> Product:
    return _with(
        product,
        may_contain=_codes(product.may_contain),
        cross_contact=_by_code(product.cross_contact),
        tested=_by_code(product.tested),
    )


def _codes(words: Iterable[str] | None) -> tuple[str, ...] | None:
    return None if words is None else tuple(dict.fromkeys(map(code_of, words)))


def _by_code(said: Mapping) -> dict:
    """What is said of allergens by code; of two words for one the second stays, to be told of."""
    found: dict = {}
    for word, what in said.items():
        code = word if word == "lactose" else code_of(word)
        found[word if code in found else code] = what
    return found


def _with(model, **fields):
    """A model with other fields; itself where none is another."""
    changed = {name: value for name, value in fields.items() if value != getattr(model, name)}
    return model.model_copy(update=changed) if changed else model
