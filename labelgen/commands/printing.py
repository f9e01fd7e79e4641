"""Printing many labels: one PDF a product, in as many processes as asked for, with the same bytes from any number of them."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

from labelgen.errors import Finding

#: Products a process prints before it reports: few, so that the bar moves and a run that is stopped ends soon.
_AT_ONCE = 4


@dataclass(frozen=True)
class Run:
    """What one run prints. kitchen: its folder. folder: where files go. record: further facts for the ledger. told_apart: what
    follows the product's key in the names of files."""

    kitchen: str
    market: str
    on: date
    folder: Path
    lot: str = ""
    made_on: date | None = None
    proof: bool = False
    record: dict = field(default_factory=dict)
    job: object = None
    told_apart: str = ""


def name_of_lot(lot: str, market: str, first: str) -> str:
    """What tells the files of printings for sale apart: the lot, and the market where it is not the kitchen's first.

    >>> name_of_lot("A/1", "eu", "us")
    '-lot-A%2F1-eu'
    """
    signs = "".join(c if c.isalnum() or c in " -_.+" else "".join(f"%{byte:02X}" for byte in c.encode()) for c in lot)
    return f"-lot-{signs}{'' if market == first else f'-{market}'}" if lot else ""


def print_product(rolled, run: Run, key: str) -> dict:
    """Makes, records and writes one product's PDF (and proof). Returns the report: product, file, faces,
    pictures, findings."""
    from labelgen.chain import print_label
    from labelgen.pdf.write import write_whole

    made = print_label(rolled, key, run.market, run.on, run.lot, run.made_on, run.job)
    path = run.folder / f"{key}{run.told_apart}.pdf"
    report = {"product": key, "file": None, "findings": made.findings}
    if made.pdf is None:
        return report | {"findings": (*made.findings, *_left_from_before(rolled, key, path))}
    write_whole(path, made.pdf, lambda: _record(rolled, run, {key: made.label}, made.pdf))
    report |= {"file": str(path), "faces": [face.arrangement for face in made.faces]}
    if run.proof:
        report["pictures"] = write_proof(run.folder, path.stem, made)
    return report


def print_together(rolled, run: Run, keys: list[str]) -> list[dict]:
    """All products on the same pages, one after another, in one PDF; none is written when one may not be."""
    from labelgen.chain import draw_product, print_sheets
    from labelgen.pdf.write import write_whole

    every = {key: draw_product(rolled, key, run.market, run.on, run.lot, run.made_on, run.job) for key in keys}
    reports = [{"product": key, "file": None, "findings": made.findings} for key, made in every.items()]
    path = run.folder / f"labels{run.told_apart}.pdf"
    if any(made.label is None for made in every.values()):
        return [{**r, "findings": (*r["findings"], *_left_from_before(rolled, r["product"], path))} if every[r["product"]].label is None else r for r in reports]
    stock = next(iter(every.values())).stock
    pdf, faults = print_sheets(stock, [(made.faces, run.job.copies or 1) for made in every.values()], run.job)
    if pdf is None:
        return [{**report, "findings": (*report["findings"], *faults)} for report in reports]
    write_whole(path, pdf, lambda: _record(rolled, run, {key: made.label for key, made in every.items()}, pdf))
    return [{**report, "file": str(path), "faces": [face.arrangement for face in every[report["product"]].faces]} for report in reports]


def _left_from_before(rolled, key: str, path: Path) -> tuple[Finding, ...]:
    """An older file of a label that may not be made any more: it is left alone, but must not be printed."""
    if not path.exists():
        return ()
    where = (rolled.kitchen.products.get(key) or rolled.kitchen.boxes[key]).where
    return (Finding("older-file", "warn", where, f"{path} was made before and does not say what the kitchen says now: do not print it; remove it, or mend what stops the label"),)


def _record(rolled, run: Run, labels: dict[str, bytes], pdf: bytes) -> None:
    """Labels with a lot are printed for sale: they are recorded before the file can be used."""
    if not run.lot:
        return
    from labelgen.ledger.printing import describe_printing, record_labels

    record_labels(rolled.kitchen, [describe_printing(rolled, key, run.market, run.on, run.lot, run.made_on, label, pdf, made_with=run.job.made_with, **run.record) for key, label in labels.items()])


def write_proof(folder: Path, name: str, made) -> list[str]:
    """A picture of each face and a proof page of each, with its sizes called out, in files that begin with a name. Returns
    the pictures' paths."""
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
    """The reports, in the order of ``keys``, as they are ready. Lots are recorded one at a time, by one process."""
    if workers <= 1 or run.lot or len(keys) < 2:
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

    _here = (roll_up_folder(run.kitchen), run)


def _print_here(key: str) -> dict:
    return print_product(*_here, key)


def with_progress(reports: Iterator[dict], total: int, quiet: bool) -> Iterator[dict]:
    """The same reports, with a progress bar on a terminal when there are many."""
    if quiet or total < 4 or not sys.stderr.isatty():
        yield from reports
        return
    from rich.console import Console
    from rich.progress import track

    yield from track(reports, "Printing", total=total, console=Console(stderr=True), transient=True)
