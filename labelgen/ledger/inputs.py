"""What a printing rests on: every kitchen file, the food table, the word lists and the law, each by its hash."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from labelgen import paths
from labelgen.formulation.records import NutrientProfile
from labelgen.ledger.store import Used, sha256
from labelgen.law.registry import starts_from
from labelgen.recipe.models import Kitchen
from labelgen.recipe.read import kitchen_files

#: Kind of input -> what it is called when it has changed.
CALLED = {
    "kitchen": "kitchen file", "foods": "food table", "allergens": "allergen word lists", "factors": "retention factors", "law": "rules of market",
    "claims": "claim words", "names": "names in other languages", "arrangements": "arrangements of",
}  # fmt: skip


def hash_inputs(folder: str | Path, market: str) -> tuple[tuple[str, str, str], ...]:
    """(kind, name, sha256) of everything a label of this kitchen and market was made from."""
    root = Path(folder)
    found = [("kitchen", str(path.relative_to(root)), sha256(path.read_bytes())) for path, _ in kitchen_files(root) if path.is_file()]
    base, _ = starts_from(market)
    law = [("law", code, paths.market(code)) for code in (market, base) if code]
    words = [(kind, "", paths.reference(folder)) for kind, folder in (("foods", "composition"), ("allergens", "allergens"), ("factors", "factors"), ("claims", "claims"), ("names", "names"))]
    shapes = [("arrangements", folder, paths.templates(folder)) for folder in ("labels", "panels", "stock")]
    return (*found, *((kind, name, _hash_folder(place)) for kind, name, place in (*words, *law, *shapes)))


@cache
def _hash_folder(folder: Path) -> str:
    files = sorted(p for p in folder.rglob("*") if p.is_file())
    return sha256(b"".join(str(p.relative_to(folder)).encode() + p.read_bytes() for p in files))


def list_used(profile: NutrientProfile, kitchen: Kitchen, supplier_lots: dict[str, str]) -> tuple[Used, ...]:
    """What went into one pack, ingredient by ingredient. ``supplier_lots`` (name -> lot) go before those in the files."""
    grams: dict[str, float] = {}
    for line in profile.ingoing:
        grams[line.ingredient.name] = grams.get(line.ingredient.name, 0.0) + line.grams
    resolved = {line.ingredient.name: line.ingredient for line in profile.ingoing}
    used = []
    for name, mass in grams.items():
        spec = kitchen.ingredients.get(name)
        lot = supplier_lots.get(name, spec.supplier_lot if spec else "")
        used.append(Used(name, resolved[name].print_name, resolved[name].food_id, spec.supplier if spec else "", lot, round(mass, 6)))
    return tuple(used)
