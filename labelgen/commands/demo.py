"""``labelgen demo``: the demonstration kitchen and its labels."""

from __future__ import annotations

import sys
from pathlib import Path

HELP = "Write the demonstration kitchen and print its labels into out/."
EXAMPLE = "labelgen demo"


def add_arguments(parser) -> None:
    parser.add_argument(
        "folder",
        nargs="?",
        metavar="DIR",
        default="",
        help="where to put the kitchen (default: out/demo-kitchen)",
    )


def run(args) -> int:
    from labelgen.chain import roll_up_folder
    from labelgen.commands.label import tell
    from labelgen.commands.many_labels import Run, print_products
    from labelgen.commands.new import write_kitchen
    from labelgen.order import Order

    out = Path(args.out or "out")
    kitchen = Path(args.folder) if args.folder else out / "demo-kitchen"
    if not (kitchen / "kitchen.yaml").is_file():
        if kitchen.exists() and (not kitchen.is_dir() or any(kitchen.iterdir())):
            print(f"labelgen: {kitchen} holds something else: name another folder", file=sys.stderr)
            return 2
        write_kitchen("demo", kitchen)
    if not args.json:
        print(
            f"Kitchen: {kitchen} (invented figures; change anything and run 'labelgen label PRODUCT"
            f" --kitchen {kitchen}')"
        )
    rolled = roll_up_folder(kitchen, args.on)
    order = Order(args.market or rolled.kitchen.markets[0], rolled.on, "DEMO", rolled.on)
    return tell(
        print_products(
            rolled, Run(str(kitchen), order, out, again=True), [*rolled.profiles, *rolled.kitchen.boxes]
        ),
        out,
        args.json,
    )
