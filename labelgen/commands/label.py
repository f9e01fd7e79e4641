"""``labelgen label``: prints products as PDF labels."""

from __future__ import annotations

import sys
from datetime import date
from pathlib import Path

HELP = "Write the label of one or more products as PDF; a label that does not read back clean is not written. With --lot it is recorded in the kitchen's ledger."
EXAMPLE = "labelgen label oat-thins --kitchen my-kitchen --made-on 2026-11-25 --lot A1 --stock letter-6 --copies 12"


def add_arguments(parser) -> None:
    parser.add_argument("products", nargs="*", metavar="PRODUCT")
    parser.add_argument("--all", action="store_true", help="every product of the kitchen")
    parser.add_argument("--lot", default="", help="the lot to print; printing a lot is printing for sale, and is recorded")
    parser.add_argument("--packs", type=int, metavar="N", help="how many packs the lot holds, for the record")
    parser.add_argument("--supplier-lot", action="append", default=[], metavar="INGREDIENT=LOT", help="a supplier's lot that went in, for the record; may be given again")
    parser.add_argument("--made-on", type=date.fromisoformat, metavar="DATE", help="the day it was made; the best-before date follows from it")
    group = parser.add_argument_group("where it is printed")
    group.add_argument("--stock", metavar="NAME", help="label stock by name; 'labelgen stock' lists them")
    group.add_argument("--label-size", metavar="WxH", help="a label of this size instead, e.g. 100x150mm or 4x6in")
    group.add_argument("--page", metavar="PAGE", help="letter, a4, or label (a page of the label's own size)")
    group.add_argument("--copies", type=int, default=0, metavar="N", help="how many labels (default: one page full)")
    group.add_argument("--start", type=int, default=1, metavar="N", help="first free label of a part-used sheet")
    group.add_argument("--cut-marks", action="store_true", help="marks in the margins where to cut")
    group.add_argument("--nudge", metavar="RIGHT,UP", default="0,0", help="shift everything, in mm, as --nudge=0.5,-1")


def run(args) -> int:
    from labelgen.chain import roll_up_folder
    from labelgen.commands import output

    rolled = roll_up_folder(args.kitchen)
    if args.all:
        args.products = list(rolled.profiles)
    elif not args.products:
        print("labelgen: which product? name one or more, or write --all", file=sys.stderr)
        return 2
    for key in args.products:
        if output.product_of(rolled, key) is None:
            return 1
    market = args.market or rolled.kitchen.markets[0]
    record = {"packs": args.packs, "supplier_lots": read_supplier_lots(args.supplier_lot, rolled.kitchen)}
    return print_labels(rolled, args.products, market, args.on or date.today(), Path(args.out or "out"), args.lot, args.made_on, args.json, record, read_job(args, market))


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


def read_job(args, market: str):
    """What the options ask of the printing. Raises LayoutError when they cannot be."""
    from labelgen.errors import LayoutError
    from labelgen.layout.sheets import Job
    from labelgen.layout.stock import pages, read_nudge, read_size, stock_named, usual_page

    if args.copies < 0:
        raise LayoutError(f"--copies {args.copies}: write how many labels you want, for example --copies 24")
    if args.page and args.page not in (*pages(), "label"):
        raise LayoutError(f"--page {args.page!r} is not known: write {', '.join(pages())} or label")
    if args.stock and (args.label_size or args.page):
        raise LayoutError("--stock already says the label's size and page: leave out --label-size and --page")
    stock = stock_named(args.stock) if args.stock else None
    if stock and not 1 <= args.start <= stock.slots:
        raise LayoutError(f"--start {args.start} is not on this stock: {stock.name} has labels 1 to {stock.slots} on a page")
    if args.label_size:
        read_size(args.label_size)
    sheet_wanted = args.copies > 1 or args.start > 1 or args.cut_marks
    page = "" if stock else args.page or (usual_page(market) if sheet_wanted else "")
    return Job(stock.name if stock else "", args.label_size or "", page, args.copies, args.start, args.cut_marks, read_nudge(args.nudge))


def print_labels(rolled, keys, market: str, on: date, folder: Path, lot: str = "", made_on=None, as_json: bool = False, record=None, job=None) -> int:
    """Writes one PDF a product into a folder; 1 if any had to be refused. A lot is recorded in the ledger first."""
    from labelgen.chain import print_label
    from labelgen.commands import output
    from labelgen.errors import NOT_READY
    from labelgen.layout.sheets import Job
    from labelgen.pdf.write import write_whole

    job = job or Job()
    code, report = 0, []
    for key in keys:
        label, pdf, findings = print_label(rolled, key, market or rolled.kitchen.markets[0], on, lot, made_on, job)
        path = folder / f"{key}.pdf"
        if pdf is None:
            code = 1
        else:
            if lot:
                from labelgen.ledger.printing import record_label

                record_label(rolled, key, market or rolled.kitchen.markets[0], on, lot, made_on, label, pdf, made_with=job.made_with, **(record or {}))
            write_whole(path, pdf)
        report.append({"product": key, "file": str(path) if pdf else None, "findings": [f.as_dict() for f in findings]})
        if not as_json:
            unfit = any(f.code.startswith(NOT_READY) for f in findings)
            print(f"{key}: {path if pdf else 'NOT WRITTEN'}{', NOT READY TO SELL' if pdf and unfit else ''}")
            output.print_findings([f for f in findings if f.severity != "note"], sys.stdout)
    if as_json:
        output.print_json(report)
    else:
        print("Print at 100 % (actual size), not fitted to the page: type that shrinks is below its legal size.")
        print("Compare every allergen with the packets in your hand before selling. For what the law asks of you, ask your food authority.")
    return code
