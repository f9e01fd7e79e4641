"""Kills a print with SIGKILL at random moments: no half-written PDF, no lost or doubled ledger row.

    python tests/bench/bench_ledger.py [TIMES]

Every killed print is started again afterwards, as a maker would, and must then stand in the ledger exactly
once.
"""

import random
import shutil
import signal
import subprocess
import sys
import tempfile
import time
from pathlib import Path

from labelgen import paths
from labelgen.ledger.store import open_ledger, printings, sha256


def print_lot(kitchen: Path, lot: str) -> subprocess.Popen:
    words = [
        "label",
        "hill-loaf",
        "--kitchen",
        str(kitchen),
        "--out",
        str(kitchen / "out" / lot),
        "--made-on",
        "2026-11-25",
        "--lot",
        lot,
    ]
    return subprocess.Popen(
        [sys.executable, "-m", "labelgen", *words], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
    )


def check(kitchen: Path) -> None:
    with open_ledger(kitchen) as db:
        assert db.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        rows = printings(db)
    recorded = {p.lot: p.pdf_sha256 for p in rows}
    assert len(recorded) == len(rows), "a printing stands twice in the ledger"
    for pdf in (kitchen / "out").rglob("*.pdf"):
        if not pdf.name.startswith("."):
            assert sha256(pdf.read_bytes()) == recorded[pdf.parent.name], f"{pdf} is not what the ledger says"


def main(times: int) -> None:
    chance = random.Random(20261125)
    with tempfile.TemporaryDirectory() as folder:
        kitchen = Path(shutil.copytree(paths.templates("kitchens", "demo"), Path(folder) / "kitchen"))
        start = time.perf_counter()
        assert print_lot(kitchen, "whole").wait() == 0
        whole = time.perf_counter() - start
        killed = recorded = written = 0
        for i in range(times):
            # most kills fall into the last third, where the row and the file are written
            moment = whole * (chance.uniform(0.6, 1.1) if i % 4 else chance.uniform(0, 1))
            work = print_lot(kitchen, f"L{i}")
            time.sleep(moment)
            work.send_signal(signal.SIGKILL)
            killed += work.wait() == -signal.SIGKILL
            check(kitchen)
            with open_ledger(kitchen) as db:
                recorded += bool(printings(db, "p.lot = ?", (f"L{i}",)))
            written += (kitchen / "out" / f"L{i}" / f"hill-loaf-lot-L{i}.pdf").exists()
            if not i % 10:
                assert print_lot(kitchen, f"L{i}").wait() == 0
                check(kitchen)
                with open_ledger(kitchen) as db:
                    assert len(printings(db, "p.lot = ?", (f"L{i}",))) == 1
        left = [p for p in (kitchen / "out").rglob(".*") if p.is_file()]
    print(
        f"{times} prints, {killed} killed before their end; {recorded} stood in the ledger, {written} PDFs"
        f" whole, 0 half-written, 0 rows lost or doubled; {len(left)} unfinished temporary files"
    )


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 200)
