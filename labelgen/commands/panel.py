"""``labelgen panel``: a product's nutrition in the terminal."""

from __future__ import annotations

HELP = "Show what a product contains: per 100 g, per piece and per pack, with low, value and high."
EXAMPLE = "labelgen panel oat-thins --kitchen my-kitchen --json"
SHOWN = ("ENERC", "FAT", "FASAT", "FATRN", "CHOLE", "NA", "CHOCDF", "FIBTG", "FIBSOL", "FIBINS", "SUGAR", "SUGAD", "POLYL", "PROCNT", "VITD", "CA", "FE", "K", "WATER")


def add_arguments(parser) -> None:
    parser.add_argument("product", metavar="PRODUCT")


def run(args) -> int:
    from labelgen.chain import roll_up_folder
    from labelgen.commands import output
    from labelgen.formulation.ratios import ratios
    from labelgen.nutrients import NUTRIENTS

    rolled = roll_up_folder(args.kitchen)
    profile = output.product_of(rolled, args.product)
    if profile is None:
        return 1
    if args.json:
        output.print_json(
            {
                "product": profile.product,
                "pack_g": profile.pack.grams,
                "pieces": profile.pieces,
                "per_100g": profile.per_100g.as_dict(),
                "per_piece": profile.per_piece.as_dict() if profile.pieces else None,
                "per_pack": profile.pack.as_dict(),
                "ratios": ratios(profile.per_100g),
                "findings": [f.as_dict() for f in profile.findings],
            }
        )
        return output.exit_code(profile.findings)
    print(f"{profile.product}: {profile.pack.grams:.1f} g a pack" + (f", {profile.pieces:g} pieces of {profile.pack.grams / profile.pieces:.2f} g" if profile.pieces else ""))
    names = {n.key: n for n in NUTRIENTS}
    rows = [("", "per 100 g", "per piece" if profile.pieces else "per pack", "known")]
    part = profile.per_piece or profile.pack
    for key in SHOWN:
        unit = names[key].unit.replace("ug", "mcg")
        rows.append((f"{names[key].name} [{unit}]", _text(profile.per_100g.get(key)), _text(part.get(key)), f"{100 * profile.pack.coverage(key):.0f} %"))
    output.table(rows)
    for name, value in ratios(profile.per_100g).items():
        print(f"{name}: {'unknown' if value is None else f'{value:.3g}'}")
    output.print_findings(profile.findings)
    print("Unrounded working figures, not a label: a market's rounding and rules come on top.")
    return output.exit_code(profile.findings)


def _text(figures: tuple[float, float, float]) -> str:
    low, value, high = figures
    if value != value:
        return "unknown" if high == float("inf") else f"unknown (0-{high:.2f})"
    return f"{value:.2f}" if abs(high - low) < 5e-3 else f"{value:.2f} ({low:.2f}-{'?' if high == float('inf') else f'{high:.2f}'})"
