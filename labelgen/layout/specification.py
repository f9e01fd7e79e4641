"""The one-page specification sheet of a product, for shops and organisers."""

from __future__ import annotations

from collections.abc import Sequence

from labelgen.composition.ingredient_allergens import told_once
from labelgen.composition.ingredient_records import AllergenHit
from labelgen.layout.boxes import PageLayout
from labelgen.layout.document import Table, Text, lay_out_document, plain
from labelgen.layout.panels.panel_parts import serving_amount
from labelgen.market.allergens.called import plain_name
from labelgen.market.allergens.cross_contact import STATED
from labelgen.market.box import item_list, panels_of
from labelgen.market.declaration_records import Declaration, Panel, Run
from labelgen.market.papers import languages_of, open_line, panel_note, say, say_in


def lay_out_specification(declaration: Declaration, page: str) -> tuple[PageLayout, ...]:
    """Pages of the sheet, on A4 or Letter (``page``), in the languages of the label."""
    d, spoken = declaration, languages_of(declaration)
    both = tuple(filter(None, (d, d.second)))
    law = say_in("market_law", spoken, market=d.market.upper(), date=d.on.isoformat())
    facts = [
        ("product", " / ".join(dict.fromkeys(said.identity for said in both))),
        ("made_by", ", ".join(d.business)),
        ("net_quantity", d.net_quantity),
        ("storage", " / ".join(dict.fromkeys(said.storage for said in both if said.storage))),
        ("dates", "; ".join(d.dates)),
        ("declared_for", law),
        (
            "claims",
            " / ".join(dict.fromkeys("; ".join(c.said for c in said.claims if c.allowed) for said in both)),
        ),
    ]
    parts: list[Text | Table] = [
        Table(
            (1, 4),
            (),
            tuple((plain(say_in(name, spoken), bold=True), plain(text)) for name, text in facts if text),
        )
    ]
    for said in both:
        parts += [Text(item_list(item)) for item in said.items] or [Text(said.ingredients)]
        parts += [Text(said.allergens)] if said.allergens else []
        parts += [Text(plain(text, bold=True)) for text in (*said.advisories, open_line(said)) if text]
    for said in both:
        parts += [Text(plain(say("allergens", said.language), bold=True), "heading"), _allergens(said)]
        parts += [Text(plain(panel_note(said)))] if said.without_panel else []
    for whose, panel in panels_of(d):
        parts += [
            Text(plain(": ".join(x for x in (panel.title, whose) if x), bold=True), "heading"),
            _nutrition(panel, spoken),
        ]
        parts += [Text(plain(text)) for text in (*panel.foot, panel.footnote) if text]
        parts += (
            [Text(plain(text)) for text in (*panel.second.foot, panel.second.footnote) if text]
            if panel.second
            else []
        )
    return lay_out_document(
        say_in("specification", spoken, name=d.product),
        parts,
        page,
        foot=say_in("care", spoken),
        one_page=True,
    )


def _allergens(d: Declaration) -> Table:
    rows, told = [], set()
    stated = [h for h in d.may_contain if h.how in STATED]
    for how, hits in (("holds", d.contains), ("may", stated), ("open", d.questions)):
        codes = told_once(h.allergen for h in hits)
        rows += [
            (
                plain(plain_name(c, d.language), bold=True),
                plain(say(how, d.language)),
                plain(_why(d, c, hits)),
            )
            for c in codes
            if c not in told
        ]
        told |= {h.allergen for h in hits}
    rows += [
        (plain(say("make_up_of", d.language, name=name), bold=True), plain(say("open", d.language)), ())
        for name in d.untold
    ]
    rows = rows or [(plain(say("none_found", d.language)), (), plain(say("compare_packets", d.language)))]
    return Table((2, 1.4, 6), (say("allergen", d.language), "", say("because", d.language)), tuple(rows))


def _why(d: Declaration, code: str, hits: Sequence[AllergenHit]) -> str:
    """What a finding rests on: the sentence of it in English, in other languages the ingredients that
    bring it.
    """
    mine = [h for h in hits if h.allergen == code]
    if d.language == "en":
        return "; ".join(dict.fromkeys(h.because for h in mine))
    called = dict(d.called)
    by_hand = {"kitchen": "maker", "handled": "kitchen"}
    return "; ".join(
        dict.fromkeys(
            called.get(h.ingredient, h.ingredient) or say(by_hand.get(h.how, "maker"), d.language)
            for h in mine
        )
    )


def _nutrition(panel: Panel, spoken: tuple[str, ...]) -> Table:
    columns = panel.columns
    further = panel.second.columns[0].rows if panel.second else ()
    head = (
        "",
        *(
            " ".join(
                x
                for x in (
                    c.heading,
                    serving_amount(c.serving or panel.serving) if c.serving or not c.heading else "",
                )
                if x
            )
            for c in columns
        ),
    )
    rows = []
    mark = "*" if panel.footnote.startswith("*") else ""
    for i, first in enumerate(columns[0].rows):
        labels = dict.fromkeys(
            r.label.replace("{amount} ", "").replace("{amount}", "").strip()
            for r in (first, *further[i : i + 1])
        )
        name = "\u2003" * first.indent + " / ".join(labels)
        cells = [
            plain(
                " ".join(
                    x
                    for x in (
                        c.rows[i].declared or say_in("figure_not_known", spoken),
                        f"({c.rows[i].percent}{mark})" if c.rows[i].percent else "",
                    )
                    if x
                )
            )
            for c in columns
        ]
        rows.append(((Run(name, bold=first.bold),), *cells))
    return Table((3, *(2 for _ in columns)), head, tuple(rows), right=tuple(range(1, len(columns) + 1)))
