"""Which products and boxes a fault in a kitchen's files reaches: those that use what it stands in, and no
others.

What cannot be put to one entry reaches everything its file names; a file of which nothing can be read, or a
setting of kitchen.yaml, reaches all.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from typing import TYPE_CHECKING

from labelgen.errors import Finding

if TYPE_CHECKING:
    from labelgen.recipe.models import Kitchen

#: Section of a file -> what its names are looked up among: recipes call ingredients and formulations alike,
# and a product,
#: variant or box names a file of its own.
SPACES = {
    "foods": "food",
    "ingredients": "mix",
    "formulations": "mix",
    "products": "pack",
    "variants": "pack",
    "boxes": "pack",
}
_KEY = re.compile(r"(?:^|[{\[,])[ \t\"'?-]*([^\n{}\[\],:\"']+?)[\"' \t]*:", re.MULTILINE)

Node = tuple[str, str]


def plain(name: str) -> str:
    """Names match whatever their case and whether words are joined by spaces, hyphens or underscores."""
    folded = unicodedata.normalize("NFKC", name).replace("-", " ").replace("_", " ")
    return " ".join(folded.split()).casefold()


def names_in(text: str) -> frozenset[str]:
    """Every name that stands in a text as a key, as far as it can be told without reading it as YAML.

    >>> sorted(names_in("products: {Oat-bar: {of: bar}\\n  x: 1"))
    ['oat bar', 'of', 'products', 'x']
    """
    return frozenset(plain(m[1]) for m in _KEY.finditer(text))


def stopped_by(kitchen: Kitchen, findings: Iterable[Finding]) -> dict[str, tuple[Finding, ...]]:
    """Product or box -> the findings that stop its label, in their order. Findings that block nothing are
    left out.
    """
    blocking = [f for f in findings if f.blocks]
    if not blocking:
        return {}
    users = _users(kitchen)
    stops: dict[str, list[Finding]] = {}
    for finding in blocking:
        for key in _reached(kitchen, finding, users):
            stops.setdefault(key, []).append(finding)
    return {key: tuple(found) for key, found in stops.items()}


def _reached(kitchen: Kitchen, finding: Finding, users: Mapping[Node, set[Node]]) -> list[str]:
    every = [*kitchen.products, *kitchen.boxes]
    start = _start(kitchen, finding)
    if start is None:
        return every
    seen, queue = set(start), list(start)
    while queue:
        new = users.get(queue.pop(), set()) - seen
        seen |= new
        queue += new
    return [key for key in every if ("pack", plain(key)) in seen]


def _start(kitchen: Kitchen, finding: Finding) -> set[Node] | None:
    """The names a finding stands in, each with what it is looked up among; None for all there are."""
    section, *names = finding.keys or ("",)
    if section in SPACES and names:
        return {(SPACES[section], plain(str(names[0])))}
    if finding.where.file in kitchen.half_read:
        named = kitchen.half_read[finding.where.file]
        return None if named is None else set(named)
    before = [
        s
        for s in kitchen.ingredients.values()
        if s.where.file == finding.where.file and s.where <= finding.where
    ]
    return {("mix", plain(max(before, key=lambda s: s.where).name))} if before and not section else None


def _users(kitchen: Kitchen) -> dict[Node, set[Node]]:
    """Name -> the names that are made with it: a variant's formulation with that of its base, a variant
    with its base.
    """
    users: dict[Node, set[Node]] = {}

    def used(space: str, name: str, by: Node) -> None:
        users.setdefault((space, plain(name)), set()).add(by)

    for spec in kitchen.ingredients.values():
        if spec.food:
            used("food", spec.food, ("mix", plain(spec.name)))
    for form in kitchen.formulations.values():
        node = ("mix", plain(form.name))
        for name in {line.use for line in form.lines} | ({form.cook.fat_from} if form.cook else set()):
            used("mix", name, node)
        if "@" in form.name:
            used("mix", form.name.partition("@")[0], node)
    for product in kitchen.products.values():
        node = ("pack", plain(product.key))
        used("mix", product.of, node)
        if product.variant_of:
            used("pack", product.variant_of, node)
    for box in kitchen.boxes.values():
        for name in box.holds:
            used("pack", name, ("pack", plain(box.key)))
    return users
