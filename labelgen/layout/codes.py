"""Bar codes and QR codes as blocks: how large, how much white around them, and the digits beneath."""

from __future__ import annotations

from labelgen.layout.arrangement import Spacing
from labelgen.layout.boxes import Block, CodeBox, Statement, TextBox
from labelgen.layout.metrics import face
from labelgen.layout.rules import TypeRule

#: Digits of a GTIN -> (kind of bar code, modules of bars, quiet modules left and right).
_BARS = {8: ("ean8", 67, 7, 7), 12: ("upca", 95, 9, 9), 13: ("ean13", 95, 11, 7)}


def lay_out_bar_code(gtin: str, spacing: Spacing) -> Block:
    """The bar code of a GTIN with its quiet zone and its digits."""
    kind, modules, before, after = _BARS[len(gtin)]
    module = spacing["code.module"]
    size = spacing["code.digits"]
    drop = size * face("regular").cap_height + spacing["code.above_digits"]
    width, height = modules * module, spacing["code.height"]
    wide = face("regular").width(gtin, size)
    left = before * module
    digits = TextBox(gtin, "regular", size, left + (width - wide) / 2, 0.0, wide, "gtin")
    bars = CodeBox(kind, gtin, left, drop, width, height)
    says = Statement("gtin", "gtin", gtin, TypeRule(size))
    return Block(left + width + after * module, drop + height, (bars, digits), (says,))


def lay_out_qr_code(text: str, spacing: Spacing) -> Block:
    """A QR code with its quiet zone."""
    side = spacing["code.qr"] if len(text.encode()) <= spacing["code.qr_bytes"] else spacing["code.qr_long"]
    quiet = spacing["code.qr_quiet"]
    return Block(side + 2 * quiet, side + 2 * quiet, (CodeBox("qr", text, quiet, quiet, side, side),))
