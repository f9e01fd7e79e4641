"""``labelgen stall``: what hangs and stands at a market stall."""

from __future__ import annotations

import sys

HELP = "Write the allergen poster (products x allergens) and the product cards for a market stall."
EXAMPLE = "labelgen stall --kitchen my-kitchen"


def add_arguments(parser) -> None:
    parser.add_argument(
        "products", nargs="*", metavar="PRODUCT", help="default: every product of the kitchen"
    )
    parser.add_argument("--only", choices=("poster", "cards"), help="just one of the two")
    parser.add_argument(
        "--page", choices=("a4", "letter"), help="page size (default: Letter in the US and Canada, else A4)"
    )


def run(args) -> int:
    from labelgen.chain import declare_product, lost_in_words, roll_up_folder
    from labelgen.commands import output
    from labelgen.errors import by_danger
    from labelgen.law.pack import read_pack
    from labelgen.layout.boxes import words_of
    from labelgen.layout.cards import lay_out_cards
    from labelgen.layout.document import home_page
    from labelgen.layout.poster import lay_out_allergen_poster
    from labelgen.market.allergens.matrix import allergen_matrix
    from labelgen.market.papers import open_line
    from labelgen.pdf.check_label import check_label
    from labelgen.pdf.draw import draw_label, draw_pages
    from labelgen.pdf.write import write_whole

    rolled = roll_up_folder(args.kitchen, args.on)
    keys = args.products or list(rolled.kitchen.products if rolled.kitchen else ["?"])
    stopped = [key for key in keys if output.product_of(rolled, key) is None or rolled.stops.get(key)]
    for key in stopped:
        print(
            f"labelgen: {key}: nobody can tell what is in it, so it is marked on the poster and no card is"
            " printed:",
            file=sys.stderr,
        )
        output.print_findings(rolled.stops.get(key, ()), sys.stderr)
    keys = [key for key in keys if key not in stopped]
    if not keys:
        return 1
    kitchen, order = rolled.kitchen, output.order_of(args, rolled)
    page, folder = args.page or home_page(kitchen.country), output.folder_of(args.out)
    matrix = allergen_matrix(read_pack(order.market, order.on), kitchen, [rolled.profiles[k] for k in keys])
    declared = {key: declare_product(rolled, key, order) for key in keys}
    unworded = {f for d in declared.values() for f in d.findings if f.code == "wording-missing"}
    if unworded:
        print("labelgen: these words stand in English on the papers:", file=sys.stderr)
        output.print_findings(by_danger(unworded), sys.stderr)
    sheets = {}
    if args.only != "cards":
        sheets["allergen-poster"] = lay_out_allergen_poster(
            matrix, declared, kitchen.producer.name, page, [kitchen.products[key].name for key in stopped]
        )
        lost = [
            f
            for n, (key, _, _) in enumerate(matrix.rows)
            for f in _lost_on_poster(rolled, sheets["allergen-poster"], matrix, n, declared[key])
        ]
        if lost:
            output.print_findings(lost, sys.stderr)
            return 1
    if args.only != "poster":
        dangers = {
            key: [
                f
                for f in (
                    *d.findings,
                    *lost_in_words(rolled, key, d, words_of(lay_out_cards([d], page)), "the card"),
                )
                if f.severity == "danger"
            ]
            for key, d in declared.items()
        }
        dangerous = [key for key, found in dangers.items() if found]
        good = [d for key, d in declared.items() if key not in dangerous]
        if good:
            sheets["product-cards"] = lay_out_cards(good, page)
        stopped += dangerous
        for key in dangerous:
            print(f"labelgen: {key}: no card is printed:", file=sys.stderr)
            output.print_findings(dangers[key], sys.stderr)
    written = []
    for name, pages in sheets.items():
        faults = [f for p in pages for f in check_label(draw_label(p), p)]
        if faults:
            output.print_findings(faults, sys.stderr)
            return 1
        write_whole(folder / f"{name}.pdf", draw_pages(pages))
        written.append(str(folder / f"{name}.pdf"))
    if args.json:
        output.print_json(
            {
                "files": written,
                "products": [_row(matrix, declared, *row) for row in matrix.rows],
                "stopped": stopped,
            }
        )
    else:
        print("\n".join(written))
        for d in declared.values():
            if line := open_line(d):
                print(f"{d.product}: {line}")
        print(
            "Hang it where buyers see it, and make it again whenever a recipe or packet changes. What loose"
            " food must say is local law: ask your food authority."
        )
    return 1 if stopped else 0


def _lost_on_poster(rolled, pages, matrix, row: int, d) -> tuple:
    """What is known of a product's allergens and its row of the poster does not say."""
    from labelgen.chain import lost_in_codes, lost_in_words
    from labelgen.layout.poster import row_words

    key, _, untold = matrix.rows[row]
    return (
        *lost_in_words(rolled, key, d, row_words(pages, row), "the poster", table=True),
        *lost_in_codes(rolled, key, d.market, d.on, "the poster", *matrix.codes(key), untold),
    )


def _row(matrix, declared: dict, key: str, cells, untold) -> dict:
    """One product of the poster for other programs: its allergens by group, kinds in English words."""
    from labelgen.composition.ingredient_allergens import allergen_words

    def words(codes) -> list[str]:
        kinds = (code.partition("/") for code in codes)
        return list(dict.fromkeys((kind or group).replace("_", " ") for group, _, kind in kinds))

    called = dict(declared[key].called)
    return {
        "product": declared[key].product,
        "allergens": {
            allergen_words(g) if g != "gluten" else "wheat and gluten": {
                "state": c.state,
                "kinds": words(c.kinds),
                "may": words(c.may),
                "unknown": words(c.unknown),
            }
            for g, c in zip(matrix.groups, cells)
        },
        "unknown_because": (
            f"make-up not told: {', '.join(called[name] for name in untold)}" if untold else ""
        ),
    }
