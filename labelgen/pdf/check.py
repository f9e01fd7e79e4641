"""Whether the finished PDF really says what was laid out: words, legal size, bold, place, embedding, overlap."""

from __future__ import annotations

from labelgen.errors import Finding, ReadBackError, Where
from labelgen.layout.boxes import PageLayout, TextBox
from labelgen.layout.metrics import HEAVY, face
from labelgen.pdf.readback import read_back


def check_label(pdf: bytes, layout: PageLayout) -> tuple[Finding, ...]:
    """Findings of the read-back; none when the label may be written."""
    (width, height), seen = read_back(pdf)
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
        if box.x < -0.1 or box.x + box.width > layout.width_pt + 0.1 or box.y < 0 or box.y + box.size_pt * face(box.face).cap_height > layout.height_pt:
            fault("clipped", f"{box.text!r} runs over the edge")
    return tuple(dict.fromkeys([*found, *_overlaps(layout)]))


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
