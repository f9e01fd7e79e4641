"""Whether the letters a PDF claims to hold can be seen: the page as printed is held against the same page
without its text.

What the text alone adds to the picture is its ink. A letter without ink of its own is not on the paper,
whatever hides it: a cover, a clip, a layer that is off, the colour of its ground, no colour at all, the
page's edge.
"""

from __future__ import annotations

import ctypes
from collections.abc import Iterable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    import numpy as np

#: Left, bottom, right and top of a letter's ink [pt], as the page counts.
Bounds = tuple[float, float, float, float]

#: Small letters are so many squares of the picture high; letters not seen so are looked at closer.
_SQUARES, _CLOSER = 5, 12
#: Squares of the picture to a point, at least and at most, and in all.
_COARSE, _FINE, _MOST = 1.0, 6.0, 12_000_000
#: Where text makes so little difference [of 255], nobody sees it.
_FAINT = 40
#: A letter smaller than this [pt] is a speck.
_SPECK = 2.0
#: Forms may stand in forms so deep.
_DEEP = 15


@dataclass(frozen=True)
class Ink:
    """seen: of each letter, whether it can be seen whole. ground: of each, the mean colour under it, red,
    green, blue.
    """

    seen: tuple[bool, ...]
    ground: tuple[tuple[int, int, int], ...]


def see_letters(page: Any, letters: Sequence[tuple[Bounds, float]]) -> Ink:
    """What can be seen of letters, each given by its bounds and type size [pt], on a page as it is printed.

    The page (of pypdfium2) is as it was afterwards. Raises PdfiumError when it cannot be drawn.
    """
    if not letters:
        return Ink((), ())
    with upright(page):
        made = _see(page, letters, _SQUARES)
        return made if all(made.seen) else _see(page, letters, _CLOSER)


@contextmanager
def upright(page: Any) -> Iterator[None]:
    """A page as it was drawn, however it is to be shown."""
    turned = page.get_rotation()
    page.set_rotation(0)
    try:
        yield
    finally:
        page.set_rotation(turned)


def _see(page: Any, letters: Sequence[tuple[Bounds, float]], squares: int) -> Ink:
    import numpy as np

    bounds, sizes = [b for b, _ in letters], np.array([size for _, size in letters])
    whole, bare = _with_and_without_text(
        page, _fine(page, [b for b, size in letters if size >= _SPECK], squares)
    )
    ink = _added(whole, bare)
    high, wide = ink.shape
    x0, y0, x1, y1 = place_boxes(page, ink, bounds)
    seen = _reaches(ink, x0, y0, x1, y1) & (sizes >= _SPECK)
    around = [
        bare[
            np.clip(y0 + (y1 - y0) * v // 4, 0, high - 1),
            np.clip(x0 + (x1 - x0) * h // 4, 0, wide - 1),
            2::-1,
        ]
        for v, h in ((0, 0), (0, 4), (2, 2), (4, 0), (4, 4))
    ]
    ground = np.median(np.stack(around), axis=0).astype(int)
    return Ink(tuple(map(bool, seen)), tuple(map(tuple, ground.tolist())))


def draw_ink(page: Any, bounds: Sequence[Bounds], squares: int) -> np.ndarray:
    """The squares of an upright page that its text inks, rows from the top; small letters are so many
    squares high.
    """
    return _added(*_with_and_without_text(page, _fine(page, bounds, squares)))


def place_boxes(page: Any, ink: np.ndarray, bounds: Sequence[Bounds]) -> tuple[np.ndarray, ...]:
    """Left, top, right and bottom squares of letters in a picture of the page: those that hold their
    bounds.
    """
    import numpy as np

    left, bottom, right, top = page.get_bbox()
    high, wide = ink.shape
    across, down = wide / (right - left), high / (top - bottom)
    boxes = (np.array(bounds) - (left, bottom, left, bottom)) * (across, down, across, down)
    x0, x1 = np.floor(boxes[:, 0]).astype(int), np.ceil(boxes[:, 2]).astype(int)
    y0, y1 = np.floor(high - boxes[:, 3]).astype(int), np.ceil(high - boxes[:, 1]).astype(int)
    return x0, y0, np.maximum(x1, x0 + 1), np.maximum(y1, y0 + 1)


def _fine(page: Any, bounds: Sequence[Bounds], squares: int) -> float:
    """How many squares a point is wide."""
    heights = sorted(b[3] - b[1] for b in bounds)
    small = max(heights[len(heights) // 10], 0.1) if heights else 1.0
    left, bottom, right, top = page.get_bbox()
    return min(
        max(squares / small, _COARSE), _FINE, (_MOST / max(1.0, (right - left) * (top - bottom))) ** 0.5
    )


def _with_and_without_text(page: Any, fine: float) -> tuple[np.ndarray, np.ndarray]:
    whole, texts = _picture(page, fine), list(_texts(page))
    _show(texts, False)
    try:
        return whole, _picture(page, fine)
    finally:
        _show(texts, True)


def _added(whole: np.ndarray, bare: np.ndarray) -> np.ndarray:
    """The squares where two pictures differ enough to be seen. Most are alike, so only the others are
    looked at.
    """
    import numpy as np

    ink = np.zeros(whole.shape[:2], dtype=bool)
    at = np.nonzero(whole.view(np.uint32)[..., 0] != bare.view(np.uint32)[..., 0])
    a, b = whole[at], bare[at]
    ink[at] = (np.maximum(a, b) - np.minimum(a, b))[:, :3].max(axis=1, initial=0) >= _FAINT
    return ink


def _picture(page: Any, fine: float) -> np.ndarray:
    """Rows from the top, columns, blue green red and nothing: the page as a printer gets it, with its
    stamps and notes.
    """
    from pypdfium2 import raw

    bitmap = page.render(scale=fine, prefer_bgrx=True, extra_flags=raw.FPDF_PRINTING)
    try:
        return bitmap.to_numpy().copy()
    finally:
        bitmap.close()


def _texts(page: Any) -> Iterable[Any]:
    """The text of a page and of the forms placed on it."""
    from pypdfium2 import raw

    within = [(raw.FPDFPage_GetObject(page, n), 0) for n in range(raw.FPDFPage_CountObjects(page))]
    while within:
        one, deep = within.pop()
        kind = raw.FPDFPageObj_GetType(one)
        if kind == raw.FPDF_PAGEOBJ_TEXT:
            yield one
        elif kind == raw.FPDF_PAGEOBJ_FORM and deep < _DEEP:
            within += [
                (raw.FPDFFormObj_GetObject(one, n), deep + 1)
                for n in range(raw.FPDFFormObj_CountObjects(one))
            ]


def _show(objects: Iterable[Any], shown: bool) -> None:
    from pypdfium2 import raw

    for one in objects:
        raw.FPDFPageObj_SetIsActive(one, ctypes.c_int(shown))


def _reaches(ink: np.ndarray, x0: np.ndarray, y0: np.ndarray, x1: np.ndarray, y1: np.ndarray) -> np.ndarray:
    """Of each box, whether ink reaches into the outer thirds on all four sides."""
    import numpy as np

    high, wide = ink.shape
    sums = np.zeros((high + 1, wide + 1), dtype=np.int32)
    np.cumsum(ink, axis=0, out=sums[1:, 1:])
    np.cumsum(sums[1:, 1:], axis=1, out=sums[1:, 1:])

    def count(a, b, c, d):
        a, c = np.clip(a, 0, wide), np.clip(c, 0, wide)
        b, d = np.clip(b, 0, high), np.clip(d, 0, high)
        return sums[d, c] - sums[b, c] - sums[d, a] + sums[b, a]

    across, down = np.maximum((x1 - x0) // 3, 2), np.maximum((y1 - y0) // 3, 2)
    sides = (
        count(x0, y0, x0 + across, y1),
        count(x1 - across, y0, x1, y1),
        count(x0, y0, x1, y0 + down),
        count(x0, y1 - down, x1, y1),
    )
    return np.logical_and.reduce([s > 0 for s in sides])
