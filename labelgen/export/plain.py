"""A declaration as plain text for a shop listing, and as CSV for a spreadsheet."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator

from labelgen.export.cells import harmless
from labelgen.market.allergens.called import plain_name
from labelgen.market.allergens.cross_contact import STATED
from labelgen.market.box import panels_of
from labelgen.market.declaration_records import Declaration, Panel, Row, Run
from labelgen.market.papers import contains_line, open_line, panel_note, say

COLUMNS = (
    "product",
    "market",
    "date",
    "section",
    "column",
    "key",
    "name",
    "declared",
    "percent",
    "low",
    "value",
    "high",
    "unit",
    "robust",
    "citation",
)


def words(runs: Iterable[Run]) -> str:
    """Styled runs as one plain text."""
    return "".join(r.text for r in runs)


def statements(declaration: Declaration) -> tuple[str, ...]:
    """The ingredient statement as plain text, of a box one for each product in it with its own allergens.
    What a label sets off by bold letters stands in capitals, for plain text has no other way.
    """
    if declaration.items:
        return tuple(
            " ".join(
                x
                for x in (f"{item.product}.", *statements(item), words(item.allergens), item.precaution)
                if x
            )
            for item in declaration.items
        )
    heading, *rest = declaration.ingredients or (Run(""),)
    return (heading.text + "".join(r.text.upper() if r.bold else r.text for r in rest),)


def row_name(row: Row) -> str:
    """A panel row's words, the amount set in where the law sets it inside them."""
    return row.label.replace("{amount}", row.declared)


def declaration_as_text(declaration: Declaration) -> str:
    """What a buyer must be able to read before buying: identity, statement, allergens, warnings, panel,
    quantity; then all of it again in the market's second language.
    """
    d = declaration
    parts = [
        d.product,
        d.identity if d.identity != d.product else "",
        *statements(d),
        contains_line(d),
        *d.advisories,
        open_line(d),
    ]
    parts += [c.said for c in d.claims if c.allowed]
    # nutrition figures in a listing would end the exemption that lets the label go without them
    parts += [_panel_text(whose, panel) for whose, panel in (() if d.without_panel else panels_of(d))]
    parts += [d.net_quantity, d.storage, *d.dates, "\n".join(d.business)]
    text = "\n\n".join(p for p in parts if p) + "\n"
    return f"{text}\n{declaration_as_text(d.second)}" if d.second else text


def _panel_text(whose: str, panel: Panel) -> str:
    lines = [x for x in (whose, panel.serving.per_container) if x]
    for column in panel.columns:
        basis = column.heading or panel.serving.household
        weight = panel.serving.metric if column.grams == panel.serving.grams else ""
        lines.append(f"{panel.title} ({', '.join(x for x in (basis, weight) if x)})")
        for row in column.rows:
            name = (
                row_name(row)
                if "{amount}" in row.label
                else f"{row.label} {row.declared or 'not known' * (not row.spans)}".rstrip()
            )
            lines.append("  " * row.indent + name + (f" ({row.percent})" if row.percent else ""))
    return "\n".join((*lines, *panel.foot, panel.footnote)).rstrip()


def declarations_as_csv(declarations: Iterable[Declaration]) -> str:
    """One line a panel row, statement, allergen or claim; the columns are ``COLUMNS``. No cell is a formula
    (``export/cells.py``).
    """
    out = io.StringIO()
    writer = csv.DictWriter(out, COLUMNS, restval="", lineterminator="\n")
    writer.writeheader()
    for row in _rows(declarations):
        writer.writerow({k: harmless(v) if isinstance(v, str) else v for k, v in row.items()})
    return out.getvalue()


def _rows(declarations: Iterable[Declaration]) -> Iterator[dict[str, object]]:
    for d in declarations:
        about = {"product": d.product, "market": d.market, "date": d.on.isoformat()}
        texts = [
            ("identity", d.identity),
            *(("ingredients", text) for text in statements(d)),
            ("allergens", words(d.allergens)),
            ("net quantity", d.net_quantity),
        ]
        texts += [
            ("storage", d.storage),
            *(("date", text) for text in d.dates),
            ("business", ", ".join(d.business)),
        ]
        for section, text in texts:
            yield ({**about, "section": section, "declared": text})
        warned = tuple(h for h in d.may_contain if h.how in STATED)
        for section, hits in (
            ("contains", d.contains),
            ("may contain", warned),
            ("not known", d.questions),
        ):
            for hit in hits:
                yield (
                    {
                        **about,
                        "section": section,
                        "key": hit.allergen,
                        "name": plain_name(hit.allergen, d.language),
                        "declared": hit.because,
                    }
                )
        for name in d.untold:
            yield (
                {
                    **about,
                    "section": "not known",
                    "name": name,
                    "declared": say("make_up_of", d.language, name=name),
                }
            )
        for text in d.advisories:
            yield ({**about, "section": "advisory", "declared": text})
        for claim in d.claims:
            yield (
                {
                    **about,
                    "section": "claim",
                    "key": claim.asked,
                    "declared": claim.said if claim.allowed else "",
                    "robust": claim.allowed,
                    "citation": claim.citation,
                }
            )
        if d.without_panel:
            yield ({**about, "section": "nutrition", "declared": panel_note(d)})
        for whose, column in ((whose, c) for whose, panel in panels_of(d) for c in panel.columns):
            for r in column.rows:
                figures = {
                    k: "" if v is None else f"{v:.10g}"
                    for k, v in (("low", r.low), ("value", r.value), ("high", r.high))
                }
                yield (
                    {
                        **about,
                        "section": "nutrition",
                        "column": " ".join(
                            x for x in (whose, column.heading or d.panel.serving.household) if x
                        ),
                        "key": r.key,
                        "name": row_name(r),
                        "declared": r.declared,
                        "percent": r.percent,
                        **figures,
                        "unit": r.unit,
                        "robust": r.robust,
                        "citation": r.cite,
                    }
                )
