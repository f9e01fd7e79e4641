"""``labelgen new``: a starter kitchen."""

from __future__ import annotations

import sys
from pathlib import Path

HELP = "Write a starter kitchen into a new folder."
EXAMPLE = "labelgen new my-kitchen"


def add_arguments(parser) -> None:
    parser.add_argument("folder", metavar="DIR")


def run(args) -> int:
    folder = Path(args.folder)
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        print(f"labelgen: {folder} is there already and not empty: name a new folder", file=sys.stderr)
        return 2
    from labelgen.commands import output

    written = write_kitchen("starter", folder)
    if args.json:
        output.print_json({"kitchen": str(folder), "files": [str(path) for path in written]})
        return 0
    print(f"{folder}: edit kitchen.yaml, ingredients/ and recipes/, then run 'labelgen check {folder}'")
    return 0


def write_kitchen(template: str, folder: Path) -> list[Path]:
    """One of labelgen's kitchens into a folder, whole or not at all; kitchen.yaml last, since it makes it one. Returns its files."""
    from labelgen import paths
    from labelgen.pdf.write import write_all

    root = paths.templates("kitchens", template)
    files = sorted((p for p in root.rglob("*") if p.is_file()), key=lambda p: (p.name == "kitchen.yaml", p))
    contents = {folder / p.relative_to(root): p.read_bytes() for p in files}
    write_all(contents)
    return list(contents)
