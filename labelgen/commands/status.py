"""``labelgen status``: which printed labels no longer match."""

from __future__ import annotations

import sys
from datetime import date

HELP = (
    "Show which labels printed for sale no longer match today's kitchen, specifications, food table or law:"
    " new allergens first."
)
EXAMPLE = "labelgen status --kitchen my-kitchen"


def add_arguments(parser) -> None:
    parser.add_argument("--all", action="store_true", help="also lots past their best-before date")


def run(args) -> int:
    from labelgen.chain import roll_up_folder
    from labelgen.commands import output
    from labelgen.law.registry import market_named
    from labelgen.ledger.packets import judge_printings
    from labelgen.ledger.stale_labels import latest
    from labelgen.ledger.store import open_ledger, printings

    on = args.on or date.today()
    if args.market:
        market_named(args.market)
    with open_ledger(args.kitchen, must_exist=True) as db:
        rolled = roll_up_folder(args.kitchen, args.on)
        if rolled.kitchen is None:
            output.print_findings(rolled.findings, sys.stderr)
            return 1
        spoilt: list[int] = []
        printed = [p for p in printings(db, spoilt=spoilt) if not args.market or p.market == args.market]
        asked, every = (latest(printed, day) for day in (date.min if args.all else on, date.min))
        verdicts = judge_printings(db, rolled, asked, on)
    if spoilt:
        numbers = ", ".join(map(str, spoilt))
        print(
            f"labelgen: NOT JUDGED, their record is damaged: printing {numbers}:"
            " put a copy of the ledger back",
            file=sys.stderr,
        )
    faults = [f for f in rolled.misread if f.blocks]
    if faults:
        print(
            "labelgen: the kitchen's files have faults, so that labels are judged only by what could be"
            " read:",
            file=sys.stderr,
        )
        output.print_findings(faults, sys.stderr)
    if args.json:
        output.print_json([_as_dict(v) for v in verdicts])
        return 1 if faults or spoilt or not all(v.holds for v in verdicts) else 0
    for v in verdicts:
        if not v.holds:
            print("\n".join(tell(v)))
    for v in (v for v in verdicts if v.holds and v.changed):
        print(f"{_name(v)}: the same label today; changed: {', '.join(v.changed)}{_own_packets(v)}")
    good = [v for v in verdicts if v.holds]
    lots = ", ".join(f"{v.printing.product} ({v.printing.market}) lot {v.printing.lot}" for v in good)
    still = f"{len(good)} still do{': ' + lots if good else ''}."
    print(f"{len(verdicts) - len(good)} of {len(verdicts)} printed labels no longer match; {still}")
    if left := len(every) - len(asked):
        print(f"{left} more of lots past their last day: --all judges them too.")
    if any(d.aspect == "allergen" for v in verdicts for d in v.differences):
        print(
            "A label that leaves out an allergen can kill: stop selling these packs now and ask your food"
            " authority what to do about those sold."
        )
    return 1 if faults or spoilt or len(good) < len(verdicts) else 0


def _name(v) -> str:
    p = v.printing
    return f"{p.product} ({p.market}) lot {p.lot}, printing {p.number} of {p.printed_at[:10]}"


def _own_packets(v) -> str:
    return (
        f"; {', '.join(v.own_packets)} judged by the packet of its own lot, today's is another"
        if v.own_packets
        else ""
    )


def tell(v) -> list[str]:
    """What is wrong with a printed label, line by line."""
    said = (
        "NO LONGER TRUE"
        if not v.true
        else "cannot be printed today"
        if v.stops
        else "still true, would be laid out differently"
    )
    lines = [
        f"{_name(v)}: {said}; changed: {', '.join(v.changed) or 'nothing but the date'}{_own_packets(v)}"
    ]
    lines += [
        f"  {d.aspect.upper() if d.aspect == 'allergen' else d.aspect}: {d.message}" for d in v.differences
    ]
    lines += [f"  cannot be printed today: {f.where} {f.message}" for f in v.stops]
    if v.lots_unclear and not v.true:
        lines.append(
            f"  {', '.join(v.lots_unclear)}: another packet today; is it of another lot than went in here,"
            " write 'supplier_lot:' beside it"
        )
    return lines


def _as_dict(v) -> dict:
    p = v.printing
    return {
        "printing": p.number,
        "product": p.product,
        "market": p.market,
        "lot": p.lot,
        "printed_at": p.printed_at,
        "holds": v.holds,
        "true": v.true,
        "differences": [{"aspect": d.aspect, "message": d.message} for d in v.differences],
        "changed": list(v.changed),
        "own_packets": list(v.own_packets),
        "lots_unclear": list(v.lots_unclear),
        "stops": [f.as_dict() for f in v.stops],
    }
