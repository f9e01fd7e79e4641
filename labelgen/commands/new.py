"""``labelgen new``: a starter kitchen."""

from __future__ import annotations

import shutil
from pathlib import Path

HELP = "Write a starter kitchen into a new folder."
EXAMPLE = "labelgen new my-kitchen"


def add_arguments(parser) -> None:
    parser.add_argument("folder", metavar="DIR")


def run(args) -> int:
    from labelgen import paths

    folder = Path(args.folder)
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        print(f"{folder} is there already and not empty: name a new folder")
        return 2
    shutil.copytree(paths.templates("kitchens", "starter"), folder, dirs_exist_ok=True)
    print(f"{folder}: edit kitchen.yaml, ingredients/ and recipes/, then run 'labelgen check {folder}'")
    return 0
