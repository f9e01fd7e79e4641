"""A recipe scaled to so many packs, pieces, or a weight of one ingredient: what to weigh, stage by stage."""

from __future__ import annotations

from dataclasses import dataclass

from labelgen.errors import RecipeError
from labelgen.formulation.batch_records import NutrientProfile, Stage
from labelgen.recipe.models import Kitchen


@dataclass(frozen=True)
class ScaledStage:
    """One formulation of the batch [g]. inputs: (name, grams, is a formulation). output: what it should weigh
    afterwards; method: the heating step, or ""; batches: how many times the recipe as written; pieces: how
    many it is divided into, 0 where the recipe makes none; taken_up: the fat that frying adds and its
    weight, ("", 0) for none.
    """

    formulation: str
    inputs: tuple[tuple[str, float, bool], ...]
    output: float
    method: str
    batches: float
    pieces: float = 0.0
    taken_up: tuple[str, float] = ("", 0.0)


def scale_stages(profile: NutrientProfile, kitchen: Kitchen, grams: float) -> tuple[ScaledStage, ...]:
    """The stages for ``grams`` of the finished product, first the ones others need.

    Linear: every input, loss and output is the recipe's own, times the batches needed.
    """
    stages = {s.formulation: s for s in profile.stages}
    need = {kitchen.products[profile.product].of: grams}
    done = []
    for name in _outermost_first(stages, kitchen.products[profile.product].of):
        stage = stages[name]
        batches = need[name] / stage.output
        for part, mass in stage.inputs:
            need[part] = need.get(part, 0.0) + mass * batches
        cook = kitchen.formulations[name].cook
        fat = (
            (cook.fat_from, stage.fat_change * batches)
            if cook and cook.fat_from and stage.fat_change > 0
            else ("", 0.0)
        )
        done.append(
            ScaledStage(
                name,
                tuple((p, m * batches, p in stages) for p, m in stage.inputs),
                need[name],
                stage.method,
                batches,
                batches * (kitchen.formulations[name].makes or 0.0),
                fat,
            )
        )
    return tuple(reversed(done))


def grams_for(
    profile: NutrientProfile,
    kitchen: Kitchen,
    packs: float | None = None,
    pieces: float | None = None,
    ingredient: str = "",
    mass: float = 0.0,
) -> float:
    """The finished weight [g] for a number of packs or pieces, or for using up ``mass`` grams of one
    ingredient.

    Raises RecipeError when the product is not sold by the piece, or does not hold the ingredient.
    """
    if packs is not None:
        return packs * profile.pack.grams
    if pieces is not None:
        if not profile.pieces:
            raise RecipeError(
                f"{profile.product} is sold by weight, not by the piece: use --packs, or --all-of"
                " INGREDIENT=GRAMS"
            )
        return pieces * profile.pack.grams / profile.pieces
    if mass <= 0:
        raise RecipeError(
            f"none of {ingredient} makes nothing: give the weight there is, for example {ingredient}=2 kg"
        )
    one = scale_stages(profile, kitchen, profile.pack.grams)
    held = sum(m for s in one for name, m, inner in s.inputs if name == ingredient and not inner)
    if held <= 0:
        names = sorted({name for s in one for name, _, inner in s.inputs if not inner})
        raise RecipeError(f"{profile.product} holds no {ingredient!r}; it holds {', '.join(names)}")
    return profile.pack.grams * mass / held


def _outermost_first(stages: dict[str, Stage], root: str) -> list[str]:
    """Formulations so that each stands before those it is made of (a formulation cannot hold itself)."""
    order: list[str] = []

    def visit(name: str) -> None:
        if name in order:
            return
        for part, _ in stages[name].inputs:
            if part in stages:
                visit(part)
        order.append(name)

    visit(root)
    return order[::-1]
