"""A product as schema.org JSON-LD for the maker's own web page.

Terms: schema.org ``Recipe`` and ``NutritionInformation`` (https://schema.org/NutritionInformation). Amounts
are the declared ones, per the first column of the panel.
"""

from __future__ import annotations

from typing import Any

from labelgen.market.declaration_records import Declaration, Panel
from labelgen.market.papers import beside_line, contains_line, open_line

#: Nutrient key -> (schema.org property, unit word its text carries).
PROPERTIES = {
    "ENERC": ("calories", "calories"),
    "FAT": ("fatContent", "g"),
    "FASAT": ("saturatedFatContent", "g"),
    "FATRN": ("transFatContent", "g"),
    "CHOLE": ("cholesterolContent", "mg"),
    "NA": ("sodiumContent", "mg"),
    "CHOCDF": ("carbohydrateContent", "g"),
    "CHOAVLDF": ("carbohydrateContent", "g"),
    "FIBTG": ("fiberContent", "g"),
    "SUGAR": ("sugarContent", "g"),
    "PROCNT": ("proteinContent", "g"),
}


def declaration_as_jsonld(declaration: Declaration) -> dict[str, Any]:
    """A ``Recipe`` with its ``NutritionInformation``; a box is one whose parts are the products in it.
    Rows that are not known are left out, never set to nothing.
    """
    return {"@context": "https://schema.org", **_recipe(declaration)}


def _recipe(d: Declaration) -> dict[str, Any]:
    data: dict[str, Any] = {
        "@type": "Recipe",
        "name": d.product,
        "recipeIngredient": list(dict.fromkeys(entry.name for entry in d.entries)),
    }
    if d.identity != d.product:
        data["description"] = d.identity
    if d.items:
        data["hasPart"] = [_recipe(item) for item in d.items]
    elif not d.without_panel:
        data["nutrition"] = _nutrition(d.panel)
        if count := d.panel.serving.count:
            data["recipeYield"] = f"{count:g} servings"
    if d.business:
        data["author"] = {"@type": "Organization", "name": d.business[0]}
    # a list that sets allergens off by bold letters says nothing here, so they are named all the same
    said = filter(None, (d, d.second))
    if text := " ".join(
        x
        for each in said
        for x in (contains_line(each), beside_line(each), *each.advisories, open_line(each))
        if x
    ):
        data["disambiguatingDescription"] = text
    return data


def _nutrition(panel: Panel) -> dict[str, Any]:
    """Of the panel's first column; 100 mL of a liquid weigh another amount than 100 g."""
    column = panel.columns[0]
    size = (
        f"{panel.serving.household} ({panel.serving.metric})"
        if column.per != "100g"
        else "100 g"
        if f"{column.grams:g}g" == column.per
        else "100 mL"
    )
    nutrition: dict[str, Any] = {"@type": "NutritionInformation", "servingSize": size}
    # kilocalories go before kilojoules; salt is not sodium, so a salt row says nothing of it here
    for row in sorted(column.rows, key=lambda r: r.unit != "kcal"):
        name, unit = PROPERTIES.get(row.tag, ("", ""))
        if row.tag == "NA" and row.unit != "mg":
            continue
        if name and row.declared and name not in nutrition:
            nutrition[name] = (
                f"{row.declared} {unit}" if row.declared.replace(".", "").isdigit() else row.declared
            )
    return nutrition
