"""Sheets that run over pages: titles, paragraphs and ruled tables, broken between rows. Lengths in points.

For the maker's own papers (weigh sheet, specification sheet, allergen matrix); labels have rooms of their
own.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

from labelgen import paths
from labelgen.layout.boxes import Block, PageLayout, RuleBox
from labelgen.layout.rules import TypeRule
from labelgen.layout.stack import lay_out_text
from labelgen.market.declaration_records import Run
from labelgen.tomlfile import read_toml

#: Page sizes [pt]: ISO 216 A4, and US Letter (ANSI/ASME Y14.1 A).
PAGES = {"a4": (595.28, 841.89), "letter": (612.0, 792.0)}
#: Countries that print on Letter.
_LETTER = ("us", "ca")
_ONE_PAGE = (1.0, 0.9, 0.8, 0.7)
_HOUSE = TypeRule(5.0, source="house rule")
#: A cell that is a box to tick.
TICK = Run("\u0000")


@dataclass(frozen=True)
class Text:
    """A paragraph. style: title, heading or text."""

    runs: tuple[Run, ...]
    style: str = "text"


@dataclass(frozen=True)
class Table:
    """A ruled table. widths: shares of the text width. header: repeated on every page, as a heading right
    before the table is.
    rows: cells of runs.
    """

    widths: tuple[float, ...]
    header: tuple[str, ...]
    rows: tuple[tuple[tuple[Run, ...], ...], ...]
    right: tuple[int, ...] = ()


def home_page(country: str) -> str:
    """The page size a country's printers hold: "letter" or "a4"."""
    return "letter" if country in _LETTER else "a4"


@cache
def _arrangement(scale: float = 1.0) -> dict[str, float]:
    written = read_toml(paths.templates("documents", "plain.toml"))
    return {name: value if name == "margin" else value * scale for name, value in written.items()}


def plain(text: str, bold: bool = False) -> tuple[Run, ...]:
    return (Run(text, bold=bold),) if text else ()


def lay_out_document(
    title: str,
    parts: Sequence[Text | Table],
    page: str = "a4",
    landscape: bool = False,
    foot: str = "",
    one_page: bool = False,
) -> tuple[PageLayout, ...]:
    """The pages of a document. ``foot`` stands small at the bottom of each, before the page's number.
    ``one_page``: set smaller, down to seven tenths, as long as that saves a page.
    """
    scales = _ONE_PAGE if one_page else (1.0,)
    for scale in scales:
        pages = _lay_out(title, parts, page, landscape, foot, scale)
        if len(pages) == 1:
            break
    return pages


def _lay_out(
    title: str, parts: Sequence[Text | Table], page: str, landscape: bool, foot: str, scale: float
) -> tuple[PageLayout, ...]:
    a = _arrangement(scale)
    width, height = PAGES[page] if not landscape else PAGES[page][::-1]
    inner = width - 2 * a["margin"]
    pages: list[list[Block]] = [[]]
    used = 0.0
    room = height - 2 * a["margin"] - a["text"] * 2

    def place(block: Block, again: Sequence[Block] = (), after: float = 0.0) -> None:
        nonlocal used
        if used + block.height + after > room and pages[-1]:
            pages.append([])
            used = 0.0
            for repeated in again:
                place(repeated)
        pages[-1].append(block)
        used += block.height

    count, continued = 0, ()
    for part in (Text(plain(title, bold=True), "title"), *parts):
        if isinstance(part, Text):
            size = a[part.style]
            # a heading never stands alone at the foot of a page
            keep = 4 * a["cell"] * a["leading"] if part.style == "heading" else 0.0
            first, again = (
                _spaced(
                    lay_out_text(runs, inner, size, size * a["leading"], f"text-{count}", "text", _HOUSE),
                    a["gap"],
                )
                for runs in (part.runs, (*part.runs, Run(" (continued)")))
            )
            place(first, after=keep)
            continued = (again,) if part.style == "heading" else ()
            count += 1
            continue
        head = (
            _row(tuple(plain(h, bold=True) for h in part.header), part, inner, f"head-{count}", a)
            if part.header
            else None
        )
        blocks = [_row(cells, part, inner, f"row-{count}-{i}", a) for i, cells in enumerate(part.rows)]
        if head is not None:
            place(_joined(head, blocks[0]) if blocks else head, continued)
        for block in blocks[1 if head is not None else 0 :]:
            place(block, (*continued, head) if head is not None else continued)
        if used + a["gap"] <= room:
            place(Block(inner, a["gap"], ()))
        count, continued = count + 1, ()
    return tuple(
        _page(blocks, width, height, title, foot, number, len(pages), a)
        for number, blocks in enumerate(pages, 1)
    )


def _spaced(block: Block, gap: float) -> Block:
    return Block(block.width, block.height + gap, block.shifted(0.0, gap), block.statements)


def _joined(upper: Block, lower: Block) -> Block:
    return Block(
        upper.width,
        upper.height + lower.height,
        (*upper.shifted(0.0, lower.height), *lower.boxes),
        (*upper.statements, *lower.statements),
    )


def _row(
    cells: tuple[tuple[Run, ...], ...], table: Table, inner: float, part: str, a: dict[str, float]
) -> Block:
    pad, size = a["cell_padding"], a["cell"]
    total = sum(table.widths)
    blocks, x = [], 0.0
    for i, (runs, share) in enumerate(zip(cells, table.widths, strict=True)):
        width = inner * share / total
        if runs == (TICK,):
            t = a["tick"]
            sides = ((0, 0, t, 0), (t, 0, t, t), (t, t, 0, t), (0, t, 0, 0))
            block = Block(t, t, tuple(RuleBox(*s, a["rule"] * 2) for s in sides))
        else:
            block = lay_out_text(
                runs,
                width - 2 * pad,
                size,
                size * a["leading"],
                f"{part}-{i}",
                "cell",
                _HOUSE,
                "right" if i in table.right else "left",
            )
        blocks.append((x + pad, block))
        x += width
    height = max(max(b.height for _, b in blocks), size) + 2 * pad
    boxes = [box for x, b in blocks for box in b.shifted(x, height - pad - b.height)]
    boxes.append(RuleBox(0.0, 0.0, inner, 0.0, a["rule"]))
    return Block(inner, height, tuple(boxes), tuple(s for _, b in blocks for s in b.statements))


def _page(
    blocks: list[Block],
    width: float,
    height: float,
    title: str,
    foot: str,
    number: int,
    of: int,
    a: dict[str, float],
) -> PageLayout:
    boxes, statements, y = [], [], height - a["margin"]
    for block in blocks:
        y -= block.height
        boxes += block.shifted(a["margin"], y)
        statements += block.statements
    line = "  ".join(x for x in (foot, f"page {number} of {of}" if of > 1 else "") if x)
    if line:
        size = a["text"] * 0.8
        block = lay_out_text(
            plain(line), width - 2 * a["margin"], size, size * a["leading"], "foot", "foot", _HOUSE
        )
        boxes += block.shifted(a["margin"], a["margin"] * 0.6)
        statements += block.statements
    return PageLayout(width, height, tuple(boxes), tuple(statements), title, "", f"page {number}")
