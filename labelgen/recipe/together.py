"""What is wrong between the entries of a kitchen: names that lead nowhere or in a circle, sizes that
contradict each other, one bar code twice.
"""

from __future__ import annotations

from labelgen.recipe.models import Kitchen
from labelgen.recipe.near import near

#: What a millilitre of food weighs at least and at most [g]: foam to dense syrup, against slips of the
# finger.
_THINNEST, _DENSEST = 0.2, 2.0


def check_together(reader, kitchen: Kitchen) -> None:
    """Adds to the sources of ``reader`` what is wrong between the entries of a kitchen that was read."""
    for key, product in kitchen.products.items():
        source, path, _ = reader.raw["products"].get(key) or reader.raw["variants"][key]
        if product.of not in kitchen.formulations and not product.variant_of:
            like = near(product.of, kitchen.formulations)
            source.fault(
                "unknown-formulation.near" if like else "unknown-formulation",
                (*path, "of"),
                formulation=product.of,
                near=like.first,
                sure=like.sure,
            )
        if product.pieces and product.net:
            source.fault("two-sizes", path, product=key)
        if product.volume and not product.net:
            source.fault("volume-weight.no-net", (*path, "volume"), product=key, volume=product.volume)
        elif product.volume and not _THINNEST <= product.density <= _DENSEST:
            source.fault(
                "volume-weight",
                (*path, "volume"),
                product=key,
                net=product.net,
                volume=product.volume,
                density=product.density,
            )
    _numbers(reader, kitchen)
    for name, formulation in kitchen.formulations.items():
        cook = formulation.cook
        if cook and cook.fat > 0 and cook.fat_from not in kitchen.ingredients:
            source, path, _ = reader.raw["formulations"][name.partition("@")[0]]
            source.fault("fat-from", (*path, cook.method), formulation=name)
    _cycles(reader, kitchen)


def _numbers(reader, kitchen: Kitchen) -> None:
    """A bar code means one thing on sale."""
    numbered = [p for p in kitchen.products.values() if p.gtin]
    for product in numbered:
        if others := [
            f"{p.key} at {p.where}" for p in numbered if p.gtin == product.gtin and p is not product
        ]:
            source, path, _ = reader.raw["products"].get(product.key) or reader.raw["variants"][product.key]
            source.fault("gtin-twice", (*path, "gtin"), product=product.key, gtin=product.gtin, others=others)


def _cycles(reader, kitchen: Kitchen) -> None:
    state: dict[str, int] = {}

    def visit(name: str, trail: tuple[str, ...]) -> None:
        if state.get(name) == 2 or name not in kitchen.formulations:
            return
        if name in trail:
            source, path, _ = reader.raw["formulations"][name.partition("@")[0]]
            source.fault("formulation-loop", path, loop=" -> ".join((*trail[trail.index(name) :], name)))
            state[name] = 2
            return
        for line in kitchen.formulations[name].lines:
            visit(line.use, (*trail, name))
        state[name] = 2

    for name in kitchen.formulations:
        visit(name, ())
