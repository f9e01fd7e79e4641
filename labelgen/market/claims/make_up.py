"""What is known of a product's make-up: allergens and kinds of ingredient present, possible, warned of, and
the gaps.

A claim that something is absent rests on this. Silence is never absence: an ingredient is *told* by its
packet's list, or by a plain food of the table; *declared* where only its allergens are; *unknown* otherwise.
"""

from __future__ import annotations

from dataclasses import dataclass

from labelgen.composition.ingredient_records import AllergenHit, ResolvedIngredient
from labelgen.composition.text.kinds import KindHit, find_kinds
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.recipe.models import IngredientSpec, Kitchen


@dataclass(frozen=True)
class Part:
    """One ingredient of a product. share: of the ingoing weight (0..1). possible: allergens whose source is
    not told.
    warned: allergens its supplier says it may contain.
    """

    ingredient: ResolvedIngredient
    spec: IngredientSpec | None
    level: str
    share: float
    kinds: tuple[KindHit, ...]
    possible: tuple[AllergenHit, ...]
    warned: tuple[AllergenHit, ...]

    @property
    def name(self) -> str:
        return self.ingredient.name

    @property
    def unread(self) -> bool:
        """Whether nothing of its packet was copied, neither list nor declaration."""
        return (
            self.spec is not None
            and not self.spec.statement
            and self.spec.contains is None
            and self.spec.may_contain is None
        )

    def says(self, word: str) -> bool | None:
        """The supplier's own answer to ``gluten_free``, ``vegan`` or ``vegetarian``; None where there is
        none.
        """
        return getattr(self.spec, word) if self.spec else None


def read_make_up(profile: NutrientProfile, kitchen: Kitchen) -> tuple[Part, ...]:
    """Every ingredient of the product, once."""
    grams: dict[str, float] = {}
    kept: dict[str, ResolvedIngredient] = {}
    for line in profile.ingoing:
        kept.setdefault(line.ingredient.name, line.ingredient)
        grams[line.ingredient.name] = grams.get(line.ingredient.name, 0.0) + line.grams
    total = sum(grams.values())
    return tuple(
        _part(i, kitchen.ingredients.get(n), grams[n] / total if total else 0.0) for n, i in kept.items()
    )


def _part(ingredient: ResolvedIngredient, spec: IngredientSpec | None, share: float) -> Part:
    statement = spec.statement if spec else ""
    plain = bool(ingredient.food_id) and not ingredient.composite
    substance = (
        ingredient.disclosed
        and not ingredient.food_id
        and not statement
        and (spec is None or spec.contains is None)
    )
    told = bool(statement) or plain or substance
    level = "told" if told else "declared" if ingredient.disclosed else "unknown"
    warned = tuple(h for h in ingredient.may_contain if h.how in ("declaration", "kitchen"))
    possible = tuple(h for h in ingredient.may_contain if h not in warned)
    return Part(ingredient, spec, level, share, find_kinds(ingredient, statement), possible, warned)


def same_allergen(found: str, asked: str) -> bool:
    """Whether an allergen found may be the one asked about: "tree_nut" may be almond, and wheat brings
    gluten.

    >>> same_allergen("gluten/wheat", "wheat"), same_allergen("tree_nut/almond", "tree_nut"),
    same_allergen("milk", "egg") (True, True, False)
    """
    a, b = found.partition("/"), asked.partition("/")
    if found == asked or (a[0] == b[0] and not (a[2] and b[2])):
        return True
    if b[0] == "gluten" and not b[2]:
        return a[0] == "wheat"
    return "wheat" in (found, asked) and {found, asked} & {"gluten", "gluten/wheat"} != set()
