"""Reads a kitchen folder: kitchen.yaml, ingredients/*.yaml, recipes/*.yaml -> ``Kitchen`` and every fault
found.
"""

from __future__ import annotations

from pathlib import Path

from pydantic import ValidationError

from labelgen.errors import DRAFT, Finding, UnitError, Where
from labelgen.findings import find
from labelgen.law.registry import code_named
from labelgen.quantity import Quantity, read_quantity
from labelgen.recipe import fields
from labelgen.recipe.drafts import find_checks, take_mark
from labelgen.recipe.models import (
    Box,
    Formulation,
    IngredientSpec,
    Kitchen,
    Line,
    PinnedFood,
    Producer,
    Product,
)
from labelgen.recipe.near import near
from labelgen.recipe.reach import SPACES, names_in, plain
from labelgen.recipe.together import check_together
from labelgen.recipe.values import (
    entry,
    known_markets,
    languages,
    plainly,
    positive,
    spoken_alone,
    text,
    unknown_key,
    unknown_name,
    words,
    yes_no,
)
from labelgen.recipe.variants import expand_variant
from labelgen.recipe.yamlfile import Source, read_yaml

SECTIONS = ("ingredients", "formulations", "products", "boxes", "variants")
#: The most formulations a product is made through, one in another: far beyond what anybody weighs out.
MOST_STAGES = 50
SETTINGS = ("producer", "country", "markets", "languages", "handles", "retention", "sells")

#: What one piece or batch of a formulation is called in a recipe.
_ONE_OF = ("", "piece", "pieces", "each", "whole", "batch", "batches")


def read_kitchen(folder: str | Path) -> tuple[Kitchen | None, tuple[Finding, ...]]:
    """The kitchen in a folder and all findings. The kitchen is None only when nothing can be read at all."""
    root = Path(folder)
    if not root.is_dir():
        key = "no-kitchen.file" if root.exists() else "no-kitchen"
        return None, (find(key, Where(str(folder)), folder=str(folder)),)
    reader = _Reader(root)
    try:
        files = kitchen_files(root)
    except OSError as error:
        return None, (find("folder-unreadable", Where(str(error.filename or folder)), reason=error.strerror),)
    if not (root / "kitchen.yaml").is_file():
        return None, (find("no-kitchen.settings", Where(str(root / "kitchen.yaml"))),)
    for path, section in files:
        reader.take(path, section)
    kitchen = reader.build()
    return kitchen, tuple(reader.findings())


def kitchen_files(root: Path) -> list[tuple[Path, str]]:
    """Every file a kitchen is written in, with the section it belongs to ("" for kitchen.yaml)."""

    def yaml_in(folder: str) -> list[tuple[Path, str]]:
        base = root / folder
        return sorted(
            (p, folder) for p in (base.iterdir() if base.is_dir() else ()) if p.suffix in (".yaml", ".yml")
        )

    return [(root / "kitchen.yaml", ""), *yaml_in("foods"), *yaml_in("ingredients"), *yaml_in("recipes")]


class _Reader:
    """Gathers raw entries of all files first, since a line can only be read once all names are known."""

    def __init__(self, root: Path):
        self.root = root
        self.sources: list[Source] = []
        self.settings: dict[str, tuple[Source, object]] = {}
        self.raw: dict[str, dict[str, tuple[Source, tuple, dict]]] = {s: {} for s in ("foods", *SECTIONS)}
        self.country = "us"
        self.names: dict[str, str] = {}
        #: (what a name is looked up among, the name folded) -> section, name as written, place.
        self.taken: dict[tuple[str, str], tuple[str, str, Where]] = {}
        self.entries: dict[str, list[tuple]] = {}

    def findings(self):
        return [f for s in self.sources for f in s.findings]

    def take(self, path: Path, section: str) -> None:
        source = read_yaml(
            path, str(path.relative_to(self.root)), section if section in ("foods", "ingredients") else ""
        )
        self.sources.append(source)
        if source.data is None:
            if not source.findings:
                source.fault(
                    "file-empty.comments", Where(source.file, 1), severity="warn" if section else "block"
                )
            return
        if not isinstance(source.data, dict):
            source.fault("file-shape", ())
            return
        table = take_mark(source, (), source.data, "this file")
        if source.section:
            self._entries(section, source, (), table)
            return
        for key, value in table.items():
            if key in SECTIONS:
                self._entries(key, source, (key,), value)
            elif key in SETTINGS and not section:
                self.settings[key] = (source, value)
            else:
                unknown_key(source, (key,), SECTIONS if section else (*SETTINGS, *SECTIONS), table)

    def _entries(self, section: str, source: Source, path: tuple, table) -> None:
        if table is None:
            return
        if not isinstance(table, dict):
            source.fault("file-shape.section", path, section=section)
            return
        for name, raw in table.items():
            here, place = (*path, name), (SPACES[section], plain(name))
            self.entries.setdefault(source.file, []).append(here)
            if not isinstance(raw, dict):
                source.fault("entry-shape", here, name=name)
            elif place in self.taken:
                first, said, where = self.taken[place]
                source.fault(_clash(section, name, first, said), here, name=name, said=said, place=str(where))
            else:
                self.taken[place] = (section, name, source.at(here))
                self.raw[section][name] = (source, here, take_mark(source, here, raw, repr(name)))

    # -- building -------------------------------------------------------------------------------------------

    def build(self) -> Kitchen | None:
        settings = self._settings()
        for source in self.sources:
            source.spoken = spoken_alone(settings)
        self.names = {plain(n): n for n in (*self.raw["ingredients"], *self.raw["formulations"])}
        made = {
            "foods": self._models("foods", fields.FOOD, lambda n, v: PinnedFood(id=n, **v)),
            "ingredients": self._models(
                "ingredients", fields.INGREDIENT, lambda n, v: IngredientSpec(name=n, **v)
            ),
            "formulations": self._models(
                "formulations", fields.FORMULATION, self._formulation, beside=("ingredients",)
            ),
            "products": self._models(
                "products", fields.PRODUCT, lambda n, v: Product(key=n, **{"name": n} | v)
            ),
        }
        if self._too_deep(made["formulations"]):
            return None
        self._file_names()
        self._boxes_and_variants(made)
        kitchen = Kitchen(folder=str(self.root), where=Where("kitchen.yaml", 1), **settings, **made)
        check_together(self, kitchen)
        for source in self.sources:
            find_checks(source, self.entries.get(source.file, []))
        return kitchen.model_copy(update={"half_read": self._half_read()})

    def _settings(self) -> dict:
        values: dict = {"producer": Producer(name="", address="")}
        readers = {
            "country": text,
            "markets": words,
            "languages": languages,
            "handles": words,
            "retention": yes_no,
            "sells": text,
        }
        for key, (source, raw) in self.settings.items():
            try:
                if key == "producer":
                    if not isinstance(raw, dict):
                        raise ValueError("must hold name and address")
                    found = entry(source, ("producer",), raw, fields.PRODUCER, "us")
                    values["producer"] = Producer(
                        where=source.at(("producer",)), **{"name": "", "address": ""} | found
                    )
                else:
                    values[key] = readers[key](source, (key,), raw, "us")
            except ValueError as error:
                source.fault("value", (key,), field=key, reason=str(error))
        values["places"] = {key: source.at((key,)) for key, (source, _) in self.settings.items()}
        if "markets" in values:
            values["markets"] = known_markets(self.settings["markets"][0], values["markets"])
        self.country = code_named(values.get("country") or (values.get("markets") or ("us",))[0])
        try:
            read_quantity("1 g", self.country)
        except UnitError as error:
            source = self.settings.get("country", self.settings.get("markets", (self.sources[0],)))[0]
            source.fault("country", ("country",), reason=str(error))
            self.country = "us"
        return values | {"country": self.country}

    def _models(self, section: str, allowed: dict, make, beside: tuple = ()) -> dict:
        made = {}
        for name, (source, path, raw) in self.raw[section].items():
            before = len(source.findings)
            values = entry(source, path, raw, allowed, self.country, beside)
            values["where"] = source.at(path)
            if beside:
                values["lines"] = self._lines(source, path, raw)
                values["misread"] = any(f.blocks for f in source.findings[before:])
            try:
                made[name] = make(name, values)
            except ValidationError as error:
                if len(source.findings) == before:
                    missing = [".".join(map(str, e["loc"])) + " " + e["msg"].lower() for e in error.errors()]
                    source.fault("entry-incomplete", path, name=name, missing=missing)
        return made

    def _file_names(self) -> None:
        """A product or box names a file of its own, and nothing that leads elsewhere."""
        for section in ("products", "variants", "boxes"):
            for name, (source, path, _) in self.raw[section].items():
                if name.startswith(".") or not name.isprintable() or set(name) & set('/\\:*?"<>|'):
                    source.fault("name-not-a-file", path, name=name)

    def _half_read(self) -> dict[str, frozenset[tuple[str, str]] | None]:
        """File -> the names that what is wrong with it may be about, each with what it is looked up among;
        None for any. Of files with a fault that is in no one entry.
        """
        half = {}
        for source in self.sources[1:]:
            loose = {f.code for f in source.findings if f.blocks and len(f.keys) < 2}
            if loose == {DRAFT}:
                half[source.file] = frozenset(
                    (SPACES[source.section or path[0]], plain(path[-1]))
                    for path in self.entries.get(source.file, ())
                )
            elif loose:
                spaces = {SPACES[source.section]} if source.section else {"mix", "pack"}
                half[source.file] = (
                    None
                    if source.text is None
                    else frozenset((space, name) for name in names_in(source.text) for space in spaces)
                )
        return half

    def _too_deep(self, formulations: dict[str, Formulation]) -> bool:
        """Whether formulations use one another through more stages than anybody makes; loops are no matter
        of depth.
        """
        stages: dict[str, int] = {}

        def count(name: str, trail: tuple[str, ...]) -> int:
            if name not in formulations or name in trail:
                return 0
            if name not in stages and len(trail) > MOST_STAGES:
                return len(trail)
            if name not in stages:
                stages[name] = 1 + max(
                    (count(line.use, (*trail, name)) for line in formulations[name].lines), default=0
                )
            return stages[name]

        for name in formulations:
            if count(name, ()) > MOST_STAGES:
                source, path, _ = self.raw["formulations"][name]
                source.fault("nested-too-deep", path, name=name, most=MOST_STAGES)
                return True
        return False

    def _formulation(self, name: str, values: dict) -> Formulation:
        return Formulation(name=name, **values)

    def _lines(self, source: Source, path: tuple, raw: dict) -> tuple[Line, ...]:
        here = (*path, "ingredients")
        listed = raw.get("ingredients")
        if not isinstance(listed, list) or not listed:
            source.fault("no-ingredients", here)
            return ()
        lines = [self.line(source, (*here, i), item) for i, item in enumerate(listed)]
        return tuple(line for line in lines if line)

    def line(self, source: Source, path: tuple, item) -> Line | None:
        """``250 g butter``, ``2 large egg``, ``{use: butter, amount: 250 g}`` or ``butter: 250 g``."""
        try:
            if isinstance(item, dict):
                if set(item) == {"use", "amount"}:
                    name, amount = str(item["use"]), item["amount"]
                elif len(item) == 1:
                    name, amount = next(iter(item.items()))
                else:
                    source.fault("line-shape", path)
                    return None
                quantity, unit = read_quantity(plainly(amount, self.country), self.country)
                rest = name
            else:
                quantity, rest = read_quantity(plainly(item, self.country), self.country)
                unit = ""
        except UnitError as error:
            source.fault("amount", path, reason=str(error))
            return None
        found, words = self._name(rest)
        if found is None:
            unread = [s for s in self.sources if s.data is None]
            unknown_name(source, path, rest or str(item), self.names, unread)
            return None
        if quantity.kind == "count":
            unit = (unit or words).removesuffix(" of").strip()
            if found in self.raw["formulations"] and unit.casefold() not in _ONE_OF:
                source.fault("unknown-ingredient.piece", path, words=unit, name=found, count=quantity.count)
                return None
            quantity = Quantity(quantity.text, "count", count=quantity.count, unit=unit)
        elif words and quantity.kind == "volume":
            quantity = Quantity(
                quantity.text, "volume", millilitres=quantity.millilitres, unit=words.removesuffix(" of")
            )
        elif words:
            source.fault(
                "unknown-ingredient.unit", path, words=words, name=found, count=quantity.text.split()[0]
            )
            return None
        if not (quantity.grams or quantity.millilitres or quantity.count):
            source.fault("amount.nothing", path, text=str(item if isinstance(item, str) else amount))
            return None
        return Line(found, quantity, source.at(path), path[-1] if isinstance(path[-1], int) else 0)

    def _name(self, rest: str) -> tuple[str | None, str]:
        """The longest known name at the end of ``rest``, and the words before it."""
        words = rest.split()
        for i in range(len(words)):
            key = plain(" ".join(words[i:]))
            if key in self.names:
                return self.names[key], " ".join(words[:i])
        return None, ""

    def _boxes_and_variants(self, made: dict) -> None:
        for name, (source, path, raw) in self.raw["variants"].items():
            expand_variant(self, name, source, path, raw, made)
        made["boxes"] = {}
        for name, (source, path, raw) in self.raw["boxes"].items():
            holds = raw.get("holds")
            values = {"name": name} | entry(source, path, raw, fields.BOX, self.country, ("holds",))
            if not isinstance(holds, dict) or not holds:
                source.fault("box-empty", path, box=name)
                continue
            good = {}
            for product, count in holds.items():
                here = (*path, "holds", product)
                if product in self.raw["boxes"]:
                    source.fault("box-in-box", here, product=product)
                elif product not in made["products"]:
                    like = near(product, made["products"])
                    source.fault(
                        "unknown-product.near" if like else "unknown-product",
                        here,
                        product=product,
                        near=like.first,
                        sure=like.sure,
                    )
                else:
                    try:
                        good[product] = positive(source, here, count, self.country)
                    except ValueError as error:
                        source.fault("value", here, field=product, reason=str(error))
            if good:
                made["boxes"][name] = Box(key=name, holds=good, where=source.at(path), **values)


def _clash(section: str, name: str, first: str, said: str) -> str:
    """Which finding tells of a name that is read as one there is already. first, said: the section and the
    name of that one.
    """
    if name != said:
        return "duplicate-name.folded"
    if section == first:
        return "duplicate-name"
    return "duplicate-name.mix" if SPACES[section] == "mix" else "duplicate-name.pack"
