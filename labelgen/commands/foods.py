"""``labelgen foods``: look into the food-composition table."""

from __future__ import annotations

HELP = "Search the food-composition table, or show one food."
EXAMPLE = 'labelgen foods search "plain flour"'


def add_arguments(parser) -> None:
    actions = parser.add_subparsers(dest="action", metavar="ACTION", required=True)
    search = actions.add_parser("search", help="foods whose name fits", epilog='Example: labelgen foods search "icing sugar"')
    search.add_argument("words", nargs="+")
    show = actions.add_parser("show", help="one food per 100 g", epilog="Example: labelgen foods show usda/20081")
    show.add_argument("id")
    for sub in (search, show):
        sub.add_argument("--json", action="store_true", help="print JSON")


def run(args) -> int:
    from labelgen.commands import output
    from labelgen.composition.dataset import open_dataset
    from labelgen.composition.search import search

    dataset = open_dataset()
    if args.action == "search":
        hits = search(dataset, " ".join(args.words))
        if args.json:
            output.print_json([{"id": h.id, "name": h.name, "score": h.score, "note": h.note} for h in hits])
        elif not hits:
            print("nothing fits: try a simpler word, for example 'flour'")
        for h in hits if not args.json else ():
            print(f"{h.id}  {h.name}" + (f"  [{h.note}]" if h.note else ""))
        return 0 if hits else 1
    food = dataset.food(args.id)
    from labelgen.composition.lexicon import allergens_of_food
    from labelgen.nutrients import NUTRIENTS

    values = {n.key: food.composition.get(n.key) for n in NUTRIENTS}
    hits = allergens_of_food(food.id, food.name, food.group)
    if args.json:
        output.print_json(
            {
                "id": food.id, "name": food.name, "composite": food.composite, "release": food.release, "grade": food.grade, "note": food.note,
                "per_100g": {n.key: {"value": v if v == v else None, "low": a, "high": b if b != float("inf") else None, "unit": n.unit, "source": food.composition.source[i]} for i, n in enumerate(NUTRIENTS) for a, v, b in (values[n.key],)},
                "allergens": [{"allergen": h.allergen, "because": h.because} for h in hits],
                "portions": [{"amount": p.amount, "unit": p.unit, "grams": p.grams} for p in food.portions],
            }
        )  # fmt: skip
        return 0
    print(f"{food.id}  {food.name}\n{food.release}; {food.grade}{'; manufactured, make-up not told' if food.composite else ''}{'; ' + food.note if food.note else ''}")
    rows = [("per 100 g", "amount", "source")]
    for i, n in enumerate(NUTRIENTS):
        v = values[n.key][1]
        rows.append((n.name, "unknown" if v != v else f"{v:g} {n.unit.replace('ug', 'mcg')}", food.composition.source[i]))
    output.table(rows)
    print(f"allergens: {', '.join(f'{h.allergen} ({h.because})' for h in hits) or 'none found'}{'; its make-up is not told, so more is possible' if food.composite else ''}")
    for p in food.portions:
        print(f"{p.amount:g} {p.unit} = {p.grams:g} g")
    return 0
