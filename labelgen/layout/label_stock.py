"""Label stock by its geometry: sheets, rolls, hang tags and fold-over tags, read from ``templates/stock/``.

Every length of a ``Stock`` is in points; its page has its origin at the bottom left.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache

from labelgen.errors import LayoutError
from labelgen.layout.arrangement import read_toml
from labelgen.paths import templates

#: Points in one unit a maker may measure stock in.
_UNITS = {"pt": 1.0, "in": 72.0, "mm": 72.0 / 25.4, "cm": 72.0 / 2.54}
_LENGTH = re.compile(r"\s*(-?\d+(?:\.\d+)?)\s*(pt|in|mm|cm)\s*")
_SIZE = re.compile(
    r"\s*(\d+(?:\.\d+)?)\s*(pt|in|mm|cm)?\s*[x×]\s*(\d+(?:\.\d+)?)\s*(pt|in|mm|cm)\s*", re.IGNORECASE
)
_KINDS = ("sheet", "roll", "tag", "fold")
_AS_NEEDED = "as needed"
#: No label is smaller or larger than this [pt]: anything else is a slip of the finger.
_SMALLEST, _LARGEST = 28.0, 2000.0


@dataclass(frozen=True)
class Stock:
    """One kind of label stock.

    kind: sheet, roll (one label a page), tag (two sides) or fold (folded across the middle). width, height:
    one flat label; height 0 = as high as needed. corner: radius. keep: clear margin inside the edge. hole:
    how far the clear zone of a hang hole reaches down from the top.
    """

    name: str
    kind: str
    page: str
    page_width: float
    page_height: float
    width: float
    height: float
    columns: int = 1
    rows: int = 1
    pitch_x: float = 0.0
    pitch_y: float = 0.0
    left: float = 0.0
    top: float = 0.0
    corner: float = 0.0
    round: bool = False
    keep: float = 5.67
    hole: float = 0.0

    @property
    def slots(self) -> int:
        """Labels on one page."""
        return self.columns * self.rows

    @property
    def face_height(self) -> float:
        """Height of one face: half of a piece that is folded."""
        return self.height / 2 if self.kind == "fold" else self.height

    @property
    def two_faced(self) -> bool:
        """Whether one piece has a front and a back."""
        return self.kind in ("tag", "fold")

    def place(self, slot: int) -> tuple[float, float]:
        """Bottom-left corner of a slot, counted from 0, along the rows from the top left."""
        row, column = divmod(slot, self.columns)
        return (
            self.left + column * self.pitch_x,
            self.page_height - self.top - row * self.pitch_y - self.height,
        )


def read_length(text: str) -> float:
    """Points of a length such as ``4 in``, ``2.5mm``. Raises LayoutError."""
    found = _LENGTH.fullmatch(str(text).lower())
    if not found:
        raise LayoutError(f"{text!r} is no length: write a number and mm, cm, in or pt, for example '100 mm'")
    return float(found[1]) * _UNITS[found[2]]


def read_size(text: str) -> tuple[float, float]:
    """(width, height) in points of ``100x150mm`` or ``4 x 6 in``. Raises LayoutError."""
    found = _SIZE.fullmatch(str(text))
    if not found:
        raise LayoutError(
            f"{text!r} is no label size: write width x height with a unit, for example '100x150mm' or '4x6in'"
        )
    unit = found[4].lower()
    size = float(found[1]) * _UNITS[(found[2] or unit).lower()], float(found[3]) * _UNITS[unit]
    if not all(_SMALLEST <= side <= _LARGEST for side in size):
        raise LayoutError(
            f"{text!r}: a label measures from 10 mm to 700 mm on each side: check the figures and the unit"
        )
    return size


def read_nudge(text: str) -> tuple[float, float]:
    """(right, up) in points of ``0.5,-1`` or ``0.5,-1 mm``: millimetres unless another unit is given.
    Raises LayoutError.
    """
    parts = [part.strip() for part in str(text).split(",")]
    unit = next((u for u in _UNITS if parts[-1].endswith(u)), "mm")
    try:
        right, up = (float(part.removesuffix(unit)) * _UNITS[unit] for part in parts)
    except ValueError:
        raise LayoutError(
            f"{text!r} is no nudge: write millimetres to the right and up, for example --nudge=0.5,-1"
        ) from None
    if not (abs(right) <= 72 and abs(up) <= 72):
        raise LayoutError(
            f"{text!r}: a nudge moves at most 25 mm; for more, choose the stock that matches your sheets"
        )
    return right, up


@cache
def pages() -> Mapping[str, tuple[float, float]]:
    """Page name -> (width, height) in points."""
    return {name: (read_length(p["width"]), read_length(p["height"])) for name, p in _pages().items()}


@cache
def _pages() -> dict:
    return read_toml("stock", "pages.toml")


def usual_page(market: str) -> str:
    """The page makers of a market usually print on: ``letter`` or ``a4``."""
    return next((name for name, page in _pages().items() if market in page["markets"]), "a4")


@cache
def every_stock() -> tuple[Stock, ...]:
    """All stock of ``templates/stock/``. Raises LayoutError naming file and entry when one cannot be."""
    found: dict[str, Stock] = {}
    for path in sorted(templates("stock").glob("*.toml")):
        if path.name == "pages.toml":
            continue
        raw = read_toml("stock", path.name)
        for given in raw.get("stock", []):
            stock = _read({**raw.get("all", {}), **given}, path.name)
            if stock.name in found:
                raise LayoutError(f"templates/stock/{path.name}: {stock.name!r} is there twice: rename one")
            found[stock.name] = stock
    return tuple(found.values())


def stock_named(name: str) -> Stock:
    """One stock by name. Raises LayoutError with near names."""
    for stock in every_stock():
        if stock.name == name.strip().lower():
            return stock
    names = [stock.name for stock in every_stock()]
    near = difflib.get_close_matches(name, names, n=4, cutoff=0.4)
    raise LayoutError(
        f"no stock is named {name!r};"
        f" {'near: ' + ', '.join(near) if near else 'there is ' + ', '.join(names)}; 'labelgen stock' lists"
        " all, --label-size takes any size"
    )


def single_stock(width: float, height: float, keep: float = 5.67) -> Stock:
    """One label a page of its own size; height 0 = as high as needed."""
    return Stock(
        "label", "roll", "label", width, height, width, height, pitch_x=width, pitch_y=height, keep=keep
    )


def tiled_stock(width: float, height: float, page: str) -> Stock:
    """As many labels of a size as a page holds, turned neither way. Raises LayoutError when it holds none."""
    if page not in pages():
        raise LayoutError(f"page {page!r} is not known: write {' or '.join(pages())}")
    page_width, page_height = pages()[page]
    margin = read_length(_pages()[page]["margin"])
    columns = int((page_width - 2 * margin + 0.01) // width)
    rows = int((page_height - 2 * margin + 0.01) // height)
    if not columns or not rows:
        raise LayoutError(
            f"a label of {describe_size(width, height)} does not fit on {page}"
            f" ({describe_size(page_width, page_height)}, {margin / _UNITS['mm']:.0f} mm margins): choose a"
            " smaller --label-size or print it on a page of its own"
        )
    plain = Stock(
        f"{page} tiled", "sheet", page, page_width, page_height, width, height, columns, rows, width, height
    )
    return _centred(plain)


def describe_size(width: float, height: float) -> str:
    """ "101.6 x 50.8 mm (4 x 2 in)"."""
    if not height:
        return f"{width / _UNITS['mm']:.1f} mm ({width / 72:.3g} in) wide, as high as needed"
    return (
        f"{width / _UNITS['mm']:.1f} x {height / _UNITS['mm']:.1f} mm ({width / 72:.3g} x"
        f" {height / 72:.3g} in)"
    )


def _centred(stock: Stock, left: float | None = None, top: float | None = None) -> Stock:
    wide = (stock.columns - 1) * stock.pitch_x + stock.width
    high = (stock.rows - 1) * stock.pitch_y + stock.height
    return replace(
        stock,
        left=(stock.page_width - wide) / 2 if left is None else left,
        top=(stock.page_height - high) / 2 if top is None else top,
    )


def _read(raw: dict, file: str) -> Stock:
    at = f"templates/stock/{file}: {raw.get('name', 'an entry without a name')}"
    lengths = {"width", "height", "pitch_x", "pitch_y", "left", "top", "corner", "keep", "hole"}
    if extra := set(raw) - lengths - {"name", "kind", "page", "columns", "rows", "round"}:
        raise LayoutError(f"{at}: unknown {', '.join(sorted(extra))}: remove it")
    if lacking := {"name", "kind", "page", "width", "height"} - set(raw):
        raise LayoutError(f"{at}: {', '.join(sorted(lacking))} missing: add it")
    sizes = {key: 0.0 if raw[key] == _AS_NEEDED else read_length(raw[key]) for key in lengths & set(raw)}
    width, height = sizes["width"], sizes["height"]
    page_width, page_height = (width, height) if raw["page"] == "label" else pages()[raw["page"]]
    values = {"pitch_x": width, "pitch_y": height, **sizes}
    if raw.get("round"):
        values["corner"] = width / 2
    left, top = values.pop("left", None), values.pop("top", None)
    stock = Stock(
        raw["name"],
        raw["kind"],
        raw["page"],
        page_width,
        page_height,
        columns=raw.get("columns", 1),
        rows=raw.get("rows", 1),
        round=raw.get("round", False),
        **values,
    )
    stock = _centred(stock, left, top)
    x, y = stock.place(stock.slots - 1)
    inside = stock.left >= -0.01 and stock.top >= -0.01 and x + width <= page_width + 0.01 and y >= -0.01
    if (
        stock.kind not in _KINDS
        or not inside
        or stock.pitch_x < width - 0.01
        or stock.pitch_y < height - 0.01
        or (stock.round and width != height)
    ):
        raise LayoutError(f"{at}: its labels overlap or leave the page: correct its figures")
    return stock
