"""``labelgen preflight``: holds any PDF against what a product's label must say."""

from __future__ import annotations

from labelgen.commands.output import read_day
from labelgen.paths import read_plain

HELP = (
    "Check a PDF, whoever made it, against a product: its words, type sizes as printed, bold, contrast,"
    " fonts, page scale."
)
EXAMPLE = "labelgen preflight old-label.pdf --product oat-thins --kitchen my-kitchen"


def add_arguments(parser) -> None:
    parser.add_argument("file", metavar="FILE.pdf")
    parser.add_argument("--product", required=True, metavar="PRODUCT", help="a product or box")
    parser.add_argument(
        "--stock",
        default="",
        metavar="NAME",
        help="the stock it was made for, where the panel's form depends on it",
    )
    parser.add_argument("--label-size", default="", metavar="WxH", help="or the label's size, e.g. 100x150mm")
    parser.add_argument("--lot", default="", help="the lot it should carry")
    parser.add_argument("--made-on", type=read_day, metavar="DATE", help="the day it was made")


def run(args) -> int:
    from labelgen.chain import declare_product, roll_up_folder
    from labelgen.commands import output
    from labelgen.errors import by_danger
    from labelgen.layout.whole_label import fit_job
    from labelgen.order import Job
    from labelgen.pdf.any_label import preflight
    from labelgen.pdf.apart import read_apart

    rolled = roll_up_folder(args.kitchen, args.on)
    if not output.can_declare(rolled, args.product):
        return 1
    order = output.order_of(args, rolled, job=Job(args.stock, args.label_size))
    declaration = declare_product(rolled, args.product, order)
    _, faces = fit_job(declaration, order.job)
    sized = bool(args.stock or args.label_size or declaration.package)
    met, found = read_apart(preflight, read_plain(args.file), args.file, faces, sized)
    findings = by_danger((*found, *(f for f in declaration.findings if f.blocks)))
    if args.json:
        output.print_json(
            {
                "product": args.product,
                "file": args.file,
                "met": [vars(m) for m in met],
                "findings": [f.as_dict() for f in findings],
            }
        )
        return output.exit_code(findings)
    shown = [m for m in met if not m.part.startswith("panel.") or not m.ok]
    output.table([("text", "type", "height", "least", ""), *(_row(m) for m in shown)])
    lines = [m for m in met if m.part.startswith("panel.") and m.ok]
    print(f"{len(lines)} texts of the nutrition panel are there at legal sizes.")
    output.print_findings(findings)
    return output.exit_code(findings)


def _row(met) -> tuple[str, ...]:
    text = met.text if len(met.text) <= 44 else f"{met.text[:41]}..."
    if not met.found:
        return text, "-", "-", "-", "missing"
    tall = f"{met.height_mm:.2f} mm" if met.height_mm else "-"
    least = f"{met.least:.2f} mm" if met.height_mm else f"{met.least:.1f} pt"
    return text, f"{met.size_pt:.1f} pt", tall, least, "ok" if met.ok else "FAULT"
