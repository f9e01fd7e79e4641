"""``labelgen demo``: the demonstration kitchen and its labels."""

from __future__ import annotations

import shutil
from datetime import date
from pathlib import Path

HELP = "Write the demonstration kitchen and print its labels into out/."
EXAMPLE = "labelgen demo"


def add_arguments(parser) -> None:
    parser.add_argument("folder", nargs="?", metavar="DIR", default="", help="where to put the kitchen (default: out/demo-kitchen)")


def run(args) -> int:
    from labelgen import paths
    from labelgen.chain import roll_up_folder
    from labelgen.commands.label import print_labels

    out = Path(args.out or "out")
    kitchen = Path(args.folder) if args.folder else out / "demo-kitchen"
    if kitchen.exists() and not (kitchen / "kitchen.yaml").is_file() and any(kitchen.iterdir()):
        print(f"{kitchen} holds something else: name another folder")
        return 2
    if not kitchen.exists():
        shutil.copytree(paths.templates("kitchens", "demo"), kitchen)
    print(f"Kitchen: {kitchen} (invented figures; change anything and run 'labelgen label PRODUCT --kitchen {kitchen}')")
    rolled = roll_up_folder(kitchen)
    day = args.on or date.today()
    return print_labels(rolled, list(rolled.profiles), args.market, day, out, "DEMO", day, args.json)
