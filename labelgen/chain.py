"""The chain, whole: load -> resolve -> roll up (-> declare -> lay out -> draw -> read back)."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from labelgen.composition.ingredient_records import ResolvedIngredient
from labelgen.errors import DRAFT, Finding, by_danger
from labelgen.findings import find
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.order import Order
from labelgen.recipe.models import Kitchen, Product

if TYPE_CHECKING:
    from labelgen.market.allergens.conserved import Known
    from labelgen.market.declaration_records import Declaration


@dataclass(frozen=True, eq=False)
class Rolled:
    """A kitchen, its resolved ingredients, its products rolled up, and all findings so far.

    on: the day by whose rules packets were read. misread: the findings of the files themselves; unread: those
    of reading them alone. stops: product or box -> those that stop its label.
    """

    kitchen: Kitchen | None
    on: date
    resolved: dict[str, ResolvedIngredient]
    profiles: dict[str, NutrientProfile]
    findings: tuple[Finding, ...]
    misread: tuple[Finding, ...] = ()
    unread: tuple[Finding, ...] = ()
    stops: Mapping[str, tuple[Finding, ...]] = field(default_factory=dict)

    def faults_of(self, key: str) -> tuple[Finding, ...]:
        """What is wrong in the files with a product or box. That it is unfinished stops its label only: it
        is a warning.
        """
        return tuple(
            replace(f, severity="warn") if f.code.startswith(DRAFT) else f for f in self.stops.get(key, ())
        )


def roll_up_folder(folder: str | Path, on: date | None = None) -> Rolled:
    """Everything up to the nutrient profiles, with every finding of every room. on: the label's date
    (default: today).
    """
    from labelgen.recipe.read import read_kitchen

    kitchen, findings = read_kitchen(folder)
    on = on or date.today()
    return roll_up(kitchen, on, findings) if kitchen else Rolled(None, on, {}, {}, findings)


def roll_up(kitchen: Kitchen, on: date, unread: tuple[Finding, ...] = ()) -> Rolled:
    """The same of a kitchen that was read. unread: the findings of reading it."""
    from labelgen.composition.allergen_codes import in_codes
    from labelgen.composition.parted import in_both_languages
    from labelgen.composition.resolve import check_handles, resolve_kitchen
    from labelgen.formulation.rollup import roll_up_kitchen
    from labelgen.market.same_names import same_names
    from labelgen.recipe.reach import stopped_by

    kitchen, parted = in_both_languages(in_codes(kitchen))
    resolved = resolve_kitchen(kitchen, _foods_of(kitchen), on)
    profiles, balance = roll_up_kitchen(kitchen, resolved)
    misread = (*unread, *check_handles(kitchen))
    every = (
        *misread,
        *parted,
        *(f for r in resolved.values() for f in r.findings),
        *balance,
        *same_names(kitchen, profiles),
    )
    return Rolled(
        kitchen,
        on,
        resolved,
        profiles,
        tuple(by_danger(every)),
        misread,
        unread,
        stopped_by(kitchen, misread),
    )


def as_of(rolled: Rolled, on: date) -> Rolled:
    """The same kitchen by the rules of another day, by which panels and sheets are read."""
    from labelgen.composition.resolve import resolve_kitchen
    from labelgen.formulation.rollup import roll_up_kitchen

    if on == rolled.on or not any(
        spec.panel or spec.nutrients for spec in rolled.kitchen.ingredients.values()
    ):
        return rolled
    resolved = resolve_kitchen(rolled.kitchen, _foods_of(rolled.kitchen), on)
    return replace(rolled, on=on, resolved=resolved, profiles=roll_up_kitchen(rolled.kitchen, resolved)[0])


def _foods_of(kitchen: Kitchen):
    """The dataset, with the foods pinned into the kitchen before it."""
    from labelgen.composition.dataset import open_dataset

    if not kitchen.foods:
        return open_dataset()
    from labelgen.composition.pinned import WithPins

    return WithPins(open_dataset(), kitchen.foods)


def declare_product(rolled: Rolled, key: str, order: Order) -> Declaration:
    """The declaration of one product, or of a box of several. Its findings include every fault of the
    kitchen's files that stops its label.
    """
    from labelgen.market.declare_food import declare

    rolled = as_of(rolled, order.on)
    if key in rolled.kitchen.boxes:
        return _declare_box(rolled, key, order)
    declaration = declare(rolled.profiles[key], rolled.kitchen.products[key], rolled.kitchen, order)
    return _stopped(rolled, key, declaration)


def _stopped(rolled: Rolled, key: str, declaration: Declaration) -> Declaration:
    return replace(
        declaration, findings=tuple(by_danger((*rolled.stops.get(key, ()), *declaration.findings)))
    )


#: The exemption that a unit inside a pack takes, in the markets that have it.
INNER = "inner unit"


@dataclass(frozen=True, eq=False)
class Printed:
    """One product's label. label: its own PDF, a page for each face; pdf: the pages to print; both None
    when it may not be printed. stock, faces: what it was laid out on and how.
    """

    label: bytes | None
    pdf: bytes | None
    findings: tuple[Finding, ...]
    stock: object = None
    faces: tuple = ()


def where_of(rolled: Rolled, key: str):
    """The place in the maker's files where a product or box is written."""
    return (rolled.kitchen.products.get(key) or rolled.kitchen.boxes[key]).where


def _declare_box(rolled: Rolled, key: str, order: Order) -> Declaration:
    """Each product is declared as a pack of what the box holds of it, so that its servings are those of
    the box.
    """
    from labelgen.market.box import Held, declare_box, named_by
    from labelgen.market.dates import days_kept

    box, held = rolled.kitchen.boxes[key], []
    for name, count in box.holds.items():
        inside = _as_held(rolled, named_by(box, rolled.kitchen.products[name]), count)
        declaration = declare_product(inside, name, order)
        keeps = days_kept(rolled.kitchen.products[name].shelf_life, order.made_on)
        held.append(Held(declaration, count, inside.profiles[name].pack.grams, keeps))
    return _stopped(rolled, key, declare_box(box, held, rolled.kitchen))


def _as_held(rolled: Rolled, product: Product, count: float) -> Rolled:
    """The kitchen with one product packed as a box holds it: so many pieces, or packs when it is sold by
    weight.
    """
    from labelgen.formulation.rollup import roll_up_kitchen

    name, profile = product.key, rolled.profiles[product.key]
    size = (
        {"pieces": count, "net": None}
        if profile.pieces
        else {
            "net": count * profile.pack.grams,
            "pieces": None,
            "volume": product.volume and count * product.volume,
        }
    )
    kitchen = rolled.kitchen.model_copy(
        update={
            "products": {
                **rolled.kitchen.products,
                name: product.model_copy(update={**size, "boxed": True}),
            }
        }
    )
    return replace(
        rolled,
        kitchen=kitchen,
        profiles={**rolled.profiles, **roll_up_kitchen(kitchen, rolled.resolved, (name,))[0]},
    )


def with_inner_units(rolled: Rolled, key: str) -> tuple[Rolled, tuple[str, ...]]:
    """The kitchen with what a box holds as units of their own inside it, and their keys:
    BOX-PRODUCT-inner. What the box says is left off where its market lets it be.
    """
    from labelgen.formulation.rollup import roll_up_kitchen

    units = {}
    for name, count in rolled.kitchen.boxes[key].holds.items():
        held = _as_held(rolled, rolled.kitchen.products[name], count).kitchen.products[name]
        unit = f"{key}-{name}-inner"
        units[unit] = held.model_copy(
            update={
                "key": unit,
                "claims": (),
                "exempt": (*held.exempt, INNER),
                "package": (),
                "gtin": "",
                "qr": "",
            }
        )
    kitchen = rolled.kitchen.model_copy(update={"products": {**rolled.kitchen.products, **units}})
    stops = dict.fromkeys(units, rolled.stops.get(key, ()))
    profiles = roll_up_kitchen(kitchen, rolled.resolved, tuple(units))[0]
    return replace(
        rolled, kitchen=kitchen, profiles={**rolled.profiles, **profiles}, stops={**rolled.stops, **stops}
    ), tuple(units)


def known_of_product(rolled: Rolled, key: str, pack) -> Known:
    """What is known of the allergens of a product, or of everything in a box, and what its market lets go
    unsaid.
    """
    from labelgen.market.allergens.conserved import Known, known_of

    kitchen = rolled.kitchen
    inside = kitchen.boxes[key].holds if key in kitchen.boxes else (key,)
    every = [
        known_of(pack, kitchen, rolled.resolved, kitchen.products[name], rolled.profiles[name])
        for name in inside
    ]
    return Known(
        tuple(dict.fromkeys(m for k in every for m in k.members)),
        tuple(dict.fromkeys(x for k in every for x in k.exempt)),
    )


def lost_in_words(
    rolled: Rolled,
    key: str,
    declaration: Declaration,
    text: str,
    output: str,
    table: bool = False,
    marked: bool = False,
) -> tuple[Finding, ...]:
    """What is known of a product and an output does not say, in each language of the declaration. table:
    its cells stand apart from what they are under. marked: open questions are not said, because the output
    is marked as not ready.
    """
    from labelgen.law.pack import Pack
    from labelgen.law.registry import market_named
    from labelgen.market.allergens.conserved import in_words, lost

    found, first = [], market_named(declaration.market).language[:2]
    for said in filter(None, (declaration, declaration.second)):
        pack = Pack(said.market, said.on, "" if said.language == first else said.language)
        precaution = "" if key in rolled.kitchen.boxes else rolled.kitchen.products[key].precaution
        says = in_words(pack, " ".join(text.split()), dict(said.called), precaution, table)
        known = known_of_product(rolled, key, pack)
        found += lost(known.without_questions() if marked else known, says, output, where_of(rolled, key))
    return tuple(dict.fromkeys(found))


def lost_in_english(rolled: Rolled, key: str, market: str, on, text: str, output: str) -> tuple[Finding, ...]:
    """What is known of a product and a paper for its maker does not say."""
    from labelgen.law.pack import Pack
    from labelgen.market.allergens.conserved import in_words, lost

    pack, called = Pack(market, on), {name: r.print_name for name, r in rolled.resolved.items()}
    return lost(
        known_of_product(rolled, key, pack),
        in_words(pack, text, called, whole=True),
        output,
        where_of(rolled, key),
    )


def lost_in_codes(
    rolled: Rolled, key: str, market: str, on, output: str, contains, may, unknown, untold
) -> tuple[Finding, ...]:
    """What is known of a product and an output of codes does not hold. untold: keys of ingredients it
    calls untold.
    """
    from labelgen.law.pack import Pack
    from labelgen.market.allergens.conserved import in_codes, lost

    return lost(
        known_of_product(rolled, key, Pack(market, on)),
        in_codes(contains, may, unknown, untold),
        output,
        where_of(rolled, key),
    )


def make_label(rolled: Rolled, key: str, order: Order) -> tuple[bytes | None, tuple[Finding, ...]]:
    """(PDF bytes, findings) of one product's label, a page for each of its faces. No PDF when a finding
    blocks it, anything it is made with is at fault, it does not fit the stock, or it does not read back.
    """
    made = draw_product(rolled, key, order)
    return made.label, made.findings


def print_label(rolled: Rolled, key: str, order: Order) -> Printed:
    """One product's label and the pages it is printed on, as its order's job says."""
    from labelgen.layout.sheets import copies_of

    made, job = draw_product(rolled, key, order), order.job
    if made.label is None or not job.on_sheets:
        return made
    pdf, faults = print_sheets(made.stock, [(made.faces, copies_of(job, made.stock, len(made.faces)))], job)
    return replace(made, label=made.label if pdf else None, pdf=pdf, findings=(*made.findings, *faults))


def draw_product(rolled: Rolled, key: str, order: Order) -> Printed:
    """One product's label, drawn, read back by two readers and held against what was declared."""
    from labelgen.errors import LayoutError
    from labelgen.law.pack import Pack
    from labelgen.layout.boxes import words_of
    from labelgen.layout.whole_label import check_format, fit_job
    from labelgen.market.allergens.conserved import unanswered
    from labelgen.pdf.check_label import check_label
    from labelgen.pdf.complete import check_complete
    from labelgen.pdf.draw import draw_pages

    declaration = declare_product(rolled, key, order)
    findings = declaration.findings
    if any(f.blocks for f in findings):
        return Printed(None, None, findings)
    try:
        stock, faces = fit_job(declaration, order.job)
    except LayoutError as error:
        return Printed(
            None,
            None,
            (find("label-does-not-fit", where_of(rolled, key), product=key, fault=str(error)), *findings),
        )
    label = draw_pages(faces)
    faults = (
        *check_label(label, *faces),
        *check_complete(declaration, faces),
        *lost_in_words(rolled, key, declaration, words_of(faces), "the label", marked=True),
    )
    known = known_of_product(rolled, key, Pack(order.market, order.on))
    open_ones = unanswered(known, key, where_of(rolled, key), for_sale=bool(order.lot))
    if faults or any(f.blocks for f in open_ones):
        label = None
    return Printed(
        label,
        label,
        (*findings, *open_ones, *check_format(declaration, faces, where_of(rolled, key)), *faults),
        stock,
        faces,
    )


def print_sheets(stock, orders, job) -> tuple[bytes | None, tuple[Finding, ...]]:
    """(PDF, faults) of labels placed on pages: ``orders`` are (faces, copies). No PDF when it does not
    read back.
    """
    from labelgen.layout.sheets import impose
    from labelgen.pdf.agree import check_sheets
    from labelgen.pdf.draw import draw_sheets

    sheets = tuple(impose(stock, orders, job.start, job.cut_marks, job.nudge))
    pdf = draw_sheets(sheets)
    faults = check_sheets(pdf, sheets)
    return (None if faults else pdf), faults
