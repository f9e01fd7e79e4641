"""The frozen records of the declare room: a ``Declaration`` says all that one label must say, as text.

Everything a label prints is decided here; the rooms to the right only place and draw it.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields
from datetime import date
from functools import cached_property

from labelgen.composition.ingredient_records import AllergenHit
from labelgen.errors import Finding


@dataclass(frozen=True)
class Run:
    """A stretch of text in one style."""

    text: str
    bold: bool = False
    italic: bool = False


@dataclass(frozen=True)
class Serving:
    """household: "2 cookies". metric: "32g". per_container: "about 6 servings per container" or "" when
    the pack is one serving. grams: the metric amount the figures are computed on, unrounded [g].
    count: servings per container, unrounded. single: the pack is one serving. why: the rule applied.
    extra: further columns the law asks for, (heading, grams). reference: the food's reference amount [g],
    0 where the market has none or none is known.
    """

    household: str
    metric: str
    per_container: str
    grams: float
    count: float
    single: bool
    why: str
    extra: tuple[tuple[str, float], ...] = ()
    reference: float = 0.0


@dataclass(frozen=True)
class Row:
    """One line of a nutrition panel, in one column's basis.

    key: market nutrient name (e.g. total_fat). tag: nutrient key. label: the words, with "{amount}"
    where the amount stands inside them. declared: amount text ("12g", "less than 1g"). percent: "15%"
    or "". indent: 0, 1, 2. bold: the name is bold. low/value/high: unrounded amount in ``unit``.
    robust: the declared text is the same anywhere in low..high. covered: fraction of mass known.
    group: "head" (energy), "main" or "micro" (vitamins and minerals). cite: citation key + locator.
    joined: its amount stands in the line of the row above, which has the same label: "1234 kJ / 295 kcal".
    spans: takes no line of its own; its percentage stands centred against so many rows above it.
    """

    key: str
    tag: str
    label: str
    declared: str
    percent: str
    indent: int
    bold: bool
    unit: str
    low: float | None
    value: float | None
    high: float | None
    robust: bool
    covered: float
    group: str
    cite: str
    joined: bool = False
    spans: int = 0


@dataclass(frozen=True)
class Column:
    """A panel column: heading ("", "Per serving", "per 100 g") and its rows. per: what its figures are of,
    "serving", "100g", or "extra" for a further amount the serving calls for. grams: that amount of food.
    Every column has the same rows in the same order; a row without a percentage in this column has ""
    there. serving: of this column's own food, in a panel for several foods. millilitres: that amount of a
    liquid, 0 of other food.
    """

    heading: str
    grams: float
    rows: tuple[Row, ...]
    per: str = "serving"
    serving: Serving | None = None
    millilitres: float = 0.0

    @property
    def amount(self) -> str:
        """The amount of food in plain words: "100 g", "100 mL" of a liquid."""
        return f"{self.millilitres:g} mL" if self.millilitres else f"{self.grams:g} g"

    @property
    def has_percent(self) -> bool:
        return any(r.percent for r in self.rows)


@dataclass(frozen=True)
class Panel:
    """A nutrition panel in words. caption: lines between the title and the table, as printed ("Servings per
    package: 6"), () where the serving lines are drawn from ``serving``. foot: statements under the rows ("Not
    a significant source of ..."). footnote: the market's fixed footnote. energy_method: which lawful method
    made the energy.
    percent_heading: over the percentages. amount_heading: "Amount per serving", which a format may leave out
    where every column has its own heading. energy_joiner: between joined rows set in one line, such as " / ".
    names_heading: over the names of a table ("Typical values"). serving_heading: before the serving's
    household measure and metric amount ("Serving size"). percent_short: the percent heading's short form
    ("% DV*"), "" where there is none. second: the same panel, row for row, in the market's second
    language.
    """

    title: str
    serving: Serving
    columns: tuple[Column, ...]
    foot: tuple[str, ...]
    footnote: str
    energy_method: str
    percent_heading: str
    amount_heading: str
    caption: tuple[str, ...] = ()
    energy_joiner: str = " / "
    names_heading: str = ""
    serving_heading: str = ""
    percent_short: str = ""
    second: Panel | None = None

    def __hash__(self) -> int:
        """Counted once: a panel is looked up thousands of times while room for it is sought."""
        return self._hash

    @cached_property
    def _hash(self) -> int:
        return hash(tuple(getattr(self, f.name) for f in fields(self)))


@dataclass(frozen=True)
class StatementEntry:
    """One entry of the printed ingredient statement: name as printed, ingoing grams per pack (None where a
    supplier's own list does not tell), share of the ingoing mass (0..1), nested entries, allergens it
    brings, ingredients (specification names) behind it, function class of an additive, quantity as printed
    (" (23%)").
    """

    name: str
    grams: float | None
    share: float
    entries: tuple[StatementEntry, ...] = ()
    allergens: tuple[str, ...] = ()
    ingredients: tuple[str, ...] = ()
    function: str = ""
    quantity: str = ""


@dataclass(frozen=True)
class Claim:
    """A claim asked for. allowed: may it be printed. text: as printed, "" where another text of the label
    makes it already.
    companions: statements it triggers. because: the figures. remedy: what would have to change. under:
    statements it puts under the ingredient list; marked: words of the list they refer to.
    """

    asked: str
    allowed: bool
    text: str
    because: str
    companions: tuple[str, ...] = ()
    remedy: str = ""
    citation: str = ""
    under: tuple[str, ...] = ()
    marked: tuple[str, ...] = ()

    @property
    def said(self) -> str:
        """The claim and what must stand beside it, as one text."""
        words = f"{self.text}." if self.text and self.companions else self.text
        return " ".join(x for x in (words, *self.companions) if x)


@dataclass(frozen=True)
class FrontFigure:
    """One colour-coded figure for the front of a pack: label, declared amount, percent of the reference
    intake, colour ("" for energy).
    """

    label: str
    declared: str
    percent: str
    colour: str


@dataclass(frozen=True)
class Declaration:
    """All that one label says, for one product, market and date. Text fields are printed as they stand.

    ingredients: the statement in styled runs, heading included. allergens: the contains statement in
    runs, or () where the market has none. may_contain: what the label warns of or asks about, not what the
    maker has recorded a reason against. advisories: warnings and precautionary statements; warnings: those of
    them for which the law asks larger letters; precaution: the one in the market's words, or "".
    net_quantity: e.g. "Net Wt 6.3 oz (180g)". net_grams: the contents [g]. volume: millilitres of a
    liquid, whose quantity is declared so; 0 for other food. business: name and address lines, then the
    origin. dates: best-before, made-on, lot lines (only those given). storage: storage line or "". second:
    the same label in the market's second language, None where one language is enough. package: its width,
    height and depth [mm], () where not known.
    behind_name: what the law puts behind the name, part of the identity already.
    gtin, qr: what its bar code and QR code hold, "" for none. items: of a box, what each product in it says.
    without_panel: an exemption lets the label go without its panel. front: colour-coded figures for the front
    of the pack, () when not asked for.
    language: of its words, as two letters. questions: allergens nobody knows of yet, or has decided on.
    untold: ingredients whose make-up nobody tells, as printed. called: (an ingredient's key, its printed
    name).
    """

    market: str
    on: date
    product: str
    identity: str
    panel: Panel
    ingredients: tuple[Run, ...]
    entries: tuple[StatementEntry, ...]
    allergens: tuple[Run, ...]
    contains: tuple[AllergenHit, ...]
    may_contain: tuple[AllergenHit, ...]
    advisories: tuple[str, ...]
    net_quantity: str
    net_grams: float
    volume: float = field(default=0.0, kw_only=True)
    behind_name: tuple[str, ...] = field(default=(), kw_only=True)
    business: tuple[str, ...]
    storage: str
    dates: tuple[str, ...]
    claims: tuple[Claim, ...] = ()
    warnings: tuple[str, ...] = ()
    findings: tuple[Finding, ...] = field(default=())
    second: Declaration | None = None
    items: tuple[Declaration, ...] = ()
    package: tuple[float, ...] = ()
    gtin: str = ""
    qr: str = ""
    without_panel: bool = False
    front: tuple[FrontFigure, ...] = ()
    precaution: str = ""
    language: str = "en"
    questions: tuple[AllergenHit, ...] = ()
    untold: tuple[str, ...] = ()
    called: tuple[tuple[str, str], ...] = ()
