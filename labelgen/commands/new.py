"""``labelgen new``: a starter kitchen."""

from __future__ import annotations

import json
import sys
from collections.abc import Mapping
from pathlib import Path

HELP = "Write a starter kitchen into a new folder."
EXAMPLE = "labelgen new my-kitchen"


def add_arguments(parser) -> None:
    parser.add_argument("folder", metavar="DIR")
    parser.add_argument("--name", default="", help="your business name, as labels are to print it")
    parser.add_argument("--address", default="", help="your business address, as labels are to print it")


def run(args) -> int:
    folder = Path(args.folder)
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        print(f"labelgen: {folder} is there already and not empty: name a new folder", file=sys.stderr)
        return 2
    from labelgen.commands import output

    written = write_kitchen(
        "starter", folder, {"Your bakery": args.name, "Your street, your town": args.address}
    )
    if args.json:
        output.print_json({"kitchen": str(folder), "files": [str(path) for path in written]})
        return 0
    print(f"{folder}: edit kitchen.yaml, ingredients/ and recipes/, then run 'labelgen check {folder}'")
    return 0


def write_kitchen(template: str, folder: Path, own: Mapping[str, str] = {}) -> list[Path]:
    """One of labelgen's kitchens into a folder, whole or not at all; kitchen.yaml last, since it makes it
    one. own: quoted text of its kitchen.yaml -> the maker's own, where there is any. Returns its files.
    """
    from labelgen import paths
    from labelgen.pdf.write import write_all

    root = paths.templates("kitchens", template)
    files = sorted((p for p in root.rglob("*") if p.is_file()), key=lambda p: (p.name == "kitchen.yaml", p))
    contents = {folder / p.relative_to(root): p.read_bytes() for p in files}
    settings = folder / "kitchen.yaml"
    for text, said in own.items():
        if said.strip():
            contents[settings] = contents[settings].replace(
                json.dumps(text).encode(), json.dumps(said.strip(), ensure_ascii=False).encode()
            )
    write_all(contents)
    return list(contents)
