"""What a printing rests on: every kitchen file, the food table, the word lists and the law, each by its hash."""

from __future__ import annotations

from pathlib import Path

from labelgen import paths
from labelgen.formulation.records import NutrientProfile
from labelgen.ledger.store import Used, sha256
from labelgen.recipe.models import Kitchen
from labelgen.recipe.read import kitchen_files

#: Kind of input -> what it is called when it has changed.
CALLED = {"kitchen": "kitchen file", "foods": "food table", "allergens": "allergen word lists", "factors": "retention factors", "law": "rules of market"}


def hash_inputs(folder: str | Path, market: str) -> tuple[tuple[str, str, str], ...]:
    """(kind, name, sha256) of everything a label of this kitchen and market was made from."""
    root = Path(folder)
    found = [("kitchen", str(path.relative_to(root)), sha256(path.read_bytes())) for path, _ in kitchen_files(root) if path.is_file()]
    for kind, name, place in (("foods", "", "composition"), ("allergens", "", "allergens"), ("factors", "", "factors"), ("law", market, f"markets/{market}")):
        files = sorted(p for p in paths.reference(*place.split("/")).rglob("*") if p.is_file())
        found.append((kind, name, sha256(b"".join(p.name.encode() + p.read_bytes() for p in files))))
    return tuple(found)


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
