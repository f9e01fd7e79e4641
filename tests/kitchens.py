"""Small kitchens written to a folder for a test."""

from __future__ import annotations

from pathlib import Path


def write(folder: Path, ingredients: str, recipes: str, kitchen: str = "markets: [us]\n") -> Path:
    for name, text in (
        ("kitchen.yaml", kitchen),
        ("ingredients/all.yaml", ingredients),
        ("recipes/all.yaml", recipes),
    ):
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return folder
