"""The shape of every rule table: which keys an entry must and may have, and the type of each.

A market need not have every table. ``columns``, ``nutrients``, ``rounding``, ``energy``, ``panel``,
``statement`` and ``net_quantity`` are what a panel and a label cannot do without.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal

#: What a band may say: its limit, and what is declared inside it.
LIMITS, GIVES, BESIDE = (
    {"below", "at_most"},
    {"to", "step", "figures", "text"},
    {"or_to", "or_step", "or_text", "after"},
)
GRADES = ("read", "read-secondary", "memory")
DATED = {"effective": date, "mandatory": date, "until": date, "reviewed": date}
SOURCED = {"cite": str, "locator": str, "grade": str, "note": str}
#: A further language -> an entry's own keys worded in it: ``fr = {text = "Valeur nutritive"}``.
WORDED = dict.fromkeys(("de", "en", "es", "fr", "it"), dict)
_NUMBER = (int, Decimal)
_WORDING = {"value": _NUMBER, "values": list, "unit": str, "text": str}

#: table -> (keys every entry must have, keys it may have), with the type of each.
TABLES: dict[str, tuple[dict, dict]] = {
    "rounding": (
        {"unit": str, "bands": list, "ties": str},
        {"before": str, "after": str, "zeros": str, "rounded_prefix": str},
    ),
    "percent": (
        {"bands": list, "ties": str, "basis": str, "pattern": str},
        {"after": str, "zeros": str, "zero_when_declared_zero": bool},
    ),
    # pattern: of the rule's name on the command line; percent: the pattern of the percent rules whose
    # nutrients it is asked of;
    # the bands are of the percentage of the daily value.
    "significant": ({"pattern": str, "percent": str, "bands": list, "ties": str}, {}),
    "daily_values": ({"amount": _NUMBER, "unit": str}, {"form": str}),
    # of a form of the panel that older packets still have: only they are read by them
    "older_daily_values": ({"amount": _NUMBER, "unit": str}, {}),
    # per: serving or 100g. percent: row groups with a percentage in this column; percent_alone,
    # heading_alone: when no
    # other column stands beside it; percent_voluntary: groups the shortest panel leaves out. status:
    # mandatory, or asked
    # (only when the maker gives a serving). heading_volume: of a liquid sold by volume. percent_asked: groups
    # when the maker writes asked_by under show.
    "columns": (
        {"per": str, "heading": str, "status": str, "percent": list},
        {
            "heading_volume": str,
            "heading_alone": str,
            "percent_alone": list,
            "percent_voluntary": list,
            "percent_asked": list,
            "asked_by": str,
        },
    ),
    # less: keys taken off the tag. times: the factor from the tag to the row (salt from sodium). joined:
    # stands in the
    # line of the row above. plus: keys added to the tag. spans: a percentage alone, against so many rows
    # above. status:
    # mandatory, if_present (when the food holds any) or voluntary. free: see market/nutrition/free_of.py.
    # percent_words: the
    # percentage stands behind the amount in these words. when: the row is called once the tags together hold
    # the amount
    # per 100 g. even_absent: a claim calls the row of a nutrient the food has none of. claims_from: a row
    # shown by choice
    # is itself a claim from this amount per serving on. absent_unless_named: where no ingredient states or
    # names the nutrient
    # it is taken to be absent, as with every row that is called by when.
    "nutrients": (
        {"tag": str, "label": str, "indent": int, "bold": bool, "group": str, "status": str, "rule": str},
        {
            "percent": bool,
            "less": list,
            "claim_words": list,
            "omit_below": _NUMBER,
            "omit_below_percent": _NUMBER,
            "omit_by": str,
            "omit_name": str,
            "single": dict,
            "together": list,
            "unit_name": str,
            "capped_by": str,
            "times": _NUMBER,
            "joined": bool,
            "plus": list,
            "spans": int,
            "free": dict,
            "significant": str,
            "when": dict,
            "even_absent": bool,
            "claims_from": _NUMBER,
            "percent_words": str,
            "absent_unless_named": bool,
        },
    ),
    # of: the unit of the method this one is worked out from, times a figure or divided by it.
    "energy": (
        {"unit": str, "title": str},
        {
            "factors": dict,
            "less": dict,
            "when_present": list,
            "cautious": dict,
            "of": str,
            "times": _NUMBER,
            "divided_by": _NUMBER,
        },
    ),
    "formulas": (
        {"unit": str, "rule": str},
        {
            "energy": str,
            "within": dict,
            "whole": _NUMBER,
            "over": _NUMBER,
            "times": _NUMBER,
            "share": list,
            "words": dict,
        },
    ),
    "reference_amounts": (
        {"food": str, "amount": _NUMBER, "unit": str, "form": str},
        {"group": str, "other": str},
    ),
    "serving": ({}, _WORDING),
    # most: how many ingredients one name may leave open.
    "statement": ({}, {**_WORDING, "rule": str, "most": _NUMBER}),
    # key: the function class as labelgen calls it; text, plural: as the market does.
    "additive_classes": ({"text": str}, {"plural": str}),
    "net_quantity": ({}, _WORDING),
    # compulsory: the law asks for the mark; up_to_days: only on food that keeps no longer.
    "dates": ({}, {**_WORDING, "compulsory": bool, "up_to_days": _NUMBER}),
    "panel": ({"text": str}, {"variants": list}),
    "advisories": (
        {"text": str},
        {
            "tag": str,
            "tags": list,
            "less": list,
            "each": list,
            "amount": _NUMBER,
            "over": bool,
            "unit": str,
            "per": str,
            "words": list,
            "unless": list,
            "bold": bool,
            "warning": bool,
            "needs": list,
            "replaces": list,
            "with_name": bool,
            "with_list": bool,
            "without_panel": bool,
            "as_class": str,
            "solid": bool,
            "liquid": bool,
            "named": list,
            "under": bool,
            "unless_named": list,
        },
    ),
    # Ingredients a market does not allow, or only under conditions. meanwhile: what holds until the day it is
    # compulsory.
    # in_name: looked for in the food's name, not in its list; solid: not of drinks.
    "allowed": (
        {"text": str, "words": list, "severity": str},
        {"meanwhile": str, "in_name": bool, "solid": bool},
    ),
    # answered_by: the product's entries any of which answers the question. words: asked only where one of
    # them is said.
    "asked": ({"text": str}, {"answered_by": list, "words": list}),
    # field: the product's entry that answers. printed: what the label then says, {figure} rounded down to so
    # many decimals, below_one where it is less than one. over: only above this figure; tag and grams_per_mL:
    # where the recipe tells it. words: of the name or statement that call for it. categories: only of these.
    "particulars": (
        {"text": str, "field": str, "printed": str, "decimals": int, "words": list},
        {
            "below_one": str,
            "over": _NUMBER,
            "tag": str,
            "grams_per_mL": _NUMBER,
            "categories": list,
            "unit": str,
        },
    ),
    # shares: percent of the daily value by size of the reference amount. unless: words of ingredients that do
    # not count.
    "nutrition_symbol": (
        {},
        {**_WORDING, "tag": str, "daily_value": str, "shares": dict, "unless": list, "claim_words": list},
    ),
    # tag: the figure that ingredients of these words bring to it is not counted; text: why, for the maker.
    "uncounted": ({"tag": str, "words": list, "text": str}, {}),
    # leaves_out: parts a label may go without when its maker takes the exemption (market/exemption.py).
    # adds: what a label says that takes the exemption.
    "exemptions": (
        {"text": str},
        {"values": dict, "unit": str, "lost_by": str, "leaves_out": list, "adds": str},
    ),
    # bands of the amount in 100 g; portion_above: the last band too, where a portion of more than
    # portion_from grams holds more.
    "front_of_pack": (
        {"label": str, "bands": list, "unit": str, "portion_from": _NUMBER, "portion_above": _NUMBER},
        {},
    ),
    # see labelgen/market/claims/conditions.py and the head of reference/markets/us/claims.toml.
    "claims": (
        {"kind": str, "text": str},
        {
            "conditions": list,
            "or_conditions": list,
            "without": list,
            "needs": list,
            "companions": list,
            "asks": str,
            "limit": dict,
            "sum": dict,
            "keeps_exemption": bool,
            "name": str,
            "most": bool,
            "printed": str,
            "wordings": list,
            "barred_by_symbol": list,
            "lacking": str,
            "untold": dict,
        },
    ),
    "claim_terms": ({"text": str}, {"value": _NUMBER, "unit": str, "values": list}),
    # from_amount: counted from so many mg of the tag per kg of the finished food on, or only over them.
    "allergens": (
        {"codes": list, "name": str},
        {
            "words": list,
            "species": dict,
            "derived": list,
            "states": list,
            "asked": bool,
            "from_amount": dict,
        },
    ),
    # codes: what must be told in the list, though it is no part of the allergen statement.
    "allergen_wording": (
        {"text": str},
        {
            "codes": list,
            "words": list,
            "from_amount": dict,
            "bold": bool,
            "slanted": bool,
            "capitals": bool,
            "inside_words": bool,
        },
    ),
    # sizes: least size by the kind that the format names. measured: size, x_height or cap_height.
    "type_sizes": ({"sizes": dict, "unit": str, "measured": str, "bold": bool}, {}),
    "geometry": ({"value": _NUMBER, "unit": str}, {"law": bool}),
    # by: what the bands are of, display_sq_in, longest_mm or grams; none for any package. measured: capitals
    # ..., else x-height.
    "letter_heights": ({"bands": list, "unit": str, "of": str}, {"measured": str, "by": str}),
    # surface: which surface of the package below or at_most limits: total, largest or display.
    "formats": (
        {"title": str, "template": str, "sizes": str},
        {
            "surface": str,
            "below": _NUMBER,
            "at_most": _NUMBER,
            "unit": str,
            "height_below": _NUMBER,
            "height_unit": str,
            "share": _NUMBER,
            "columns": str,
            "abbreviate": bool,
            "percent_only": list,
            "languages": int,
        },
    ),
    "abbreviations": ({"text": str, "abbreviation": str}, {}),
    "offers": ({"text": str}, {"surface": str, "below": _NUMBER, "at_most": _NUMBER, "unit": str}),
    # value: how many of the rows named in of must be insignificant. below: insignificant under so much.
    # names: in the
    # statement. as_one: rows that go together or not at all. with: a row that goes when those it is of have
    # gone.
    "simplified": (
        {"value": _NUMBER, "unit": str, "of": list, "always": list},
        {"below": dict, "names": dict, "as_one": list, "with": dict},
    ),
}
