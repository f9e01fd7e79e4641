"""Whether the letters a PDF draws look like the letters it says they are.

The text of a PDF comes from a code map that nobody sees; where that is wrong, the file reads as other words
than it shows. Each letter's ink is compared with all letters of a plain typeface: in an honest font the one
claimed is among the likest, in a wrong map it is anywhere.
"""

from __future__ import annotations

import string
import unicodedata
from collections import defaultdict
from collections.abc import Sequence
from functools import cache
from typing import TYPE_CHECKING, Any, NamedTuple

from labelgen.layout.metrics import face
from labelgen.pdf.ink import Bounds, draw_ink, place_boxes, upright

if TYPE_CHECKING:
    import numpy as np

_KNOWN = string.ascii_letters + string.digits
#: Letters compared: so many squares wide and high, at least so many different ones of a font, at most so
# many of each.
_GRID, _ENOUGH, _SAMPLES = (12, 16), 6, 3
#: Of all letters, the part that is liker than the one claimed, on the mean, at most. Of 45 faces, sans,
# serif, slanted,
#: mono and drawn by hand, it is 0.16 at most; of their letters taken for others 0.33 at least.
_MOST_LIKER = 0.25
_SQUARES = 16
#: A letter of these kinds stands for nothing: private use, not assigned, half of a pair, control.
_NO_LETTER = {"Co", "Cn", "Cs", "Cc"}
#: So many of them side by side are a word.
_A_WORD = 3


class Drawn(NamedTuple):
    """A letter as a PDF claims it. turn: quarters of a circle it is turned by, against the clock."""

    char: str
    bounds: Bounds
    font: str
    turn: int = 0


def find_unlike(page: Any, letters: Sequence[Drawn]) -> tuple[str, ...]:
    """The texts of those fonts on a page (of pypdfium2) whose letters are not what they claim to be, or claim
    nothing.

    Raises PdfiumError when the page cannot be drawn.
    """
    fonts: dict[str, list[Drawn]] = defaultdict(list)
    for letter in letters:
        fonts[letter.font].append(letter)
    with upright(page):
        likeness = _Likeness(page, letters)
        wrong = (
            drawn for drawn in fonts.values() if _no_letters(drawn) or likeness.liker(drawn) > _MOST_LIKER
        )
        return tuple("".join(g.char for g in drawn) for drawn in wrong)


def _no_letters(drawn: Sequence[Drawn]) -> bool:
    """Whether a font says a word in codes that stand for nothing: several side by side. Bullets stand
    apart.
    """
    together = 0
    before: Drawn | None = None
    for g in drawn:
        none = unicodedata.category(g.char) in _NO_LETTER or g.char == "\ufffd"
        together = (together + 1 if before and _beside(before, g) else 1) if none else 0
        if together >= _A_WORD:
            return True
        before = g
    return False


def _beside(one: Drawn, other: Drawn) -> bool:
    """Whether two letters stand no further apart than they are large."""
    (a, b, c, d), (e, f, g, h) = one.bounds, other.bounds
    large = max(c - a, d - b, g - e, h - f)
    return max(e - c, a - g) < large and max(f - d, b - h) < large / 3


class _Likeness:
    """Looks at the letters of an upright page; it is drawn when the first is looked at."""

    def __init__(self, page: Any, letters: Sequence[Drawn]):
        self.page, self.letters = page, letters
        self.ink: np.ndarray | None = None

    def liker(self, drawn: Sequence[Drawn]) -> float:
        """The part of all letters that look liker than those claimed, on the mean; 0 where too few are
        known.
        """
        samples: dict[str, list[Drawn]] = defaultdict(list)
        for g in drawn:
            if g.char in _KNOWN and len(samples[g.char]) < _SAMPLES:
                samples[g.char].append(g)
        if len(samples) < _ENOUGH:
            return 0.0
        if self.ink is None:
            self.ink = draw_ink(self.page, [g.bounds for g in self.letters], _SQUARES)
        ranks = []
        for char, every in samples.items():
            boxes = zip(*place_boxes(self.page, self.ink, [g.bounds for g in every]), strict=True)
            shapes = [
                s for g, box in zip(every, boxes, strict=True) if (s := self._shape(g, box)) is not None
            ]
            if shapes:
                ranks.append(min(_rank(char, s) for s in shapes))
        return sum(ranks) / len(ranks) if len(ranks) >= _ENOUGH else 0.0

    def _shape(self, letter: Drawn, box: tuple[int, int, int, int]) -> np.ndarray | None:
        import numpy as np

        left, top, right, bottom = (max(0, v) for v in box)
        part = self.ink[top:bottom, left:right]
        return _gridded(np.rot90(part, -letter.turn)) if part.any() else None


def _gridded(ink: np.ndarray) -> np.ndarray:
    """Ink cut to its edges and brought to one size, of length 1."""
    import numpy as np
    from PIL import Image

    rows, columns = np.nonzero(ink.any(axis=1))[0], np.nonzero(ink.any(axis=0))[0]
    cut = ink[rows[0] : rows[-1] + 1, columns[0] : columns[-1] + 1]
    small = np.asarray(
        Image.fromarray(cut.astype(np.uint8) * 255).resize(_GRID, Image.Resampling.BOX), dtype=float
    )
    small = small - small.mean()
    return (small / (np.linalg.norm(small) or 1.0)).ravel()


def _rank(char: str, shape: np.ndarray) -> float:
    likeness = _references() @ shape
    return float((likeness > likeness[_KNOWN.index(char)] + 1e-9).mean())


@cache
def _references() -> np.ndarray:
    """The plain letters, a row each."""
    import numpy as np
    from PIL import Image, ImageDraw, ImageFont

    font, rows = ImageFont.truetype(face("regular").path, 64), []
    for char in _KNOWN:
        picture = Image.new("L", (128, 128))
        ImageDraw.Draw(picture).text((32, 16), char, fill=255, font=font)
        rows.append(_gridded(np.asarray(picture) > 127))
    return np.stack(rows)
