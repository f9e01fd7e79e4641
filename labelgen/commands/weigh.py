"""``labelgen weigh``: the weigh sheet of a batch."""

from __future__ import annotations

import sys
from datetime import date

HELP = (
    "Scale a recipe to packs, pieces or a weight of one ingredient, and write the weigh sheet with boxes to"
    " tick."
)
EXAMPLE = "labelgen weigh oat-thins --packs 24 --kitchen my-kitchen"


def add_arguments(parser) -> None:
    parser.add_argument("product", metavar="PRODUCT")
    size = parser.add_mutually_exclusive_group()
    size.add_argument("--packs", type=float, metavar="N", help="packs to make (default: 1)")
    size.add_argument("--pieces", type=float, metavar="N", help="pieces to make")
    size.add_argument(
        "--all-of",
        metavar="INGREDIENT=MASS",
        help="use up this much of one ingredient, for example flour=2 kg",
    )
    parser.add_argument(
        "--page", choices=("a4", "letter"), help="page size (default: Letter in the US and Canada, else A4)"
    )


def run(args) -> int:
    from labelgen.chain import lost_in_english, roll_up_folder
    from labelgen.commands import output
    from labelgen.errors import RecipeError
    from labelgen.formulation.scaling import grams_for, scale_stages
    from labelgen.law.pack import read_pack
    from labelgen.layout.boxes import parts_of
    from labelgen.layout.document import home_page
    from labelgen.layout.weigh_sheet import lay_out_weigh_sheet, shown_count, shown_mass
    from labelgen.market.allergens.matrix import codes_of
    from labelgen.pdf.draw import draw_pages
    from labelgen.pdf.write import write_whole
    from labelgen.quantity import read_mass

    rolled = roll_up_folder(args.kitchen, args.on)
    profile = output.product_of(rolled, args.product)
    if profile is None or output.at_fault(rolled, args.product):
        return 1
    kitchen, product = rolled.kitchen, rolled.kitchen.products[args.product]
    for asked in (args.packs, args.pieces):
        if asked is not None and not 0 < asked <= 1_000_000:
            raise RecipeError(f"{asked:g} of them cannot be made: give a number above 0, up to 1,000,000")
    ingredient, _, mass = (args.all_of or "").partition("=")
    if args.all_of and not mass.strip():
        raise RecipeError(f"--all-of {args.all_of!r}: write INGREDIENT=MASS, for example flour=2 kg")
    packs = 1.0 if args.packs is None and args.pieces is None and not args.all_of else args.packs
    grams = grams_for(
        profile,
        kitchen,
        packs,
        args.pieces,
        ingredient.strip(),
        read_mass(mass, kitchen.country) if args.all_of else 0.0,
    )
    stages = scale_stages(profile, kitchen, grams)
    made = grams / profile.pack.grams
    batch = (
        f"{shown_count(made)} packs"
        + (
            f" = {shown_count(made * profile.pieces)} {product.unit_plural or product.unit + 's'}"
            if profile.pieces
            else ""
        )
        + f" = {shown_mass(grams)} finished"
    )
    market, on = args.market or kitchen.markets[0], args.on or date.today()
    parts = codes_of(read_pack(market, on), kitchen, profile)
    untold = sorted({i.ingredient.print_name for i in profile.ingoing if not i.ingredient.disclosed})
    if args.json:
        output.print_json(
            {
                "product": args.product,
                "packs": made,
                "grams": grams,
                "allergens": {
                    **dict(zip(("contains", "may_contain", "not_known"), map(list, parts))),
                    "make_up_untold": untold,
                },
                "stages": [
                    {
                        "formulation": s.formulation,
                        "inputs": [{"name": n, "grams": g, "formulation": f} for n, g, f in s.inputs],
                        "output_g": s.output,
                        "method": s.method,
                        "batches": s.batches,
                        "pieces": s.pieces,
                        "taken_up": {"name": s.taken_up[0], "grams": s.taken_up[1]},
                    }
                    for s in stages
                ],
            }
        )
    allergens = told_on_sheet(parts, untold)
    lots = {name: spec.supplier_lot for name, spec in kitchen.ingredients.items() if spec.supplier_lot}
    page = args.page or home_page(kitchen.country)
    pages = lay_out_weigh_sheet(product.name, batch, stages, page, allergens, lots)
    told = "\n".join(text for sheet in pages for _, text in parts_of(sheet) if text in allergens)
    lost = lost_in_english(rolled, args.product, market, on, told, "the weigh sheet")
    if lost:
        output.print_findings(lost, sys.stderr)
        return 1
    path = output.folder_of(args.out) / f"{args.product}-weigh-sheet.pdf"
    write_whole(path, draw_pages(pages))
    if not args.json:
        for s in stages:
            print(
                f"{s.formulation}: "
                + ", ".join(f"{shown_mass(g)} {n}" for n, g, _ in s.inputs)
                + (f" (takes up {shown_mass(s.taken_up[1])} {s.taken_up[0]})" if s.taken_up[0] else "")
                + f" -> {shown_mass(s.output)}"
            )
        if allergens:
            print(allergens)
        print(f"{args.product}: {batch}: {path}")
    return 0


def told_on_sheet(parts, untold) -> str:
    """The allergens of a batch in one paragraph. parts: codes contained, warned of, not known. untold:
    ingredients whose make-up nobody tells.
    """
    from labelgen.composition.ingredient_allergens import allergen_words, told_once

    named = [", ".join(sorted(allergen_words(code) for code in told_once(codes))) for codes in parts]
    named[2] = ", ".join(x for x in (named[2], *(f"the make-up of {name}" for name in untold)) if x)
    return " ".join(
        f"{how}: {names}."
        for how, names in zip(("Allergens in this batch", "May contain", "Not known"), named)
        if names
    )
