"""``labelgen ledger``: what was printed for sale, traced both ways."""

from __future__ import annotations

from pathlib import Path

HELP = "Show what was printed for sale; trace a lot to its ingredients, an ingredient to its lots; print a label again exactly."
EXAMPLE = "labelgen ledger ingredient flour --supplier-lot B12 --kitchen my-kitchen"


def add_arguments(parser) -> None:
    parser.add_argument("what", nargs="?", choices=("all", "lot", "ingredient", "reprint"), default="all", help="all printings; what went into a LOT; the lots that held an INGREDIENT; the PDF of printing NUMBER again")
    parser.add_argument("name", nargs="?", default="", metavar="LOT|INGREDIENT|NUMBER")
    parser.add_argument("--supplier-lot", default="", metavar="LOT", help="only lots that held this supplier's lot")


def run(args) -> int:
    from labelgen.commands import output
    from labelgen.errors import LedgerError
    from labelgen.ledger.store import open_ledger, printings

    if args.what != "all" and not args.name:
        raise LedgerError(f"say which: labelgen ledger {args.what} {'NUMBER' if args.what == 'reprint' else args.what.upper()}")
    with open_ledger(args.kitchen, must_exist=True) as db:
        if args.what == "ingredient":
            lot = args.supplier_lot
            found = printings(db, "EXISTS (SELECT 1 FROM used u WHERE u.printing = p.number AND u.ingredient = ?" + (" AND u.supplier_lot = ?)" if lot else ")"), (args.name, *([lot] if lot else [])))
        elif args.what == "lot":
            found = printings(db, "p.lot = ?", (args.name,))
        elif args.what == "reprint":
            found = printings(db, "p.number = ?", (int(args.name) if args.name.isdigit() else -1,))
        else:
            found = printings(db)
    if not found:
        raise LedgerError(f"no printing of {args.what} {args.name}{' with supplier lot ' + args.supplier_lot if args.supplier_lot else ''}: see 'labelgen ledger'")
    if args.what == "reprint":
        return _reprint(found[0], Path(args.out or "out"))
    if args.json:
        output.print_json([_as_dict(p) for p in found])
        return 0
    rows = [("number", "printed", "product", "market", "lot", "made", "best before", "packs")]
    rows += [(str(p.number), p.printed_at[:10], p.product, p.market, p.lot, str(p.made_on or ""), str(p.best_before or ""), "" if p.packs is None else str(p.packs)) for p in found]
    output.table(rows)
    if args.what != "all":
        for p in found:
            print(f"\nprinting {p.number}, {p.product} lot {p.lot}, in each pack:")
            lines = [u for u in p.used if args.what == "lot" or u.ingredient == args.name]
            output.table([("ingredient", "grams", "supplier", "supplier lot"), *((u.ingredient, f"{u.grams_per_pack:.1f}", u.supplier, u.supplier_lot or "not recorded") for u in lines)])
    return 0


def _reprint(printing, folder: Path) -> int:
    from labelgen.pdf.write import write_whole

    path = folder / f"{printing.product}-{printing.number}.pdf"
    write_whole(path, printing.pdf)
    print(f"{path}: printing {printing.number} again, byte for byte; 'labelgen status' says whether it is still true")
    return 0


def _as_dict(p) -> dict:
    from dataclasses import asdict

    from labelgen.ledger.store import sha256

    days = {k: str(v) if (v := getattr(p, k)) else None for k in ("law_date", "made_on", "best_before")}
    plain = {k: getattr(p, k) for k in ("number", "printed_at", "product", "name", "market", "lot", "packs", "version", "label_sha256", "declaration")}
    return {**plain, **days, "pdf_sha256": sha256(p.pdf), "used": [asdict(u) for u in p.used], "inputs": [{"kind": k, "name": n, "sha256": h} for k, n, h in p.inputs]}
