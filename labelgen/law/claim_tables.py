"""The tables of claims: one record a table, each field with its meaning."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from types import MappingProxyType

from labelgen.errors import RuleError
from labelgen.law.entry import Entry, Figured
from labelgen.law.record import Record


class Condition(Record):
    """What figures must meet, see market/claims/figures.py. Exactly one of ``at_least``, ``at_most``,
    ``below`` and ``over`` [``unit``, else the tag's own].
    """

    tag: str = ""
    #: Several tags, counted together.
    tags: tuple[str, ...] = ()
    at_least: Decimal | None = None
    at_most: Decimal | None = None
    below: Decimal | None = None
    over: Decimal | None = None
    #: The limit of a liquid in place of it.
    liquid: Decimal | None = None
    #: ``% of energy``, ``% of daily value`` or a unit.
    unit: str = ""
    #: Of what it is judged: ``reference``, ``serving``, ``100 g``, ``100 kcal``, ``small``.
    per: tuple[str, ...] = ()
    #: The rule of ``daily_values``, where it is not the tag's.
    daily: str = ""
    #: ``liquid``: asked of liquids only.
    only: str = ""
    kcal_per_g: Decimal | None = None
    #: Protein is corrected for its quality.
    corrected: bool = False

    @property
    def bound(self) -> tuple[str, Decimal]:
        """Which of the four it has, and the figure."""
        kinds = ("below", "at_most", "at_least", "over")
        figures = (self.below, self.at_most, self.at_least, self.over)
        for kind, figure in zip(kinds, figures):
            if figure is not None:
                return kind, figure
        raise RuleError(f"a condition of {self.tag or self.tags} has no limit: write one into the table")


class Companion(Record):
    """A statement that a claim triggers, see market/claims/companions.py."""

    text: str
    #: Only for these nutrients.
    for_: tuple[str, ...] = ()
    #: A claim the food must not, or must, meet.
    unless: str = ""
    only_if: str = ""
    #: Not beside these claims.
    unless_claimed: tuple[str, ...] = ()
    #: Kinds of ingredient it is about.
    with_: tuple[str, ...] = ()
    #: Stands as a mark in the list.
    mark: bool = False


class Limit(Record):
    """What a comparison or gluten-free takes; each kind of claim uses its own."""

    # of gluten [mg per kg of the finished food]
    below: Decimal | None = None
    at_most: Decimal | None = None
    #: What counts as not detected.
    detection: Decimal | None = None
    #: ``always`` or ``cross_contact``: when a test must be there.
    test: str = ""
    #: ``never``, ``named`` or ``special``: which oats may be in it.
    oats: str = ""
    #: Only for what was made from gluten cereals.
    processed: bool = False
    #: Words of what is made of a cereal and may be freed of gluten, and of what never is.
    derivatives: tuple[str, ...] = ()
    never: tuple[str, ...] = ()
    #: Words of foods whose gluten no test finds: records must be kept.
    fermented: tuple[str, ...] = ()
    # of a comparison
    #: How much less or more [%], and how much more of the daily value [percentage points].
    less_percent: Decimal | None = None
    more_percent: Decimal | None = None
    more_daily_value: Decimal | None = None
    #: "Light": less fat, or less energy where fat gives less than so much of it.
    fat_less_percent: Decimal | None = None
    energy_less_percent: Decimal | None = None
    fat_energy_percent: Decimal | None = None
    fat_kcal_per_g: Decimal | None = None
    #: nutrient -> a claim the food must meet too.
    also: Mapping[str, str] = MappingProxyType({})
    #: nutrient -> a claim the other food must not meet.
    not_low: Mapping[str, str] = MappingProxyType({})
    #: nutrient -> nutrients there may be no more of than in the other food.
    no_more: Mapping[str, tuple[str, ...]] = MappingProxyType({})
    #: nutrient -> further conditions.
    conditions: Mapping[str, tuple[Condition, ...]] = MappingProxyType({})


class ClaimRule(Entry):
    """What a claim takes; which words make it stands in reference/claims/words.csv."""

    table = "claims"
    #: content, comparative, amount, gluten, free_from, diet, caution, plain, refused or disclosure: see the
    #: head of reference/markets/us/claims.toml.
    kind: str
    #: What the law asks, for the maker.
    text: str
    conditions: tuple[Condition, ...] = ()
    or_conditions: tuple[Condition, ...] = ()
    #: Kinds of ingredient that must not, or must, be there.
    without: tuple[str, ...] = ()
    needs: tuple[str, ...] = ()
    companions: tuple[Companion, ...] = ()
    #: What only the maker can confirm.
    asks: str = ""
    limit: Limit = Limit()
    #: nutrient -> +1 or -1: an amount that is summed.
    sum: Mapping[str, Decimal] = MappingProxyType({})
    #: Whether the claim leaves the food its exemption from nutrition information; None: by its kind.
    keeps_exemption: bool | None = None
    #: In a disclosure.
    name: str = ""
    #: The number claimed is a most.
    most: bool = False
    #: The words it must be printed in, and others as lawful.
    printed: str = ""
    wordings: tuple[str, ...] = ()
    #: Tags whose symbol on the front bars the claim.
    barred_by_symbol: tuple[str, ...] = ()
    #: What to say where the food does not meet what ``limit.also`` asks of it.
    lacking: str = ""
    #: nutrient -> why nobody can judge it.
    untold: Mapping[str, str] = MappingProxyType({})


class ClaimTerm(Figured):
    """A word or a figure that several claims share."""

    table = "claim_terms"
    text: str
    values: tuple[str, ...] = ()
