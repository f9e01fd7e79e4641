"""The tables of figures and of the nutrition panel: one record a table, each field with its meaning."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType

from labelgen.law.entry import Band, Entry, Figured, Worded
from labelgen.law.record import Record


class Banded(Entry):
    """A rule that rounds by bands, which rise."""

    bands: tuple[Band, ...]
    #: ``half_up`` or ``half_even``.
    ties: str
    unit: str = "%"
    #: What stands before and behind the figure.
    before: str = ""
    after: str = ""
    #: ``keep``: trailing zeros of the step are printed.
    zeros: str = ""
    #: What stands before a figure that was rounded, such as "about ".
    rounded_prefix: str = ""


class Rounding(Banded):
    """How an amount is declared. The key is what ``rule`` of a row of the panel names."""

    table = "rounding"
    unit: str


class Percent(Banded):
    """How a percentage of the daily value is declared. The key is the nutrient's."""

    table = "percent"
    #: ``declared``: of the rounded amount, else of the exact one.
    basis: str
    #: Of the rule's name on the command line, such as ``pct_dv_*``.
    pattern: str
    #: Declared as 0 where the amount itself is declared as 0.
    zero_when_declared_zero: bool = False


class Significance(Banded):
    """Whether an amount is a significant one: bands of the percentage of the daily value, yes or no."""

    table = "significant"
    #: Of the rule's name on the command line.
    pattern: str
    #: The pattern of the percent rules whose nutrients it is asked of.
    percent: str


class DailyValue(Entry):
    """The reference intake of a nutrient."""

    table = "daily_values"
    amount: Decimal
    unit: str
    form: str = ""


class OlderDailyValue(DailyValue):
    """That of a form of the panel that older packets still have: only they are read by it."""

    table = "older_daily_values"


class ColumnRule(Entry):
    """A column of the panel."""

    table = "columns"
    #: ``serving`` or ``100g``.
    per: str
    heading: str
    #: Of a liquid sold by volume.
    heading_volume: str = ""
    #: When no other column stands beside it; None: as beside others.
    heading_alone: str | None = None
    #: ``mandatory``, or ``asked``: only when the maker gives a serving.
    status: str
    #: Groups of rows with a percentage in this column.
    percent: tuple[str, ...]
    #: The same when no other column stands beside it.
    percent_alone: tuple[str, ...] | None = None
    #: Groups that the shortest panel leaves out.
    percent_voluntary: tuple[str, ...] = ()
    #: Groups when the maker writes ``asked_by`` under ``show:``.
    percent_asked: tuple[str, ...] = ()
    asked_by: str = ""


class Saturates(Record):
    """When a food is low in saturates: at most so many grams, and at most a share of the energy."""

    grams: Decimal
    kcal_per_gram: Decimal
    energy_share: Decimal


class Free(Record):
    """When a row is declared by another rounding rule, see market/nutrition/free_of.py."""

    rule: str
    #: row -> its amount must be below.
    below: Mapping[str, Decimal]
    low_saturates: Saturates | None = None


class Called(Record):
    """A row stands once the tags together hold the amount [unit of the tag] in 100 g."""

    tags: tuple[str, ...]
    amount: Decimal


class Nutrient(Entry):
    """A row of the panel."""

    table = "nutrients"
    #: The nutrient it counts.
    tag: str
    label: str
    #: Steps from the left.
    indent: int
    bold: bool
    #: Which columns give it a percentage goes by this.
    group: str
    #: ``mandatory``, ``if_present`` (when the food holds any) or ``voluntary``.
    status: str
    #: Its rule of ``rounding``.
    rule: str
    percent: bool = False
    #: Keys taken off the tag, and added to it.
    less: tuple[str, ...] = ()
    plus: tuple[str, ...] = ()
    #: The factor from the tag to the row (salt from sodium).
    times: Decimal = Decimal(1)
    #: Words of a claim that call the row.
    claim_words: tuple[str, ...] = ()
    #: May be left out below so much [unit of the rule], or so much of the daily value [%], judged by the row
    #: ``omit_by``; it is then named ``omit_name``.
    omit_below: Decimal | None = None
    omit_below_percent: Decimal | None = None
    omit_by: str = ""
    omit_name: str = ""
    #: tag -> the label where the whole amount is of that one.
    single: Mapping[str, str] = MappingProxyType({})
    #: Rows that stand only together with it.
    together: tuple[str, ...] = ()
    unit_name: str = ""
    #: A tag it cannot exceed.
    capped_by: str = ""
    #: Stands in the line of the row above.
    joined: bool = False
    #: A percentage alone, against so many rows above.
    spans: int = 0
    free: Free | None = None
    #: The rule of ``significant`` that an amount shown must meet.
    significant: str = ""
    when: Called | None = None
    #: A claim calls the row of a nutrient the food has none of.
    even_absent: bool = False
    #: Shown by choice it is itself a claim from this amount a serving on.
    claims_from: Decimal | None = None
    #: The percentage stands behind the amount in these words.
    percent_words: str = ""
    #: Taken to be absent where no ingredient states or names it, as with every row called by ``when``.
    absent_unless_named: bool = False


class EnergyMethod(Entry):
    """A method of counting energy."""

    table = "energy"
    unit: str
    title: str
    #: component -> energy [unit a gram].
    factors: Mapping[str, Decimal] = MappingProxyType({})
    #: component -> what is not counted in it.
    less: Mapping[str, tuple[str, ...]] = MappingProxyType({})
    #: Taken where the food holds any of these.
    when_present: tuple[str, ...] = ()
    #: component -> what is taken in its place where it is not known.
    cautious: Mapping[str, str] = MappingProxyType({})
    #: The unit of the method this one is worked out from, times a figure or divided by it.
    of: str = ""
    times: Decimal = Decimal(1)
    divided_by: Decimal = Decimal(1)


class Formula(Entry):
    """A figure made from several others."""

    table = "formulas"
    unit: str
    #: Its rule of ``rounding``.
    rule: str
    #: The method of ``energy`` whose factors are summed.
    energy: str = ""
    #: component -> what is counted in it already.
    within: Mapping[str, tuple[str, ...]] = MappingProxyType({})
    #: What the components are taken off.
    whole: Decimal | None = None
    #: One figure in another unit: times a figure, over another.
    over: Decimal | None = None
    times: Decimal | None = None
    #: Part and whole: one weight in percent of another.
    share: tuple[str, ...] = ()
    #: A word -> the component it means.
    words: Mapping[str, str] = MappingProxyType({})


class ReferenceAmount(Entry):
    """How much of a food is customarily eaten."""

    table = "reference_amounts"
    food: str
    amount: Decimal
    unit: str
    form: str
    group: str = ""
    other: str = ""


class ServingRule(Figured):
    """How a serving is worked out and worded."""

    table = "serving"
    values: tuple[Decimal, ...] = ()


class PanelText(Worded):
    """What a panel says besides its rows."""

    table = "panel"
    text: str
    variants: tuple[str, ...] = ()


class FrontOfPack(Entry):
    """The colour of a figure on the front of the pack."""

    table = "front_of_pack"
    label: str
    #: Of the amount in 100 g.
    bands: tuple[Band, ...]
    unit: str
    #: The last band too, where a portion of more than ``portion_from`` grams holds more than this.
    portion_above: Decimal
    portion_from: Decimal


class Simplified(Entry):
    """The panel that leaves out what is insignificant."""

    table = "simplified"
    #: How many of the rows in ``of`` must be insignificant.
    value: Decimal
    unit: str
    of: tuple[str, ...]
    #: Rows that always stand.
    always: tuple[str, ...]
    #: row -> insignificant under so much.
    below: Mapping[str, Decimal] = MappingProxyType({})
    #: row -> its name in the statement.
    names: Mapping[str, str] = MappingProxyType({})
    #: Rows that go together or not at all.
    as_one: tuple[tuple[str, ...], ...] = ()
    #: A row that goes when those it is of have gone.
    with_: Mapping[str, tuple[str, ...]] = MappingProxyType({})


class SymbolRule(Figured):
    """The symbol on the front for foods high in something."""

    table = "nutrition_symbol"
    values: tuple[str, ...] = ()
    tag: str = ""
    #: The rule of ``daily_values``.
    daily_value: str = ""
    #: Percent of the daily value by size of the reference amount: small, ordinary, main.
    shares: Mapping[str, Decimal] = MappingProxyType({})
    #: Words of ingredients that do not count.
    unless: tuple[str, ...] = ()
    claim_words: tuple[str, ...] = ()


class Uncounted(Entry):
    """What an ingredient of these words brings to a figure is not counted by the market."""

    table = "uncounted"
    tag: str
    words: tuple[str, ...]
    #: Why, for the maker.
    text: str
