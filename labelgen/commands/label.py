"""``labelgen label``: prints products as PDF labels."""

from __future__ import annotations

import sys
from dataclasses import replace
from pathlib import Path

from labelgen.commands.output import read_day

HELP = (
    "Write the label of one or more products as PDF; a label that does not read back clean is not written."
    " With --lot it is recorded in the kitchen's ledger."
)
EXAMPLE = (
    "labelgen label oat-thins --kitchen my-kitchen --made-on 2026-11-25 --lot A1 --stock letter-6 --copies 12"
)

#: The most labels of one file: more are printed in several goes.
MOST_COPIES = 10_000


def add_arguments(parser) -> None:
    parser.add_argument("products", nargs="*", metavar="PRODUCT", help="products or boxes")
    parser.add_argument("--all", action="store_true", help="every product of the kitchen")
    parser.add_argument(
        "--inner",
        action="store_true",
        help=(
            "of a box: labels for the packs inside it, without what the outer label says for them where the"
            " market allows"
        ),
    )
    parser.add_argument(
        "--lot",
        default="",
        help=(
            "the lot to print; printing a lot is printing for sale: it is recorded, and its file is"
            " PRODUCT-lot-LOT.pdf"
        ),
    )
    parser.add_argument(
        "--again",
        action="store_true",
        help="this lot was printed with another label before, and packs of both carry it",
    )
    parser.add_argument("--shared-lot", action="store_true", help="this lot is one of several products")
    parser.add_argument("--packs", type=int, metavar="N", help="how many packs the lot holds, for the record")
    parser.add_argument(
        "--supplier-lot",
        action="append",
        default=[],
        metavar="INGREDIENT=LOT",
        help=(
            "a supplier's lot that went in, for the record; may be given again, also for two lots of one"
            " ingredient"
        ),
    )
    parser.add_argument(
        "--made-on",
        type=read_day,
        metavar="DATE",
        help="the day it was made; the best-before date follows from it",
    )
    parser.add_argument(
        "--proof",
        action="store_true",
        help="also write pictures, a contact sheet, and a proof page with every type size beside its rule",
    )
    parser.add_argument(
        "--workers", type=int, default=1, metavar="N", help="processes to share many products among"
    )
    group = parser.add_argument_group("where it is printed")
    group.add_argument("--stock", metavar="NAME", help="label stock by name; 'labelgen stock' lists them")
    group.add_argument(
        "--label-size", metavar="WxH", help="a label of this size instead, e.g. 100x150mm or 4x6in"
    )
    group.add_argument("--page", metavar="PAGE", help="letter, a4, or label (a page of the label's own size)")
    group.add_argument(
        "--copies", type=int, default=0, metavar="N", help="how many labels (default: one page full)"
    )
    group.add_argument(
        "--start", type=int, default=1, metavar="N", help="first free label of a part-used sheet"
    )
    group.add_argument("--together", action="store_true", help="all products on the same pages, in one file")
    group.add_argument("--cut-marks", action="store_true", help="marks in the margins where to cut")
    group.add_argument(
        "--nudge", metavar="RIGHT,UP", default="0,0", help="shift everything, in mm, as --nudge=0.5,-1"
    )


def run(args) -> int:
    from labelgen.chain import roll_up_folder
    from labelgen.commands import output
    from labelgen.commands.many_labels import Run, name_of_lot, print_products, print_together, with_progress

    rolled = roll_up_folder(args.kitchen, args.on)
    keys, left_out = products_asked(args, rolled)
    if not keys:
        return 1
    if args.inner:
        rolled, keys = inner_units(args, rolled, keys)
    order = output.order_of(args, rolled)
    order = replace(order, job=read_job(args, order.market))
    record = read_record(args, rolled, keys)
    check_sharing(args, keys)
    folder = output.folder_of(args.out)
    apart = name_of_lot(order.lot, order.market, rolled.kitchen.markets[0])
    asked = Run(
        args.kitchen, order, folder, args.proof, record, apart, again=args.again, shared=args.shared_lot
    )
    if args.together:
        reports = print_together(rolled, asked, keys)
    else:
        reports = with_progress(print_products(rolled, asked, keys, args.workers), len(keys), args.json)
    return max(tell(reports, folder, args.json), int(bool(left_out)))


def products_asked(args, rolled) -> tuple[list[str], list[str]]:
    """(products and boxes to print, those that --all leaves out); none to print where one that is named
    cannot be weighed out, which is told. Raises RecipeError where none is named.
    """
    from labelgen.commands import output
    from labelgen.errors import RecipeError

    if args.all:
        return output.every_product(rolled)
    if not args.products:
        raise RecipeError("which product? name one or more, or write --all")
    good = all(output.can_declare(rolled, key) for key in args.products)
    return args.products if good else [], []


def inner_units(args, rolled, boxes: list[str]):
    """(the kitchen with the packs inside boxes as products of their own, their keys). Raises RecipeError
    for what is no box.
    """
    from labelgen.chain import with_inner_units
    from labelgen.errors import RecipeError

    if args.lot or args.workers > 1 or not all(key in rolled.kitchen.boxes for key in boxes):
        how = "name boxes, for example labelgen label harvest-box --inner"
        raise RecipeError(f"--inner is for boxes, without --lot and --workers: {how}")
    every: list[str] = []
    for key in boxes:
        rolled, units = with_inner_units(rolled, key)
        every += units
    return rolled, every


def read_record(args, rolled, keys: list[str]) -> dict:
    """What the ledger is told besides. Raises RecipeError for a supplier's lot that went into nothing that
    is printed.
    """
    from labelgen.commands import output
    from labelgen.errors import RecipeError

    lots = read_supplier_lots(args.supplier_lot, rolled.kitchen)
    used = {
        i.ingredient.name
        for key in keys
        for name in output.held_in(rolled, key)
        for i in rolled.profiles[name].ingoing
    }
    if strange := sorted(set(lots) - used):
        lost = (
            f"not in {', '.join(keys)}, so its lot would be lost: take it off, or print the product it went"
            " into"
        )
        raise RecipeError(f"--supplier-lot {', '.join(strange)}: {lost}")
    return {"packs": args.packs, "supplier_lots": lots}


def check_sharing(args, keys: list[str]) -> None:
    """Raises LayoutError where several products cannot share pages as the options say."""
    from labelgen.errors import LayoutError

    if args.start > 1 and len(keys) > 1 and not args.together:
        raise LayoutError(
            "--start with several products needs --together, which goes on from one to the next"
        )
    if args.together and not (args.stock or args.label_size):
        raise LayoutError("--together needs labels of one size: give --stock or --label-size")


def read_supplier_lots(given: list[str], kitchen) -> dict[str, str]:
    """``flour=B12`` ... as ingredient -> lot, several of one ingredient joined. Raises RecipeError for an
    ingredient the kitchen does not know.
    """
    if not given:
        return {}
    from labelgen.errors import RecipeError
    from labelgen.ledger.store import JOINT

    lots: dict[str, list[str]] = {}
    for text in given:
        name, equals, lot = (part.strip() for part in text.partition("="))
        if not (equals and lot) or name not in kitchen.ingredients:
            raise RecipeError(
                f"--supplier-lot {text!r}: write INGREDIENT=LOT with an ingredient of this kitchen:"
                f" {', '.join(sorted(kitchen.ingredients))}"
            )
        lots.setdefault(name, []).append(lot)
    return {name: JOINT.join(dict.fromkeys(every)) for name, every in lots.items()}


def read_job(args, market: str):
    """What the options ask of the printing. Raises LayoutError when they cannot be."""
    from labelgen.errors import LayoutError
    from labelgen.layout.label_stock import pages, read_nudge, read_size, stock_named, usual_page
    from labelgen.order import Job

    if not 0 <= args.copies <= MOST_COPIES:
        raise LayoutError(
            f"--copies {args.copies}: write how many labels you want, up to {MOST_COPIES:,}, for example"
            " --copies 24"
        )
    if args.start < 1:
        raise LayoutError(f"--start {args.start}: the first label of a sheet is 1")
    if args.packs is not None and args.packs < 1:
        raise LayoutError(f"--packs {args.packs}: write how many packs the lot holds, for example --packs 24")
    if args.workers < 1:
        raise LayoutError(f"--workers {args.workers}: write 1 or more")
    if args.page and args.page not in (*pages(), "label"):
        raise LayoutError(f"--page {args.page!r} is not known: write {', '.join(pages())} or label")
    if args.stock and (args.label_size or args.page):
        raise LayoutError("--stock already says the label's size and page: leave out --label-size and --page")
    stock = stock_named(args.stock) if args.stock else None
    if stock and not 1 <= args.start <= stock.slots:
        raise LayoutError(
            f"--start {args.start} is not on this stock: {stock.name} has labels 1 to {stock.slots} on a page"
        )
    if args.label_size:
        read_size(args.label_size)
    sheet_wanted = args.copies > 1 or args.start > 1 or args.cut_marks
    page = "" if stock else args.page or (usual_page(market) if sheet_wanted else "")
    return Job(
        stock.name if stock else "",
        args.label_size or "",
        page,
        args.copies,
        args.start,
        args.cut_marks,
        read_nudge(args.nudge),
    )


def tell(reports, folder: Path, as_json: bool) -> int:
    """Prints what became of each product; writes the contact sheet of a proof. 1 if any had to be refused."""
    from labelgen.commands import output
    from labelgen.errors import NOT_READY

    code, kept, pictures = 0, [], []
    for report in reports:
        file, findings = report["file"], report["findings"]
        code = max(code, 0 if file else 1)
        pictures += report.get("pictures", [])
        if as_json:
            kept.append({**report, "findings": [f.as_dict() for f in findings]})
            continue
        unfit = any(f.code.startswith(NOT_READY) for f in findings)
        parts = report.get("faces", [])
        spread = f", {len(parts)} faces each: {', '.join(parts)}" if len(parts) > 1 else ""
        print(
            f"{report['product']}:"
            f" {file or 'NOT WRITTEN'}{spread}{', NOT READY TO SELL' if file and unfit else ''}"
        )
        output.print_findings(
            [f for f in findings if f.severity != "note" or f.code == "date-left-out"], sys.stdout
        )
    if pictures:
        _write_contact_sheet(folder, pictures, as_json)
    if as_json:
        output.print_json(kept)
    else:
        print(
            "Print at 100 % (actual size), not fitted to the page: type that shrinks is below its legal size."
        )
        print(
            "Compare every allergen with the packets in your hand before selling. For what the law asks of"
            " you, ask your food authority."
        )
    return code


def _write_contact_sheet(folder: Path, pictures: list[str], as_json: bool) -> None:
    from labelgen.pdf.preview import draw_contact_sheet
    from labelgen.pdf.write import write_whole

    write_whole(folder / "contact-sheet.png", draw_contact_sheet([Path(p).read_bytes() for p in pictures]))
    if not as_json:
        print(
            f"Proof: pictures beside the labels, all together in {folder / 'contact-sheet.png'}, sizes"
            " called out in *-proof.pdf"
        )
