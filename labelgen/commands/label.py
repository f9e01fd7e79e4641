"""``labelgen label``: prints products as PDF labels."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

HELP = "Write the label of one or more products as PDF; a label that does not read back clean is not written. With --lot it is recorded in the kitchen's ledger."
EXAMPLE = "labelgen label oat-thins --kitchen my-kitchen --made-on 2026-11-25 --lot A1"


def add_arguments(parser) -> None:
    parser.add_argument("products", nargs="+", metavar="PRODUCT")
    parser.add_argument("--lot", default="", help="the lot to print; printing a lot is printing for sale, and is recorded")
    parser.add_argument("--packs", type=int, metavar="N", help="how many packs the lot holds, for the record")
    parser.add_argument("--supplier-lot", action="append", default=[], metavar="INGREDIENT=LOT", help="a supplier's lot that went in, for the record; may be given again")
    parser.add_argument("--made-on", type=date.fromisoformat, metavar="DATE", help="the day it was made; the best-before date follows from it")


def run(args) -> int:
    from labelgen.chain import roll_up_folder
    from labelgen.commands import output

    rolled = roll_up_folder(args.kitchen)
    for key in args.products:
        if output.product_of(rolled, key) is None:
            return 1
    record = {"packs": args.packs, "supplier_lots": read_supplier_lots(args.supplier_lot, rolled.kitchen)}
    return print_labels(rolled, args.products, args.market, args.on or date.today(), Path(args.out or "out"), args.lot, args.made_on, args.json, record)


def read_supplier_lots(given: list[str], kitchen) -> dict[str, str]:
    """``flour=B12`` ... as ingredient -> lot. Raises RecipeError for an ingredient the kitchen does not know."""
    from labelgen.errors import RecipeError

    lots = {}
    for text in given:
        name, equals, lot = (part.strip() for part in text.partition("="))
        if not (equals and lot) or name not in kitchen.ingredients:
            raise RecipeError(f"--supplier-lot {text!r}: write INGREDIENT=LOT with an ingredient of this kitchen: {', '.join(sorted(kitchen.ingredients))}")
        lots[name] = lot
    return lots


def print_labels(rolled, keys, market: str, on: date, folder: Path, lot: str = "", made_on=None, as_json: bool = False, record=None) -> int:
    """Writes one PDF a product into a folder; 1 if any had to be refused. A lot is recorded in the ledger first."""
    from labelgen.chain import make_label
    from labelgen.commands import output
    from labelgen.errors import NOT_READY
    from labelgen.pdf.write import write_whole

    code, report = 0, []
    for key in keys:
        pdf, findings = make_label(rolled, key, market or rolled.kitchen.markets[0], on, lot, made_on)
        path = folder / f"{key}.pdf"
        if pdf is None:
            code = 1
        else:
            if lot:
                from labelgen.ledger.printing import record_label

                record_label(rolled, key, market or rolled.kitchen.markets[0], on, lot, made_on, pdf, pdf, **(record or {}))
            write_whole(path, pdf)
        report.append({"product": key, "file": str(path) if pdf else None, "findings": [f.as_dict() for f in findings]})
        if not as_json:
            unfit = any(f.code.startswith(NOT_READY) for f in findings)
            print(f"{key}: {path if pdf else 'NOT WRITTEN'}{', NOT READY TO SELL' if pdf and unfit else ''}")
            output.print_findings([f for f in findings if f.severity != "note"], sys.stdout)
    if as_json:
        output.print_json(report)
    else:
        print("Compare every allergen with the packets in your hand before selling. For what the law asks of you, ask your food authority.")
    return code
