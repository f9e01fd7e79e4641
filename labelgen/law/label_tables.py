"""The tables of what a label says besides its figures and claims: one record a table, each field with its
meaning.
"""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType

from labelgen.law.entry import Entry, Figured, Worded
from labelgen.law.record import Record


class Statement(Figured):
    """How the list of ingredients is made and worded."""

    table = "statement"
    values: tuple[str, ...] = ()
    #: Its rule of ``rounding``.
    rule: str = ""
    #: How many ingredients one name may leave open.
    most: Decimal | None = None


class AdditiveClass(Worded):
    """key: the function class as labelgen calls it; text, plural: as the market does."""

    table = "additive_classes"
    text: str
    plural: str = ""


class NetQuantity(Figured):
    """How the net quantity is worked out and worded."""

    table = "net_quantity"
    values: tuple[str, ...] = ()


class DateRule(Figured):
    """A date mark."""

    table = "dates"
    values: tuple[str, ...] = ()
    #: The law asks for the mark.
    compulsory: bool = False
    #: Only on food that keeps no longer [days].
    up_to_days: Decimal | None = None


class Advisory(Worded):
    """A statement that what the food holds calls for."""

    table = "advisories"
    text: str
    #: What it is about: one tag or several, less what is taken off them.
    tag: str = ""
    tags: tuple[str, ...] = ()
    less: tuple[str, ...] = ()
    #: Of each of these groups there must be some.
    each: tuple[tuple[str, ...], ...] = ()
    #: From this amount on, or ``over`` it [unit, ``per``].
    amount: Decimal | None = None
    over: bool = False
    unit: str = "g"
    #: ``100g``, ``100mL``, ``serving`` ...
    per: str = "100g"
    #: Said where the list of ingredients says any of these words, not where it says one of ``unless``.
    words: tuple[str, ...] = ()
    unless: tuple[str, ...] = ()
    unless_named: tuple[str, ...] = ()
    bold: bool = False
    warning: bool = False
    #: Advisories that must apply too; those it takes the place of.
    needs: tuple[str, ...] = ()
    replaces: tuple[str, ...] = ()
    #: Where it stands.
    with_name: bool = False
    with_list: bool = False
    #: Asked even where there is no panel.
    without_panel: bool = False
    #: Only what is there as this class of additive counts.
    as_class: str = ""
    #: Not of a liquid; of a liquid only; only where the name says one of these words.
    solid: bool = False
    liquid: bool = False
    named: tuple[str, ...] = ()
    #: Said below the amount, in place of from it on.
    under: bool = False


class Allowed(Worded):
    """An ingredient a market does not allow, or only under conditions."""

    table = "allowed"
    text: str
    words: tuple[str, ...]
    severity: str
    #: What holds until the day it is compulsory.
    meanwhile: str = ""
    #: Looked for in the food's name, not in its list.
    in_name: bool = False
    #: Not of drinks.
    solid: bool = False


class AskedOf(Worded):
    """What labelgen cannot know and asks the maker."""

    table = "asked"
    text: str
    #: The product's entries any of which answers the question.
    answered_by: tuple[str, ...] = ()
    #: Asked only where one of them is said.
    words: tuple[str, ...] = ()


class Particular(Worded):
    """What a label says that the maker tells, or the recipe."""

    table = "particulars"
    text: str
    #: The product's entry that answers.
    field: str
    #: What the label then says, {figure} rounded down to so many decimals; below_one where it is under one.
    printed: str
    decimals: int
    below_one: str = ""
    #: Only above this figure.
    over: Decimal | None = None
    #: Where the recipe tells it: the nutrient, and its density.
    tag: str = ""
    grams_per_mL: Decimal | None = None
    #: Words of the name or the statement that call for it.
    words: tuple[str, ...]
    #: Only of these.
    categories: tuple[str, ...] = ()
    unit: str = ""


class Exemption(Worded):
    """What a maker may be exempt from."""

    table = "exemptions"
    text: str
    #: name of a blank in the text -> its figure.
    values: Mapping[str, Decimal] = MappingProxyType({})
    unit: str = ""
    lost_by: str = ""
    #: Parts a label may go without when its maker takes the exemption (market/exemption.py).
    leaves_out: tuple[str, ...] = ()
    #: What a label says that takes it.
    adds: str = ""


class Species(Record):
    """How the kinds of an allergen are named."""

    #: Only kinds that are listed count.
    closed: bool = False
    #: ``kind``: named by species.
    print: str = ""
    #: species -> its name in a further language.
    names: Mapping[str, str] | None = None


class FromAmount(Record):
    """Counted from so many mg of the tag in a kg of the finished food on, or only over them."""

    tag: str
    per_kg: Decimal
    over: bool = False


class AllergenRule(Entry):
    """An allergen that is declared; without a name, an exemption of foods made from one."""

    table = "allergens"
    #: Groups and species, as ``gluten/wheat``.
    codes: tuple[str, ...]
    name: str
    #: Words that count as its name in the list; the first is added where none stands.
    words: tuple[str, ...] = ()
    species: Species = Species()
    #: Of an exemption: the foods, see reference/allergens/derived.toml; only where the packet says one of
    #: these states of it; under a condition no packet tells.
    derived: tuple[str, ...] = ()
    states: tuple[str, ...] = ()
    asked: bool = False
    from_amount: FromAmount | None = None


class AllergenWording(Worded):
    """How allergens are told."""

    table = "allergen_wording"
    text: str
    #: What must be told in the list, though it is no part of the allergen statement.
    codes: tuple[str, ...] = ()
    words: tuple[str, ...] = ()
    from_amount: FromAmount | None = None
    #: The names in the list, and behind the statement's first words.
    bold: bool | None = None
    slanted: bool = False
    capitals: bool = False
    #: A name inside a longer word is told from it.
    inside_words: bool = False
