"""What a maker writes, as frozen models. Anything not named here is refused.

Amounts stay as text until ``read`` has checked them; every model remembers the place it was written
(``where``), so that any later room can point at it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field

from labelgen.errors import Where
from labelgen.quantity import Quantity


def _listed(value):
    """A single word where a list is expected counts as a list of one."""
    if value is None:
        return ()
    return value if isinstance(value, (list, tuple)) else (value,)


Words = Annotated[tuple[str, ...], BeforeValidator(_listed)]
How = Literal["weighed", "estimated"]
#: What stands in place of a figure that a panel names as not significant, instead of printing it.
INSIGNIFICANT = "not a significant source"


class Model(BaseModel):
    model_config = ConfigDict(
        frozen=True,
        extra="forbid",
        arbitrary_types_allowed=True,
        str_strip_whitespace=True,
        defer_build=True,
    )

    where: Where = Field(default=Where("?"), repr=False)


class Worded(Model):
    """An entry whose texts may be given in several languages. also: language -> field -> text."""

    also: dict[str, dict[str, str]] = Field(default_factory=dict)


class Producer(Model):
    """Whose name stands on the label. role: "" (the maker), "Distributed by", "Imported by" ...
    permit: the words of a permit, a registration or an establishment, as they are to be printed.
    """

    name: str
    address: str
    phone: str = ""
    email: str = ""
    web: str = ""
    role: str = ""
    permit: str = ""


class Printed(Model):
    """A figure as typed, e.g. "7 g", "<1 g", "10% DV", and its place. name: the word it stands under."""

    name: str
    text: str


class PanelText(Model):
    """A supplier's nutrition panel as printed. serving: None where only a market's own basis is meant.
    figures: the panel's words as typed -> what stands beside them; what a word means is the market's
    matter. older: it has the form that panels of its market had before.
    """

    market: str
    serving: Quantity | None
    figures: dict[str, Printed]
    older: bool = False


class IngredientSpec(Worded):
    """One ingredient specification.

    name: how recipes call it. print_name: how the label names it. food: pinned dataset id. statement:
    the supplier's sub-ingredient statement. contains/may_contain: the supplier's own declaration
    (``contains: []`` declares none; None = nothing declared). per + nutrients: figures from a
    specification sheet or laboratory, by nutrient key ("12 g", "<0.5 g", "12 +/- 1 g"). weighs: household
    measures -> grams. density: grams of a millilitre, 0 where nobody says. added_sugars: all, none or an
    amount per 100 g.
    """

    name: str
    print_name: str = ""
    food: str = ""
    statement: str = ""
    contains: Words | None = None
    may_contain: Words | None = None
    panel: PanelText | None = None
    per: Quantity | None = None
    nutrients: dict[str, Printed] = Field(default_factory=dict)
    source: str = ""
    weighs: dict[str, Quantity] = Field(default_factory=dict)
    density: float = 0.0
    added_sugars: str = ""
    supplier: str = ""
    supplier_lot: str = ""
    gluten_free: bool | None = None
    vegan: bool | None = None
    vegetarian: bool | None = None

    def path(self, *fields: str) -> str:
        """Where a field of it stands in the kitchen: ``ingredients.butter.panel.fat``."""
        return ".".join(("ingredients", self.name, *fields))


class PinnedFood(Model):
    """A food fetched from a database and pinned into the kitchen. per + nutrients: as in a specification.
    database, kind, published, fetched: where and when it is from. packet: a packaged food's ingredient
    list. composite: its make-up is not told by its figures.
    """

    id: str
    name: str
    database: str
    kind: str = ""
    published: str = ""
    fetched: str = ""
    per: Quantity
    nutrients: dict[str, Printed] = Field(default_factory=dict)
    weighs: dict[str, Quantity] = Field(default_factory=dict)
    packet: str = ""
    composite: bool = False


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a formulation: so much of an ingredient or of another formulation. number: which of its
    list, from 0. Small, since there are many.
    """

    use: str
    amount: Quantity
    where: Where = Where("?")  # noqa: RUF009
    number: int = 0


class Cook(Model):
    """A heating or drying step. method: bake, roast, fry, boil, dry. before/after: weights of the same lot;
    or ``loss`` as a fraction of the weight before. fat: grams of fat gained (+) or lost (-) per
    ``before``, from ``fat_from`` when gained."""

    method: str
    before: float | None = None
    after: float | None = None
    loss: float | None = None
    loss_low: float | None = None
    loss_high: float | None = None
    how: How = "estimated"
    minutes: float | None = None
    fat: float = 0.0
    fat_from: str = ""
    loses: Literal["water", "everything"] = "water"


class Formulation(Worded):
    """Ingredients in, one batch out. yields: weighed output [g]; makes: pieces the batch makes (1 for
    ``per: piece``); left: fraction left on utensils. print_name: when set, the statement shows this
    formulation as a compound ingredient of that name. misread: something written of it could not be read,
    so it can not be weighed out.
    """

    name: str
    lines: tuple[Line, ...]
    yields: float | None = None
    makes: float | None = None
    left: float | None = None
    cook: Cook | None = None
    print_name: str = ""
    misread: bool = False

    def path(self, *fields: str) -> str:
        """Where a field of it stands in the kitchen: ``formulations.dough.bake``; of a variant's,
        ``variants.oat.bake``.
        """
        name, _, variant = self.name.partition("@")
        return ".".join(("variants", variant, *fields) if variant else ("formulations", name, *fields))

    def path_of(self, line: Line) -> str:
        """Where one of its lines stands: ``formulations.dough.ingredients.2``; of a variant's, which has
        no list of its own, ``variants.oat``.
        """
        return self.path() if "@" in self.name else self.path("ingredients", str(line.number))


class LabTest(Model):
    """A laboratory's result on the finished product. most: the most there can be [mg/kg]. detected:
    whether any was found.
    """

    text: str
    most: float
    detected: bool


class ReferenceFood(Model):
    """The food a comparative claim compares with. figures: nutrient key -> what is stated in ``per`` of
    it.
    """

    name: str
    per: Quantity
    figures: dict[str, Printed]


class Product(Worded):
    """Something sold. of: the formulation. pieces: per pack, or net: grams per pack, with volume: its
    millilitres when it is a liquid sold by volume. category: the reference-amount category. unit: what one
    piece is called ("cookie"). claims: words asked for;
    market_claims: those for single markets alone.
    nutrition_symbol: the pack carries the front-of-pack symbol already. best_before, use_by: shelf
    lives such as "14 days". date_mark: "baked on" or "baked for", in place of a best-before date. quantify:
    ingredients the label stresses, whose quantity is declared; flavours_only: those that only flavour the
    food. exempt: exemptions the maker takes, such as direct_sale. compounds: "dissolved" puts the ingredients
    of named formulations into the list itself, "short" leaves small ones their allergens and additives where
    a market allows it. origin: the statement of origin, printed as it stands. may_contain: allergen codes to
    warn of in the market's words. precaution: a warning in the maker's own. directions: instructions for
    use. cross_contact: allergen code ->
    why no warning is needed.
    tested: allergen code (or lactose) -> a laboratory's result. compared_with: what "reduced" or "light"
    speaks of.
    variant_of: the product it is a variant of; own_size: the variant says itself what a pack holds.
    boxed: set by the program where the product is counted as what a box holds of it.
    weighs: household measures of the finished food -> grams ("cup" -> 90 g). serving_looks: what a serving
    in ounces looks like. alcohol, juice: percent by volume of a drink. reference_amounts: market -> what its
    maker read in the authority's table.
    package: width, height and depth of the package [mm]. gtin: the digits of its bar code. qr: text of a
    QR code.
    """

    key: str
    name: str
    of: str
    pieces: float | None = None
    net: float | None = None
    volume: float | None = None
    category: str = ""
    unit: str = "piece"
    unit_plural: str = ""
    identity: str = ""
    cut: bool = False
    best_before: str = ""
    use_by: str = ""
    date_mark: str = ""
    storage: str = ""
    origin: str = ""
    claims: Words = ()
    market_claims: dict[str, Words] = Field(default_factory=dict)
    show: Words = ()
    may_contain: Words = ()
    precaution: str = ""
    directions: str = ""
    cross_contact: dict[str, str] = Field(default_factory=dict)
    tested: dict[str, LabTest] = Field(default_factory=dict)
    compared_with: ReferenceFood | None = None
    serving: Quantity | None = None
    weighs: dict[str, Quantity] = Field(default_factory=dict)
    serving_looks: str = ""
    alcohol: float | None = None
    juice: float | None = None
    reference_amounts: dict[str, Quantity] = Field(default_factory=dict)
    pdcaas: float | None = None
    nutrition_symbol: bool = False
    variant_of: str = ""
    own_size: bool = False
    price: str = ""
    quantify: Words = ()
    flavours_only: Words = ()
    exempt: Words = ()
    compounds: str = ""
    package: tuple[float, ...] = ()
    gtin: str = ""
    qr: str = ""
    boxed: bool = False

    def path(self, *fields: str) -> str:
        """Where a field of it stands in the kitchen: ``products.hill-biscuits.claims``."""
        return ".".join(("variants" if self.variant_of else "products", self.key, *fields))

    def in_market(self, code: str) -> Product:
        """The product with the claims it makes in one market."""
        return (
            self.model_copy(
                update={"claims": (*self.claims, *self.market_claims.get(code, ())), "market_claims": {}}
            )
            if self.market_claims
            else self
        )

    @property
    def density(self) -> float:
        """Grams per millilitre of a liquid sold by volume; 0 for any other product."""
        return self.net / self.volume if self.net and self.volume else 0.0

    @property
    def shelf_life(self) -> str:
        """How long it keeps as the maker wrote it, or ""."""
        return self.use_by or self.best_before


class Box(Worded):
    """A box of several products: product key -> packs or pieces of it."""

    key: str
    name: str
    holds: dict[str, float]

    def path(self, *fields: str) -> str:
        """Where a field of it stands in the kitchen: ``boxes.tea-box.holds.oat-bar``."""
        return ".".join(("boxes", self.key, *fields))


class Kitchen(Model):
    """A maker's folder, read whole. Variants are already turned into products of their own. places: where
    each setting of kitchen.yaml is written. half_read: file -> the names that what is wrong with it as a
    whole may be about, folded, each with what it is looked up among; None for any name.
    """

    folder: str
    producer: Producer
    places: dict[str, Where] = Field(default_factory=dict)
    country: str = "us"
    markets: Words = ("us",)
    languages: Words = ()
    handles: Words = ()
    retention: bool = True
    sells: str = ""
    foods: dict[str, PinnedFood] = Field(default_factory=dict)
    ingredients: dict[str, IngredientSpec] = Field(default_factory=dict)
    formulations: dict[str, Formulation] = Field(default_factory=dict)
    products: dict[str, Product] = Field(default_factory=dict)
    boxes: dict[str, Box] = Field(default_factory=dict)
    half_read: dict[str, frozenset[tuple[str, str]] | None] = Field(default_factory=dict)
