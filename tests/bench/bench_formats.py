"""Which panel formats fit which labels: each market x format x ten label sizes.

    python tests/bench/bench_formats.py

A cell says "yes" (drawn, and read back clean), the least size that would do [mm], or "law" (not for a package
this large or high). The package is taken to have two sides of the label's size, both in sight. The last line
of a market is the format chosen. Ends with 1 if a panel that was given does not read back.
"""

from __future__ import annotations

import math
import sys
from dataclasses import replace
from datetime import date
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from labelgen.errors import NoRoomError
from labelgen.law.format_tables import Format
from labelgen.law.pack import read_pack
from labelgen.layout.boxes import PageLayout
from labelgen.layout.fit import Package, fit_panel
from labelgen.pdf.check_label import check_label
from labelgen.pdf.draw import draw_label
from tests.layout.samples import anz_panel, assortment, ca_panel, dual_panel, eu_panel, panel

ON = date(2026, 11, 25)
MM = 72 / 25.4
SIZES = (
    (25, 25),
    (40, 30),
    (50, 30),
    (50, 50),
    (60, 90),
    (75, 50),
    (100, 70),
    (100, 150),
    (150, 100),
    (150, 200),
)


def simplified():
    """The rows that always stand, and the statement of what is left out."""
    whole = panel(
        foot=(
            (
                "Not a significant source of saturated fat, trans fat, cholesterol, dietary fiber, vitamin"
                " D, calcium, iron and potassium."
            ),
        )
    )
    keys = {
        "calories",
        "total_fat",
        "sodium",
        "total_carbohydrate",
        "total_sugars",
        "added_sugars",
        "protein",
    }
    column = whole.columns[0]
    return replace(whole, columns=(replace(column, rows=tuple(r for r in column.rows if r.key in keys)),))


PANELS = {
    "us": {
        "one column": panel(),
        "simplified": simplified(),
        "dual column": dual_panel(),
        "three foods": assortment(3),
    },
    "ca": {"bilingual": ca_panel(), "one language": ca_panel(False)},
    "eu": {"per 100 g": eu_panel(), "per 100 g, portion, % RI": eu_panel(True, True)},
    "uk": {"per 100 g, portion": eu_panel(True)},
    "au": {"two columns": anz_panel(), "with daily intake": anz_panel(True)},
    "nz": {"two columns": anz_panel()},
}


def cell(sample, market: str, size: tuple[int, int], only=()) -> tuple[str, str]:
    """(what the table says, the reason or the refusal)."""
    area = size[0] * size[1]
    package = Package(total=2 * area, largest=area, display=2 * area)
    try:
        block, why = fit_panel(sample, market, ON, size[0] * MM, size[1] * MM, package, only)
    except NoRoomError as refused:
        if refused.least is None:
            return "law", str(refused)
        wide, high = (math.ceil(x / MM - 1e-6) for x in refused.least)
        return f"{wide:.0f}x{high:.0f}", str(refused)
    layout = PageLayout(block.width, block.height, block.boxes, block.statements, market)
    found = check_label(draw_label(layout), layout)
    return ("FAULT" if found else "yes"), (found[0].message if found else why)


def main() -> int:
    faults = 0
    for market, samples in PANELS.items():
        for name, sample in samples.items():
            print(f"\n{market}: {name}")
            print(f"{'':24}" + "".join(f"{w}x{h}".rjust(9) for w, h in SIZES))
            for key in [e.key for e in read_pack(market, ON).entries(Format)]:
                try:
                    cells = [cell(sample, market, size, (key,))[0] for size in SIZES]
                except LookupError:
                    continue
                if cells != ["law"] * len(SIZES):
                    print(f"{key:24}" + "".join(c.rjust(9) for c in cells))
                faults += cells.count("FAULT")
            chosen = [cell(sample, market, size) for size in SIZES]
            print(f"{'chosen':24}" + "".join(c.rjust(9) for c, _ in chosen))
            for size, (said, why) in zip(SIZES, chosen):
                short = why.partition(";")[0] if said == "yes" else why.partition(" (")[0].partition(". ")[0]
                print(f"  {size[0]}x{size[1]}: {short}")
            faults += sum(said == "FAULT" for said, _ in chosen)
    print(f"\n{faults} panels did not read back")
    return 1 if faults else 0


if __name__ == "__main__":
    raise SystemExit(main())
