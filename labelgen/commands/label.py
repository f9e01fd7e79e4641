"""``labelgen label``: prints products as PDF labels."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

HELP = "Write the label of one or more products as PDF; a label that does not read back clean is not written."
EXAMPLE = "labelgen label oat-thins --kitchen my-kitchen --made-on 2026-11-25 --lot A1"


def add_arguments(parser) -> None:
    parser.add_argument("products", nargs="+", metavar="PRODUCT")
    parser.add_argument("--lot", default="", help="the lot to print")
    parser.add_argument("--made-on", type=date.fromisoformat, metavar="DATE", help="the day it was made; the best-before date follows from it")


def run(args) -> int:
    from labelgen.chain import roll_up_folder
    from labelgen.commands import output

    rolled = roll_up_folder(args.kitchen)
    for key in args.products:
        if output.product_of(rolled, key) is None:
            return 1
    return print_labels(rolled, args.products, args.market, args.on or date.today(), Path(args.out or "out"), args.lot, args.made_on, args.json)


def print_labels(rolled, keys, market: str, on: date, folder: Path, lot: str = "", made_on=None, as_json: bool = False) -> int:
    """Writes one PDF a product into a folder; 1 if any had to be refused."""
    from labelgen.chain import make_label
    from labelgen.commands import output
    from labelgen.pdf.write import write_whole

    code, report = 0, []
    for key in keys:
        pdf, findings = make_label(rolled, key, market or rolled.kitchen.markets[0], on, lot, made_on)
        path = folder / f"{key}.pdf"
        if pdf is None:
            code = 1
        else:
            write_whole(path, pdf)
        report.append({"product": key, "file": str(path) if pdf else None, "findings": [f.as_dict() for f in findings]})
        if not as_json:
            print(f"{key}: {path if pdf else 'NOT WRITTEN'}")
            output.print_findings([f for f in findings if f.severity != "note"], sys.stdout)
    if as_json:
        output.print_json(report)
    else:
        print("Compare every allergen with the packets in your hand before selling. For what the law asks of you, ask your food authority.")
    return code
