"""The allergen poster of a market stall: products x allergens on one page."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence

from labelgen.layout.boxes import PageLayout, parts_of
from labelgen.layout.document import Table, Text, lay_out_document, plain
from labelgen.layout.linebreak import face_of, widest_word
from labelgen.layout.metrics import face
from labelgen.market.allergens.called import plain_name
from labelgen.market.allergens.matrix import CONTAINS, MAY, UNKNOWN, Cell, Matrix
from labelgen.market.declaration_records import Declaration, Run
from labelgen.market.papers import languages_of, say, say_in

#: Width of a landscape page in sizes of the cells' type, a little less than there is.
_EMS = 76.0
#: Names of products take no more than this where other columns want it, in the same sizes.
_LONGEST = 30.0
#: The name of a cell's text: which row, which column.
_CELL = re.compile(r"row-\d+-(\d+)-\d+")


def lay_out_allergen_poster(
    matrix: Matrix, declared: Mapping[str, Declaration], maker: str, page: str, unready: Iterable[str] = ()
) -> tuple[PageLayout, ...]:
    """The poster, landscape, on one page as long as the products fit, in the languages of the label.
    declared: what each product of the matrix says. unready: names of further products nobody can tell
    anything of.
    """
    any_one = next(iter(declared.values()))
    spoken = languages_of(any_one)
    heads = tuple(_column(group, spoken) for group in matrix.groups)
    rows = []
    for key, cells, untold in matrix.rows:
        name, why = _name(declared[key]), _why(declared[key]) if untold else ""
        rows.append(
            (
                plain(name, bold=True) + plain(f" ({why})" if why else ""),
                *(_words(cell, spoken) for cell in cells),
            )
        )
    for name in unready:
        ask = plain(f" ({say_in('not_ready', spoken)})")
        rows.append((plain(name, bold=True) + ask, *(_words(Cell(UNKNOWN), spoken) for _ in heads)))
    # no column is narrower than its widest word; the names take what is left
    columns = zip((plain(group, bold=True) for group in heads), *(row[1:] for row in rows))
    cells = list(columns)
    wide = [max(widest_word(runs, 1.0) for runs in column) + 1 for column in cells]
    names = max(10.0, min(_EMS - sum(wide), max(_length(row[0]) for row in rows) / 2 + 2, _LONGEST))
    # what is over goes to the columns whose texts are broken
    wanting = [max(0.0, max(_length(runs) for runs in column) + 1 - w) for column, w in zip(cells, wide)]
    spare = max(0.0, _EMS - names - sum(wide))
    part = min(1.0, spare / sum(wanting)) if any(wanting) else 0.0
    wide = [w + more * part for w, more in zip(wide, wanting)]
    table = Table((max(names, _EMS - sum(wide)), *wide), ("", *heads), tuple(rows))
    title = say_in("poster_title", spoken, name=maker)
    parts = [
        table,
        *(Text(plain(say("poster_legend", x))) for x in spoken),
        Text(plain(say_in("poster_ask", spoken), bold=True)),
    ]
    foot = f"{any_one.on.isoformat()}, {any_one.market.upper()}"
    return lay_out_document(title, parts, page, landscape=True, foot=foot, one_page=True)


def row_words(pages: Sequence[PageLayout], row: int) -> str:
    """What the poster says of one product, as it is drawn: every column that is not empty, and its cell."""
    parts = dict(part for page in pages for part in parts_of(page))
    cells = {
        part: text
        for part, text in parts.items()
        if (found := _CELL.fullmatch(part)) and int(found[1]) == row and text.strip()
    }
    heads = {part.rpartition("-")[2]: text for part, text in parts.items() if part.startswith("head-")}
    return "\n".join(f"{heads.get(part.rpartition('-')[2], '')} {text}" for part, text in cells.items())


def _column(group: str, spoken: tuple[str, ...]) -> str:
    return say_in("wheat_and_gluten", spoken) if group == "gluten" else _named((group,), spoken)


def _name(d: Declaration) -> str:
    return " / ".join(dict.fromkeys(said.product for said in (d, d.second) if said))


def _why(d: Declaration) -> str:
    return "; ".join(
        say("make_up_untold", said.language, names=", ".join(said.untold)) for said in (d, d.second) if said
    )


def _length(runs: tuple[Run, ...]) -> float:
    """Width of a text on one line, in sizes of its type."""
    return sum(face(face_of(run)).width(run.text) for run in runs)


def _words(cell: Cell, spoken: tuple[str, ...]) -> tuple[Run, ...]:
    parts = []
    if cell.state == CONTAINS:
        parts.append(Run(_named(cell.kinds, spoken) or say_in("holds", spoken), bold=True))
    if cell.may or cell.state == MAY:
        parts.append(Run(_behind(say_in("may_short", spoken), cell.may, spoken)))
    if cell.unknown or cell.state == UNKNOWN:
        parts.append(Run(_behind("?", cell.unknown, spoken)))
    return tuple(run for n, part in enumerate(parts) for run in ((Run("; "), part) if n else (part,)))


def _behind(mark: str, codes: tuple[str, ...], spoken: tuple[str, ...]) -> str:
    return f"{mark}\u00a0{_named(codes, spoken)}" if codes else mark.rstrip(" :")


def _named(codes: tuple[str, ...], spoken: tuple[str, ...]) -> str:
    return " / ".join(
        dict.fromkeys(", ".join(dict.fromkeys(plain_name(c, language) for c in codes)) for language in spoken)
    )
