"""A product as schema.org JSON-LD for the maker's own web page.

Terms: schema.org ``Recipe`` and ``NutritionInformation`` (https://schema.org/NutritionInformation). Amounts are the
declared ones, per the first column of the panel.
"""

from __future__ import annotations

from typing import Any

from labelgen.export.plain import words
from labelgen.market.records import Declaration

#: Nutrient key -> (schema.org property, unit word its text carries).
PROPERTIES = {
    "ENERC": ("calories", "calories"), "FAT": ("fatContent", "g"), "FASAT": ("saturatedFatContent", "g"),
    "FATRN": ("transFatContent", "g"), "CHOLE": ("cholesterolContent", "mg"), "NA": ("sodiumContent", "mg"),
    "CHOCDF": ("carbohydrateContent", "g"), "CHOAVLDF": ("carbohydrateContent", "g"), "FIBTG": ("fiberContent", "g"), "SUGAR": ("sugarContent", "g"), "PROCNT": ("proteinContent", "g"),
}  # fmt: skip


def declaration_as_jsonld(declaration: Declaration) -> dict[str, Any]:
    """A ``Recipe`` with its ``NutritionInformation``. Rows that are not known are left out, never set to nothing."""
    column = declaration.panel.columns[0]
    nutrition: dict[str, Any] = {"@type": "NutritionInformation", "servingSize": column.heading or f"{declaration.panel.serving.household} ({column.grams:g} g)"}
    # kilocalories go before kilojoules; salt is not sodium, so a salt row says nothing of it here
    for row in sorted(column.rows, key=lambda r: r.unit != "kcal"):
        name, unit = PROPERTIES.get(row.tag, ("", ""))
        if row.tag == "NA" and row.unit != "mg":
            continue
        if name and row.declared and name not in nutrition:
            nutrition[name] = f"{row.declared} {unit}" if row.declared.replace(".", "").isdigit() else row.declared
    data: dict[str, Any] = {
        "@context": "https://schema.org", "@type": "Recipe", "name": declaration.product, "description": declaration.identity,
        "recipeIngredient": [entry.name for entry in declaration.entries], **({} if declaration.without_panel else {"nutrition": nutrition}),
    }  # fmt: skip
    if declaration.business:
        data["author"] = {"@type": "Organization", "name": declaration.business[0]}
    if count := declaration.panel.serving.count:
        data["recipeYield"] = f"{count:g} servings"
    if declaration.allergens:
        data["disambiguatingDescription"] = words(declaration.allergens)
    return data
