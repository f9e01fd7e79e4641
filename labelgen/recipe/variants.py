"""A variant of a product in one line: replace, omit or add ingredients -> formulations and a product of
their own.
"""

from __future__ import annotations

import dataclasses

from labelgen.recipe import fields
from labelgen.recipe.models import Product
from labelgen.recipe.stated import METHODS
from labelgen.recipe.values import entry, unknown_key, words

#: What a variant may say of itself: all that a product says but what it is made of. What it does not say is
# its base's,
#: except a laboratory's result and the number of a bar code, which are of the base alone.
OWN = tuple(key for key in fields.PRODUCT if key != "of")
KEYS = ("of", "replace", "omit", "add", *METHODS, *OWN)
#: What a variant says of itself takes these words of its base away, which no longer fit.
_INSTEAD = {
    "pieces": ("net", "volume"),
    "net": ("pieces", "volume"),
    "volume": ("pieces", "net"),
    "unit": ("unit_plural",),
    "claims": ("market_claims",),
    "best_before": ("use_by",),
    "use_by": ("best_before", "date_mark"),
}


def expand_variant(reader, name: str, source, path: tuple, raw: dict, made: dict) -> None:
    """Adds the variant's formulations (named ``formulation@variant``) and product to ``made``; faults to
    ``source``.
    """
    base, told = made["products"].get(str(raw.get("of"))), len(source.findings)
    for key in set(raw) - set(KEYS):
        unknown_key(source, (*path, key), KEYS, raw)
    if base is None:
        source.fault("unknown-product.base", (*path, "of"), product=str(raw.get("of")))
        return
    replace = raw.get("replace") or {}
    omit = words(source, path, raw.get("omit"), reader.country)
    add = raw.get("add") or {}
    if not isinstance(replace, dict):
        source.fault("value.replace", (*path, "replace"))
        return
    swaps = {}
    for old, new in replace.items():
        old_name, _ = reader._name(str(old))
        new_name, before = reader._name(str(new))
        if old_name is None or new_name is None:
            source.fault(
                "unknown-ingredient", (*path, "replace", old), name=str(old if old_name is None else new)
            )
            continue
        swaps[old_name] = (new_name, reader.line(source, (*path, "replace", old), new) if before else None)
    dropped = set()
    for word in omit:
        found, _ = reader._name(word)
        if found is None:
            source.fault("unknown-ingredient", (*path, "omit"), name=word)
        else:
            dropped.add(found)
    used, reached = set(), []

    def reach(form: str) -> None:
        if form in reached or form not in made["formulations"]:
            return
        reached.append(form)
        for line in made["formulations"][form].lines:
            used.add(line.use)
            reach(line.use)

    reach(base.of)
    for missing in (set(swaps) | dropped) - used:
        source.fault("variant-no-effect", path, name=missing, base=base.key)
    if not isinstance(add, dict):
        add = {base.of: add}
        if len(reached) > 1:
            source.fault("value.add", (*path, "add"), base=base.key, formulations=reached, last=reached[-1])
            return
    given_cook = {k: raw[k] for k in METHODS if k in raw}
    cook = entry(source, path, given_cook, fields.FORMULATION, reader.country).get("cook")
    heated = [form for form in reached if made["formulations"][form].cook] or [base.of]
    if given_cook and len(heated) > 1:
        source.fault(
            "value.heated-twice", (*path, next(iter(given_cook))), formulations=heated, base=base.key
        )
    for form in reached:
        old = made["formulations"][form]
        lines = []
        for line in old.lines:
            if line.use in dropped:
                continue
            use, whole = swaps.get(line.use, (line.use, None))
            if whole is not None:
                lines.append(whole)
                continue
            use = f"{use}@{name}" if use in reached else use
            lines.append(dataclasses.replace(line, use=use))
        extra = add.get(form, [])
        for i, item in enumerate(extra if isinstance(extra, list) else [extra]):
            made_line = reader.line(source, (*path, "add", form, i), item)
            if made_line:
                lines.append(made_line)
        made["formulations"][f"{form}@{name}"] = old.model_copy(
            update={
                "name": f"{form}@{name}",
                "lines": tuple(lines),
                "cook": cook if cook and form in heated else old.cook,
                "misread": old.misread or any(f.blocks for f in source.findings[told:]),
            }
        )
    for form in set(add) - set(reached):
        source.fault(
            "variant-no-effect.add",
            (*path, "add", form),
            name=form,
            base=base.key,
            formulation=base.of,
            formulations=reached,
        )
    own = {k: raw[k] for k in OWN if k in raw}
    given = entry(source, path, own, fields.PRODUCT, reader.country)
    gone = {
        field: Product.model_fields[field].get_default(call_default_factory=True)
        for key in given
        for field in _INSTEAD.get(key, ())
    }
    # a wording of the base that the variant words anew no longer fits
    kept = {
        lang: {k: v for k, v in said.items() if k not in ("name", *given, *gone)}
        for lang, said in base.also.items()
    }
    also = {
        lang: kept.get(lang, {}) | given.get("also", {}).get(lang, {})
        for lang in {*kept, *given.get("also", {})}
    }
    made["products"][name] = base.model_copy(
        update={
            "key": name,
            "of": f"{base.of}@{name}",
            "variant_of": base.key,
            "where": source.at(path),
            "name": f"{base.name} ({name})",
            "tested": {},
            "gtin": "",
            "own_size": not {"pieces", "net"}.isdisjoint(given),
            **gone,
            **given,
            "also": also,
        }
    )
