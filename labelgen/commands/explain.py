"""``labelgen explain``: where one figure comes from."""

HELP = (
    "Show where a figure comes from: stages with their losses, then every ingredient with grams, source and"
    " share."
)
EXAMPLE = "labelgen explain oat-thins fat --kitchen my-kitchen"


def add_arguments(parser) -> None:
    parser.add_argument("product", metavar="PRODUCT")
    parser.add_argument(
        "nutrient", metavar="NUTRIENT", help="a name such as 'saturated fat' or a tagname such as FASAT"
    )


def run(args) -> int:
    from labelgen.chain import roll_up_folder
    from labelgen.commands import output
    from labelgen.nutrients import INDEX, UNITS, key_of

    key = key_of(args.nutrient)
    rolled = roll_up_folder(args.kitchen, args.on)
    profile = output.product_of(rolled, args.product)
    if profile is None:
        return 1
    code = int(output.at_fault(rolled, args.product))
    i = INDEX[key]
    total = profile.pack.get(key)[1]
    parts = [
        {
            "ingredient": x.ingredient.name,
            "grams": x.grams,
            "path": list(x.path),
            "food": x.ingredient.food_id,
            "per_100g": _known(x.ingredient.composition.value[i]),
            "source": x.ingredient.composition.source[i] or "unknown",
            "retained": x.retained,
            "low": _known(x.amounts.low[i]),
            "amount": _known(x.amounts.value[i]),
            "high": _known(x.amounts.high[i]),
        }
        for x in profile.ingoing
    ]
    brought = sum(p["amount"] or 0.0 for p in parts)
    water = {"driven_off_g": brought - total} if key == "WATER" else {}
    if args.json:
        stages = [
            {
                "formulation": s.formulation,
                "input_g": s.input,
                "left_g": s.left,
                "water_loss_g": s.water_loss,
                "alcohol_loss_g": s.alcohol_loss,
                "fat_change_g": s.fat_change,
                "output_g": s.output,
                "how": s.how,
            }
            for s in profile.stages
        ]
        output.print_json(
            {
                "product": profile.product,
                "nutrient": key,
                "unit": UNITS[key],
                "pack_g": profile.pack.grams,
                "total": _known(total),
                "ingredients": parts,
                "stages": stages,
                **water,
            }
        )
        return code
    unit = UNITS[key].replace("ug", "mcg")
    for s in profile.stages:
        losses = "".join(
            f" - {g:.1f} g {what}"
            for g, what in (
                (s.left, "left behind"),
                (s.water_loss, f"water ({s.how})"),
                (s.alcohol_loss, "alcohol"),
            )
            if g > 1e-9
        )
        fat = f" {s.fat_change:+.1f} g fat" if s.fat_change else ""
        print(f"{s.formulation}: {s.input:.1f} g in{losses}{fat} = {s.output:.1f} g out")
    rows = [("ingredient", "grams", f"{key} per 100 g", f"brings [{unit}]", "share", "source")]
    for p in parts:
        amount = "unknown" if p["amount"] is None else f"{p['amount']:.3f}"
        share = f"{100 * p['amount'] / brought:.1f} %" if p["amount"] and brought else ""
        value = "unknown" if p["per_100g"] is None else f"{p['per_100g']:g}"
        if p["low"] != p["high"]:
            amount += f" ({p['low']:.3g} to {'?' if p['high'] is None else format(p['high'], '.3g')})"
        rows.append(
            (
                f"{' > '.join(p['path'])} > {p['ingredient']}",
                f"{p['grams']:.2f}",
                value,
                amount,
                share,
                f"{p['food']} {p['source']}".strip() + (f"; kept {p['retained']}" if p["retained"] else ""),
            )
        )
    output.table(rows)
    if water:
        print(f"driven off: {brought - total:.3f} {unit}")
    print(
        f"{key} in the pack of {profile.pack.grams:.1f} g: {total:.3f} {unit}; known for"
        f" {100 * profile.pack.coverage(key):.0f} % of the mass"
    )
    return code


def _known(x: float):
    return None if x != x or x == float("inf") else float(x)
