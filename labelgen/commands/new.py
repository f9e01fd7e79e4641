"""``labelgen new``: a starter kitchen."""

from __future__ import annotations

from pathlib import Path

HELP = "Write a starter kitchen into a new folder."
EXAMPLE = "labelgen new my-kitchen"


def add_arguments(parser) -> None:
    parser.add_argument("folder", metavar="DIR")


def run(args) -> int:
    folder = Path(args.folder)
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        print(f"{folder} is there already and not empty: name a new folder")
        return 2
    write_kitchen("starter", folder)
    print(f"{folder}: edit kitchen.yaml, ingredients/ and recipes/, then run 'labelgen check {folder}'")
    return 0


def write_kitchen(template: str, folder: Path) -> None:
    """One of labelgen's kitchens into a folder, whole or not at all; kitchen.yaml last, since it makes it one."""
    from labelgen import paths
    from labelgen.pdf.write import write_all

    root = paths.templates("kitchens", template)
    files = sorted((p for p in root.rglob("*") if p.is_file()), key=lambda p: (p.name == "kitchen.yaml", p))
    write_all({folder / p.relative_to(root): p.read_bytes() for p in files})
