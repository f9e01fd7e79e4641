"""What several commands print alike: findings, JSON, tables."""

from __future__ import annotations

import json
import sys
from pathlib import Path


def read_day(text: str):
    """The day an option names. Raises argparse's error saying what to type."""
    import argparse
    from datetime import date

    try:
        return date.fromisoformat(text.strip())
    except ValueError:
        raise argparse.ArgumentTypeError(
            f"{text!r} is no date: write YYYY-MM-DD, for example 2027-01-31"
        ) from None


def read_code(text: str) -> str:
    """Codes of markets, one or several joined by commas, by codes or names: "EU", "United Kingdom"."""
    from labelgen.law.registry import code_named

    return ",".join(code_named(part) for part in text.split(",")) if text.strip() else ""


def folder_of(out: str | None) -> Path:
    """The folder files go into. Raises LayoutError for what looks like the name of a file."""
    from labelgen.errors import LayoutError

    folder = Path(out or "out")
    if folder.suffix.lower() in (".pdf", ".png", ".json", ".txt"):
        raise LayoutError(
            f"--out {out}: give the folder to write into, for example '--out"
            f" {folder.with_suffix('').name}': the files in it are named by their products"
        )
    return folder


def order_of(args, rolled, market: str = "", job=None):
    """What the options of a command order: of a market (else the one of --market, else the kitchen's
    first), by the law of the day the kitchen was read for.
    """
    from labelgen.order import Job, Order

    code = market or args.market or rolled.kitchen.markets[0]
    return Order(code, rolled.on, getattr(args, "lot", ""), getattr(args, "made_on", None), job or Job())


def print_json(data) -> None:
    whole = (sys.stdout.encoding or "").lower().replace("-", "") == "utf8"
    print(json.dumps(data, indent=2, ensure_ascii=not whole))


def print_findings(findings, file=None) -> None:
    """One finding a paragraph, most dangerous first: place, severity, code, message."""
    out = file or sys.stdout
    marks = {"danger": "DANGER", "block": "BLOCK", "warn": "warn", "note": "note"}
    if out.isatty():
        from rich.text import Text

        from labelgen.terminal import coloured, shown

        console = coloured(out)
        styles = {"danger": "bold white on red", "block": "bold red", "warn": "yellow", "note": "dim"}
        for f in findings:
            console.print(
                Text.assemble(
                    (marks[f.severity], styles[f.severity]),
                    " ",
                    (shown(str(f.where)), "cyan"),
                    shown(f" {f.code}: {f.message}"),
                )
            )
        return
    for f in findings:
        print(f"{marks[f.severity]} {f.where} {f.code}: {f.message}", file=out)


def exit_code(findings) -> int:
    return 1 if any(f.blocks for f in findings) else 0


def table(rows: list[tuple[str, ...]]) -> None:
    """Plain columns, the first left, the others right."""
    widths = [max(len(r[i]) for r in rows) for i in range(len(rows[0]))]
    for row in rows:
        print(
            "  ".join(
                c.ljust(w) if i == 0 else c.rjust(w) for i, (c, w) in enumerate(zip(row, widths))
            ).rstrip()
        )


def market_codes(text: str) -> list[str]:
    """The codes that ``--market`` names: one, several joined by commas, or ``all``; none for ""."""
    if text.strip().lower() == "all":
        from labelgen.law.registry import markets

        return [m.code for m in markets()]
    return [code for code in read_code(text).split(",") if code]


def can_declare(rolled, key: str) -> bool:
    """Whether a product, or every product of a box, could be weighed out; what stops it is told."""
    return all(product_of(rolled, name) is not None for name in held_in(rolled, key))


def at_fault(rolled, key: str) -> bool:
    """Whether something that a product or box is made with could not be read; it is told on stderr, as is
    what is unfinished.
    """
    faults = rolled.faults_of(key)
    print_findings(faults, sys.stderr)
    return any(f.blocks for f in faults)


def _elsewhere(rolled) -> tuple[list, bool]:
    """(faults of the files that reach no product there is, whether a product may be missing because of
    one).
    """
    known = {f for found in rolled.stops.values() for f in found}
    faults = [f for f in rolled.misread if f.blocks and f not in known]
    return faults, any(len(f.keys) < 2 or f.keys[0] in ("products", "variants", "boxes") for f in faults)


def held_in(rolled, key: str) -> tuple[str, ...]:
    """The products in a box, or the one product itself."""
    return (
        tuple(rolled.kitchen.boxes[key].holds) if rolled.kitchen and key in rolled.kitchen.boxes else (key,)
    )


def every_product(rolled) -> tuple[list[str], list[str]]:
    """(products and boxes that can be declared, those that cannot); what stops the latter is told on
    stderr.
    """
    from labelgen.errors import RecipeError

    if rolled.kitchen is None:
        raise RecipeError("; ".join(f"{f.where} {f.message}" for f in rolled.findings), rolled.findings)
    boxes = rolled.kitchen.boxes
    every = [*rolled.kitchen.products, *boxes]
    fit = [
        key
        for key in every
        if all(name in rolled.profiles for name in (boxes[key].holds if key in boxes else (key,)))
    ]
    left_out = [key for key in every if key not in fit]
    faults, missing = _elsewhere(rolled)
    if not left_out and fit and faults:
        print_findings(faults, sys.stderr)
        print(
            "labelgen: these faults stop no product that was"
            f" read{'; products that were not read are missing' * missing}",
            file=sys.stderr,
        )
        left_out = ["?"] * missing
    elif left_out or not fit:
        print_findings([f for f in rolled.findings if f.blocks], sys.stderr)
        what = (
            f"cannot be weighed out, so no label of it is written: {', '.join(left_out)}"
            if left_out
            else "this kitchen has no product to print: write one under 'products:'"
        )
        print(f"labelgen: {what}", file=sys.stderr)
    return fit, left_out


def product_of(rolled, key: str):
    """The rolled-up profile of a product. Raises RecipeError naming near ones; what could not be read is
    told, since the product may stand in it.
    """
    import difflib

    from labelgen.errors import RecipeError

    if rolled.kitchen is None:
        raise RecipeError("; ".join(f"{f.where} {f.message}" for f in rolled.findings), rolled.findings)
    if key not in rolled.kitchen.products:
        if key in rolled.kitchen.boxes:
            raise RecipeError(
                f"{key!r} is a box of several products: ask for one of"
                f" {', '.join(rolled.kitchen.boxes[key].holds)}; 'labelgen label {key}' prints the box's"
                " own label"
            )
        print_findings([f for f in rolled.misread if f.blocks], sys.stderr)
        near = difflib.get_close_matches(key, rolled.kitchen.products, n=3, cutoff=0.4)
        raise RecipeError(
            f"{key!r} is no product of this kitchen; its products:"
            f" {', '.join(near or rolled.kitchen.products) or 'none'}"
        )
    if key not in rolled.profiles:
        print_findings([f for f in rolled.findings if f.blocks], sys.stderr)
        return None
    return rolled.profiles[key]
