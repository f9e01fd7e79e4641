"""``labelgen stock``: the label stock there is, what holds a product, and a page to set the printer by."""

from __future__ import annotations

HELP = "List label stock (sheets, rolls, tags), find what holds a product, or print a calibration page."
EXAMPLE = "labelgen stock letter-6 --calibrate"


def add_arguments(parser) -> None:
    parser.add_argument("name", nargs="?", metavar="NAME", help="one stock; without it, all of them")
    parser.add_argument(
        "--calibrate", action="store_true", help="write a page of outlines and rulers to lay over a sheet"
    )
    parser.add_argument(
        "--holds", metavar="PRODUCT", help="only stock the label of this product or box fits on"
    )
    parser.add_argument("--nudge", metavar="RIGHT,UP", default="0,0", help="shift in mm, as --nudge=0.5,-1")


def run(args) -> int:
    from labelgen.commands import output
    from labelgen.layout.label_stock import every_stock, stock_named

    found = [stock_named(args.name)] if args.name else list(every_stock())
    if args.calibrate:
        return _calibrate(args, found[0] if args.name else None)
    if args.holds:
        found = _holding(args, found)
        if found is None:
            return 1
    if args.json:
        output.print_json([_as_dict(s) for s in found])
        return 0
    from labelgen.layout.label_stock import describe_size

    rows = [("name", "kind", "page", "labels", "size")]
    rows += [
        (
            s.name,
            s.kind,
            s.page,
            str(s.slots),
            ("round " if s.round else "") + describe_size(s.width, s.height),
        )
        for s in found
    ]
    output.table(rows)
    if not args.name:
        print(
            "Any other size: labelgen label PRODUCT --label-size 100x150mm. Check the geometry with"
            " --calibrate before printing on labels."
        )
    return 0


def _as_dict(stock) -> dict:
    """Lengths in millimetres."""
    lengths = (
        "page_width",
        "page_height",
        "width",
        "height",
        "pitch_x",
        "pitch_y",
        "left",
        "top",
        "corner",
        "keep",
        "hole",
    )
    mm = {f"{name}_mm": round(getattr(stock, name) / 72 * 25.4, 2) for name in lengths}
    return {
        "name": stock.name,
        "kind": stock.kind,
        "page": stock.page,
        "round": stock.round,
        "columns": stock.columns,
        "rows": stock.rows,
        **mm,
    }


def _holding(args, found):
    from labelgen.chain import declare_product, roll_up_folder
    from labelgen.commands import output
    from labelgen.layout.whole_label import stock_that_holds

    rolled = roll_up_folder(args.kitchen, args.on)
    if not output.can_declare(rolled, args.holds):
        return None
    declaration = declare_product(rolled, args.holds, output.order_of(args, rolled))
    able = {s.name for s in stock_that_holds(declaration)}
    return [s for s in found if s.name in able or (not s.height and _on_roll(declaration, s))]


def _on_roll(declaration, roll) -> bool:
    """Whether a continuous roll is wide enough."""
    from labelgen.errors import LayoutError
    from labelgen.layout.whole_label import fit_label

    try:
        return bool(fit_label(declaration, roll))
    except LayoutError:
        return False


def _calibrate(args, stock) -> int:
    from labelgen.commands import output
    from labelgen.errors import LayoutError
    from labelgen.layout.calibrate import lay_out_calibration
    from labelgen.layout.label_stock import read_nudge
    from labelgen.pdf.draw import draw_label
    from labelgen.pdf.write import write_whole

    if stock is None:
        raise LayoutError("which stock? write for example: labelgen stock letter-6 --calibrate")
    if not stock.height:
        raise LayoutError(f"{stock.name} is a continuous roll: there is nothing to calibrate on it")
    path = output.folder_of(args.out) / f"calibrate-{stock.name}.pdf"
    write_whole(path, draw_label(lay_out_calibration(stock, read_nudge(args.nudge))))
    if args.json:
        output.print_json({"stock": stock.name, "file": str(path)})
    else:
        print(
            f"{path}: print it on plain paper at 100 %, not fitted to the page, and hold it against a sheet"
            " of labels"
        )
    return 0
