"""Placing labels on pages: which slot each one takes, where to go on with a part-used sheet, where to cut
and fold.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from labelgen.errors import LayoutError
from labelgen.layout.boxes import PageLayout, RuleBox
from labelgen.layout.label_stock import Stock
from labelgen.order import Job

#: Marks are this long and stand this far off the label [pt].
_MARK, _OFF, _THIN = 10.0, 2.0, 0.25


@dataclass(frozen=True, eq=False)
class Placement:
    """One face on a page. x, y: where the bottom-left corner of its slot is. turned: printed upside down."""

    layout: PageLayout
    x: float
    y: float
    turned: bool = False


@dataclass(frozen=True, eq=False)
class Sheet:
    """One page to print, in points. marks: lines where to cut and fold."""

    width: float
    height: float
    placements: tuple[Placement, ...]
    marks: tuple[RuleBox, ...] = ()


#: The faces of one label (front, or front and back) and how many are wanted.
Order = tuple[tuple[PageLayout, ...], int]


def impose(
    stock: Stock,
    orders: Iterable[Order],
    start: int = 1,
    cut_marks: bool = False,
    nudge: tuple[float, float] = (0.0, 0.0),
) -> Iterator[Sheet]:
    """The pages, one after another. start: first free label of the first page, from 1. nudge: (right, up)
    [pt].

    On stock with two faces each piece carries front and back; on other stock a back is a label of its own,
    next to its front. Raises LayoutError when ``start`` is not on the page.
    """
    if not 1 <= start <= stock.slots:
        raise LayoutError(
            f"--start {start} is not on this stock: {stock.name} has labels 1 to {stock.slots} on a page"
        )
    waiting: list[tuple[PageLayout, ...]] = []
    free = stock.slots - start + 1
    for faces, copies in orders:
        pieces = (faces,) if stock.two_faced else tuple((face,) for face in faces)
        for _ in range(copies):
            for piece in pieces:
                waiting.append(piece)
                if len(waiting) == free:
                    yield from _pages(stock, waiting, cut_marks, nudge)
                    waiting, free = [], stock.slots
    if waiting:
        yield from _pages(stock, waiting, cut_marks, nudge, stock.slots - free)


def copies_of(job: Job, stock: Stock, faces: int) -> int:
    """How many copies a job asks for; unless it says, as many as fill the page from its start on, and at
    least one.
    """
    return job.copies or max(1, (stock.slots - job.start + 1) // (1 if stock.two_faced else faces))


def _pages(
    stock: Stock, pieces: list, cut_marks: bool, nudge: tuple[float, float], first: int | None = None
) -> Iterator[Sheet]:
    first = stock.slots - len(pieces) if first is None else first
    marks = tuple(box.shifted(*nudge) for box in _marks(stock)) if cut_marks else ()
    fronts, backs = [], []
    for slot, faces in enumerate(pieces, first):
        x, y = stock.place(slot)
        x, y = x + nudge[0], y + nudge[1]
        height = stock.height or faces[0].height_pt
        if stock.kind == "fold":
            fronts.append(Placement(faces[0], x, y))
            fronts += [Placement(face, x, y + stock.face_height, turned=True) for face in faces[1:]]
            continue
        fronts.append(Placement(faces[0], x, y if stock.height else 0.0))
        # the paper is turned over its long edge, so the back of the first column is in the last
        across = stock.page_width - (x - nudge[0]) - stock.width + nudge[0]
        backs += [Placement(face, across, y) for face in faces[1:]]
    page_height = stock.page_height or height
    yield Sheet(stock.page_width, page_height, tuple(fronts), marks)
    if backs:
        yield Sheet(stock.page_width, page_height, tuple(backs), marks)


def _marks(stock: Stock) -> Iterator[RuleBox]:
    """Short lines in the margins at every cut, and at the fold of a folded piece."""
    left, right = stock.left, stock.place(stock.columns - 1)[0] + stock.width
    top, bottom = stock.page_height - stock.top, stock.place(stock.slots - 1)[1]
    across = {
        x
        for column in range(stock.columns)
        for x in (stock.place(column)[0], stock.place(column)[0] + stock.width)
    }
    for x in sorted({round(x, 3) for x in across}):
        for a, b in _ends(bottom, top, stock.page_height):
            yield RuleBox(x, a, x, b, _THIN)
    ups = [stock.place(row * stock.columns)[1] + part for row in range(stock.rows) for part in _cuts(stock)]
    for y in sorted({round(y, 3) for y in ups}):
        for a, b in _ends(left, right, stock.page_width):
            yield RuleBox(a, y, b, y, _THIN)


def _cuts(stock: Stock) -> tuple[float, ...]:
    return (0.0, stock.face_height, stock.height) if stock.kind == "fold" else (0.0, stock.height)


def _ends(low: float, high: float, page: float) -> list[tuple[float, float]]:
    """The stretch of a mark before ``low`` and after ``high``, kept on the page; none where there is no
    margin.
    """
    ends = [(max(0.0, low - _OFF - _MARK), low - _OFF), (high + _OFF, min(page, high + _OFF + _MARK))]
    return [(a, b) for a, b in ends if b > a]
