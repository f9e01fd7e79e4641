"""The one-page specification sheet of a product, for shops and organisers."""

from __future__ import annotations

from labelgen.composition.allergens import allergen_words, told_once
from labelgen.layout.boxes import PageLayout
from labelgen.layout.document import Table, Text, lay_out_document, plain
from labelgen.layout.panels.parts import serving_amount
from labelgen.market.box import item_list, panels_of
from labelgen.market.records import Declaration, Panel, Run

_CARE = "Made from the maker's recipe and the packets of the day it is dated. Ask the maker for a new sheet whenever a recipe or supplier may have changed."


def lay_out_specification(declaration: Declaration, page: str) -> tuple[PageLayout, ...]:
    """Pages of the sheet, on A4 or Letter (``page``)."""
    d = declaration
    facts = [
        ("Product", d.identity), ("Made by", ", ".join(d.business)), ("Net quantity", d.net_quantity), ("Storage", d.storage),
        ("Dates and lot", "; ".join(d.dates)), ("Declared for", f"market {d.market.upper()}, law of {d.on.isoformat()}"),
        ("Claims", "; ".join(c.said for c in d.claims if c.allowed)),
    ]  # fmt: skip
    parts: list[Text | Table] = [Table((1, 4), (), tuple((plain(name, bold=True), plain(text)) for name, text in facts if text))]
    for said in filter(None, (d, d.second)):
        parts += [Text(item_list(item)) for item in said.items] or [Text(said.ingredients)]
        parts += [Text(said.allergens)] if said.allergens else []
        parts += [Text(plain(text, bold=True)) for text in said.advisories]
    parts += [Text(plain("Allergens", bold=True), "heading"), _allergens(d)]
    parts += [Text(plain(d.panel_note))] if d.panel_note else []
    for whose, panel in panels_of(d):
        parts += [Text(plain(": ".join(x for x in (panel.title, whose) if x), bold=True), "heading"), _nutrition(panel)]
        parts += [Text(plain(text)) for text in (*panel.foot, panel.footnote) if text]
    return lay_out_document(f"Specification: {d.product}", parts, page, foot=_CARE, one_page=True)


def _allergens(d: Declaration) -> Table:
    rows = []
    held = {h.allergen for h in d.contains}
    for how, hits in (("contains", d.contains), ("may contain", [h for h in d.may_contain if h.allergen not in held])):
        for code in told_once(h.allergen for h in hits):
            why = "; ".join(dict.fromkeys(h.because for h in hits if h.allergen == code))
            rows.append((plain(allergen_words(code), bold=True), plain(how), plain(why)))
    rows = rows or [(plain("none found"), (), plain("compare with the packets: a word list cannot know everything"))]
    return Table((2, 1.4, 6), ("allergen", "", "because of"), tuple(rows))


def _nutrition(panel: Panel) -> Table:
    columns = panel.columns
    head = ("", *(" ".join(x for x in (c.heading, serving_amount(c.serving or panel.serving) if c.serving or not c.heading else "") if x) for c in columns))
    rows = []
    mark = "*" if panel.footnote.startswith("*") else ""
    for i, first in enumerate(columns[0].rows):
        name = "\u2003" * first.indent + first.label.replace("{amount} ", "").replace("{amount}", "").strip()
        cells = [plain(" ".join(x for x in (c.rows[i].declared or "not known", f"({c.rows[i].percent}{mark})" if c.rows[i].percent else "") if x)) for c in columns]
        rows.append(((Run(name, bold=first.bold),), *cells))
    return Table((3, *(2 for _ in columns)), head, tuple(rows), right=tuple(range(1, len(columns) + 1)))
