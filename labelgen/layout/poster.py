"""The allergen poster of a market stall: products x allergens on one page."""

from __future__ import annotations

from labelgen.layout.boxes import PageLayout
from labelgen.layout.document import Table, Text, lay_out_document, plain
from labelgen.layout.linebreak import face_of, widest_word
from labelgen.layout.metrics import face
from labelgen.market.allergens.matrix import CONTAINS, MAY, UNKNOWN, Cell, Matrix
from labelgen.market.records import Run

_LEGEND = "Bold: contains. may: may contain, by contact or by a supplier's warning. ?: not known, so ask us before you buy. Empty: not an ingredient; a trace can never be ruled out in a small kitchen."


#: Width of a landscape page in sizes of the cells' type, a little less than there is.
_EMS = 76.0
#: Names of products take no more than this where other columns want it, in the same sizes.
_LONGEST = 30.0


def lay_out_allergen_poster(matrix: Matrix, title: str, page: str, foot: str) -> tuple[PageLayout, ...]:
    """The poster, landscape, on one page as long as the products fit."""
    rows = []
    for name, cells, why in matrix.rows:
        rows.append((plain(name, bold=True) + plain(f" ({why})" if why else ""), *(_words(cell) for cell in cells)))
    # no column is narrower than its widest word; the names take what is left
    columns = zip((plain(group, bold=True) for group in matrix.groups), *(row[1:] for row in rows))
    cells = list(columns)
    wide = [max(widest_word(runs, 1.0) for runs in column) + 1 for column in cells]
    names = max(10.0, min(_EMS - sum(wide), max(_length(row[0]) for row in rows) / 2 + 2, _LONGEST))
    # what is over goes to the columns whose texts are broken
    wanting = [max(0.0, max(_length(runs) for runs in column) + 1 - w) for column, w in zip(cells, wide)]
    spare = max(0.0, _EMS - names - sum(wide))
    part = min(1.0, spare / sum(wanting)) if any(wanting) else 0.0
    wide = [w + more * part for w, more in zip(wide, wanting)]
    table = Table((max(names, _EMS - sum(wide)), *wide), ("", *matrix.groups), tuple(rows))
    return lay_out_document(title, [table, Text(plain(_LEGEND)), Text(plain("If you have an allergy or coeliac disease, tell us before you buy.", bold=True))], page, landscape=True, foot=foot, one_page=True)


def _length(runs: tuple[Run, ...]) -> float:
    """Width of a text on one line, in sizes of its type."""
    return sum(face(face_of(run)).width(run.text) for run in runs)


def _words(cell: Cell) -> tuple[Run, ...]:
    parts = []
    if cell.state == CONTAINS:
        parts.append(Run(", ".join(cell.kinds) or "contains", bold=True))
    if cell.may or cell.state == MAY:
        parts.append(Run("may:\u00a0" + ", ".join(cell.may) if cell.may else "may"))
    if cell.unknown or cell.state == UNKNOWN:
        parts.append(Run("?\u00a0" + ", ".join(cell.unknown) if cell.unknown else "?"))
    return tuple(run for n, part in enumerate(parts) for run in ((Run("; "), part) if n else (part,)))
