"""Every rule table by name. A market need not have every table. ``columns``, ``nutrients``, ``rounding``,
``energy``, ``panel``, ``statement`` and ``net_quantity`` are what a panel and a label cannot do without.
"""

from __future__ import annotations

from labelgen.law.claim_tables import ClaimRule, ClaimTerm
from labelgen.law.entry import Entry
from labelgen.law.figure_tables import (
    ColumnRule,
    DailyValue,
    EnergyMethod,
    Formula,
    FrontOfPack,
    Nutrient,
    OlderDailyValue,
    PanelText,
    Percent,
    ReferenceAmount,
    Rounding,
    ServingRule,
    Significance,
    Simplified,
    SymbolRule,
    Uncounted,
)
from labelgen.law.format_tables import Abbreviation, Format, Length, LetterHeight, Offer, TypeSize
from labelgen.law.label_tables import (
    AdditiveClass,
    Advisory,
    AllergenRule,
    AllergenWording,
    Allowed,
    AskedOf,
    DateRule,
    Exemption,
    NetQuantity,
    Particular,
    Statement,
)

_KINDS: tuple[type[Entry], ...] = (
    Rounding,
    Percent,
    Significance,
    DailyValue,
    OlderDailyValue,
    ColumnRule,
    Nutrient,
    EnergyMethod,
    Formula,
    ReferenceAmount,
    ServingRule,
    Statement,
    AdditiveClass,
    NetQuantity,
    DateRule,
    PanelText,
    Advisory,
    Allowed,
    AskedOf,
    Particular,
    SymbolRule,
    Uncounted,
    Exemption,
    FrontOfPack,
    ClaimRule,
    ClaimTerm,
    AllergenRule,
    AllergenWording,
    TypeSize,
    Length,
    LetterHeight,
    Format,
    Abbreviation,
    Offer,
    Simplified,
)

#: Name of a table, as of its file -> the record of its rules.
TABLES: dict[str, type[Entry]] = {kind.table: kind for kind in _KINDS}
