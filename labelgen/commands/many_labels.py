"""Printing many labels: one PDF a product, in as many processes as asked for, with the same bytes from any
number of them.
"""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from pathlib import Path

from labelgen.chain import where_of
from labelgen.errors import Finding, Where
from labelgen.findings import find
from labelgen.order import Order

#: Products a process prints before it reports: few, so that the bar moves and a run that is stopped ends
# soon.
_AT_ONCE = 4


@dataclass(frozen=True)
class Run:
    """What one run prints. kitchen: its folder. order: of every product in it. folder: where files go.
    record: further facts for the ledger. told_apart: what follows the product's key in the names of files.
    products: all of this run. again, shared: whether a lot may be printed with another label than before,
    and for another product.
    """

    kitchen: str
    order: Order
    folder: Path
    proof: bool = False
    record: dict = field(default_factory=dict)
    told_apart: str = ""
    products: tuple[str, ...] = ()
    again: bool = False
    shared: bool = False


def name_of_lot(lot: str, market: str, first: str) -> str:
    """What tells the files of printings for sale apart: the lot, and the market where it is not the kitchen's
    first.

    >>> name_of_lot("A/1", "eu", "us")
    '-lot-A%2F1-eu'
    """
    signs = "".join(
        c if c.isalnum() or c in " -_.+" else "".join(f"%{byte:02X}" for byte in c.encode()) for c in lot
    )
    return f"-lot-{signs}{'' if market == first else f'-{market}'}" if lot else ""


def print_product(rolled, run: Run, key: str) -> dict:
    """Makes, records and writes one product's PDF (and proof). Returns the report: product, file, faces,
    pictures, findings."""
    from labelgen.chain import print_label
    from labelgen.pdf.write import write_whole

    made = print_label(rolled, key, run.order)
    path = run.folder / f"{key}{run.told_apart}.pdf"
    report = {"product": key, "file": None, "findings": made.findings}
    if made.pdf is None:
        return report | {"findings": (*made.findings, *_left_from_before(rolled, key, path))}
    printings = _describe(rolled, run, {key: made.label}, made.pdf)
    path, findings = _place(rolled, run, printings, path, made.pdf)
    report["findings"] = (*made.findings, *findings)
    if any(f.blocks for f in findings):
        return report
    write_whole(path, made.pdf, lambda: _record(rolled, printings))
    report |= {"file": str(path), "faces": [face.arrangement for face in made.faces]}
    if run.proof:
        report["pictures"] = write_proof(run.folder, path.stem, made)
    return report


def print_together(rolled, run: Run, keys: list[str]) -> list[dict]:
    """All products on the same pages, one after another, in one PDF; none is written when one may not be."""
    from labelgen.chain import draw_product, print_sheets
    from labelgen.pdf.write import write_whole

    run = replace(run, products=tuple(keys))
    every = {key: draw_product(rolled, key, run.order) for key in keys}
    reports = [{"product": key, "file": None, "findings": made.findings} for key, made in every.items()]
    path = run.folder / f"labels{run.told_apart}.pdf"
    if any(made.label is None for made in every.values()):
        return [
            (
                {**r, "findings": (*r["findings"], *_left_from_before(rolled, r["product"], path))}
                if every[r["product"]].label is None
                else r
            )
            for r in reports
        ]
    stock = next(iter(every.values())).stock
    pdf, faults = print_sheets(
        stock, [(made.faces, run.order.job.copies or 1) for made in every.values()], run.order.job
    )
    if pdf is None:
        return [{**report, "findings": (*report["findings"], *faults)} for report in reports]
    printings = _describe(rolled, run, {key: made.label for key, made in every.items()}, pdf)
    path, findings = _place(rolled, run, printings, path, pdf)
    for r in reports:
        r["findings"] = (
            *r["findings"],
            *(f for f in findings if dict(f.data).get("product", r["product"]) == r["product"]),
        )
    if any(f.blocks for f in findings):
        return reports
    write_whole(path, pdf, lambda: _record(rolled, printings))
    return [
        {
            **report,
            "file": str(path),
            "faces": [face.arrangement for face in every[report["product"]].faces],
        }
        for report in reports
    ]


def _left_from_before(rolled, key: str, path: Path) -> tuple[Finding, ...]:
    """An older file of a label that may not be made any more: it is left alone, but must not be printed."""
    if not path.exists():
        return ()
    return (find("older-file", where_of(rolled, key), file=str(path)),)


def _describe(rolled, run: Run, labels: dict[str, bytes], pdf: bytes) -> list:
    """What the ledger keeps of labels with a lot: they are printed for sale. Of trials nothing."""
    if not run.order.lot:
        return []
    from labelgen.ledger.printing import describe_printing

    return [
        describe_printing(rolled, key, run.order, label, pdf, **run.record) for key, label in labels.items()
    ]


def _place(rolled, run: Run, printings: list, path: Path, pdf: bytes) -> tuple[Path, tuple[Finding, ...]]:
    """Where the file goes so that it replaces nothing printed for sale, and what is known of its lot."""
    if not printings and not path.exists():
        return path, ()
    from labelgen.ledger.again import find_lot_taken, free_path

    folder = rolled.kitchen.folder
    taken = find_lot_taken(
        folder, [(p, where_of(rolled, p.product)) for p in printings], run.products, run.again, run.shared
    )
    if any(f.blocks for f in taken):
        return path, taken
    free = free_path(folder, path, pdf, bool(printings))
    kept = () if free == path else (find("file-kept", Where(str(path)), older=str(path), file=str(free)),)
    return free, (*taken, *kept)


def _record(rolled, printings: list) -> None:
    """Labels printed for sale are recorded before the file can be used."""
    if printings:
        from labelgen.ledger.printing import record_labels

        record_labels(rolled.kitchen, printings)


def write_proof(folder: Path, name: str, made) -> list[str]:
    """A picture of each face and a proof page of each, with its sizes called out, in files that begin with
    a name. Returns the pictures' paths.
    """
    from labelgen.layout.proof import lay_out_proof
    from labelgen.pdf.draw import draw_pages
    from labelgen.pdf.preview import draw_pictures
    from labelgen.pdf.write import write_whole

    write_whole(folder / f"{name}-proof.pdf", draw_pages([lay_out_proof(face) for face in made.faces]))
    paths = []
    for number, picture in enumerate(draw_pictures(made.label), 1):
        path = folder / f"{name}-{number}.png"
        write_whole(path, picture)
        paths.append(str(path))
    return paths


def print_products(rolled, run: Run, keys: list[str], workers: int = 1) -> Iterator[dict]:
    """The reports, in the order of ``keys``, as they are ready. Lots are recorded one at a time, by one
    process.
    """
    run = replace(run, products=tuple(keys))
    if workers <= 1 or run.order.lot or len(keys) < 2:
        for key in keys:
            yield print_product(rolled, run, key)
        return
    from concurrent.futures import ProcessPoolExecutor

    with ProcessPoolExecutor(min(workers, len(keys)), initializer=_start, initargs=(run,)) as pool:
        yield from pool.map(_print_here, keys, chunksize=max(1, min(_AT_ONCE, len(keys) // workers)))


_here: tuple = ()


def _start(run: Run) -> None:
    """Each process reads the kitchen once."""
    global _here
    from labelgen.chain import roll_up_folder

    _here = (roll_up_folder(run.kitchen, run.order.on), run)


def _print_here(key: str) -> dict:
    return print_product(*_here, key)


def with_progress(reports: Iterator[dict], total: int, quiet: bool) -> Iterator[dict]:
    """The same reports, with a progress bar on a terminal when there are many."""
    if quiet or total < 4 or not sys.stderr.isatty():
        yield from reports
        return
    from rich.progress import track

    from labelgen.terminal import coloured

    yield from track(reports, "Printing", total=total, console=coloured(sys.stderr), transient=True)
