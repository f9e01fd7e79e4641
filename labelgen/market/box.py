"""A box of several products as one declaration: a list and a panel for each, allergens, date and quantity
of the whole.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.law.format_tables import Format
from labelgen.law.pack import Pack
from labelgen.market.allergens.declaration import declare_allergens
from labelgen.market.allergens_in_names import check_name
from labelgen.market.assortment import aggregate_panel
from labelgen.market.claims.claim_words import read_claim
from labelgen.market.claims.in_text import claims_in, read_text
from labelgen.market.claims.places import meaning, unclear
from labelgen.market.declaration_records import Claim, Declaration, Panel, Run
from labelgen.market.net_quantity import declare_net_quantity
from labelgen.market.second_language import label_languages
from labelgen.recipe.models import Box, Kitchen, Product


@dataclass(frozen=True)
class Held:
    """One product in a box. count: pieces, or packs of a product that is sold by weight. grams: of all of
    them.
    keeps: days its shelf life lasts, None when it has none.
    """

    declaration: Declaration
    count: float
    grams: float
    keeps: int | None


def declare_box(box: Box, held: Sequence[Held], kitchen: Kitchen) -> Declaration:
    """One declaration for the whole box. It ends when its first product does, and is stopped by what stops
    any of them.
    """
    first = held[0].declaration
    language, *others = label_languages(Pack(first.market, first.on), kitchen)
    declared = _together(
        box,
        held,
        [_named(h.declaration, kitchen.products[key], language) for key, h in zip(box.holds, held)],
        language,
    )
    if others and all(h.declaration.second for h in held):
        items = [
            _named(h.declaration.second, kitchen.products[key], others[0]) for key, h in zip(box.holds, held)
        ]
        second = _together(box, held, items, others[0])
        panel = (
            replace(declared.panel, second=second.panel)
            if declared.panel.columns[0].serving
            else declared.panel
        )
        declared = replace(declared, second=second, panel=panel)
    found = [
        said
        for h in held
        for f in h.declaration.findings
        if f.code != "panel-exemption"
        for said in _of_name(box, f)
    ]
    found += [
        find("box-liquid", box.where, path=box.path("holds"), box=box.key, product=h.declaration.product)
        for h in held
        if h.declaration.volume
    ]
    found += check_name(
        box, box.key, {"name": "name"}, {h.allergen for d in held for h in d.declaration.contains}
    )
    found.append(find("inner-packs", box.where, path=box.path(), box=box.key))
    found += [
        unclear(box.where, box.path("name"), f"{box.key}: the name", text)
        for said in _names_of(box)
        for text in read_text(said).unclear
    ]
    return replace(declared, findings=tuple(dict.fromkeys(found)))


def named_by(box: Box, product: Product) -> Product:
    """The product with what the box's name says of it among its claims, so that they are judged."""
    return product.model_copy(update={"claims": tuple(dict.fromkeys((*product.claims, *_claims_of(box))))})


def _claims_of(box: Box) -> dict[str, str]:
    """What the names of the box claim -> the name that says it first, as its maker wrote it."""
    said = [(text, name) for name in _names_of(box) for text in claims_in(name)]
    claims: dict[str, str] = {}
    for text, name in said:
        if not all(a.naming for a in read_claim(text)):
            claims.setdefault(text, name)
    return claims


def _names_of(box: Box) -> tuple[str, ...]:
    return tuple(dict.fromkeys((box.name, *(said.get("name", "") for said in box.also.values()))))


def _of_name(box: Box, finding: Finding) -> tuple[Finding, ...]:
    """A refusal of what the box's name says too, in whatever words: told of the name, and of a text of the
    product.
    """
    told = dict(finding.data)
    if finding.code != "claim-refused" or "entry" in told:
        return (finding,)
    said = next(
        ((text, name) for text, name in _claims_of(box).items() if meaning(text) & meaning(told["claim"])),
        None,
    )
    if said is None:
        return (finding,)
    told |= {"box": box.key, "claim": said[0], "name": said[1]}
    of_box = find("claim-refused.of-box", box.where, path=box.path("name"), cites=finding.citation, **told)
    return (of_box, finding) if told["place"] else (of_box,)


def _beside_names(items: Sequence[Declaration]) -> tuple[Claim, ...]:
    """What must stand beside claims that the names of the items make; their other claims are not printed
    on a box.
    """
    claims = [(d, c) for d in items for c in d.claims if c.companions and not c.text]
    return tuple(
        replace(c, text="", companions=(f"{d.product}: {' '.join(c.companions)}",)) for d, c in claims
    )


def _together(box: Box, held: Sequence[Held], items: Sequence[Declaration], language: str) -> Declaration:
    """The box in one language of its market."""
    first = items[0]
    pack = Pack(first.market, first.on, language)
    grams = sum(h.grams for h in held)
    contains, may = (
        tuple(dict.fromkeys(hit for d in items for hit in getattr(d, field)))
        for field in ("contains", "may_contain")
    )
    allergens = declare_allergens(first.market, first.on, contains, may, language)
    own = {d.precaution for d in items}
    advisories = [t for t in _each(items, "advisories") if t not in own]
    soonest = min((h for h in held if h.keeps is not None), key=lambda h: h.keeps, default=held[0])
    dates = items[[id(h) for h in held].index(id(soonest))].dates
    whole = (
        aggregate_panel([(d.product, d.panel) for d in items])
        if len(items) > 1 and pack.has(Format) and _takes_foods(pack)
        else None
    )
    return replace(
        first,
        product=box.also.get(language, {}).get("name") or box.name,
        identity=", ".join(_counted(h.count, d) for h, d in zip(held, items)),
        panel=whole or first.panel,
        items=tuple(items),
        questions=_each(items, "questions"),
        untold=_each(items, "untold"),
        called=_each(items, "called"),
        ingredients=(),
        entries=tuple(e for d in items for e in d.entries),
        contains=contains,
        may_contain=may,
        allergens=allergens.runs,
        advisories=(*advisories, *(t for t in (allergens.precaution,) if t)),
        precaution=allergens.precaution,
        warnings=_each(items, "warnings"),
        storage=" ".join(_each([d for d in items if d.storage], "storage")),
        net_quantity=declare_net_quantity(pack, grams),
        net_grams=grams,
        dates=dates,
        behind_name=(),
        claims=_beside_names(items),
        package=(),
        gtin="",
        qr="",
        front=(),
        findings=(),
        second=None,
        # what one product may leave out, the box of all of them may not
        without_panel=all(d.without_panel for d in items),
        business=next((d.business for d in items if d.business), ()),
    )


def _named(declaration: Declaration, product: Product, language: str) -> Declaration:
    """The product under its own name, or in a language that is not worded in, under its identity."""
    worded = not language or product.also.get(language, {}).get("name")
    return declaration if worded else replace(declaration, product=declaration.identity)


def _takes_foods(pack: Pack) -> bool:
    """Whether the market has a panel for several foods."""
    return any(entry.columns == "foods" for entry in pack.entries(Format))


def _counted(count: float, declaration: Declaration) -> str:
    """How many of an item, its name, and what food it is: a fancy name alone does not say so."""
    name, food = declaration.product, declaration.identity
    return (
        f"{count:g} {name}"
        if food == name
        else f"{count:g} {food}"
        if food.startswith(f"{name} ")
        else f"{count:g} {name} ({food})"
    )


def _each(items: Sequence[Declaration], field: str) -> tuple[str, ...]:
    """What the items say, each once: a text, or a tuple of them."""
    said = (getattr(d, field) for d in items)
    return tuple(
        dict.fromkeys(text for part in said for text in ((part,) if isinstance(part, str) else part))
    )


def panels_of(declaration: Declaration) -> tuple[tuple[str, Panel], ...]:
    """(whose, panel) of every panel a label prints: the one of its product or of all in the box, else one
    each.
    """
    if declaration.items and not declaration.panel.columns[0].serving:
        return tuple((item.product, item.panel) for item in declaration.items)
    return (("", declaration.panel),)


def item_list(item: Declaration) -> tuple[Run, ...]:
    """The ingredient list of one item of a box, its name before it, behind it its own allergens and what
    it may contain.
    """
    behind = (item.allergens, (Run(item.precaution),) if item.precaution else ())
    return (
        Run(f"{item.product}. ", bold=True),
        *item.ingredients,
        *(run for runs in behind if runs for run in (Run(" "), *runs)),
    )
