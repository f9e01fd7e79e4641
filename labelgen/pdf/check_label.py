"""Whether the finished PDF really says what was laid out: words, legal size, bold, place, embedding,
overlap.
"""

from __future__ import annotations

from math import hypot

from labelgen.errors import Finding, Where
from labelgen.findings import find
from labelgen.layout.boxes import CodeBox, PageLayout, TextBox
from labelgen.layout.metrics import HEAVY, face
from labelgen.layout.sheets import Placement
from labelgen.pdf.agree import disagreements
from labelgen.pdf.readback import Page, read_pages
from labelgen.pdf.second import GlyphPage, read_glyphs

#: Characters that reach below the baseline.
_TAILS = frozenset("gjpqy,;()[]{}|@$Qçęąųįșțģķļņŗ_/")


def check_label(pdf: bytes, *faces: PageLayout) -> tuple[Finding, ...]:
    """Findings of the read-back of a label, a page for each face; none when it may be written."""
    pages = read_pages(pdf)
    if len(pages) != len(faces):
        return (find("pages", Where(faces[0].product), pages=len(pages), due=len(faces)),)
    drawn = read_glyphs(pdf)
    return tuple(
        f
        for page, second, face in zip(pages, drawn, faces, strict=True)
        for f in _check_face(page, second, face)
    )


def _check_face(page: Page, second: GlyphPage, layout: PageLayout) -> tuple[Finding, ...]:
    (width, height), seen = page
    found: list[Finding] = []
    where = Where(layout.product)

    def fault(key: str, **told) -> None:
        found.append(find(key, where, **told))

    if abs(width - layout.width_pt) > 0.5 or abs(height - layout.height_pt) > 0.5:
        fault("page-size", width=width, height=height, due_width=layout.width_pt, due_height=layout.height_pt)
    rules = {s.part: s.rule for s in layout.statements}
    page_text = "".join("".join(s.text.split()) for s in seen)
    for statement in layout.statements:
        boxes = [b for b in layout.boxes if isinstance(b, TextBox) and b.part == statement.part]
        said = "".join("".join(b.text.split()) for b in boxes)
        if said != "".join(statement.text.split()):
            fault("text-lost", part=statement.part, text=said[:60], due=statement.text[:60])
    for box in (b for b in layout.boxes if isinstance(b, TextBox)):
        here = [s for s in seen if abs(s.x - box.x) < 0.6 and abs(s.y - box.y) < 0.6]
        if not here or "".join(box.text.split()) not in page_text:
            fault("text-missing", text=box.text)
            continue
        got, rule = here[0], rules.get(box.part)
        if abs(got.size_pt - box.size_pt) > 0.05:
            fault("type-size", text=box.text, size=got.size_pt, due=box.size_pt)
        if rule and got.size_pt + 1e-3 < rule.least_size(face(box.face)):
            fault(
                "type-too-small",
                cites=rule.source,
                text=box.text,
                size=got.size_pt,
                least=rule.least_size(face(box.face)),
            )
        if not got.embedded:
            fault("font-not-embedded", font=got.font, text=box.text)
        if (box.face in HEAVY or (rule and rule.bold)) and not any(w in got.font for w in ("Bold", "Black")):
            fault("not-bold", text=box.text)
        if not _on_label(box, layout):
            fault("clipped", text=box.text)
        if (
            box.part == "net-quantity"
            and layout.net_zone
            and box.y + box.size_pt * face(box.face).cap_height > layout.net_zone.top + 0.1
        ):
            fault(
                "net-quantity-place",
                share=box.y / layout.height_pt,
                zone=layout.net_zone.height / layout.height_pt,
            )
    found += disagreements(second, [Placement(layout, 0.0, 0.0)], where, "the label")
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


def _overlaps(layout: PageLayout) -> list[Finding]:
    """Texts and codes that would touch: letters from their baseline to the height of capitals."""
    areas = [
        (b.y, b.y + b.size_pt * face(b.face).cap_height, b.x, b.width, repr(b.text))
        for b in layout.boxes
        if isinstance(b, TextBox)
    ]
    areas += [
        (b.y, b.y + b.height, b.x, b.width, f"the {b.kind} code")
        for b in layout.boxes
        if isinstance(b, CodeBox)
    ]
    areas.sort()
    found = []
    for i, (_, top, x, width, name) in enumerate(areas):
        for low, _, other_x, other_width, other in areas[i + 1 :]:
            if low >= top:
                break
            if x < other_x + other_width - 0.3 and other_x < x + width - 0.3:
                found.append(find("overlap", Where(layout.product), one=name, other=other))
    return found
