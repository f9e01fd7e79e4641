"""``labelgen compare``: products, variants or markets side by side."""

from __future__ import annotations

import sys

HELP = (
    "Show side by side how products or variants differ, or one product in several markets: allergens first."
)
EXAMPLE = "labelgen compare oat-thins oat-thins-nut --kitchen my-kitchen"


def add_arguments(parser) -> None:
    parser.add_argument(
        "products",
        nargs="+",
        metavar="PRODUCT",
        help="two or more products or variants, or one with --markets",
    )
    parser.add_argument(
        "--markets",
        default="",
        metavar="CODES",
        help="market codes joined by commas, or all, e.g. us,eu,ca",
    )


def run(args) -> int:
    from labelgen.chain import declare_product, roll_up_folder
    from labelgen.commands import output
    from labelgen.errors import DRAFT, RecipeError
    from labelgen.market.comparison import compare, side_of

    rolled = roll_up_folder(args.kitchen, args.on)
    profiles = []
    for key in args.products:
        profiles.append(output.product_of(rolled, key))
        if profiles[-1] is None:
            return 1
    asked = output.market_codes(args.markets or args.market)
    markets = asked or (rolled.kitchen.markets if len(profiles) == 1 else rolled.kitchen.markets[:1])
    if len(profiles) * len(markets) < 2:
        raise RecipeError(
            f"nothing to hold {args.products[0]!r} against: name a second product, or markets, for example"
            " '--markets us,eu'"
        )
    sides = []
    for key, profile in zip(args.products, profiles):
        for market in markets:
            name = market if len(profiles) == 1 else key if len(markets) == 1 else f"{key}, {market}"
            declaration = declare_product(rolled, key, output.order_of(args, rolled, market))
            sides.append(side_of(name, declaration, profile, rolled.kitchen.products[key], rolled.kitchen))
    comparison = compare(sides)
    lost = _lost(rolled, comparison)
    if lost:
        output.print_findings(lost, sys.stderr)
        return 1
    if args.json:
        output.print_json(_as_dict(comparison))
    else:
        _print(comparison)
    return output.exit_code(
        [f for s in sides for f in s.declaration.findings if not f.code.startswith(DRAFT)]
    )


def _lost(rolled, comparison) -> list:
    """What is known of the allergens of a side and the comparison does not say."""
    from labelgen.chain import lost_in_codes
    from labelgen.market.comparison import CONTAINS, MAY, UNTOLD

    found = []
    for n, side in enumerate(comparison.sides):
        parts = [
            {x.allergen for x in comparison.allergens if x.states[n] == state}
            for state in (CONTAINS, MAY, UNTOLD)
        ]
        found += lost_in_codes(
            rolled,
            side.profile.product,
            side.declaration.market,
            side.declaration.on,
            "the comparison",
            *parts,
            side.untold,
        )
    return found


def _as_dict(comparison) -> dict:
    first, second = comparison.sides[0], comparison.sides[1]
    appear, gone = _changes(comparison)
    return {
        "sides": [
            {
                "name": s.name,
                "product": s.profile.product,
                "market": s.declaration.market,
                "net_quantity": s.declaration.net_quantity,
                "per": _per(s),
                "allergens_declared": list(s.names),
                "make_up_untold": list(s.untold),
                "blocked": any(f.blocks for f in s.declaration.findings),
            }
            for s in comparison.sides
        ],
        "allergens": {
            "appear": [
                {"allergen": line.allergen, "because": line.because[1], "in": second.name} for line in appear
            ],
            "disappear": [
                {"allergen": line.allergen, "because": line.because[0], "in": first.name} for line in gone
            ],
            "all": [
                {
                    "allergen": line.allergen,
                    "states": list(line.states),
                    "because": list(line.because),
                    "differs": line.differs,
                    "listed": line.listed,
                }
                for line in comparison.allergens
            ],
        },
        "words": _words(comparison),
        "nutrition": [
            {
                "tag": line.tag,
                "label": line.label,
                "declared": list(line.declared),
                "per_100g": list(line.per_100g),
                "unit": line.unit,
                "differs": line.differs,
            }
            for line in comparison.nutrition
        ],
        "statements": {"texts": list(comparison.statements), "only": [list(o) for o in comparison.only]},
        "claims": [{"claim": claim, "verdicts": list(verdicts)} for claim, verdicts in comparison.claims],
    }


def _changes(comparison):
    """(allergens of the second side that the first does not contain, those of the first that the second
    does not).
    """
    from labelgen.market.comparison import CONTAINS, MAY, UNTOLD

    def rank(state: str) -> int:
        return {CONTAINS: 3, MAY: 2, UNTOLD: 1}.get(state, 0)

    lines = comparison.allergens
    return [x for x in lines if rank(x.states[1]) > rank(x.states[0])], [
        x for x in lines if rank(x.states[1]) < rank(x.states[0])
    ]


def _words(comparison) -> list[str]:
    """The allergen differences in sentences, the most dangerous first."""
    from labelgen.market.comparison import CONTAINS, MAY, UNTOLD, allergen_name

    def lines(found):
        """Wheat is told once, though it counts both as itself and as a gluten cereal."""
        states = {line.allergen: line.states for line in found}
        return [
            x
            for x in found
            if not x.allergen.startswith("gluten/") or states.get(x.allergen.partition("/")[2]) != x.states
        ]

    def name(line) -> str:
        return allergen_name(line.allergen) + ("" if line.listed else " (not on the market's list)")

    verbs = {CONTAINS: "contains it", MAY: "may contain it", UNTOLD: "may hold it, nobody knows,"}
    said = []
    if len(comparison.sides) == 2:
        first, second = (s.name for s in comparison.sides)
        appear, gone = map(lines, _changes(comparison))
        for line in appear:
            said.append(
                f"{name(line)} appears: {second} {verbs[line.states[1]]}, {first} {_less(line.states[0])};"
                f" because of {line.because[1]}"
            )
        for line in gone:
            said.append(
                f"{name(line)} goes: {first} {verbs[line.states[0]]} because of {line.because[0]}; {second}"
                f" {_less(line.states[1])}"
            )
    else:
        for line in lines(comparison.allergens):
            if line.differs:
                said.append(
                    f"{name(line)}: "
                    + "; ".join(f"{s.name} {state}" for s, state in zip(comparison.sides, line.states))
                )
    for state, words in (
        (CONTAINS, "contained in every one"),
        (MAY, "may be in every one"),
        (UNTOLD, "not known of any"),
    ):
        same = [name(x) for x in lines(comparison.allergens) if not x.differs and x.states[0] == state]
        if same:
            said.append(f"{words}: {', '.join(same)}")
    for side in comparison.sides:
        if side.untold:
            said.append(
                f"{side.name}: nobody tells the make-up of {', '.join(side.untold)}, so any allergen may be"
                " in it"
            )
    return [x[:1].upper() + x[1:] for x in said] or [
        "No allergen is found in any of them: compare with the packets"
    ]


def _less(state: str) -> str:
    return {"may contain": "may contain it", "not known": "is not known to"}.get(
        state, "does not, as far as is known"
    )


def _per(side) -> str:
    column, serving = side.declaration.panel.columns[0], side.declaration.panel.serving
    return f"serving of {serving.metric}" if column.per == "serving" else column.amount


def _print(comparison) -> None:
    names = [s.name for s in comparison.sides]
    print("Allergens")
    for line in _words(comparison):
        _say(f"  {line}", strong=" appears: " in line)
    _table([("", *names), ("declared as", *(", ".join(s.names) or "none" for s in comparison.sides))])
    print("\nNutrition")
    products = len({s.profile.product for s in comparison.sides}) > 1
    rows = [
        ("", *names, *(f"{n} per 100 g" for n in names if products)),
        ("figures of", *(_per(s) for s in comparison.sides), *("" for _ in names if products)),
    ]
    for line in comparison.nutrition:
        shown = ["unknown" if x is None else f"{x:.2f} {line.unit}" for x in line.per_100g]
        rows.append(
            (
                ("* " if products and line.differs else "  ") + line.label,
                *(d or "-" for d in line.declared),
                *(shown if products else ()),
            )
        )
    _table(rows)
    print("\nIngredients")
    for name, text, only in zip(names, comparison.statements, comparison.only):
        print(f"  {name}: {text}")
        if only:
            print(f"    only here: {', '.join(only)}")
    if comparison.claims:
        print("\nClaims")
        for claim, verdicts in comparison.claims:
            print(f"  {claim!r}")
            for name, verdict in zip(names, verdicts):
                print(f"    {name}: {verdict}")
    for side in comparison.sides:
        stops = [f for f in side.declaration.findings if f.blocks]
        if stops:
            print(
                f"\n{side.name}:"
                f" {'one finding stops' if len(stops) == 1 else f'{len(stops)} findings stop'} its label,"
                f" the first: {stops[0].where} {stops[0].message}"
            )
    print(
        "\n"
        + "A '*' marks a row that differs. " * products
        + "A '?' marks a figure that could print differently within what is known. Compare allergens with"
        " the packets in your hand."
    )


def _say(text: str, strong: bool) -> None:
    if strong and sys.stdout.isatty():
        from rich.text import Text

        from labelgen.terminal import coloured, shown

        coloured().print(Text(shown(text), "bold red"))
    else:
        print(text)


def _table(rows: list[tuple[str, ...]]) -> None:
    """A ruled table on a terminal, plain columns when piped."""
    from labelgen.commands import output

    if not sys.stdout.isatty():
        output.table(rows)
        return
    from rich.table import Table

    from labelgen.terminal import coloured, shown

    table = Table(*rows[0])
    for row in rows[1:]:
        table.add_row(*map(shown, row), style="bold" if row[0].startswith("*") else None)
    coloured().print(table)
