"""Whether the second reader sees every text where it was put, in ink that stands out from the paper."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Sequence

from labelgen.errors import Finding, Where
from labelgen.findings import find
from labelgen.layout.arrangement import read_spacing
from labelgen.layout.boxes import RuleBox, TextBox
from labelgen.layout.sheets import Placement, Sheet
from labelgen.pdf.readback import Page, page_marks, read_pages
from labelgen.pdf.second import Colour, Glyph, GlyphPage, contrast, read_glyphs


def disagreements(
    page: GlyphPage, placements: Iterable[Placement], where: Where, place: str
) -> list[Finding]:
    """Each text that is not there, is of another size, or is too pale; and text nobody put there. place:
    what the page is called.
    """
    rows: dict[int, list[Glyph]] = defaultdict(list)
    for glyph in page.glyphs:
        rows[round(glyph.y)].append(glyph)
    found, due, least = [], 0, float(read_spacing("label", "labels")["check.contrast"])
    for placed in placements:
        for box in placed.layout.boxes:
            if not isinstance(box, TextBox):
                continue
            said = "".join(box.text.split())
            due += len(said)
            got = _at(rows, box, placed)
            if "".join(g.char for g in got) != said:
                found.append(
                    find(
                        "text-missing.second-reader",
                        where,
                        place=place,
                        text=box.text,
                        got="".join(g.char for g in got),
                    )
                )
                continue
            if any(abs(g.size_pt - box.size_pt) > 0.05 for g in got):
                found.append(
                    find(
                        "type-size.second-reader",
                        where,
                        place=place,
                        text=box.text,
                        size=got[0].size_pt,
                        due=box.size_pt,
                    )
                )
            if hidden := "".join(g.char for g in got if not g.seen):
                found.append(find("not-visible", where, place=place, hidden=hidden, text=box.text))
            pale = min(map(_contrast, {(g.colour, g.ground) for g in got}), default=21.0)
            if pale < least:
                found.append(
                    find("low-contrast", where, place=place, text=box.text, contrast=pale, least=least)
                )
    if due != len(page.glyphs) and not found:
        found.append(find("text-added", where, place=place, letters=len(page.glyphs), due=due))
    return found


def _contrast(colours: tuple[Colour, Colour]) -> float:
    return contrast(*colours)


def _at(rows: dict[int, list[Glyph]], box: TextBox, placed: Placement) -> list[Glyph]:
    """The characters on a box's baseline, between its ends, in its reading direction."""
    if placed.turned:
        y = placed.y + placed.layout.height_pt - box.y
        right = placed.x + placed.layout.width_pt - box.x
        left = right - box.width
    else:
        y, left = placed.y + box.y, placed.x + box.x
        right = left + box.width
    low, high = (left + 0.2, right + 0.3) if placed.turned else (left - 0.3, right - 0.2)
    near = (g for row in (round(y) - 1, round(y), round(y) + 1) for g in rows.get(row, ()))
    return sorted(
        (g for g in near if abs(g.y - y) < 0.3 and low <= g.x <= high),
        key=lambda g: -g.x if placed.turned else g.x,
    )


def check_sheets(pdf: bytes, sheets: Sequence[Sheet]) -> tuple[Finding, ...]:
    """Whether every page holds every label asked for, whole, at its true size, as two readers see it. Of
    pages that are drawn alike and are to hold the same, one is read.
    """
    where = Where(sheets[0].placements[0].layout.product)
    marks = page_marks(pdf)
    if len(marks) != len(sheets):
        return (find("pages", where, pages=len(marks), due=len(sheets)),)
    alike: dict[tuple, int] = {}
    for number, (mark, sheet) in enumerate(zip(marks, sheets, strict=True)):
        due = tuple((id(p.layout), p.x, p.y, p.turned) for p in sheet.placements)
        alike.setdefault((mark, due, sheet.width, sheet.height), number)
    found = []
    for number in alike.values():
        (page,), (second,) = read_pages(pdf, [number]), read_glyphs(pdf, [number])
        found += _page_faults(page, second, sheets[number], where, f"page {number + 1}")
    return tuple(dict.fromkeys(found))


def _page_faults(page: Page, second: GlyphPage, sheet: Sheet, where: Where, place: str) -> Iterator[Finding]:
    (width, height), seen = page
    if abs(width - sheet.width) > 0.5 or abs(height - sheet.height) > 0.5:
        yield find(
            "page-size.of-sheet",
            where,
            place=place,
            width=width,
            height=height,
            due_width=sheet.width,
            due_height=sheet.height,
        )
    for placed in sheet.placements:
        left, bottom, right, top = _ink(placed)
        if min(left, bottom) < 0 or right > width or top > height:
            yield find("off-the-page", where, place=place)
    due = Counter(
        "".join(b.text.split()) for p in sheet.placements for b in p.layout.boxes if isinstance(b, TextBox)
    )
    got = Counter("".join(s.text.split()) for s in seen)
    if differing := (due - got) | (got - due):
        yield find("text-missing.of-sheet", where, place=place, text=next(iter(differing)))
    yield from disagreements(second, sheet.placements, where, place)


def _ink(placed: Placement) -> tuple[float, float, float, float]:
    """Left, bottom, right and top of all that a placed label prints [pt]."""
    xs, ys = [], []
    for box in placed.layout.boxes:
        if isinstance(box, RuleBox):
            xs += (box.x1, box.x2)
            ys += (box.y1, box.y2)
        else:
            xs += (box.x, box.x + box.width)
            ys += (box.y, box.y + (box.size_pt if isinstance(box, TextBox) else box.height))
    if placed.turned:
        xs, ys = [placed.layout.width_pt - x for x in xs], [placed.layout.height_pt - y for y in ys]
    return (
        placed.x + min(xs, default=0.0),
        placed.y + min(ys, default=0.0),
        placed.x + max(xs, default=0.0),
        placed.y + max(ys, default=0.0),
    )
