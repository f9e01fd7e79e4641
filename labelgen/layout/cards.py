"""Product cards for a stall, price-free: name, what it is, ingredients with the allergens plain, warnings."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from labelgen import paths
from labelgen.errors import LayoutError
from labelgen.layout.boxes import Block, PageLayout, RuleBox, stack_blocks
from labelgen.layout.document import PAGES, plain
from labelgen.layout.rules import TypeRule
from labelgen.layout.stack import lay_out_text
from labelgen.market.declaration_records import Declaration, Run
from labelgen.market.papers import contains_line, open_line
from labelgen.tomlfile import read_toml

_HOUSE = TypeRule(5.0, source="house rule")


def lay_out_cards(declarations: Sequence[Declaration], page: str) -> tuple[PageLayout, ...]:
    """Pages of cards with cutting lines, each card's text as large as it fits.

    Raises LayoutError when a statement does not fit a card at the least size.
    """
    a = read_toml(paths.templates("documents", "cards.toml"))
    width, height = PAGES[page]
    card_w, card_h = (width - 2 * a["margin"]) / a["across"], (height - 2 * a["margin"]) / a["down"]
    per_page = a["across"] * a["down"]
    pages = []
    for start in range(0, len(declarations), per_page):
        boxes, statements = [], []
        for i, d in enumerate(declarations[start : start + per_page]):
            x, y = (
                a["margin"] + i % a["across"] * card_w,
                height - a["margin"] - (i // a["across"] + 1) * card_h,
            )
            card = _card(d, card_w - 2 * a["padding"], card_h - 2 * a["padding"], a, f"card-{i}")
            boxes += card.shifted(x + a["padding"], y + card_h - a["padding"] - card.height)
            boxes += [
                RuleBox(*side, a["rule"])
                for side in (
                    (x, y, x + card_w, y),
                    (x, y + card_h, x + card_w, y + card_h),
                    (x, y, x, y + card_h),
                    (x + card_w, y, x + card_w, y + card_h),
                )
            ]
            statements += card.statements
        pages.append(
            PageLayout(
                width,
                height,
                tuple(boxes),
                tuple(statements),
                "Product cards",
                "",
                f"page {len(pages) + 1}",
            )
        )
    return tuple(pages)


def _card(d: Declaration, width: float, height: float, a: dict, part: str) -> Block:
    size = a["text"]
    while size >= a["least"]:
        texts = [(plain(d.product, bold=True), a["name"] * size / a["text"])]
        texts += [(runs, size) for said in filter(None, (d, d.second)) for runs in _said(said)]
        blocks = [
            lay_out_text(runs, width, s, s * a["leading"], f"{part}-{n}", "card", _HOUSE)
            for n, (runs, s) in enumerate(texts)
        ]
        card = stack_blocks(blocks, a["gap"], width)
        if card.height <= height:
            return card
        size -= a["step"]
    raise LayoutError(
        f"{d.product}: its statement does not fit a card of {width:.0f} x {height:.0f} pt: print a"
        " specification sheet instead ('labelgen declare PRODUCT --as pdf')"
    )


def _said(d: Declaration) -> Iterator[tuple[Run, ...]]:
    """The texts of a card in one language, below the name. What nobody knows is said to whoever buys."""
    yield plain(d.identity if d.identity != d.product else "")
    yield from (plain(c.said) for c in d.claims if not c.text)
    yield d.ingredients
    yield d.allergens or plain(contains_line(d), bold=True)
    yield from (plain(text) for text in d.advisories)
    yield plain(open_line(d), bold=True)
