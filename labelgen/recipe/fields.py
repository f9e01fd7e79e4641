"""What may be written under each kind of entry: YAML key -> (model field, how to read it).

See ``values.entry``, which reads an entry by such a table.
"""

from __future__ import annotations

from labelgen.recipe.printed import figures, panel
from labelgen.recipe.stated import (
    METHODS,
    amount_words,
    cook,
    density,
    per,
    reasons,
    reference_food,
    tests,
)
from labelgen.recipe.times import shelf_life
from labelgen.recipe.values import (
    claims,
    fraction,
    gtin,
    mass,
    net,
    one_of,
    package,
    percent,
    pieces,
    positive,
    qr,
    quantity,
    reference_amounts,
    text,
    volume,
    weights,
    worded,
    words,
    yes_no,
)

PRODUCER = {k: (k, text) for k in ("name", "address", "phone", "email", "web", "role", "permit")}
INGREDIENT = {
    "print": ("print_name", worded),
    "food": ("food", text),
    "statement": ("statement", worded),
    "contains": ("contains", words),
    "may_contain": ("may_contain", words),
    "panel": ("panel", panel),
    "per": ("per", quantity),
    "nutrients": ("nutrients", figures),
    "source": ("source", text),
    "weighs": ("weighs", weights),
    "density": ("density", density),
    "added_sugars": ("added_sugars", amount_words),
    "supplier": ("supplier", text),
    "supplier_lot": ("supplier_lot", text),
    "gluten_free": ("gluten_free", yes_no),
    "vegan": ("vegan", yes_no),
    "vegetarian": ("vegetarian", yes_no),
}
FOOD = {
    **{k: (k, text) for k in ("name", "database", "kind", "published", "fetched", "packet")},
    "per": ("per", quantity),
    "nutrients": ("nutrients", figures),
    "weighs": ("weighs", weights),
    "composite": ("composite", yes_no),
}
FORMULATION = {
    "yields": ("yields", mass),
    "makes": ("makes", pieces),
    "per": ("makes", per),
    "left": ("left", fraction),
    "print": ("print_name", worded),
    **{m: ("cook", cook(m)) for m in METHODS},
}
PRODUCT = {
    "name": ("name", worded),
    "of": ("of", text),
    "pieces": ("pieces", pieces),
    "net": ("net", net),
    "volume": ("volume", volume),
    "category": ("category", text),
    "unit": ("unit", worded),
    "unit_plural": ("unit_plural", worded),
    "identity": ("identity", worded),
    "cut": ("cut", yes_no),
    "best_before": ("best_before", shelf_life),
    "use_by": ("use_by", shelf_life),
    "date_mark": ("date_mark", text),
    "storage": ("storage", worded),
    "origin": ("origin", worded),
    "claims": ("claims", claims),
    "show": ("show", words),
    "precaution": ("precaution", worded),
    "directions": ("directions", worded),
    "serving": ("serving", quantity),
    "weighs": ("weighs", weights),
    "serving_looks": ("serving_looks", text),
    "alcohol": ("alcohol", percent),
    "juice": ("juice", percent),
    "reference_amounts": ("reference_amounts", reference_amounts),
    "pdcaas": ("pdcaas", positive),
    "nutrition_symbol": ("nutrition_symbol", yes_no),
    "price": ("price", text),
    "quantify": ("quantify", words),
    "flavours_only": ("flavours_only", words),
    "exempt": ("exempt", words),
    "compounds": ("compounds", one_of("nested", "dissolved", "short")),
    "may_contain": ("may_contain", words),
    "cross_contact": ("cross_contact", reasons),
    "tested": ("tested", tests),
    "compared_with": ("compared_with", reference_food),
    "package": ("package", package),
    "gtin": ("gtin", gtin),
    "qr": ("qr", qr),
}
BOX = {"name": ("name", worded)}
