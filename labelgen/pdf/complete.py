"""Whether the faces of a label say everything that was declared, with its emphasis: the last look before a
file is written.

The read-back holds the file against what was laid out; this holds what was laid out against the declaration,
and asks nothing of the code that laid it out.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from labelgen.errors import Finding, Where
from labelgen.findings import find
from labelgen.layout.boxes import CodeBox, PageLayout, TextBox
from labelgen.layout.metrics import HEAVY
from labelgen.market.box import item_list
from labelgen.market.declaration_records import Declaration, Panel, Run


def check_complete(declaration: Declaration, faces: Sequence[PageLayout]) -> tuple[Finding, ...]:
    """Findings that stop a label: a text, a figure of the panel, an emphasis or a code that no face
    carries.
    """
    said = _printed(faces)
    where = Where(declaration.product)
    lost = [
        f"{text!r}"
        for text in _texts(declaration)
        if not any(_close(text) in words for words, _ in said.values())
    ]
    lost += (*_lost_figures(declaration, said), *_lost_codes(declaration, faces))
    found = [find("not-on-label", where, what=what) for what in lost]
    for runs in _emphasised(declaration):
        text = "".join(r.text for r in runs)[:40]
        found += [
            find("not-emphasised", where, what=f"{word!r} in {text!r}")
            for word in _plain(runs, list(said.values()))
        ]
    return tuple(dict.fromkeys(found))


#: The words of one statement without blanks, and of each letter whether it is set in bold.
_Words = tuple[str, tuple[bool, ...]]


def _printed(faces: Sequence[PageLayout]) -> dict[tuple[int, str], _Words]:
    """(face, part) -> what stands there."""
    found: dict[tuple[int, str], _Words] = {}
    for number, face in enumerate(faces):
        for box in face.boxes:
            if isinstance(box, TextBox):
                words, heavy = found.get((number, box.part), ("", ()))
                more = _close(box.text)
                found[number, box.part] = words + more, heavy + (box.face in HEAVY,) * len(more)
    return found


def _texts(declaration: Declaration) -> Iterator[str]:
    d = declaration
    for said in (d, d.second) if d.second else (d,):
        yield said.identity
        yield from (
            "".join(r.text for r in runs)
            for runs in (said.ingredients, said.allergens, *(item_list(item) for item in said.items))
        )
        yield from (*said.advisories, *(c.said for c in said.claims), said.storage)
    yield from (d.product, d.net_quantity, *d.dates, *d.business)


def _emphasised(declaration: Declaration) -> Iterator[tuple[Run, ...]]:
    for said in (declaration, declaration.second) if declaration.second else (declaration,):
        yield from (said.ingredients, said.allergens, *(item_list(item) for item in said.items))
    yield (Run(declaration.net_quantity, bold=True),)


def _plain(runs: Sequence[Run], said: Sequence[_Words]) -> list[str]:
    """The bold stretches of a text that are bold in no place where it stands; none when it stands nowhere."""
    whole = _close("".join(r.text for r in runs))
    if not whole:
        return []
    places = [(words.find(whole), heavy) for words, heavy in said if whole in words]
    lost = []
    at = 0
    for run in runs:
        wide = len(_close(run.text))
        if (
            run.bold
            and places
            and not any(all(heavy[start + at : start + at + wide]) for start, heavy in places)
        ):
            lost.append(run.text.strip())
        at += wide
    return lost


def _lost_figures(declaration: Declaration, said: dict[tuple[int, str], _Words]) -> Iterator[str]:
    """Figures of the panel that no panel carries. A small panel may print its first column alone, and
    percentages in place of the amounts of vitamins.
    """
    if declaration.without_panel:
        return
    words = "\n".join(text for (_, part), (text, _) in said.items() if part.startswith("panel"))
    whole = not declaration.items or bool(declaration.panel.columns[0].serving)
    for panel in (declaration.panel,) if whole else tuple(item.panel for item in declaration.items):
        yield from _lost_of(panel, words)


def _lost_of(panel: Panel, words: str) -> Iterator[str]:
    columns = panel.columns if panel.columns[0].serving else panel.columns[:1]
    for row in (row for column in columns for row in column.rows):
        printed = [text for text in (row.declared, row.percent) if text]
        if printed and not any(_close(text) in words for text in printed):
            yield f"{row.label.replace('{amount}', row.declared)!r} {row.declared!r}"
    if panel.title and _close(panel.title) not in words:
        yield f"{panel.title!r}"


def _lost_codes(declaration: Declaration, faces: Sequence[PageLayout]) -> Iterator[str]:
    drawn = {
        (box.kind == "qr", box.value) for face in faces for box in face.boxes if isinstance(box, CodeBox)
    }
    for name, is_qr, value in (
        ("the bar code", False, declaration.gtin),
        ("the QR code", True, declaration.qr),
    ):
        if value and (is_qr, value) not in drawn:
            yield f"{name} {value!r}"


def _close(text: str) -> str:
    return "".join(text.split())
