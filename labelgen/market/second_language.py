"""The same product in a further language: the maker's own wording, else labelgen's list of food names, else a
finding that says what to type.

Everything that is printed is worded before it is declared, so that the same code declares in every language.
"""

from __future__ import annotations

import csv
from dataclasses import dataclass, field, replace
from functools import cache
from itertools import groupby

from labelgen import paths
from labelgen.composition.ingredient_records import ResolvedIngredient, StatementItem, SupplierStatement
from labelgen.errors import Finding, Where
from labelgen.findings import find
from labelgen.formulation.batch_records import NutrientProfile
from labelgen.law.figure_tables import PanelText
from labelgen.law.label_tables import Statement
from labelgen.law.pack import Pack
from labelgen.law.registry import market_named
from labelgen.recipe.models import Kitchen, Product, Worded

#: Stands in a wording for what is not known.
GAP = "..."
#: Language -> its name in findings.
_CALLED = {"de": "German", "en": "English", "es": "Spanish", "fr": "French", "it": "Italian"}


@dataclass(frozen=True, eq=False)
class Spoken:
    """A product with its kitchen and profile in one language, and what is missing or taken from the list."""

    product: Product
    kitchen: Kitchen
    profile: NutrientProfile
    findings: tuple[Finding, ...]


@cache
def food_names(language: str) -> dict[str, tuple[str, str]]:
    """English name -> (name, plural or "") of a language, from ``reference/names``; {} where there is no
    list.
    """
    path = paths.reference("names", f"{language}.csv")
    if not path.is_file():
        return {}
    with open(path, encoding="utf-8", newline="") as f:
        return {r["en"]: (r[language], r["plural"]) for r in csv.DictReader(f)}


def label_languages(pack: Pack, kitchen: Kitchen) -> tuple[str, ...]:
    """The languages a label is printed in, "" for the market's first; only those the kitchen asks for,
    where it asks.
    """
    market = market_named(pack.market)
    every = {market.language[:2]: "", **{code: code for code in market.also_in}}
    chosen = {**every, **{code: code for code in market.may_be_in}}
    return tuple(said for code, said in chosen.items() if code in kitchen.languages) or tuple(every.values())


def check_languages(pack: Pack, kitchen: Kitchen) -> tuple[Finding, ...]:
    """What must hold when the kitchen leaves out a language of the market, or asks for several of one that
    prints each alone.
    """
    return (
        *_not_printed(pack, kitchen),
        *_several_chosen(pack, kitchen),
        *_one_language_alone(pack, kitchen),
    )


def _not_printed(pack: Pack, kitchen: Kitchen) -> tuple[Finding, ...]:
    """A language asked for that no market of the kitchen prints: the label would be in another without a
    word.
    """
    every = {code: _printable(code) for code in dict.fromkeys((pack.market, *kitchen.markets))}
    lost = [code for code in kitchen.languages if not any(code in able for able in every.values())]
    if not lost:
        return ()
    where = kitchen.places.get("languages", kitchen.where)
    able = [f"{market}: {', '.join(codes)}" for market, codes in every.items()]
    return (find("language-not-printed", where, path="languages", languages=lost, able="; ".join(able)),)


def _printable(market: str) -> tuple[str, ...]:
    """Languages that labels of a market can be printed in."""
    law = market_named(market)
    return tuple(dict.fromkeys((law.language[:2], *law.also_in, *law.may_be_in)))


def _several_chosen(pack: Pack, kitchen: Kitchen) -> tuple[Finding, ...]:
    """A table of figures in several languages is a format of its own; without one the table and the date
    are in the first alone.
    """
    chosen = [
        code
        for code in kitchen.languages
        if code in (market_named(pack.market).language[:2], *market_named(pack.market).may_be_in)
    ]
    if len(chosen) < 2 or market_named(pack.market).also_in:
        return ()
    first = label_languages(pack, kitchen)[0] or market_named(pack.market).language[:2]
    source, called = pack.entry(PanelText, "title").source, _CALLED.get(first, first)
    return (
        find(
            "not-ready-languages",
            kitchen.where,
            path="languages",
            cites=source,
            languages=chosen,
            called=called,
        ),
    )


def _one_language_alone(pack: Pack, kitchen: Kitchen) -> tuple[Finding, ...]:
    left_out = [code for code in market_named(pack.market).also_in if code not in kitchen.languages]
    if (
        not kitchen.languages
        or not market_named(pack.market).also_in
        or not (left_out or len(label_languages(pack, kitchen)) == 1)
    ):
        return ()
    entry = pack.entry(Statement, "one_language")
    told = {"languages": list(kitchen.languages), "law": entry.text}
    return (find("one-language", kitchen.where, path="languages", cites=entry.source, **told),)


def in_language(
    language: str, product: Product, kitchen: Kitchen, profile: NutrientProfile, serving: bool = True
) -> Spoken:
    """The product as a label in ``language`` names it. What cannot be worded stays as it is, with a finding
    that blocks.
    serving: the label states a serving, so that the unit is printed.
    """
    words = _Words(language, product)
    formulations = {
        key: f.model_copy(
            update={"print_name": words.name(f, "print_name", f.print_name, f"formulation {f.name}")}
        )
        for key, f in kitchen.formulations.items()
        if f.print_name and any(key in i.path for i in profile.ingoing)
    }
    spoken_kitchen = kitchen.model_copy(update={"formulations": kitchen.formulations | formulations})
    named: dict[str, ResolvedIngredient] = {}
    for line in profile.ingoing:
        if line.ingredient.name not in named:
            named[line.ingredient.name] = _ingredient(words, line.ingredient, kitchen)
    ingoing = tuple(replace(line, ingredient=named[line.ingredient.name]) for line in profile.ingoing)
    return Spoken(
        _product(words, product, serving),
        spoken_kitchen,
        profile._replace(ingoing=ingoing),
        tuple(words.findings()),
    )


#: What ingredients are called: read for the language it is in where nobody says.
_READ = ("print_name", "statement")


@dataclass
class _Words:
    """Looks words up and remembers what was missing, and what came from the list."""

    language: str
    product: Product
    missing: list[Finding] = field(default_factory=list)
    listed: dict[str, str] = field(default_factory=dict)

    def name(self, model: Worded, key: str, text: str, owner: str, yaml: str = "print") -> str:
        """The text of one field in the language: as worded by the maker, or put together from the list."""
        if not text:
            return ""
        said = self.own(model, key)
        if said and not (key in _READ and self.is_elsewhere(model, key, said)):
            return said
        found = self.listed_name(text) or self.listed_statement(text)
        if GAP in found:
            self.lack(model, owner, yaml, text, found)
        return text if GAP in found else found

    def own(self, model: Worded, key: str) -> str:
        """The maker's wording; "" where there is none, or it still holds the gap that a finding left in
        it.
        """
        said = model.also.get(self.language, {}).get(key, "")
        return "" if GAP in said else said

    def is_elsewhere(self, model: Worded, key: str, said: str) -> bool:
        """Whether a text that says no language is in English, though labels are printed in another: each of
        its words is English and none of that language; or some are, and the list has it as an English name.
        """
        from labelgen.composition.text.folded_words import fold, read_words
        from labelgen.composition.text.tongues import languages_that_know

        if self.language == "en" or any(
            key in also for code, also in model.also.items() if code != self.language
        ):
            return False
        known = [languages_that_know(fold(word.text)) for word in read_words(said) if word.text.isalpha()]
        english = ["en" in k and self.language not in k for k in known]
        theirs = any(self.language in k and "en" not in k for k in known)
        return any(english) and (all(english) or (not theirs and self._listed(said) is not None))

    def listed_name(self, text: str) -> str | None:
        """The name that the lists have for an English one; remembered, so that the maker is told."""
        found = self._listed(text)
        if found:
            self.listed[text] = found
        return found

    def _listed(self, text: str) -> str | None:
        from labelgen.composition.text.classes import CLASS_OF
        from labelgen.market.statement.additives import additive_name, class_name

        words = " ".join(text.casefold().split())
        found = food_names(self.language).get(words, ("",))[0]
        if not found and words in CLASS_OF:
            found = class_name(CLASS_OF[words], self.language, several=words.endswith("s"))
        return found or additive_name(words, self.language) or None

    def listed_statement(self, text: str) -> str:
        """A name with its own ingredients in brackets; "..." for what is not in the list."""
        from labelgen.composition.text.statement import print_statement, read_statement

        if "(" not in text and "," not in text:
            return GAP
        return print_statement(self.items(read_statement(text).items)) or GAP

    def items(self, items: tuple[StatementItem, ...]) -> tuple[StatementItem, ...]:
        """The items worded from the list; one that is not in it is named "..."."""
        return tuple(
            replace(i, name=self.listed_name(i.name) or GAP, items=self.items(i.items), minor=False)
            for i in self.grouped(items)
        )

    def grouped(self, items: tuple[StatementItem, ...]) -> list[StatementItem]:
        """The items, those of one function class gathered under its name: "emulsifiers (a, b)"."""
        made: list[StatementItem] = []
        for function, group in groupby(items, key=lambda i: i.function):
            plain = tuple(replace(i, function="", minor=False) for i in group)
            made += [StatementItem(function + "s" * (len(plain) > 1), plain)] if function else plain
        return made

    @property
    def called(self) -> str:
        return _CALLED.get(self.language, self.language)

    def lack(self, model: Worded, owner: str, yaml: str, text: str, begun: str = GAP) -> None:
        """Notes what is not worded. begun: what to type, as far as it is known."""
        from labelgen.composition.parted import halves

        first = "fr" if self.language == "en" else "en"
        if both := halves(text, (first, self.language)):
            text, begun, _ = both
        told = {
            "owner": owner,
            "called": self.called,
            "language": self.language,
            "field": yaml,
            "text": text,
            "begun": begun,
        }
        self.missing.append(find("wording-missing", model.where, path=model.path(yaml), **told))

    def findings(self) -> list[Finding]:
        if not self.listed:
            return self.missing
        names = "; ".join(f"{a} = {b}" for a, b in sorted(self.listed.items()))
        product = self.product
        told = {"product": product.key, "called": self.called, "names": names}
        return [*self.missing, find("wording-from-list", Where(product.key), path=product.path(), **told)]


def _ingredient(words: _Words, ingredient: ResolvedIngredient, kitchen: Kitchen) -> ResolvedIngredient:
    spec = kitchen.ingredients.get(ingredient.name)
    if spec is None:
        return ingredient
    owner = f"ingredient {spec.name}"
    name = words.name(spec, "print_name", ingredient.print_name, owner)
    return replace(ingredient, print_name=name, statement=_statement(words, ingredient, spec, owner))


def _statement(words: _Words, ingredient: ResolvedIngredient, spec, owner: str) -> SupplierStatement | None:
    from labelgen.composition.text.statement import print_statement, read_statement

    statement = ingredient.statement or (read_statement(spec.statement) if spec.statement else None)
    if statement is None:
        return None
    said = words.own(spec, "statement")
    if said and not words.is_elsewhere(spec, "statement", said):
        return replace(statement, items=read_statement(said).items, text=said)
    items = words.items(statement.items)
    begun = print_statement(items)
    if GAP in begun:
        words.lack(spec, owner, "statement", spec.statement or statement.text, begun)
        return statement
    return replace(statement, items=items)


def _product(words: _Words, product: Product, serving: bool) -> Product:
    """A product's own name beside its identity is a brand: it may stay as it is."""
    owner = f"product {product.key}"
    brand = words.own(product, "name") or product.name
    said = {
        key: words.name(product, key, getattr(product, key), owner, key)
        for key in ("identity", "storage", "origin", "precaution", "directions")
    }
    said["unit"] = (
        words.name(product, "unit", product.unit, owner, "unit")
        if serving
        else words.own(product, "unit") or product.unit
    )
    if not product.identity:
        brand = said["identity"] = words.name(product, "name", product.name, owner, "name")
    return product.model_copy(
        update=said | {"name": brand, "unit_plural": _plural(words, product, said["unit"], owner)}
    )


def _plural(words: _Words, product: Product, unit: str, owner: str) -> str:
    """Several of a unit: as worded by the maker, as listed beside the same word, or by the rule of French;
    asked for where a serving of several is printed and the language has no one ending.
    """
    listed, several = food_names(words.language).get(product.unit, ("", ""))
    plural = words.own(product, "unit_plural") or (several if listed == unit else "")
    if plural or not unit:
        return plural
    if words.language == "fr":
        return unit if unit.endswith(("s", "x", "z")) else f"{unit}x" if unit.endswith("eau") else f"{unit}s"
    if product.serving and product.serving.kind == "count" and product.serving.count > 1:
        words.lack(product, owner, "unit_plural", product.unit_plural or f"{product.unit}s")
    return plural
