"""Whether the finished PDF really says what was laid out: words, legal size, bold, place, embedding, overlap."""

from __future__ import annotations

from collections import Counter
from math import hypot

from labelgen.errors import Finding, ReadBackError, Where
from labelgen.layout.boxes import PageLayout, TextBox
from labelgen.layout.metrics import HEAVY, face
from labelgen.layout.sheets import Sheet
from labelgen.pdf.readback import Page, read_pages


#: Characters that reach below the baseline.
_TAILS = frozenset("gjpqy,;()[]{}|@$Qçęąųįșțģķļņŗ_/")


def check_label(pdf: bytes, *faces: PageLayout) -> tuple[Finding, ...]:
    """Findings of the read-back of a label, a page for each face; none when it may be written."""
    pages = read_pages(pdf)
    if len(pages) != len(faces):
        return (Finding("pages", "block", Where(faces[0].product), f"the file has {len(pages)} pages, not {len(faces)}: report this"),)
    return tuple(f for page, face in zip(pages, faces) for f in _check_face(page, face))


def _check_face(page: Page, layout: PageLayout) -> tuple[Finding, ...]:
    (width, height), seen = page
    found: list[Finding] = []

    def fault(code: str, message: str, citation: str = "") -> None:
        found.append(Finding(code, "block", Where(layout.product), f"{message}: choose a larger label or shorten the text", citation))

    if abs(width - layout.width_pt) > 0.5 or abs(height - layout.height_pt) > 0.5:
        fault("page-size", f"the page is {width:.1f} x {height:.1f} pt, not {layout.width_pt:.1f} x {layout.height_pt:.1f} pt")
    rules = {s.part: s.rule for s in layout.statements}
    page_text = "".join("".join(s.text.split()) for s in seen)
    for statement in layout.statements:
        boxes = [b for b in layout.boxes if isinstance(b, TextBox) and b.part == statement.part]
        said = "".join("".join(b.text.split()) for b in boxes)
        if said != "".join(statement.text.split()):
            fault("text-lost", f"{statement.part} is laid out as {said[:60]!r} but must say {statement.text[:60]!r}")
    for box in (b for b in layout.boxes if isinstance(b, TextBox)):
        here = [s for s in seen if abs(s.x - box.x) < 0.6 and abs(s.y - box.y) < 0.6]
        if not here or "".join(box.text.split()) not in page_text:
            fault("text-missing", f"{box.text!r} is not in the PDF where it was put")
            continue
        got, rule = here[0], rules.get(box.part)
        if abs(got.size_pt - box.size_pt) > 0.05:
            fault("type-size", f"{box.text!r} is {got.size_pt:.2f} pt in the PDF, laid out at {box.size_pt:.2f} pt")
        if rule and got.size_pt + 1e-3 < rule.least_size(face(box.face)):
            fault("type-too-small", f"{box.text!r} is {got.size_pt:.2f} pt, the least is {rule.least_size(face(box.face)):.2f} pt", rule.source)
        if not got.embedded:
            fault("font-not-embedded", f"the font {got.font} of {box.text!r} is not in the file")
        if box.face in HEAVY and not any(w in got.font for w in ("Bold", "Black")):
            fault("not-bold", f"{box.text!r} must be bold")
        if not _on_label(box, layout):
            fault("clipped", f"{box.text!r} runs over the edge")
        if box.part == "net-quantity" and layout.net_zone and box.y + box.size_pt * face(box.face).cap_height > layout.net_zone.top + 0.1:
            fault("net-quantity-place", f"the net quantity stands {box.y / layout.height_pt:.0%} up the label, outside the lowest {layout.net_zone.height / layout.height_pt:.0%}")
    return tuple(dict.fromkeys([*found, *_overlaps(layout)]))


def _on_label(box: TextBox, layout: PageLayout) -> bool:
    """Whether a text, tails of letters included, stays inside the label and its rounded corners."""
    metrics, radius = face(box.face), layout.corner_pt
    tail = metrics.descent if any(c in _TAILS for c in box.text) else 0.0
    low, high = box.y - box.size_pt * tail, box.y + box.size_pt * metrics.cap_height
    for x in (box.x, box.x + box.width):
        for y in (low, high):
            # distance beyond the centre of the nearest corner's circle
            out_x = max(radius - x, x - (layout.width_pt - radius), 0.0)
            out_y = max(radius - y, y - (layout.height_pt - radius), 0.0)
            if radius and out_x and out_y:
                if hypot(out_x, out_y) > radius + 0.1:
                    return False
            elif not (-0.1 <= x <= layout.width_pt + 0.1 and -0.1 <= y <= layout.height_pt + 0.1):
                return False
    return True


def check_sheets(pdf: bytes, sheets: tuple[Sheet, ...]) -> tuple[Finding, ...]:
    """Whether every page holds every label asked for, whole, at its true size and clear of the others."""
    found: list[Finding] = []
    pages = read_pages(pdf)
    where = Where(sheets[0].placements[0].layout.product)
    if len(pages) != len(sheets):
        found.append(Finding("pages", "block", where, f"the file has {len(pages)} pages, not {len(sheets)}: report this"))
    for number, ((width, height), seen), sheet in zip(range(1, len(sheets) + 1), pages, sheets):
        if abs(width - sheet.width) > 0.5 or abs(height - sheet.height) > 0.5:
            found.append(Finding("page-size", "block", where, f"page {number} is {width:.1f} x {height:.1f} pt, not {sheet.width:.1f} x {sheet.height:.1f} pt: report this"))
        for placed in sheet.placements:
            layout = placed.layout
            if placed.x < -0.5 or placed.y < -0.5 or placed.x + layout.width_pt > width + 0.5 or placed.y + layout.height_pt > height + 0.5:
                found.append(Finding("off-the-page", "block", where, f"a label on page {number} runs off the page: use a smaller --nudge or other stock"))
        due = Counter(_squeezed(box.text) for placed in sheet.placements for box in placed.layout.boxes if isinstance(box, TextBox))
        got = Counter(_squeezed(s.text) for s in seen)
        if due != got:
            found.append(Finding("text-missing", "block", where, f"page {number} does not say what its labels say; first difference: {next(iter((due - got) | (got - due)))!r}: report this"))
    return tuple(dict.fromkeys(found))


def _squeezed(text: str) -> str:
    return "".join(text.split())


def _overlaps(layout: PageLayout) -> list[Finding]:
    """Texts whose letters would touch, by capital height and baseline."""
    boxes = sorted((b for b in layout.boxes if isinstance(b, TextBox)), key=lambda b: b.y)
    found = []
    for i, a in enumerate(boxes):
        top = a.y + a.size_pt * face(a.face).cap_height
        for b in boxes[i + 1 :]:
            if b.y >= top:
                break
            if a.x < b.x + b.width - 0.3 and b.x < a.x + a.width - 0.3:
                found.append(Finding("overlap", "block", Where(layout.product), f"{a.text!r} and {b.text!r} overlap: choose a larger label"))
    return found


def refuse_faulty(pdf: bytes, layout: PageLayout) -> bytes:
    """The PDF, if it reads back clean. Raises ReadBackError with every fault otherwise."""
    findings = check_label(pdf, layout)
    if findings:
        raise ReadBackError(f"{layout.product}: the finished label does not read back: {findings[0].message}", findings)
    return pdf
