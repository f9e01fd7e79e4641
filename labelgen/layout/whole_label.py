"""Whole labels: as high as they need to be, or fitted to label stock on one face or two."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import islice

from labelgen.errors import Finding, LayoutError, Where
from labelgen.findings import find
from labelgen.law.format_tables import Format
from labelgen.layout.arrange import Plan, best_plan, round_plan
from labelgen.layout.arrangement import read_spacing
from labelgen.layout.boxes import Box, PageLayout, Region
from labelgen.layout.label_parts import Parts, read_parts
from labelgen.layout.label_stock import (
    Stock,
    describe_size,
    every_stock,
    read_size,
    single_stock,
    stock_named,
    tiled_stock,
)
from labelgen.layout.panels.linear import RUNNING
from labelgen.layout.rules import read_label_rules
from labelgen.layout.tried import Tried
from labelgen.market.declaration_records import Declaration
from labelgen.order import Job

_ENDLESS = 5000.0
#: How the parts are spread over faces, the fewest first: for each face its head and its body.
_ONE_LABEL = ((("front", ("panel", "text")),),)
_TWO_FACES = ((("front", ()), ("back", ("panel", "text"))), (("front", ("text",)), ("back", ("panel",))))
_THREE_LABELS = ((("front", ()), ("back", ("text",)), ("back", ("panel",))),)
#: Widths tried for the least size and the greatest height, in steps of 5 mm: close together where labels are
# usual, and
#: what only a poster holds where none of these will do.
_WIDTHS, _TALLEST = (6, 8, 10, 12, 16, 20, 26, 34, 41), 60
_WIDER, _TALLER = (52, 68, 84, 120), 168
#: Side of a square whose corners stay inside a rounded corner of radius 1.
_ROUNDING = 0.293


@dataclass(frozen=True)
class Fitted:
    """A label on its stock. faces: one, or front and back. arrangement: which way it was arranged."""

    faces: tuple[PageLayout, ...]
    arrangement: str


def lay_out_label(
    declaration: Declaration, width_pt: float | None = None, margin: float | None = None
) -> PageLayout:
    """One label of the given width [pt], else of the usual one, as high as it needs to be. Raises
    LayoutError with the least width.
    """
    if width_pt is None:
        width_pt = read_spacing("label", "labels")["free.box_width" if declaration.items else "free.width"]
    height, tried = width_pt * 1.2, Tried(declaration)
    for _ in range(3):
        parts = read_parts(declaration, width_pt, height, tried)
        margin = parts.spacing["free.margin"] if margin is None else margin
        usual = parts.at_usual_sizes()
        if declaration.items:
            # room for several panels side by side
            usual = replace(
                usual, spacing={**usual.spacing, "panel.widths": usual.spacing["panel.widths_of_boxes"]}
            )
        plan = best_plan(usual, width_pt - 2 * margin, _ENDLESS)
        if plan is None:
            raise LayoutError(
                f"the label is {width_pt / 72:.2f} in wide but needs {_least_width(parts, margin) / 72:.2f}"
                " in: choose a wider one"
            )
        height = plan.need + 2 * margin
        if (
            parts.rules.net_quantity(width_pt, height, declaration.volume or declaration.net_grams)
            == parts.net_rule
        ):
            break
    return _page(declaration, parts, plan, plan.boxes(plan.need), width_pt, height, margin, margin, 0.0)


def fit_label(declaration: Declaration, stock: Stock) -> Fitted:
    """The label on its stock: one face if everything goes on it, else front and back.

    Raises LayoutError with the space there is, the least size that would do, and stock that would hold it.
    """
    if not stock.height:
        layout = lay_out_label(declaration, stock.width, stock.keep)
        return Fitted((layout,), layout.arrangement)
    tried = Tried(declaration)
    fitted = find_fit(declaration, stock, tried)
    if fitted is None:
        raise LayoutError(_too_small(declaration, stock, tried))
    return fitted


def fit_job(declaration: Declaration, job: Job) -> tuple[Stock, tuple[PageLayout, ...]]:
    """(stock, faces) of a label for a printing job. Raises LayoutError when it does not fit."""
    on_page = job.page not in ("", "label")
    if job.stock:
        stock = stock_named(job.stock)
    elif job.label_size:
        size = read_size(job.label_size)
        stock = tiled_stock(*size, job.page) if on_page else single_stock(*size)
    else:
        layout = lay_out_label(declaration)
        size = layout.width_pt, layout.height_pt
        return tiled_stock(*size, job.page) if on_page else single_stock(*size), (layout,)
    return stock, fit_label(declaration, stock).faces


def check_format(declaration: Declaration, faces: Sequence[PageLayout], where: Where) -> tuple[Finding, ...]:
    """A warning when the panel is set as running text: how much room the package has is for its maker to
    know.
    """
    if not any(s.role == RUNNING for face in faces for s in face.statements):
        return ()
    linear = next(
        e
        for e in read_label_rules(declaration.market, declaration.on).pack.entries(Format)
        if "linear" in e.template
    )
    return (find("panel-as-text", where, cites=linear.source, product=declaration.product),)


def stock_that_holds(
    declaration: Declaration, like: Stock | None = None, most: int = 1000, tried: Tried | None = None
) -> list[Stock]:
    """Listed stock the label fits on, smallest first, at most so many; ``like`` keeps to its page and
    kind.
    """
    asked = [
        s for s in every_stock() if s.height and (like is None or (s.page, s.kind) == (like.page, like.kind))
    ]
    tried = tried or Tried(declaration)
    able = (s for s in sorted(asked, key=lambda s: s.width * s.height) if _holds(declaration, s, (), tried))
    return list(islice(able, most))


def find_fit(declaration: Declaration, stock: Stock, tried: Tried | None = None) -> Fitted | None:
    """The label on its stock, or None."""
    return _spread(declaration, read_parts(declaration, stock.width, stock.face_height, tried), stock, ())


def _holds(declaration: Declaration, stock: Stock, ways: tuple, tried: Tried) -> bool:
    """Whether a label fits its stock at all: asked many times while a size is sought, so nothing is made
    to look well.
    """
    parts = read_parts(declaration, stock.width, stock.face_height, tried).at_least_sizes()
    return _spread(declaration, parts, stock, ways) is not None


def _spread(declaration: Declaration, parts: Parts, stock: Stock, ways: tuple) -> Fitted | None:
    """The parts over as few faces as take them; ``ways`` keeps to certain ways of spreading them."""
    for spread in ways or (_TWO_FACES if stock.two_faced else (*_ONE_LABEL, *_TWO_FACES, *_THREE_LABELS)):
        faces = []
        for head, body in spread:
            found = _face(declaration, parts.face(head, *body), stock)
            if found is None:
                break
            faces.append(found)
        else:
            return Fitted(tuple(faces), " + ".join(face.arrangement for face in faces))
    return None


def _face(declaration: Declaration, parts: Parts, stock: Stock) -> PageLayout | None:
    """One face of the stock, or None when the parts do not fit it."""
    width, height = stock.width, stock.face_height
    if stock.round:
        found = round_plan(parts, width / 2 - stock.keep, width / 2)
        if found is None:
            return None
        plan, boxes = found
        return _page(declaration, parts, plan, boxes, width, height, width / 2, height / 2, stock.corner)
    inset = max(stock.keep, stock.corner * _ROUNDING)
    inner_width, inner_height = width - 2 * inset, height - inset - max(inset, stock.hole)
    plan = best_plan(parts, inner_width, inner_height)
    if plan is None:
        return None
    return _page(
        declaration, parts, plan, plan.boxes(inner_height), width, height, inset, inset, stock.corner
    )


def _page(
    declaration: Declaration,
    parts: Parts,
    plan: Plan,
    boxes: list[Box],
    width: float,
    height: float,
    x: float,
    y: float,
    corner: float,
) -> PageLayout:
    statements = tuple(s for block in plan.blocks for s in block.statements)
    share = parts.net_zone if plan.net.height else 0.0
    return PageLayout(
        width,
        height,
        tuple([box.shifted(x, y) for box in boxes]),
        statements,
        declaration.product,
        declaration.business[0] if declaration.business else "",
        plan.name,
        Region(0.0, 0.0, width, height * share) if share else None,
        corner_pt=corner,
    )


def _too_small(declaration: Declaration, stock: Stock, tried: Tried) -> str:
    have = describe_size(stock.width, stock.face_height) + (" a face" if stock.two_faced else "")
    named = f"{stock.name}, {'round, ' if stock.round else ''}" if stock in every_stock() else ""
    message = f"the label does not fit {named}{have}"
    ways = (
        (("spread over two or three such labels", ()), ("on one label", _ONE_LABEL))
        if not stock.two_faced
        else (("flat", ()),)
    )
    needs = [
        f"{describe_size(*least)} {how}"
        for how, way in ways
        if (least := least_size(declaration, stock, way, tried))
    ]
    if needs:
        message += f"; at legal sizes it needs at least {', or '.join(needs)}"
    if able := stock_that_holds(declaration, stock, 3, tried):
        return (
            f"{message}: choose"
            f" {' or '.join(f'--stock {s.name} ({describe_size(s.width, s.height)})' for s in able)}, or a"
            " larger --label-size"
        )
    return (
        f"{message}: choose a larger --label-size; 'labelgen stock --holds PRODUCT' lists the stock that"
        " holds it"
    )


def least_size(
    declaration: Declaration, stock: Stock, ways: tuple = (), tried: Tried | None = None
) -> tuple[float, float] | None:
    """(width, height) in points of the smallest piece of the stock's kind that would do, to 5 mm."""
    step = 72 / 25.4 * 5
    tried = tried or Tried(declaration)
    folds = 2 if stock.kind == "fold" else 1

    def holds(across: int, tall: int, known: Tried = tried) -> bool:
        size = replace(
            stock,
            width=across * step,
            height=tall * step * folds,
            corner=across * step / 2 if stock.round else 0.0,
        )
        return _holds(declaration, size, ways, known)

    if stock.round:
        side = _first(lambda n: holds(n, n), 6, 60)
        return (side * step, side * step) if side else None
    best = _smallest(holds, _WIDTHS, _TALLEST) or _smallest(holds, _WIDER, _TALLER)
    if best is None:
        return None
    # a panel remembered from another space may be one that nobody tries who asks for this size alone
    tall = next((t for t in range(best[1], _TALLER) if holds(best[0], t, Tried(declaration))), 0)
    return (best[0] * step, tall * step * folds) if tall else None


def _smallest(
    holds: Callable[[int, int], bool], widths: Sequence[int], tallest: int
) -> tuple[int, int] | None:
    """(width, height) of the smallest area that holds, of the widths and of heights up to ``tallest``;
    None where none does.
    """
    best = None
    for across in widths:
        # only a smaller area than the best so far is worth looking for
        most = best[0] * best[1] // across if best else tallest
        if tall := _first(lambda t, n=across: holds(n, t), 4, min(tallest, most) + 1):
            best = (across, tall)
    return best


def _first(holds: Callable[[int], bool], low: int, high: int) -> int:
    """The least number from ``low`` below ``high`` that holds, when all above it hold too; 0 when none
    does.
    """
    beyond = high
    while low < high:
        middle = (low + high) // 2
        low, high = (low, middle) if holds(middle) else (middle + 1, high)
    return low if low < beyond else 0


def _least_width(parts: Parts, margin: float) -> float:
    """The narrowest label as high as it needs to be."""
    wide = 40.0
    while wide < _ENDLESS and best_plan(parts.at_usual_sizes(), wide, _ENDLESS) is None:
        wide += 4
    return wide + 2 * margin
