"""The nutrition panel of any market: its columns, which rows stand in them, and what is not known.

Policy: every mandatory row is printed. ``show: [shortest panel]`` leaves out what the law lets go: rows,
which it names in one "Not a significant source of" statement where the market has one, and percentages nobody
asks for.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from labelgen.errors import CompositionError, Finding
from labelgen.findings import find
from labelgen.formulation.batch_records import Amounts, NutrientProfile
from labelgen.law.figure_tables import ColumnRule, DailyValue, Nutrient, PanelText, Percent, Significance
from labelgen.law.pack import Pack
from labelgen.law.record import known
from labelgen.law.rounding import declare_percent, declare_significance, row_unit
from labelgen.market.declaration_records import Column, Panel, Row, Serving
from labelgen.market.nutrition.energy import count_energy, energy_method, energy_methods
from labelgen.market.nutrition.front_of_pack import FRONT
from labelgen.market.nutrition.missing import check_missing, stands
from labelgen.market.nutrition.panel_rows import GROUPS, claimed, converted, declare_rows, row_figures
from labelgen.market.nutrition.serving import declare_serving
from labelgen.market.nutrition.simplified import simplified_away
from labelgen.market.statement.ingredients import CAPITALS
from labelgen.nutrients import key_of
from labelgen.recipe.models import Product

#: What a maker writes under ``show:`` to leave out what may be left out.
SHORTEST = "shortest panel"


def declare_panel(
    pack: Pack, product: Product, profile: NutrientProfile
) -> tuple[Panel, tuple[Finding, ...]]:
    """The nutrition panel and every doubt about it."""
    serving, findings = declare_serving(pack, product, profile)
    found = list(findings)
    entries, unknown_words = _rows_asked(pack, product, profile.pack)
    found += unknown_words
    judged = profile.pack.per(max(serving.grams, serving.reference))
    columns = [
        Column(
            heading,
            grams,
            declare_rows(
                pack,
                entries,
                profile.weighed(grams) if per == "100g" else profile.pack.per(grams),
                percent,
                judged,
            ),
            per,
            millilitres=round(grams / product.density, 6) if product.density else 0.0,
        )
        for heading, grams, percent, per in _columns(pack, product, serving)
    ]
    needed = [_must_stand(e, product) for e in entries]
    found += check_missing(entries, columns[0], needed, product, profile)
    found += [f for e, row in zip(entries, columns[0].rows) for f in _by_choice(e, row, product)]
    keys = {e.key for e, row, must in zip(entries, columns[0].rows, needed) if must or stands(row)}
    keys = {e.key for e in entries if e.key in keys and keys.issuperset(e.together)}
    columns = [replace(c, rows=tuple(r for r in c.rows if r.key in keys)) for c in columns]
    foot: tuple[str, ...] = ()
    if SHORTEST in product.show and pack.find(PanelText, "not_significant"):
        columns, foot = leave_out_insignificant(pack, columns, product.claims)
        if not foot and pack.find(PanelText, "simplified"):
            found.append(
                find(
                    "panel-not-short",
                    product.where,
                    path=product.path("show"),
                    cites=pack.entry(PanelText, "simplified").source,
                    product=product.key,
                    word=SHORTEST,
                    text=pack.text(PanelText, "simplified"),
                )
            )
    found += _other_method(pack, profile.pack.per(columns[0].grams), columns[0], product)
    if product.pdcaas is not None and pack.find(Percent, "protein_corrected"):
        columns = [replace(c, rows=_with_protein_percent(pack, c.rows, product.pdcaas)) for c in columns]
    return _panel(pack, serving, columns, foot, energy_method(pack, profile.pack).title), tuple(found)


def states_serving(pack: Pack, product: Product) -> bool:
    """Whether the panel says what is eaten at once."""
    return any(e.per == "serving" for e in _chosen(pack, product))


def _chosen(pack: Pack, product: Product) -> list[ColumnRule]:
    """The columns the market wants, and those the product asks for."""
    return [e for e in pack.entries(ColumnRule) if e.status == "mandatory" or product.serving is not None]


def _columns(pack: Pack, product: Product, serving: Serving) -> list[tuple[str, float, Sequence[str], str]]:
    """(heading, grams, row groups with percentages, what the figures are of) of each column, in the
    market's order.
    """
    entries = _chosen(pack, product)
    alone = len(entries) + len(serving.extra) == 1
    columns: list[tuple[str, float, Sequence[str], str]] = []
    for entry in entries:
        named = (product.density and entry.heading_volume) or entry.heading
        heading = named if entry.heading_alone is None or not alone else entry.heading_alone
        percent = entry.percent
        if alone and entry.percent_alone is not None:
            percent = entry.percent_alone
        if entry.asked_by in product.show:
            percent = entry.percent_asked
        if SHORTEST in product.show:
            percent = tuple(g for g in percent if g not in entry.percent_voluntary)
        # 100 mL of a liquid stand where other food has 100 g
        grams = serving.grams if entry.per == "serving" else _per(entry) * (product.density or 1.0)
        columns.append((_filled(heading, serving), grams, percent, entry.per))
    return columns + [(heading, grams, GROUPS, "extra") for heading, grams in serving.extra]


def _per(entry: ColumnRule) -> float:
    """Grams of a column such as ``100g``."""
    return float(entry.per.removesuffix("g"))


def _panel(
    pack: Pack, serving: Serving, columns: Sequence[Column], foot: tuple[str, ...], method: str
) -> Panel:
    def words(key: str) -> str:
        found = pack.find(PanelText, key)
        return found.text if found else ""

    rows = [row for column in columns for row in column.rows]
    # the fixed footnote explains the percentages of energy and macronutrients
    footnote = words("footnote") if any(r.percent and r.group != "micro" for r in rows) else ""
    caption: tuple[str, ...] = ()
    if words("caption") and any(c.per == "serving" for c in columns):
        caption = tuple(_filled(line, serving) for line in words("caption").split("\n"))
    return Panel(
        words("title"),
        serving,
        tuple(columns),
        foot,
        footnote,
        method,
        words("percent_heading") if any(r.percent for r in rows) else "",
        words("amount_heading"),
        tuple(c for c in caption if c),
        words("energy_joiner"),
        words("names_heading"),
        words("serving_heading"),
        words("percent_short"),
    )


def _filled(text: str, serving: Serving) -> str:
    portion = f"{serving.household} ({serving.metric})" if serving.household else serving.metric
    return (
        text.replace("{servings}", serving.per_container)
        .replace("{portion}", portion)
        .replace("{household}", serving.household)
        .replace("{metric}", serving.metric)
    )


def leave_out_insignificant(
    pack: Pack, columns: Sequence[Column], claims: Sequence[str]
) -> tuple[list[Column], tuple[str, ...]]:
    """The columns without the rows that may give way in every column, and the statement that replaces
    them.
    """
    simple = simplified_away(pack, columns)
    gone = {
        entry.key: simple.get(entry.key) or entry.omit_name
        for entry in pack.entries(Nutrient)
        if not claimed(entry, claims)
        and (entry.key in simple or all(_insignificant(pack, entry, c.rows) for c in columns))
    }
    if not gone:
        return list(columns), ()
    kept = [replace(c, rows=tuple(r for r in c.rows if r.key not in gone)) for c in columns]
    names = [name for name in gone.values() if name]
    last = pack.text(PanelText, "not_significant_or")
    listed = names[0] if len(names) == 1 else f"{', '.join(names[:-1])}{last}{names[-1]}"
    return kept, (pack.text(PanelText, "not_significant").replace("{nutrients}", listed),)


def _insignificant(pack: Pack, entry: Nutrient, rows: Sequence[Row]) -> bool:
    if not entry.omit_name:
        return False
    judged = next((r for r in rows if r.key == (entry.omit_by or entry.key)), None)
    if judged is None or judged.high is None:
        return False
    if entry.omit_below is not None:
        return judged.high < float(entry.omit_below)
    limit = known(entry.omit_below_percent, entry.key) * pack.entry(DailyValue, entry.key).amount / 100
    return judged.high < float(limit)


def _rows_asked(pack: Pack, product: Product, amounts: Amounts) -> tuple[list[Nutrient], list[Finding]]:
    """Mandatory rows, those asked for, those a claim calls for, and those that must accompany them, in
    legal order.
    """
    entries = {e.key: e for e in pack.entries(Nutrient)}
    wanted = {e.key for e in entries.values() if e.status == "mandatory"}
    found = []
    of_columns = {e.asked_by for e in pack.entries(ColumnRule)}
    for word in product.show:
        if word in (SHORTEST, CAPITALS, FRONT) or word in of_columns:
            continue
        key = word.strip().lower().replace(" ", "_")
        if key not in entries:
            try:
                tag = key_of(word)
            except CompositionError as error:
                found.append(
                    find(
                        "show-unknown",
                        product.where,
                        path=product.path("show"),
                        product=product.key,
                        word=word,
                        fault=str(error),
                    )
                )
                continue
            key = next((e.key for e in entries.values() if e.tag == tag), "")
        if key:
            wanted.add(key)
        else:
            found.append(
                find(
                    "show-not-allowed",
                    product.where,
                    path=product.path("show"),
                    cites=pack.entry(PanelText, "title").source,
                    product=product.key,
                    word=word,
                    market=pack.market,
                )
            )
    for entry in entries.values():
        held = row_figures(pack, entry, amounts)[0][1] > 0
        if (held and (entry.status == "if_present" or _called(entry, amounts))) or (
            claimed(entry, product.claims) and (held or entry.even_absent)
        ):
            wanted.add(entry.key)
    wanted |= {other for key in tuple(wanted) for other in entries[key].together}
    for key in [
        k for k in wanted if not _significant(pack, entries[k], amounts, 100.0 * (product.density or 1.0))
    ]:
        wanted.discard(key)
        found.append(
            find(
                "not-significant",
                product.where,
                path=product.path("show"),
                cites=pack.entry(Significance, entries[key].significant).source,
                product=product.key,
                nutrient=entries[key].label.lower(),
            )
        )
    return [e for e in entries.values() if e.key in wanted], found


def _significant(pack: Pack, entry: Nutrient, amounts: Amounts, grams: float) -> bool:
    """Whether a row may stand: any row, but where the market lets it only from a share of the daily value
    in 100 g or mL on.
    """
    if not entry.significant:
        return True
    (_, value, _), _ = row_figures(pack, entry, amounts.per(grams))
    if math.isnan(value):
        return False
    amount = converted(value, row_unit(pack, entry), pack.entry(DailyValue, entry.key).unit)
    return declare_significance(pack, entry.significant, entry.key, amount).text == "yes"


def _called(entry: Nutrient, amounts: Amounts) -> bool:
    """Whether several keys together reach the amount per 100 g from which each of them gets a row."""
    if entry.when is None:
        return False
    held = (amounts.get(tag)[1] for tag in entry.when.tags)
    return 100 * sum(x for x in held if x == x) / amounts.grams >= float(entry.when.amount) - 1e-9


def _must_stand(entry: Nutrient, product: Product) -> bool:
    return entry.status in ("mandatory", "if_present") or claimed(entry, product.claims)


def _with_protein_percent(pack: Pack, rows: Sequence[Row], pdcaas: float) -> tuple[Row, ...]:
    """Protein's percent, of grams corrected by the digestibility score (0..1); never of plain grams."""
    score = min(1.0, max(0.0, pdcaas))
    return tuple(
        (
            replace(r, percent=declare_percent(pack, "protein_corrected", r.value * score).text)
            if r.tag == "PROCNT" and r.value is not None
            else r
        )
        for r in rows
    )


def _by_choice(entry: Nutrient, row: Row, product: Product) -> list[Finding]:
    """A row that the law takes for a claim when the maker shows it by choice."""
    limit = entry.claims_from
    if limit is None or claimed(entry, product.claims) or (row.high or 0.0) < float(limit):
        return []
    return [
        find(
            "row-is-a-claim",
            product.where,
            path=product.path("show"),
            cites=entry.source,
            product=product.key,
            row=row.label,
        )
    ]


def _other_method(pack: Pack, amounts: Amounts, column: Column, product: Product) -> list[Finding]:
    """What the other lawful method would give, when it is not the default that was used."""
    default, method = energy_methods(pack)[0], energy_method(pack, amounts)
    if method.key == default.key:
        return []
    used, other = count_energy(method, amounts).value, count_energy(default, amounts).value
    per = "serving" if column.per == "serving" else column.amount
    told = {
        "method": method.title,
        "used": used,
        "per": per,
        "other_method": default.title,
        "other": other,
    }
    return [
        find(
            "energy-method",
            product.where,
            path=product.path(),
            cites=method.source,
            product=product.key,
            **told,
        )
    ]
