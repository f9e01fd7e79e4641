"""Pictures of finished PDFs: one for each page, and a contact sheet of many."""

from __future__ import annotations

import io
from collections.abc import Sequence

_GAP, _ACROSS, _GROUND = 24, 2400, (128, 128, 128)


def draw_pictures(pdf: bytes, dpi: int = 200) -> list[bytes]:
    """Each page as a PNG."""
    import pypdfium2

    document = pypdfium2.PdfDocument(pdf)
    try:
        return [_png(page.render(scale=dpi / 72).to_pil()) for page in document]
    finally:
        document.close()


def draw_contact_sheet(pictures: Sequence[bytes]) -> bytes:
    """Pictures side by side on a grey ground, each reduced to half its size, as a PNG."""
    from PIL import Image

    rows: list[list] = [[]]
    for data in pictures:
        picture = Image.open(io.BytesIO(data)).convert("RGB")
        picture = picture.reduce(2)
        if rows[-1] and sum(p.width + _GAP for p in rows[-1]) + picture.width + _GAP > _ACROSS:
            rows.append([])
        rows[-1].append(picture)
    width = max((sum(p.width + _GAP for p in row) for row in rows), default=0) + _GAP
    height = sum(max((p.height for p in row), default=0) + _GAP for row in rows) + _GAP
    sheet = Image.new("RGB", (width, height), _GROUND)
    y = _GAP
    for row in rows:
        x = _GAP
        for picture in row:
            sheet.paste(picture, (x, y))
            x += picture.width + _GAP
        y += max((p.height for p in row), default=0) + _GAP
    return _png(sheet)


def _png(picture) -> bytes:
    out = io.BytesIO()
    picture.save(out, "PNG")
    return out.getvalue()
