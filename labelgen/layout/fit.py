"""Chooses a nutrition panel's format for the space there is: the largest lawful one that fits, and why.

The formats of a market, their order and the package sizes they are meant for are data
(``reference/markets/<market>/formats.toml``). Nothing is measured by drawing: a panel that does not fit is
known from the font's own widths.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date

from labelgen.errors import NoRoomError
from labelgen.law.format_tables import Format, Offer
from labelgen.law.pack import Pack, read_pack
from labelgen.law.record import known
from labelgen.layout.abbreviate import abbreviate
from labelgen.layout.arrangement import read_spacing
from labelgen.layout.boxes import Block
from labelgen.layout.panels.formats import build_panel, comfortable_width, least_width, measure_panel
from labelgen.layout.rules import AREAS, POINTS, LabelRules, PanelRules
from labelgen.market.declaration_records import Panel

_MM = POINTS["mm"]
#: A panel may overstep its space by this much [pt]: binary dust only.
_DUST = 1e-6
#: How many formats that were not taken a reason tells of.
_SHOWN = 3
#: (how many times too large, why not) of a format that was not taken.
_Passed = tuple[float, str]


@dataclass(frozen=True)
class Package:
    """Surfaces of the whole package that can bear print [mm2], None where not known. A sticker is not the
    package.

    total: all of it. largest: the largest side. display: all but what cannot be seen or labelled.
    """

    total: float | None = None
    largest: float | None = None
    display: float | None = None

    @classmethod
    def of_sides(cls, sides: Sequence[float]) -> Package:
        """A box of two or three sides [mm], all of it taken to be on display; () is a package that is not
        known.
        """
        if not sides:
            return cls()
        longest, middle, *rest = sorted(sides, reverse=True)
        largest = longest * middle
        total = 2 * (largest + (rest[0] if rest else 0.0) * (longest + middle))
        return cls(total, largest, total)


def fit_panel(
    panel: Panel,
    market: str | Pack,
    on: date,
    width_pt: float,
    height_pt: float = math.inf,
    package: Package = Package(),
    only: Sequence[str] = (),
) -> tuple[Block, str]:
    """(the panel, why this format) for a space of this width and height [pt]; as ``choose_panel``."""
    chosen = choose_panel(panel, market, on, width_pt, height_pt, package, only)
    return chosen.block, chosen.why


@dataclass(frozen=True, eq=False)
class Chosen:
    """A panel that fits. why: this format. rank: the format's place among the market's, in the order the
    law prefers them; 0 is the first. ease: how much of the width it would like it has, in its format's
    largest type; at most 1.
    """

    block: Block
    why: str
    rank: int
    ease: float


def choose_panel(
    panel: Panel,
    market: str | Pack,
    on: date,
    width_pt: float,
    height_pt: float = math.inf,
    package: Package = Package(),
    only: Sequence[str] = (),
) -> Chosen:
    """The panel for a space of this width and height [pt].

    only: keys of the formats that may be used, in place of all. Raises NoRoomError with the least space [pt]
    and what else the law offers when no lawful format fits.
    """
    pack = market if isinstance(market, Pack) else read_pack(market, on)
    passed: list[_Passed] = []
    tried: list[_Size] = []
    for entry in pack.entries(Format):
        if (only and entry.key not in only) or not _holds(entry, panel):
            continue
        against = _against(entry, height_pt, package)
        if against:
            passed.append((1.0, f"{entry.title}: {against}"))
            continue
        for size in _sizes(pack, entry, panel, width_pt, package):
            tried.append(size)
            if size.fits(width_pt, height_pt):
                return _chosen(pack, size, _why(size, width_pt, height_pt, passed))
        sizes = [t for t in tried if t.rules.format.key == entry.key]
        passed.append(
            _passed_over(sizes, width_pt, height_pt)
            if sizes
            else (math.inf, f"{entry.title}: cannot be made so narrow")
        )
    for size in tried:
        if replace(size, most=math.inf).fits(width_pt, height_pt):
            return _chosen(pack, size, _why(size, width_pt, height_pt, passed))
    raise _no_room(pack, tried, passed, width_pt, height_pt, package)


@dataclass(frozen=True)
class _Size:
    """A panel at a width that its lines fit, and its height [pt]. how: what was done to it, for the
    reason. most: the area it may cover [pt2].
    """

    width: float
    height: float
    panel: Panel
    rules: PanelRules
    how: str
    most: float = math.inf

    def fits(self, width: float, height: float) -> bool:
        return self.width <= width + _DUST and self.height <= height + _DUST and not self.covers_too_much

    @property
    def covers_too_much(self) -> bool:
        return self.width * self.height > self.most + _DUST

    def excess(self, width: float, height: float) -> float:
        """How many times the space it takes: 1 when it fits."""
        return max(self.width / width, 1.0) * max(self.height / height, 1.0)

    def __str__(self) -> str:
        return _space(self.width, self.height)


def _space(width: float, height: float) -> str:
    """ "40.5 x 62 mm", rounded up to half a millimetre."""
    wide, high = (math.ceil(x / _MM * 2 - _DUST) / 2 if math.isfinite(x) else x for x in (width, height))
    return f"{wide:g} mm wide" if math.isinf(high) else f"{wide:g} x {high:g} mm"


def _chosen(pack: Pack, size: _Size, why: str) -> Chosen:
    rank = [entry.key for entry in pack.entries(Format)].index(size.rules.format.key)
    largest = LabelRules(pack.market, pack).panel(size.rules.format.key, _type_sizes(size.rules.format)[0])
    ease = min(1.0, size.width / comfortable_width(size.panel, largest))
    return Chosen(build_panel(size.panel, size.width, size.rules).block(), why, rank, ease)


def _type_sizes(entry: Format) -> tuple[float, ...]:
    """The type sizes the arrangement of a format may be set in, largest first; 0 is the law's least."""
    return tuple(float(size) for size in read_spacing(entry.template).get("type.sizes", (0.0,)))


def _passed_over(sizes: Sequence[_Size], width: float, height: float) -> _Passed:
    """Why a format that may be used was not taken."""
    entry, least = sizes[0].rules.format, min(sizes, key=lambda t: t.excess(width, height))
    excess = least.excess(width, height)
    if excess > 1 or not least.covers_too_much:
        return excess, f"{entry.title}: needs {least}"
    return (
        excess,
        f"{entry.title}: {least} is more than {float(entry.share or 0):.0%} of the display surface",
    )


def _nearest(passed: Sequence[_Passed]) -> str:
    """The formats that came nearest, in words; the others counted."""
    said = [text for _, text in sorted(passed, key=lambda p: p[0])[:_SHOWN]]
    return "; ".join([*said, f"and {len(passed) - _SHOWN} more"] if len(passed) > _SHOWN else said)


def _holds(entry: Format, panel: Panel) -> bool:
    """Whether the format is made for so many columns of figures; one that prints the first only holds
    several.
    """
    kind = "foods" if any(c.serving for c in panel.columns) else "many" if len(panel.columns) > 1 else "one"
    columns = entry.columns or "any"
    if entry.languages and entry.languages != (2 if panel.second else 1):
        return False
    return columns in ("any", kind) or (columns == "first" and kind != "foods")


def _against(entry: Format, height: float, package: Package) -> str:
    """Why a format may not be used here at all; "" when it may."""
    limit = entry.height_below
    if limit and height >= float(limit) * POINTS[entry.height_unit]:
        return f"only where there is less than {limit} {entry.height_unit} of height, {entry.source}"
    return _too_large(entry, package)


def _too_large(entry: Format | Offer, package: Package) -> str:
    """Why the package is too large for what the entry allows; "" when it is not."""
    which, limit = entry.surface, entry.at_most or entry.below
    if not which:
        return ""
    area = getattr(package, which)
    most = float(known(limit, entry.key)) * AREAS[entry.unit]
    bound = (
        f"{which} surface of {'at most' if entry.at_most else 'less than'} {limit} {entry.unit},"
        f" {entry.source}"
    )
    if area is None:
        return f"only for a package with a {bound}; the package's is not known"
    if area > most or (area == most and entry.below):
        return f"only for a package with a {bound}; this one has {float(area) / AREAS[entry.unit]:.0f}"
    return ""


def _sizes(pack: Pack, entry: Format, panel: Panel, width: float, package: Package) -> Iterator[_Size]:
    """Everything the format can do: each wording at each type size of its arrangement, largest first, at
    each width.
    """
    market = LabelRules(pack.market, pack)
    share = entry.share
    most = float(share) * package.display * _MM**2 if share and package.display is not None else math.inf
    for shown, how in _wordings(market, entry, panel):
        for base in _type_sizes(entry):
            rules = market.panel(entry.key, base)
            for wide in _widths(shown, rules, width):
                needed, height = measure_panel(shown, wide, rules)
                if needed <= wide + _DUST:
                    yield _Size(wide, height, shown, rules, how, most)


def _wordings(market: LabelRules, entry: Format, panel: Panel) -> Iterator[tuple[Panel, str]]:
    """The panel as it is, then with the abbreviations that the format may use."""
    how = ""
    if entry.columns == "first" and len(panel.columns) > 1:
        how = f" with the column {panel.columns[0].heading!r} alone"
        panel = replace(panel, columns=(replace(panel.columns[0], heading=""),))
    yield panel, how
    if entry.abbreviate:
        yield (
            abbreviate(panel, market.short_words(), tuple(entry.percent_only)),
            how + " with abbreviations",
        )


def _widths(panel: Panel, rules: PanelRules, width: float) -> tuple[float, ...]:
    """The width the panel likes best, then wider up to the space, then narrower down to the least."""
    least, best = least_width(panel, rules), comfortable_width(panel, rules)
    start = max(least, min(best, width))
    wider = [start + (width - start) * n / 4 for n in (1, 2, 3, 4)] if width > start else []
    return tuple(dict.fromkeys((start, *wider, (start + least) / 2, least)))


def _why(size: _Size, width: float, height: float, passed: Sequence[_Passed]) -> str:
    entry = size.rules.format
    text = f"{entry.title}{size.how} ({entry.source}), {size} in a space of {_space(width, height)}"
    if entry.share:
        share = f"{float(entry.share):.0%} of the display surface"
        text += (
            f"; the surface is not known, so {share} was not tested"
            if math.isinf(size.most)
            else (
                f"; beyond {share}, as no version stays below it"
                if size.covers_too_much
                else f"; within {share}"
            )
        )
    return f"{text}; passed over: {_nearest(passed)}" if passed else text


def _no_room(
    pack: Pack,
    tried: Sequence[_Size],
    passed: Sequence[_Passed],
    width: float,
    height: float,
    package: Package,
) -> NoRoomError:
    offers = _offers(pack, package)
    said = f" The law also offers: {'; '.join(offers)}." if offers else ""
    reasons = f" ({_nearest(passed)})" if len(passed) > 1 or not tried else ""
    if not tried:
        return NoRoomError(
            f"no panel format of market {pack.market!r} may be used here{reasons}: give the package's"
            f" surface.{said}",
            None,
            offers,
        )
    least = min(tried, key=lambda t: t.excess(width, height))
    return NoRoomError(
        f"the nutrition panel does not fit {_space(width, height)}: the least space for it is {least}, as"
        f" the {least.rules.format.title}{reasons}. Choose a larger label.{said}",
        (least.width, least.height),
        offers,
    )


def _offers(pack: Pack, package: Package) -> tuple[str, ...]:
    """What else the law lets a maker do where the panel finds no room."""
    if not pack.has(Offer):
        return ()
    return tuple(
        f"{e.text} ({e.source})"
        for e in pack.entries(Offer)
        if not e.surface or getattr(package, e.surface) is None or not _too_large(e, package)
    )
