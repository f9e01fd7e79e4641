"""``labelgen ledger``: what was printed for sale, traced both ways."""

from __future__ import annotations

import shlex
import sys
from datetime import date
from pathlib import Path

HELP = (
    "Show what was printed for sale; trace a lot to its ingredients, an ingredient to its lots; print a"
    " label again exactly."
)
_HEADINGS = ("number", "printed", "product", "market", "lot", "made", "best before", "packs")
_NOTHING = "nothing was printed for sale yet: 'labelgen label PRODUCT --lot LOT' records what it prints"
_SPOILT = "NOT READ, their record is damaged: printing {numbers}: put a copy of the ledger back"
EXAMPLE = "labelgen ledger ingredient flour --supplier-lot B12 --kitchen my-kitchen"


def add_arguments(parser) -> None:
    parser.add_argument(
        "what",
        nargs="?",
        choices=("all", "lot", "ingredient", "reprint", "copy", "verify"),
        default="all",
        help=(
            "all printings; what went into a LOT; the lots that held an INGREDIENT; the PDF of printing"
            " NUMBER again; a checked copy of the ledger into a new FILE, also while labels are printed;"
            " whether the ledger is whole and nothing in it was changed"
        ),
    )
    parser.add_argument("name", nargs="?", default="", metavar="LOT|INGREDIENT|NUMBER|FILE")
    parser.add_argument(
        "--supplier-lot",
        default="",
        metavar="LOT",
        help="only lots that held this supplier's lot; lots it cannot be ruled out for are told",
    )


def run(args) -> int:
    from labelgen.commands import output
    from labelgen.errors import LedgerError
    from labelgen.ledger.store import open_ledger, printings, read_pdf

    if args.what not in ("all", "verify") and not args.name:
        wanted = {"reprint": "NUMBER", "copy": "FILE"}.get(args.what, args.what.upper())
        raise LedgerError(f"say which: labelgen ledger {args.what} {wanted}")
    if args.what in ("copy", "verify"):
        return _check(args)
    if args.what == "all" and not args.json and not args.supplier_lot:
        return _list_all(args.kitchen)
    spoilt: list[int] = []
    with open_ledger(args.kitchen, must_exist=True) as db:
        if args.what == "ingredient":
            found = printings(
                db,
                "EXISTS (SELECT 1 FROM used u WHERE u.printing = p.number AND as_read(?) IN"
                " (as_read(u.ingredient), as_read(u.print_name)))",
                (args.name,),
                spoilt,
            ) or _stated(printings(db, spoilt=spoilt), args.name)
        elif args.what == "lot":
            found = printings(db, "as_read(p.lot) = as_read(?)", (args.name,), spoilt)
        elif args.what == "reprint":
            found = printings(
                db,
                "p.number = ?",
                (int(args.name) if args.name.isascii() and args.name.isdecimal() else -1,),
            )
            pdf = read_pdf(db, found[0].number) if found else b""
            if found and (code := _refuse(db, found[0], args)):
                return code
        else:
            found = printings(db, spoilt=spoilt)
    if spoilt:
        print(
            f"labelgen: {_SPOILT.format(numbers=', '.join(map(str, sorted(set(spoilt)))))}", file=sys.stderr
        )
    if args.supplier_lot:
        if args.what == "ingredient":
            _tell_unrecorded([p for p in found if _lots_of(p, args.name, "")])
        found = [
            p for p in found if _lots_of(p, args.name if args.what == "ingredient" else "", args.supplier_lot)
        ]
    if not found:
        raise LedgerError(_nothing(args))
    if args.what == "reprint":
        return _reprint(found[0], pdf, output.folder_of(args.out), args.json)
    if args.json:
        output.print_json([_as_dict(p) for p in found])
        return 0
    rows = [_HEADINGS]
    rows += [
        (
            str(p.number),
            p.printed_at[:10],
            p.product,
            p.market,
            p.lot,
            str(p.made_on or ""),
            str(p.best_before or ""),
            "" if p.packs is None else str(p.packs),
        )
        for p in found
    ]
    output.table(rows)
    if args.what != "all":
        for p in found:
            print(f"\nprinting {p.number}, {p.product} lot {p.lot}, in each pack:")
            lines = [u for u in p.used if args.what == "lot" or _is(u, args.name)] or p.used
            output.table(
                [
                    ("ingredient", "grams", "supplier", "supplier lot"),
                    *(
                        (
                            u.ingredient,
                            f"{u.grams_per_pack:.4g}",
                            u.supplier,
                            u.supplier_lot or "not recorded",
                        )
                        for u in lines
                    ),
                ]
            )
    return 0


def _list_all(kitchen: str) -> int:
    from labelgen.commands import output
    from labelgen.errors import LedgerError
    from labelgen.ledger.store import list_printings, open_ledger

    with open_ledger(kitchen, must_exist=True) as db:
        rows = list_printings(db)
    if not rows:
        raise LedgerError(_NOTHING)
    output.table([_HEADINGS, *rows])
    return 0


def _check(args) -> int:
    """Copies the ledger, or looks at it as it is, and says what does not hold; 1 when something does not."""
    from labelgen.commands import output
    from labelgen.ledger.links import check_ledger
    from labelgen.ledger.store import copy_ledger, open_ledger

    path = Path(args.name) if args.what == "copy" else None
    with open_ledger(args.kitchen, must_exist=True) as db:
        checked = copy_ledger(db, path) if path else check_ledger(db)
    if args.json:
        named = str(path) if path else None
        output.print_json({"file": named, "printings": checked.printings, "faults": list(checked.faults)})
        return 1 if checked.faults else 0
    for fault in checked.faults:
        print(f"labelgen: {fault}: put an earlier copy back, and keep this file as it is", file=sys.stderr)
    whole = "NOT WHOLE" if checked.faults else "whole: nothing was changed or taken out"
    print(f"{f'{path}: ' if path else ''}{checked.printings} printings, {whole}")
    return 1 if checked.faults else 0


def _lots_of(printing, ingredient: str, lot: str) -> bool:
    """Whether a printing's ingredient ("": any of them) is of a supplier's lot; "": whether its lot was
    not recorded.
    """
    from labelgen.ledger.store import holds_lot

    return any(
        holds_lot(u.supplier_lot, lot) if lot else not u.supplier_lot
        for u in printing.used
        if not ingredient or _is(u, ingredient)
    )


def _is(used, name: str) -> bool:
    """Whether an ingredient goes by a name, the kitchen's or the label's."""
    from labelgen.ledger.store import as_read

    return as_read(name) in (as_read(used.ingredient), as_read(used.print_name))


def _stated(every: list, name: str) -> list:
    """Printings whose printed ingredient statement names something the kitchen has no ingredient for, such
    as a part of a bought mix.
    """
    from labelgen.ledger.store import as_read

    def statement(d: dict) -> str:
        return " ".join(["".join(r["text"] for r in d["ingredients"]), *map(statement, d.get("items") or ())])

    found = [p for p in every if as_read(name) in as_read(statement(p.declaration))]
    if found:
        print(
            f"labelgen: no ingredient is called {name!r}, but the printed statements of these lots name it:",
            file=sys.stderr,
        )
    return found


def _tell_unrecorded(unsure: list) -> None:
    """Lots that may hold the supplier's lot asked for, since nobody wrote down which one went in."""
    if unsure:
        told = ", ".join(dict.fromkeys(f"{p.product} lot {p.lot} (printing {p.number})" for p in unsure))
        print(f"labelgen: CANNOT BE RULED OUT, no supplier lot was recorded for: {told}", file=sys.stderr)


def _nothing(args) -> str:
    if args.what == "all" and not args.supplier_lot:
        return _NOTHING
    which = f" with supplier lot {args.supplier_lot}" if args.supplier_lot else ""
    of = {"all": "", "reprint": f" {args.name}"}.get(args.what, f" of {args.what} {args.name}")
    return f"no printing{of}{which} is recorded: 'labelgen ledger' lists them all"


def _refuse(db, printing, args) -> int:
    """Says why a label may not be printed again, and what to print instead; 0 when every word of it is
    still true.
    """
    from labelgen.chain import roll_up_folder
    from labelgen.commands import output
    from labelgen.commands.status import tell
    from labelgen.ledger.packets import judge_printings

    rolled = roll_up_folder(args.kitchen, args.on)
    if rolled.kitchen is None:
        output.print_findings(rolled.findings, sys.stderr)
        print(
            "labelgen: the kitchen cannot be read, so nothing tells whether this label is still true: it is"
            " not printed again",
            file=sys.stderr,
        )
        return 1
    (verdict,) = judge_printings(db, rolled, [printing], args.on or date.today())
    if verdict.true and not verdict.stops:
        return 0
    print("\n".join(tell(verdict)), file=sys.stderr)
    words = [
        "label",
        printing.product,
        "--kitchen",
        str(args.kitchen),
        "--market",
        printing.market,
        "--lot",
        printing.lot,
        "--again",
    ]
    words += ["--made-on", str(printing.made_on)] if printing.made_on else []
    words += [
        word
        for name, value in printing.made_with.items()
        for word in (f"--{name.replace('_', '-')}", str(value))
    ]
    instead = f"labelgen {shlex.join(words)}"
    first = "mend what stops it, then print" if verdict.stops else "print"
    print(
        f"labelgen: NOT PRINTED AGAIN: what it says is no longer true. Instead {first} today's label:"
        f" {instead}",
        file=sys.stderr,
    )
    if args.json:
        output.print_json(
            {
                "printing": printing.number,
                "file": None,
                "differences": [d.message for d in verdict.differences],
                "stops": [f.as_dict() for f in verdict.stops],
                "instead": instead,
            }
        )
    return 1


def _reprint(printing, pdf: bytes, folder: Path, as_json: bool) -> int:
    from labelgen.commands import output
    from labelgen.pdf.write import write_whole

    # a ledger somebody else spoilt must not lead out of the folder
    path = folder / f"{printing.product}-{printing.number}.pdf".replace("/", "-").replace("\\", "-")
    write_whole(path, pdf)
    if as_json:
        output.print_json({"printing": printing.number, "file": str(path)})
    else:
        print(f"{path}: printing {printing.number} again, byte for byte; every word of it is still true")
    return 0


def _as_dict(p) -> dict:
    from dataclasses import asdict

    days = {k: str(v) if (v := getattr(p, k)) else None for k in ("law_date", "made_on", "best_before")}
    plain = {
        k: getattr(p, k)
        for k in (
            "number",
            "printed_at",
            "product",
            "name",
            "market",
            "lot",
            "packs",
            "version",
            "label_sha256",
            "declaration",
        )
    }
    return {
        **plain,
        **days,
        "pdf_sha256": p.pdf_sha256,
        "used": [asdict(u) for u in p.used],
        "inputs": [{"kind": k, "name": n, "sha256": h} for k, n, h in p.inputs],
    }
