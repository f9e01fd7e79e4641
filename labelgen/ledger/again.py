"""What was printed with a lot before: another label of it, another product, and the files of either, which
are never replaced.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from itertools import chain, count
from pathlib import Path

from labelgen.errors import Finding, Where
from labelgen.findings import find
from labelgen.ledger.differences import compare_declarations
from labelgen.ledger.store import FILE, Printing, open_ledger, printings, sha256


def find_lot_taken(
    folder: str | Path,
    new: Sequence[tuple[Printing, Where]],
    mates: Collection[str],
    again: bool,
    shared: bool,
) -> tuple[Finding, ...]:
    """What the ledger of a kitchen knows of the lots that are to be printed: a finding where one was printed
    with another declaration, or for a product that is not printed in the same go (``mates``); it stops the
    label unless that is meant (``again``, ``shared``). Raises LedgerError when the ledger cannot be read.
    """
    if not (Path(folder) / FILE).is_file():
        return ()
    found: list[Finding] = []
    with open_ledger(folder, must_exist=True) as db:
        for p, where in new:
            told = {"product": p.product, "lot": p.lot}
            others = {p.product, *mates}
            for before in printings(db, "as_read(p.lot) = as_read(?)", (p.lot,)):
                which = {"day": before.printed_at[:10], "number": before.number}
                if before.product not in others:
                    others.add(before.product)
                    severity = "warn" if shared else "block"
                    found.append(
                        find(
                            "lot-of-another",
                            where,
                            severity=severity,
                            other=before.product,
                            **told,
                            **which,
                        )
                    )
                elif (before.product, before.market) == (p.product, p.market) and (
                    differs := compare_declarations(before.declaration, p.declaration)
                ):
                    severity = "warn" if again else "block"
                    said = "; ".join(d.message for d in differs[:3])
                    found.append(
                        find("lot-printed-before", where, severity=severity, differs=said, **told, **which)
                    )
    return tuple(found)


def free_path(folder: str | Path, path: Path, pdf: bytes, for_sale: bool) -> Path:
    """Where a PDF may be written: at its path, unless a printing for sale lies there already; then beside it,
    numbered.

    A trial takes a trial's place; the same bytes stay where they are.
    """
    numbered = (path.with_name(f"{path.stem}-{n}{path.suffix}") for n in count(2))
    return next(
        p
        for p in chain([path], numbered)
        if not p.is_file() or p.read_bytes() == pdf or not (for_sale or _was_sold(folder, p))
    )


def _was_sold(folder: str | Path, path: Path) -> bool:
    if not (Path(folder) / FILE).is_file():
        return False
    with open_ledger(folder, must_exist=True) as db:
        return bool(printings(db, "p.pdf_sha256 = ?", (sha256(path.read_bytes()),)))
