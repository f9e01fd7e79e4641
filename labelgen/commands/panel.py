"""``labelgen panel``: a product's nutrition in the terminal."""

from __future__ import annotations

from dataclasses import asdict
from datetime import date

HELP = (
    "Show what a product contains and what a market's panel would declare; --market all shows every"
    " market's side by side."
)
EXAMPLE = "labelgen panel oat-thins --kitchen my-kitchen --json"


def add_arguments(parser) -> None:
    parser.add_argument("product", metavar="PRODUCT")
    parser.add_argument(
        "--fit",
        metavar="SIZE",
        help=(
            "which panel format goes into a space such as 60x90mm, and why; or the least space that would do"
        ),
    )


def run(args) -> int:
    from labelgen.chain import roll_up_folder
    from labelgen.commands import output
    from labelgen.formulation.ratios import ratios

    rolled = roll_up_folder(args.kitchen, args.on)
    profile = output.product_of(rolled, args.product)
    if profile is None:
        return 1
    every = output.market_codes(args.market) or rolled.kitchen.markets[:1]
    seen = {
        market: _declared(rolled, profile, args.product, market, args.on or date.today()) for market in every
    }
    fits = (
        {
            market: _fitted(
                found[0],
                market,
                args.on or date.today(),
                args.fit,
                rolled.kitchen.products[args.product].package,
            )
            for market, found in seen.items()
        }
        if args.fit
        else {}
    )
    if args.json:
        shown = {market: _as_dict(market, profile, *found) for market, found in seen.items()}
        for market, said in fits.items():
            shown[market]["fit"] = said
        output.print_json(shown if len(every) > 1 else shown[every[0]])
    elif len(every) > 1:
        _side_by_side(
            rolled.kitchen.products[args.product].name,
            {market: panel for market, (panel, _, _) in seen.items()},
        )
    else:
        _print(rolled.kitchen.products[args.product].name, profile, *seen[every[0]])
        for key, value in ratios(profile.per_100g).items():
            print(
                f"{key}{' per 100 g' * key.endswith('_g')}: {'unknown' if value is None else f'{value:.3g}'}"
            )
    if not args.json:
        for market, said in fits.items():
            print(f"{market}: {said['why']}" if len(every) > 1 else said["why"])
    return max(
        [
            *(output.exit_code(findings) for _, _, findings in seen.values()),
            *(int(not said["fits"]) for said in fits.values()),
        ]
    )


def _fitted(panel, market: str, on: date, size: str, sides) -> dict:
    """Whether the panel finds a lawful format in a space, which and why, or the least space [mm] and the
    law's offers.
    """
    from labelgen.errors import NoRoomError
    from labelgen.layout.fit import Package, fit_panel
    from labelgen.layout.label_stock import read_size
    from labelgen.layout.rules import POINTS

    try:
        block, why = fit_panel(panel, market, on, *read_size(size), Package.of_sides(sides))
    except NoRoomError as refused:
        least = [round(x / POINTS["mm"], 1) for x in refused.least or ()]
        return {"fits": False, "why": str(refused), "least_mm": least, "offers": list(refused.offers)}
    return {
        "fits": True,
        "why": why,
        "mm": [round(x / POINTS["mm"], 1) for x in (block.width, block.height)],
    }


def _declared(rolled, profile, key: str, market: str, on: date):
    """(panel, what could print differently, findings) of one market."""
    from labelgen.errors import by_danger
    from labelgen.law.pack import read_pack
    from labelgen.market.claims.places import in_plain_words, with_stated_claims
    from labelgen.market.nutrition.nutrition_panel import declare_panel
    from labelgen.market.nutrition.robustness import find_doubts
    from labelgen.market.nutrition.uncounted import find_uncounted
    from labelgen.market.nutrition.unstated import find_unstated

    pack, product = read_pack(market, on), rolled.kitchen.products[key].in_market(market)
    asked = in_plain_words(with_stated_claims(product))
    panel, doubts = declare_panel(pack, asked, profile)
    unsettled = [{d.row.key: d for d in find_doubts(pack, column, profile)} for column in panel.columns]
    return (
        panel,
        unsettled,
        by_danger(
            (
                *rolled.faults_of(key),
                *profile.findings,
                *doubts,
                *find_unstated(pack, asked, profile, rolled.kitchen),
                *find_uncounted(pack, product, profile, rolled.kitchen, panel.serving.grams),
            )
        ),
    )


def _as_dict(market: str, profile, panel, unsettled: list[dict], findings) -> dict:
    from labelgen.formulation.ratios import ratios

    def rows(at: int):
        return [
            {
                "key": r.key,
                "label": r.label.replace("{amount}", r.declared),
                "declared": r.declared,
                "percent": r.percent,
                "unrounded": r.value,
                "low": r.low,
                "high": r.high,
                "unit": r.unit,
                "robust": r.robust,
                **_measure(unsettled[at].get(r.key)),
                "covered": r.covered,
                "cite": r.cite,
            }
            for r in panel.columns[at].rows
        ]

    return {
        "product": profile.product,
        "market": market,
        "pack_g": profile.pack.grams,
        "pieces": profile.pieces,
        "serving": asdict(panel.serving),
        "energy_method": panel.energy_method,
        "rows": rows(0),
        "columns": [
            {
                "heading": c.heading,
                "per": c.per,
                "grams": c.grams,
                "millilitres": c.millilitres,
                "rows": rows(at),
            }
            for at, c in enumerate(panel.columns)
        ],
        "per_100g": profile.per_100g.as_dict(),
        "per_serving": profile.pack.per(panel.serving.grams).as_dict(),
        "per_piece": profile.per_piece.as_dict() if profile.pieces else None,
        "per_pack": profile.pack.as_dict(),
        "ratios": ratios(profile.per_100g),
        "findings": [f.as_dict() for f in findings],
    }


def _cell(row) -> str:
    """A row's figure as declared, "?" where a weighing could change it, and its percentage."""
    unsure = "" if row.robust else " ?"
    return f"{row.declared or 'unknown'}{unsure}{' ' + row.percent if row.percent else ''}"


def _print(name: str, profile, panel, unsettled: list[dict], findings) -> None:
    from labelgen.commands import output

    serving, first = panel.serving, panel.columns[0]
    size = f"{serving.household} ({serving.metric})" if serving.household else serving.metric
    many = f", {serving.per_container}" if serving.per_container else ""
    print(f"{name}: {profile.pack.grams:.1f} g a pack; serving {size}{many}: {serving.why}")
    basis = {
        "serving": "per serving",
        "100g": f"per {next((c.amount for c in panel.columns if c.per == '100g'), '100 g')}",
    }
    table = [
        (
            panel.title or "declared",
            *(x for c in panel.columns for x in (basis.get(c.per, c.heading), "%" * c.has_percent)),
            f"unrounded, {basis.get(first.per, first.heading)}",
            "100 g hold",
            "known",
        )
    ]
    for at, r in enumerate(first.rows):
        label = "  " * r.indent + (r.label.replace("{amount} ", "") if "{amount}" in r.label else r.label)
        cells = [
            x
            for c in panel.columns
            for x in (
                (c.rows[at].declared or "unknown" * (not r.spans)) + ("" if c.rows[at].robust else " ?"),
                c.rows[at].percent,
            )
        ]
        held = "" if r.tag == "ENERC" else _text(profile.per_100g.get(r.tag))
        table.append(
            (
                label,
                *cells,
                "unknown" if r.value is None else f"{r.value:.2f} {r.unit.replace('ug', 'mcg')}",
                held,
                f"{100 * r.covered:.0f} %",
            )
        )
    output.table(table)
    print(
        f"Energy by {panel.energy_method}. A '?' marks a figure that could print differently within what is"
        " known."
    )
    for line in _settling({key: d for column in reversed(unsettled) for key, d in column.items()}.values()):
        print(line)
    output.print_findings(findings)


def _side_by_side(name: str, panels) -> None:
    """One line a nutrient, one column a market and amount of food, in the order the markets name them.
    panels: market -> panel.
    """
    from labelgen.commands import output
    from labelgen.nutrients import NUTRIENTS

    columns = [(code, c) for code, panel in panels.items() for c in panel.columns]
    keys = list(
        dict.fromkeys((r.tag, r.unit if r.tag == "ENERC" else "") for _, c in columns for r in c.rows)
    )
    names = {n.key: n.name for n in NUTRIENTS}
    table = [(name, *(f"{code} {_basis(c)}" for code, c in columns))]
    for key in keys:
        cells = []
        for _, c in columns:
            row = next((r for r in c.rows if (r.tag, r.unit if r.tag == "ENERC" else "") == key), None)
            cells.append("-" if row is None else _cell(row))
        table.append((names[key[0]] + (f" ({key[1]})" if key[1] else ""), *cells))
    output.table(table)
    print(
        "Percentages are of each market's own daily values. '-': no such row. Rows of one line mean what"
        " each law means by them: carbohydrate without fibre in some, with it in others; 'labelgen law'"
        " shows the rules."
    )


def _basis(column) -> str:
    if column.millilitres:
        return f"{column.amount}{' serving' * (column.per == 'serving')}"
    return f"{column.grams:g} g" if column.per != "serving" else f"{column.grams:.0f} g serving"


def _text(figures: tuple[float, float, float]) -> str:
    low, value, high = figures
    if value != value:
        return "unknown" if high == float("inf") else f"unknown (0-{high:.2f})"
    return (
        f"{value:.2f}"
        if abs(high - low) < 5e-3
        else f"{value:.2f} ({low:.2f}-{'?' if high == float('inf') else f'{high:.2f}'})"
    )


def _measure(doubt) -> dict:
    """What stands beside ``robust`` in JSON."""
    if doubt is None:
        return {"measure": []}
    return {
        "measure": [{"ingredient": n, "share": round(s, 4)} for n, s in doubt.measure],
        "weigh": list(doubt.weigh),
        "could_print": [doubt.least, doubt.most],
    }


def _settling(doubts) -> list[str]:
    """One line for each set of ingredients that settles rows: what to measure, and what could change."""
    rows: dict[tuple, list[str]] = {}
    for d in doubts:
        shown = d.row.label.replace("{amount} ", "")
        could = f"{d.least or '?'} to {d.most or '?'}" if d.least != d.most else "percentage only"
        what = [
            *(f"weigh {w} before and after heating" for w in d.weigh),
            *([f"measure {', '.join(n for n, _ in d.measure)}"] if d.measure else []),
        ]
        rows.setdefault(tuple(what), []).append(f"{shown} ({could})")
    return [
        f"? {', '.join(names)}: {' and '.join(what) or 'nothing to measure'}" for what, names in rows.items()
    ]
