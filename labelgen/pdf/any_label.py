"""Holds any PDF, whoever made it, against what a product's label must say: words, type as printed, bold,
contrast, fonts.
"""

from __future__ import annotations

import io
import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import groupby, pairwise

from labelgen.errors import Finding, ReadBackError, Where
from labelgen.findings import find
from labelgen.layout.arrangement import read_spacing
from labelgen.layout.boxes import PageLayout, Statement
from labelgen.layout.rules import TypeRule
from labelgen.pdf.printed_figures import misread_figures
from labelgen.pdf.second import Glyph, GlyphPage, contrast, read_glyphs, read_unlike, read_upright

_HEAVY = re.compile(r"bold|black|heavy|demi|semibold", re.IGNORECASE)
#: Letters whose ink is as high as the x-height, flat ones first; and as high as capitals.
_X_LETTERS, _CAPITALS = ("vwxz", "acemnorsu"), ("EFHIKLTXZ", "ABCDGMNOPRSU")
#: A letter is followed over at most so many squares: beyond, it is a drawing.
_MOST_SQUARES = 4000


@dataclass(frozen=True)
class Met:
    """One text of the label as found. size_pt: least type size; height_mm: of its x-height or capitals, 0
    where neither is asked for; least: what the law asks, in points of size or millimetres of height; ok:
    found and lawful.
    """

    part: str
    text: str
    found: bool
    size_pt: float
    height_mm: float
    least: float
    rule: str
    ok: bool


def preflight(
    pdf: bytes, name: str, faces: Sequence[PageLayout], sized: bool = True
) -> tuple[tuple[Met, ...], tuple[Finding, ...]]:
    """What is met of every text that ``faces`` say, and the findings; ``name`` is the file as shown to the
    maker.
    sized: the faces have the size of the printed label.

    Raises ReadBackError when the file is no PDF or holds no text.
    """
    upright = read_upright(pdf)
    if not any(page.glyphs for page in upright):
        raise ReadBackError(
            f"{name}: no text can be read from it, it may be a picture: export the label with its text"
        )
    # what nobody can see on paper is not on the label
    pages = tuple(replace(page, glyphs=tuple(g for g in page.glyphs if g.seen)) for page in upright)
    glyphs = [g for page in pages for g in page.glyphs]
    where, found, met = Where(name), [], []
    if not sized:
        faces = _unsized(faces)
        found.append(find("size-not-known", where))
    stream = "".join(g.char for g in glyphs)
    for statement in (s for face in faces for s in face.statements if sum(c.isalpha() for c in s.text) > 2):
        one, faults = _meet(statement, stream, glyphs, where)
        met.append(one)
        found += faults
    for named, fault in misread_figures(pages, faces, where):
        met += [Met(named.part, named.text, True, 0.0, 0.0, 0.0, named.rule.source, False)] if named else []
        found.append(fault)
    found += (*_unasked(stream, glyphs, faces, where), *_structure(pdf, {g.font for g in glyphs}, where))
    found += (*_hidden(upright, where), *_unlike(pdf, where), *_ink(read_glyphs(pdf), where))
    return tuple(met), tuple(dict.fromkeys(found))


def _unsized(faces: Sequence[PageLayout]) -> tuple[PageLayout, ...]:
    """The faces with no least height for the net quantity, which depends on a size nobody told."""
    return tuple(
        replace(
            face,
            statements=tuple(
                replace(s, rule=replace(s.rule, minimum=0.0)) if s.role == "net-quantity" else s
                for s in face.statements
            ),
        )
        for face in faces
    )


def _meet(statement: Statement, stream: str, glyphs: list[Glyph], where: Where) -> tuple[Met, list[Finding]]:
    said = "".join(statement.text.split())
    rule, about = statement.rule, {"cites": statement.rule.source, "text": _shortened(statement.text)}
    places = [m.start() for m in re.finditer(re.escape(said), stream)]
    least = rule.minimum if rule.measured == "size" else rule.minimum / 72 * 25.4
    if not places:
        return Met(statement.part, statement.text, False, 0.0, 0.0, least, rule.source, False), [
            _missing(statement, said, stream, where)
        ]
    # said more than once, the largest is the one that counts
    runs = [glyphs[at : at + len(said)] for at in places]
    run = max(runs, key=lambda r: min(g.size_pt for g in r))
    size, height = min(g.size_pt for g in run), _height(run, rule)
    faults = []
    if rule.measured == "size" and size < rule.minimum - 0.02:
        faults.append(find("type-too-small.of-file", where, **about, size=size, least=rule.minimum))
    elif rule.measured != "size" and 0 < height < least - 0.01:
        key = "type-too-small.x-height" if rule.measured == "x_height" else "type-too-small.capitals"
        faults.append(find(key, where, **about, height=height, least=least))
    if rule.bold and not all(_HEAVY.search(g.font) for g in run):
        faults.append(find("not-bold.of-file", where, **about, font=run[0].font or "an unnamed font"))
    return Met(statement.part, statement.text, True, size, height, least, rule.source, not faults), faults


def _shortened(text: str, most: int = 60) -> str:
    text = " ".join(text.split())
    return text if len(text) <= most else f"{text[: most - 3]}..."


def _missing(statement: Statement, said: str, stream: str, where: Where) -> Finding:
    """That a text is not there, and how much of it is, to find the slip by."""
    low, high = 0, len(said)
    while low < high:
        middle = (low + high + 1) // 2
        low, high = (middle, high) if said[:middle] in stream else (low, middle - 1)
    told = {
        "text": _shortened(statement.text),
        "before": said[max(0, low - 20) : low],
        "after": said[low : low + 20],
    }
    wording = "text-missing.broken-off" if low > 8 else "text-missing.of-file"
    return find(wording, where, cites=statement.rule.source, **told)


def _unasked(
    stream: str, glyphs: Sequence[Glyph], faces: Sequence[PageLayout], where: Where
) -> Iterator[Finding]:
    """Texts of the file that the label does not have: those that name an allergen or make a claim, and how
    many others.
    """
    from labelgen.composition.text.lexicon import find_allergens
    from labelgen.market.claims.in_text import claims_in

    known = bytearray(len(stream))
    for text in {
        "".join(s.text.split())
        for face in faces
        for s in face.statements
        if sum(c.isalpha() for c in s.text) > 2
    }:
        for found in re.finditer(re.escape(text), stream):
            known[found.start() : found.end()] = b"\1" * len(text)
    runs = (_spaced(glyphs[m.start() : m.end()]) for m in re.finditer(b"\0+", known))
    rest = [text for text in dict.fromkeys(runs) if re.search(r"[^\W\d_]{3}", text)]
    for text in rest:
        seen = find_allergens(text)
        if seen.contains or seen.may_contain or claims_in(text):
            yield find("text-else", where, text=_shortened(text))
    if rest:
        texts, more = "; ".join(_shortened(t, 160) for t in rest[:5]), len(rest) - 5
        yield find("text-else.many-others" if more > 0 else "text-else.others", where, texts=texts, more=more)


def _spaced(run: Sequence[Glyph]) -> str:
    """The text of letters in their order, with a blank where there is a gap or a new line."""
    parts = [run[0].char]
    for before, g in pairwise(run):
        apart = (
            abs(g.y - before.y) > 0.5 * g.size_pt
            or not -0.2 * g.size_pt < g.left - before.right < 0.2 * g.size_pt
        )
        parts.append(f" {g.char}" if apart else g.char)
    return "".join(parts)


def _hidden(pages: Iterable[GlyphPage], where: Where) -> Iterator[Finding]:
    """Texts that the file holds and its pages do not show."""
    for page in pages:
        for shown, run in groupby(page.glyphs, lambda g: g.seen):
            text = _spaced(list(run))
            if not shown and any(c.isalnum() for c in text):
                yield find("not-visible.of-file", where, text=_shortened(text, 160))


def _unlike(pdf: bytes, where: Where) -> Iterator[Finding]:
    """Texts that the file says and its pages show otherwise."""
    for text in read_unlike(pdf):
        yield find("not-as-read", where, text=_shortened(text, 80))


def _height(run: Sequence[Glyph], rule: TypeRule) -> float:
    """Measured height [mm] of the ink of the letters a rule speaks of; 0 when it speaks of the type size
    or there are none.
    """
    if rule.measured == "size":
        return 0.0
    for letters in _X_LETTERS if rule.measured == "x_height" else _CAPITALS:
        # the foot of the letter is its baseline: the overshoot of round letters below it does not count
        heights = [g.top - max(g.bottom, g.y) for g in run if g.char in letters]
        if heights:
            return min(heights) / 72 * 25.4
    return 0.0


def _structure(pdf: bytes, used: set[str], where: Where) -> tuple[Finding, ...]:
    """What ``_pages`` finds. A damaged file that one reader still shows may break the other anywhere: that
    is told, not raised.
    """
    try:
        return tuple(_pages(pdf, used, where))
    except Exception as error:
        return (find("damaged", where, error=type(error).__name__),)


def _pages(pdf: bytes, used: set[str], where: Where) -> Iterator[Finding]:
    """Fonts in use that are not in the file, and pages that print at another size than they seem."""
    from pypdf import PdfReader

    loose: set[str] = set()
    for number, page in enumerate(PdfReader(io.BytesIO(pdf)).pages, 1):
        if float(page.get("/UserUnit", 1)) != 1:
            yield find("page-scale", where, page=number)
        loose |= set(_loose_fonts(page.get("/Resources") or {})) & used
    if loose:
        yield find("font-not-embedded.of-file", where, fonts=sorted(loose))


def _loose_fonts(resources, within: tuple[int, ...] = ()) -> Iterator[str]:
    """Fonts that resources name and the file does not hold. within: the forms they stand in, so that none
    holds itself.
    """
    resources = resources.get_object()
    for font in (resources.get("/Font") or {}).values():
        font = font.get_object()
        inner = font["/DescendantFonts"][0].get_object() if "/DescendantFonts" in font else font
        descriptor = inner.get("/FontDescriptor") or {}
        if font.get("/Subtype") != "/Type3" and not any(
            key in descriptor for key in ("/FontFile", "/FontFile2", "/FontFile3")
        ):
            yield str(font.get("/BaseFont", "unnamed")).lstrip("/")
    for form in (resources.get("/XObject") or {}).values():
        form = form.get_object()
        if form.get("/Subtype") == "/Form" and form.get("/Resources") and id(form) not in within:
            yield from _loose_fonts(form["/Resources"], (*within, id(form)))


def _ink(pages: Sequence[GlyphPage], where: Where) -> Iterator[Finding]:
    """Letters off the page, printed over one another, or too pale."""
    least = float(read_spacing("label", "labels")["check.contrast"])
    for number, page in enumerate(pages, 1):
        off = [
            g
            for g in page.glyphs
            if g.left < -0.1 or g.bottom < -0.1 or g.right > page.width + 0.1 or g.top > page.height + 0.1
        ]
        if off:
            first = {"letter": off[0].char, "x": off[0].x, "y": off[0].y}
            yield find("clipped.of-file", where, page=number, letters=len(off), **first)
        if clash := _first_clash(page):
            one, other = clash
            yield find(
                "overlap.of-file", where, page=number, one=one.char, other=other.char, x=one.x, y=one.y
            )
        pale = [c for g in page.glyphs if g.seen and (c := contrast(g.colour, g.ground)) < least]
        if pale:
            yield find(
                "low-contrast.of-file",
                where,
                page=number,
                letters=len(pale),
                contrast=min(pale),
                least=least,
            )


def _first_clash(page: GlyphPage) -> tuple[Glyph, Glyph] | None:
    """Two letters whose ink covers the same place by more than a third of the smaller one. Only neighbours
    are compared: those with a square of the page in common that is as large as a letter usually is.
    """
    inked = [g for g in page.glyphs if g.right > g.left and g.top > g.bottom]
    side = max(1.0, sum(g.top - g.bottom for g in inked) / len(inked)) if inked else 1.0
    squares: dict[tuple[int, int], list[Glyph]] = defaultdict(list)
    for b in inked:
        reach = [
            (x, y)
            for x in range(int(b.left // side), int(b.right // side) + 1)
            for y in range(int(b.bottom // side), int(b.top // side) + 1)
        ]
        for a in {id(g): g for at in reach[:_MOST_SQUARES] for g in squares[at]}.values():
            wide, high = (
                min(a.right, b.right) - max(a.left, b.left),
                min(a.top, b.top) - max(a.bottom, b.bottom),
            )
            if (
                wide > 0
                and high > 0
                and wide * high > min((g.right - g.left) * (g.top - g.bottom) for g in (a, b)) / 3
            ):
                return a, b
        for at in reach[:_MOST_SQUARES]:
            squares[at].append(b)
    return None
