"""Amounts that are probably slips of the pen, asked about with both figures. What is believed stands in
``reference/factors``.
"""

from __future__ import annotations

import csv
import math
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from functools import cache

from labelgen import paths
from labelgen.composition.ingredient_records import ResolvedIngredient
from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.recipe.models import Formulation, Product
from labelgen.tomlfile import read_toml

#: Methods after which food is looked at as baked.
BAKED = ("bake", "fry", "roast")
#: No food below this is asked about for its salt [mg of sodium in 1 g].
LEAST_SALTY = 10.0
#: Grams of salt with a gram of sodium in them: molar masses 58.44 and 22.99.
_SALT = 2.542
_POWERS = (10, 100, 1000)


@cache
def _believed() -> dict[str, dict]:
    return read_toml(paths.reference("factors", "slips.toml"))


def limit(name: str) -> float:
    """One threshold, in its own unit."""
    return float(_believed()[name]["value"])


@cache
def _pieces() -> dict[str, tuple[float, float]]:
    """Word for a piece -> least and most it weighs [g]."""
    with open(paths.reference("factors", "pieces.csv"), encoding="utf-8", newline="") as f:
        return {row["unit"]: (float(row["least_g"]), float(row["most_g"])) for row in csv.DictReader(f)}


def of_batch(
    form: Formulation, inputs: Sequence[float], put_in: float, left: float, ratio: float
) -> Iterator[Finding]:
    """What of one formulation's weights does not go with the rest. inputs: grams of each line, put_in:
    their sum, left: the share left behind, ratio: weight after the oven to before.
    """
    cook = form.cook
    if form.yields is not None and left > limit("left_behind"):
        hint = _hint(form, inputs, put_in, form.yields / ratio)
        yield find(
            "slip-yield",
            form.where,
            path=form.path("yields"),
            formulation=form.name,
            yields=form.yields,
            expected=put_in * ratio,
            put_in=put_in,
            percent=100 * left,
            hint=hint,
        )
    # a tray or a piece may be weighed for all, so what is less is asked about only where a point slipped
    if cook and cook.before and form.makes != 1 and "@" not in form.name:
        slipped = _is_power(put_in / cook.before) and not _near(cook.before * (form.makes or 0), put_in)
        if slipped or cook.before > limit("before_above_input") * put_in:
            hint = _hint(form, inputs, put_in, cook.before)
            yield find(
                "slip-before",
                cook.where,
                path=form.path(cook.method, "before"),
                formulation=form.name,
                before=cook.before,
                put_in=put_in,
                hint=hint,
            )


def yeasts_of(resolved: Mapping[str, ResolvedIngredient]) -> frozenset[str]:
    """The ingredients that are yeast."""
    foods = _believed()["yeast_of_batch"]["foods"]
    return frozenset(name for name, ingredient in resolved.items() if ingredient.food_id in foods)


def of_yeast(
    form: Formulation, inputs: Sequence[float], put_in: float, yeasts: Collection[str]
) -> Iterator[Finding]:
    """Yeast beyond any dough."""
    if not yeasts or len(form.lines) < 3:
        return
    most = limit("yeast_of_batch")
    for line, grams in zip(form.lines, inputs):
        if line.use in yeasts and grams > most * put_in:
            yield find(
                "slip-yeast",
                line.where,
                path=form.path_of(line),
                formulation=form.name,
                grams=grams,
                ingredient=line.use,
                put_in=put_in,
                percent=100 * grams / put_in,
                most=100 * most,
            )


def of_pack(
    product: Product, form: Formulation, batch: float, pieces: float | None, batches: float
) -> Iterator[Finding]:
    """What of a pack is unlikely. batch: grams of one batch; batches: how many of it a pack holds."""
    told = {"where": product.where, "product": product.key, "formulation": product.of.partition("@")[0]}
    grams = batch * batches
    if pieces and form.makes:
        words = product.unit.lower().split() or ["piece"]
        least, most = _pieces().get(words[-1], _pieces()["piece"])
        if not least <= grams / pieces <= most:
            yield find(
                "slip-piece",
                path=product.path("unit"),
                unit=product.unit,
                grams=grams / pieces,
                least=least,
                most=most,
                **told,
            )
    if pieces and pieces > limit("pieces_in_a_pack"):
        yield find(
            "slip-pieces",
            product.where,
            path=product.path("pieces"),
            product=product.key,
            pieces=pieces,
            most=limit("pieces_in_a_pack"),
        )
    if grams > limit("heaviest_pack"):
        yield find("slip-pack", path=product.path("net"), grams=grams, most=limit("heaviest_pack"), **told)
    elif product.net and not form.makes and batches > limit("batches_in_a_pack"):
        yield find(
            "slip-net", path=product.path("net"), net=product.net, batches=batches, batch=batch, **told
        )


def of_salt(
    product: Product, made_of: Iterable[Formulation], sodium: float, sources: Sequence[tuple[str, float]]
) -> Iterator[Finding]:
    """Salt beyond any such food. made_of: its formulations; sodium: mg in 100 g; sources: ingredient -> mg
    it brings.
    """
    dry = any(form.cook and form.cook.method in BAKED for form in made_of)
    most = limit("sodium_of_baked_food" if dry else "sodium_of_food")
    if sodium > most:
        named = list(dict.fromkeys(name for name, _ in sorted(sources, key=lambda s: -s[1])))[:2]
        yield find(
            "slip-salt",
            product.where,
            path=product.path("of"),
            product=product.key,
            sodium=sodium,
            salt=sodium * _SALT / 1000,
            most=most,
            sources=named,
        )


def _is_power(ratio: float) -> bool:
    return any(abs(ratio / power - 1) <= limit("power_of_ten") for power in _POWERS)


def _near(a: float, b: float) -> bool:
    return abs(a - b) <= 0.1 * b


def _hint(form: Formulation, inputs: Sequence[float], put_in: float, wanted: float) -> str:
    """The line that, ten or a hundred times larger or smaller, would make a batch of the ``wanted``
    weight; "" if none would.
    """
    for line, grams in zip(form.lines, inputs):
        for k in (0.1, 0.01, 0.001, 10.0, 100.0, 1000.0):
            if math.isclose(put_in - grams + grams * k, wanted, rel_tol=limit("fits")):
                return f"; with {grams * k:g} g of {line.use} instead of {grams:g} g they would agree"
    return ""
