"""Compares what a recipe holds with what an existing label's words declare."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date

from labelgen.composition.ingredient_records import AllergenHit
from labelgen.composition.text.folded_words import fold, read_words
from labelgen.composition.text.lexicon import survey
from labelgen.composition.text.understood import Reading
from labelgen.errors import RuleError
from labelgen.law.label_tables import AllergenRule, AllergenWording, Statement
from labelgen.law.pack import Pack
from labelgen.law.registry import market_codes, market_named
from labelgen.market.allergens.declaration import Counted, count, is_exempt, pack_of, words_of
from labelgen.market.allergens.emphasis import Spans, find_plain


@dataclass(frozen=True)
class Comparison:
    """contains, may_contain: what the words say, by the market's codes, with what its law has told in the
    list only (sulphites in the United States). undeclared: present, yet not declared.
    not_found: declared, yet not in the recipe (only when a recipe was given). misnamed: declared by a word
    the market does not accept as its name ("semolina" for wheat, "tree nuts" for almonds). not_emphasised:
    named in the list without the emphasis the market wants (only when the faces of a PDF were read).
    also_found: allergens this market does not list. names: a hit's code -> the name this market prints.
    reading: how much of the text was understood.
    """

    contains: tuple[AllergenHit, ...]
    may_contain: tuple[AllergenHit, ...]
    undeclared: tuple[AllergenHit, ...]
    not_found: tuple[AllergenHit, ...]
    misnamed: tuple[AllergenHit, ...] = ()
    not_emphasised: tuple[AllergenHit, ...] = ()
    also_found: tuple[AllergenHit, ...] = ()
    names: tuple[tuple[str, str], ...] = ()
    reading: Reading | None = None


def compare_label(
    text: str,
    market: str,
    on: date,
    derived: tuple[AllergenHit, ...] | None = None,
    bold: Spans | None = None,
    slanted: Spans = (),
) -> Comparison:
    """What a label's or packet's text says, against a recipe's hits or against its own ingredient list.

    Without a recipe, an allergen of the list that a "Contains" statement in the same text leaves out is
    undeclared. With a recipe, whatever it holds must be named by the "Contains" statement, or by the list
    where there is none. bold, slanted: the places of the text set in such a face, where it is a label as
    printed; None where only words are known. Raises RuleError for an unknown market.
    """
    pack, seen = pack_of(market, on), survey(text)
    # of words alone nobody knows more: what is exempt under a condition, as a refined oil, is asked about
    listed, asked, other = _counted(
        pack, seen.listed if derived is not None else [replace(h, denied=True) for h in seen.listed]
    )
    declared, asked_too, other_too = _counted(pack, seen.declared)
    said = {
        c: i
        for c, i in {**declared, **listed}.items()
        if "/" in c or c in listed or not any(k.startswith(c + "/") for k in listed)
    }
    warned, unsure, _ = _counted(pack, seen.precaution)
    uncertain = _by_code(
        pack, (*asked, *asked_too, *unsure, *(h for h in seen.source_unknown if not is_exempt(pack, h)))
    )
    told = {**_counted(pack, seen.praised)[0], **said}
    may = {c: h for c, h in {**uncertain, **warned}.items() if c not in told}
    held = _counted(pack, derived)[0] if derived is not None else listed if declared else {}
    words = declared or said
    missing = {c: i for c, i in held.items() if not _covered(c, words)}
    for part in _by_language(pack, text) if derived is not None else ():
        alone = survey(part)
        inside = {**_counted(pack, alone.listed)[0], **_counted(pack, alone.declared)[0]}
        missing |= {c: i for c, i in held.items() if not _covered(c, inside)}
    extra = (
        {c: h for c, h in words.items() if c not in held and not any(k.startswith(c + "/") for k in held)}
        if derived is not None
        else {}
    )
    summary = {w.key for h in seen.declared for w in read_words(h.words)}
    wrong = {
        c: i
        for c, i in held.items()
        if c not in missing and not (_by_its_name(c, i, declared) and _in_summary(pack, i, declared, summary))
    }
    if not declared and (derived is not None or bold is not None):
        wrong |= {c: i for c, i in (held or listed).items() if c not in missing and not _named(pack, i, text)}
    plain = find_plain(pack, text, bold, slanted, count(pack, seen.listed)[0]) if bold is not None else {}
    beside = {h.allergen: h for h in reversed((*other, *other_too)) if h.allergen in _told_in_list(pack)}
    found = tuple(sorted((*_sorted(told), *beside.values()), key=lambda h: h.allergen))
    untold = {
        h.allergen: h for h in derived or () if h.allergen in _told_in_list(pack) and h.allergen not in beside
    }
    warned_of = {
        h.allergen: h
        for h in reversed((*seen.precaution, *seen.source_unknown))
        if h.allergen in _told_in_list(pack) and h.allergen not in beside
    }
    hits = (
        (*_sorted(may), *warned_of.values()),
        (*_sorted(missing), *untold.values()),
        *(_sorted(d) for d in (extra, wrong, plain)),
    )
    elsewhere = {
        h.allergen: h
        for h in (*other, *other_too)
        if h.allergen not in (*told, *beside, *warned_of) and _counted_elsewhere(h, pack)
    }
    names = {code: _told_in_list(pack)[code] for code in (*beside, *warned_of, *untold)} | {
        code: item.name for part in (may, told, missing) for code, item in part.items()
    }
    return Comparison(
        found,
        *hits,
        tuple(elsewhere[c] for c in sorted(elsewhere)),
        tuple(sorted(names.items())),
        seen.reading,
    )


def _by_language(pack: Pack, text: str) -> list[str]:
    """What follows the heading of the list in each language, where a market's label speaks two and the
    text has both.
    """
    heading = pack.find(Statement, "heading")
    words = (
        [
            heading.text,
            *(
                heading.worded(code).text
                for code in market_named(pack.market).also_in
                if code in heading.worded_in
            ),
        ]
        if heading
        else []
    )
    places = sorted(
        (m.start(), w)
        for w in words
        for m in re.finditer(re.escape(w.strip(" :")) + r"\s*:", text, re.IGNORECASE)
    )
    ends = [start for start, _ in places[1:]] + [len(text)]
    parts = {
        w: "\n".join(text[start:end] for (start, own), end in zip(places, ends) if own == w)
        for _, w in places
    }
    return list(parts.values()) if len(parts) > 1 else []


def _told_in_list(pack: Pack) -> dict[str, str]:
    """Code -> name of what the market has told in the ingredient list besides its allergens."""
    rule = pack.find(AllergenWording, "beside")
    return dict.fromkeys(rule.codes, rule.text) if rule else {}


def _covered(code: str, words: dict[str, Counted]) -> bool:
    """Whether words declare an allergen: itself, its group, or a kind of it where the recipe knows no more
    than the group.
    """
    group, _, kind = code.partition("/")
    return code in words or group in words or (not kind and any(c.startswith(f"{group}/") for c in words))


def _by_its_name(code: str, item: Counted, declared: dict[str, Counted]) -> bool:
    """Whether a declaration names the kind where the law wants the kind: almond, not tree nuts; cod, not
    fish.
    """
    group, _, kind = code.partition("/")
    if not kind or code in declared or group not in declared:
        return True
    return item.name.lower() in (group, *item.entry.codes) or (
        item.by_species and item.name == item.entry.name
    )


def _in_summary(pack: Pack, item: Counted, declared: dict[str, Counted], said: set[str]) -> bool:
    """Whether a summary carries the name it must have besides the one in the list: gluten as well as
    wheat.
    """
    words = item.entry.words
    if not declared or not words or pack.find(AllergenWording, "contains") is None:
        return True
    name = [w.key for w in read_words(item.entry.name)]
    return any(name == [w.key for w in read_words(word)] for word in words) or said >= set(name)


def _counted(
    pack: Pack, hits: Iterable[AllergenHit]
) -> tuple[dict[str, Counted], list[AllergenHit], list[AllergenHit]]:
    """Counted hits by code with species (``fish/anchovy``)."""
    counted, asked, rest = count(pack, hits)
    kept: dict[str, Counted] = {}
    for item in counted:
        kept.setdefault(
            item.code if "/" in item.code or not item.by_species else f"{item.code}/{item.species}", item
        )
    return kept, asked, rest


def _by_code(pack: Pack, hits: Iterable[AllergenHit]) -> dict[str, Counted]:
    """Hits that are only asked about, shaped like counted ones (whether they are exempt is not asked
    here).
    """
    counted, _, _ = count(pack, [replace(h, derived="") for h in hits])
    return {c.code: c for c in counted}


def _counted_elsewhere(hit: AllergenHit, here: Pack) -> bool:
    """Whether another market lists this allergen on the same date."""
    for code in set(market_codes()) - {here.market}:
        if Pack(code, here.on).has(AllergenRule):
            try:
                counted, _, _ = count(Pack(code, here.on), [hit])
            except RuleError:  # that market's list is younger than the date
                continue
            if counted:
                return True
    return False


def _named(pack: Pack, item: Counted, text: str) -> bool:
    """Whether the label carries one of the words by which the market lets this allergen be named, in any
    of its languages.
    """
    said, folded = " ".join(w.key for w in read_words(text)), fold(text)
    return any(
        f" {' '.join(w.key for w in read_words(word))} " in f" {said} " or (inside and fold(word) in folded)
        for word, inside in words_of(pack, item)
    )


def _sorted(found: dict[str, Counted]) -> tuple[AllergenHit, ...]:
    return tuple(replace(found[c].hit, allergen=c) for c in sorted(found))
