"""Which allergens one market must declare on a date, under which names, and how they are shown.

The lists are data (``reference/markets/<code>/allergens.toml``). A doubt is said aloud, never dropped: what
cannot be named by its kind, or may be exempt, becomes a finding. The competent authority has the last word.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date

from labelgen.composition.ingredient_records import AllergenHit
from labelgen.errors import Finding, Where
from labelgen.findings import find
from labelgen.law.label_tables import AllergenRule, AllergenWording
from labelgen.law.pack import Pack, read_pack
from labelgen.market.allergens.called import in_order, warned_name
from labelgen.market.allergens.cross_contact import STATED
from labelgen.market.declaration_records import Run

#: Words of so few letters stand in other words by chance.
_CHANCE = 3


@dataclass(frozen=True)
class Counted:
    """A hit that a market counts. code: the market's code, such as ``fish``. species: ``anchovy`` or "".
    name: as printed, "" when the law wants a kind and none is known. hit: what it rests on.
    """

    code: str
    species: str
    name: str
    hit: AllergenHit
    entry: AllergenRule

    @property
    def by_species(self) -> bool:
        """Whether the code is a group's and the hit tells the species: fish of the anchovy kind."""
        return bool(self.species) and self.code == self.hit.allergen.partition("/")[0]


@dataclass(frozen=True)
class AllergenDeclaration:
    """names: as the market prints them, once each. runs: the statement, () where there is none. contains:
    the hits behind it. precaution: a sentence for what suppliers warn of, or "". asked: hits that count
    only once the maker has said more (source not told, or exempt when refined). not_counted: hits this
    market does not list.
    """

    names: tuple[str, ...]
    runs: tuple[Run, ...]
    contains: tuple[AllergenHit, ...]
    precaution: str
    findings: tuple[Finding, ...]
    asked: tuple[AllergenHit, ...] = ()
    not_counted: tuple[AllergenHit, ...] = ()


def declare_allergens(
    market: str,
    on: date,
    contains: Sequence[AllergenHit],
    may_contain: Sequence[AllergenHit],
    language: str = "",
) -> AllergenDeclaration:
    """The allergens of a food for one market on one date.

    contains, may_contain: hits from the roll-up or a text. Raises RuleError for an unknown market.
    """
    pack = replace(pack_of(market, on), language=language)
    counted, asked, rest = count(pack, contains)
    printed = _in_table_order(pack, counted)
    findings = [_unnamed(c) for c in counted if not c.name]
    findings += [
        _exempt(pack, hit) for hit in (*asked, *(c.hit for c in counted if _exemption(pack, c.hit) == "ask"))
    ]
    warned, unsure, _ = count(pack, may_contain)
    doubts = {c.hit.allergen: c for c in warned if c.hit.how not in STATED and c.name not in printed}
    findings += [_source_unknown(c) for c in doubts.values()]
    wording = pack.find(AllergenWording, "contains")
    bold = bool(wording and wording.bold is not False)
    runs = (
        (Run(wording.text, bold=True), Run(", ".join(printed) + ".", bold=bold))
        if wording and printed
        else ()
    )
    extra = [name for name in warned_names(pack, may_contain) if name not in printed]
    precaution = f"{pack.text(AllergenWording, 'may_contain')}{', '.join(extra)}." if extra else ""
    asked = [*asked, *unsure, *(c.hit for c in doubts.values())]
    return AllergenDeclaration(
        printed,
        runs,
        tuple(c.hit for c in counted),
        precaution,
        tuple(dict.fromkeys(findings)),
        tuple(dict.fromkeys(asked)),
        tuple(rest),
    )


def warned_names(pack: Pack, may_contain: Iterable[AllergenHit]) -> tuple[str, ...]:
    """What suppliers and the maker warn of, by name. A warning is voluntary, so a group is named as such,
    and what the market does not list too; only what its exemptions take out is not.
    """
    codes = dict.fromkeys(h.allergen for h in may_contain if h.how in STATED and not is_exempt(pack, h))
    order = {e.key: n for n, e in enumerate(pack.entries(AllergenRule))}
    named = []
    for code in in_order(codes):
        entry, by_kind = rule_of(pack, code)
        name = warned_name(pack, code, entry, by_kind)
        named.append((order[entry.key] if entry else len(order), name))
    return tuple(dict.fromkeys(name for _, name in sorted(named, key=lambda x: x[0])))


def pack_of(market: str, on: date) -> Pack:
    """The market's rules; a market whose other tables are still missing can declare allergens all the
    same.
    """
    code = str(market).strip().lower()
    if code.isalpha() and Pack(code, on).has(AllergenRule):
        return Pack(code, on)
    return read_pack(market, on)


def count(
    pack: Pack, hits: Iterable[AllergenHit]
) -> tuple[list[Counted], list[AllergenHit], list[AllergenHit]]:
    """(hits the market counts, hits it counts only once more is known, hits it does not list), each in order.

    What is exempt under a condition counts, unless its supplier's own declaration leaves it out: then it
    is asked.
    """
    by_code = _by_code(pack)
    counted, asked, rest = [], [], []
    for hit in _both_names_of_wheat(by_code, hits):
        exempt = _exemption(pack, hit)
        entry, species = _entry_for(by_code, hit.allergen)
        if entry is None or exempt == "exempt":
            rest.append(hit)
        elif exempt == "ask" and hit.denied:
            asked.append(hit)
        else:
            counted.append(
                Counted(_code(entry, hit), species, _name(entry, hit.allergen, species), hit, entry)
            )
    return _specific(counted), asked, rest


def _by_code(pack: Pack) -> dict[str, AllergenRule]:
    return {c: e for e in pack.entries(AllergenRule) if e.name for c in e.codes}


def _both_names_of_wheat(by_code: dict[str, AllergenRule], hits: Iterable[AllergenHit]) -> list[AllergenHit]:
    """The hits, wheat under both its codes where the market has a rule for each: as an allergen and as a
    cereal with gluten.
    """
    hits, every = list(hits), []
    told = {(h.ingredient, h.allergen) for h in hits}
    wheat, cereal = by_code.get("wheat"), by_code.get("gluten/wheat")
    for hit in hits:
        every.append(hit)
        other = (
            "gluten/wheat"
            if hit.allergen == "wheat"
            else "wheat"
            if by_code.get(hit.allergen) is cereal
            else ""
        )
        if wheat and cereal and wheat is not cereal and other and (hit.ingredient, other) not in told:
            every.append(replace(hit, allergen=other))
            told.add((hit.ingredient, other))
    return every


def name_in_list(
    market: str,
    on: date,
    text: str,
    codes: Iterable[str | AllergenHit],
    language: str = "",
    told: Collection[str] = (),
) -> tuple[Run, ...]:
    """An ingredient's printed name, with its allergens made plain the way the market wants it in the list.

    Where the market emphasises (European Union, United Kingdom, Australia, New Zealand) the naming words are
    bold, and a name that lacks them gets them in brackets: "ghee (**milk**)". Elsewhere only what must stand
    in the list although it is no allergen there is added: "dried apricots (sulfites)". A hit with its words
    may be exempt, a bare code never is. In a language of compound words the whole word is plain:
    "Milchpulver". told: codes that the words around the name tell, so that nothing is added for them.
    """
    pack = replace(pack_of(market, on), language=language)
    rule = pack.find(AllergenWording, "in_list")
    if rule is None:
        return (
            Run(
                text
                + _told_beside(
                    pack,
                    text,
                    [c for c in codes if not _is_told(c if isinstance(c, str) else c.allergen, told)],
                )
            ),
        )
    counted, _, _ = count(pack, [AllergenHit(code, "") if isinstance(code, str) else code for code in codes])
    missing, spans = [], []
    for item in counted:
        found = _places(item, bool(rule.inside_words), text)
        spans += found
        # a group whose kind is not known is asked for, not printed
        if (
            not found
            and item.name
            and not _is_told(item.hit.allergen, told)
            and _list_words(item)[0] not in missing
        ):
            missing.append(_list_words(item)[0])
    runs = _bolded(text, spans)
    if missing:
        runs.append(Run(" ("))
        for n, word in enumerate(missing):
            runs += [Run(", ")] * bool(n) + [Run(word, bold=True)]
        runs.append(Run(")"))
    return tuple(runs)


def _is_told(code: str, told: Collection[str]) -> bool:
    """Whether codes hold one, or a kind of the group it names."""
    return code in told or any(c.startswith(f"{code}/") for c in told)


def is_plain_in(pack: Pack, hit: AllergenHit, text: str) -> bool:
    """Whether a text holds a word by which the market's lists name what a hit counts as."""
    rule = pack.find(AllergenWording, "in_list")
    return rule is not None and any(
        _places(item, bool(rule.inside_words), text) for item in count(pack, [hit])[0]
    )


def _list_words(item: Counted) -> Sequence[str]:
    return item.entry.words or (item.species.replace("_", " ") or item.name or item.entry.name,)


def _places(item: Counted, inside_words: bool, text: str) -> list[tuple[int, int]]:
    return [
        m.span()
        for w in _list_words(item)
        for m in re.finditer(word_pattern(w, inside_words), text, re.IGNORECASE)
    ]


def _told_beside(pack: Pack, text: str, codes: Iterable[str | AllergenHit]) -> str:
    """What the market wants in the list besides its allergens, in brackets behind a name that does not say
    it; or "".
    """
    rule = pack.find(AllergenWording, "beside")
    if rule is None:
        return ""
    held = {code if isinstance(code, str) else code.allergen for code in codes}
    if not held & set(rule.codes) or any(word in text.lower() for word in rule.words):
        return ""
    return f" ({rule.text.lower()})"


def words_of(pack: Pack, item: Counted) -> tuple[tuple[str, bool], ...]:
    """(a word that names the allergen in a label's list, whether it may stand inside another), in every
    language the market words.
    """
    entry, rule = item.entry, pack.find(AllergenWording, "in_list")
    found = [(word, False) for word in entry.words or (item.species.replace("_", " ") or entry.name,)]
    for language in entry.worded_in:
        own = entry.worded(language)
        named = (own.name,) if own.name and entry.is_worded(language, "name") else ()
        inside = bool(rule and rule.worded(language).inside_words)
        words = own.words if entry.is_worded(language, "words") and own.words else named
        found += [(word, inside and len(word) > _CHANCE) for word in words]
    return tuple(dict.fromkeys(found))


def word_pattern(word: str, inside_words: bool) -> str:
    """A word with its endings, or (but for the shortest, which other words hold by chance) any word it is
    a part of.
    """
    if not inside_words:
        return rf"\b{re.escape(word)}\w*"
    return rf"\w*{re.escape(word)}\w*" if len(word) > _CHANCE else rf"\b{re.escape(word)}\b"


def _bolded(text: str, spans: list[tuple[int, int]]) -> list[Run]:
    runs, at = [], 0
    for start, end in sorted(set(spans)):
        if start < at:
            continue
        if start > at:
            runs.append(Run(text[at:start]))
        runs.append(Run(text[start:end], bold=True))
        at = end
    return [*runs, Run(text[at:])] if at < len(text) or not runs else runs


def _entry_for(by_code: dict[str, AllergenRule], code: str) -> tuple[AllergenRule | None, str]:
    """The rule for a code, and its species. An unlisted kind belongs to its group unless the list is
    closed.
    """
    group, _, species = code.partition("/")
    if code in by_code:
        return by_code[code], species
    entry = by_code.get(group) if species else None
    if entry is not None and entry.species.closed:
        return None, species
    return entry, species


def _name(entry: AllergenRule, code: str, species: str) -> str:
    """As a statement names it. Where kinds are told in a further language by ``names``, one that is not
    there goes by its group.
    """
    kinds = entry.species
    if kinds.print != "kind":
        return entry.name
    group, kind = code.partition("/")[0], species.replace("_", " ").title()
    if group in ("milk", "egg"):
        return f"{kind} {entry.name}".strip()
    if not species or species == "other":
        return ""
    return kind if kinds.names is None else kinds.names.get(species, entry.name)


def _code(entry: AllergenRule, hit: AllergenHit) -> str:
    if hit.allergen in entry.codes:
        return entry.codes[0]
    return hit.allergen.partition("/")[0]


def _specific(counted: list[Counted]) -> list[Counted]:
    """Without group words whose kind the same ingredient tells: its statement says anchovies, its
    declaration fish. A group that a packet's list names beside the kind stays: "hazelnuts, nuts".
    """
    told = {
        (c.hit.ingredient, c.hit.allergen.partition("/")[0])
        for c in counted
        if c.name and "/" in c.hit.allergen
    }
    return [
        c
        for c in counted
        if c.name
        or not c.hit.ingredient
        or c.hit.how == "statement"
        or (c.hit.ingredient, c.hit.allergen) not in told
    ]


def _in_table_order(pack: Pack, counted: list[Counted]) -> tuple[str, ...]:
    order = {e.key: n for n, e in enumerate(pack.entries(AllergenRule))}
    return tuple(dict.fromkeys(c.name for c in sorted(counted, key=lambda c: order[c.entry.key]) if c.name))


def _exemption(pack: Pack, hit: AllergenHit) -> str:
    """ "exempt", "ask" or "": what the market's exemptions make of the food a hit rests on."""
    entry = _exempting(pack, hit)
    if entry is None:
        return ""
    if entry.states and not hit.state:
        return ""
    told = not entry.states or hit.state in entry.states
    return "exempt" if told and not entry.asked else "ask"


def _exempting(pack: Pack, hit: AllergenHit) -> AllergenRule | None:
    """The market's rule that exempts the food a hit rests on, under its condition; None where there is
    none.
    """
    if not hit.derived:
        return None
    return next(
        (
            e
            for e in pack.entries(AllergenRule)
            if not e.name and hit.allergen in e.codes and hit.derived in e.derived
        ),
        None,
    )


def exemption_of(pack: Pack, hit: AllergenHit) -> AllergenRule | None:
    """The market's rule by which what a hit rests on need not be declared: without a condition, or because
    its supplier, who knows whether the condition holds, declares none. None where there is no such rule.
    """
    effect = _exemption(pack, hit)
    if not effect or (effect == "ask" and not hit.denied):
        return None
    return _exempting(pack, hit)


def rule_of(pack: Pack, code: str) -> tuple[AllergenRule | None, str]:
    """(the market's rule that names an allergen, or None, the name its statement prints, "" where a kind
    is wanted).
    """
    entry, species = _entry_for(_by_code(pack), code)
    return entry, _name(entry, code, species) if entry else ""


def is_exempt(pack: Pack, hit: AllergenHit) -> bool:
    """Whether the market exempts what a hit rests on without a further condition: glucose syrup, of wheat
    or not.
    """
    return _exemption(pack, hit) == "exempt"


def _unnamed(counted: Counted) -> Finding:
    return find("allergen-kind", Where(counted.hit.ingredient), **_about(counted.hit, counted.entry))


def _exempt(pack: Pack, hit: AllergenHit) -> Finding:
    entry = _exempting(pack, hit)
    wording = "allergen-exempt-if.denied" if hit.denied else "allergen-exempt-if"
    return find(wording, Where(hit.ingredient), **_about(hit, entry), law=entry.note)


def _source_unknown(counted: Counted) -> Finding:
    return find(
        "allergen-source-unknown", Where(counted.hit.ingredient), **_about(counted.hit, counted.entry)
    )


def _about(hit: AllergenHit, entry: AllergenRule) -> dict[str, str]:
    """What findings on what an ingredient brings have in common."""
    place = {"path": f"ingredients.{hit.ingredient}.contains", "cites": entry.source}
    return place | {"ingredient": hit.ingredient, "because": hit.because, "allergen": hit.allergen}
