"""Judges claims that something is absent: gluten free, milk free, no palm oil, vegan, vegetarian.

A wrong "gluten free" or "milk free" harms somebody, so every gap refuses: an unknown make-up, a word whose
source is not told, a supplier's warning, a kitchen that handles the thing. A laboratory's result settles only
what it measured.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from labelgen.composition.ingredient_allergens import is_allergen
from labelgen.composition.ingredient_records import AllergenHit
from labelgen.composition.text.folded_words import read_words
from labelgen.composition.text.kinds import known_kinds
from labelgen.composition.text.lexicon import spoken
from labelgen.law.claim_tables import ClaimRule, Limit
from labelgen.law.pack import Pack
from labelgen.market.allergens.cross_contact import precaution_codes
from labelgen.market.allergens.declaration import count, pack_of
from labelgen.market.claims.make_up import Part, same_allergen
from labelgen.recipe.models import Kitchen, LabTest, Product


@dataclass(frozen=True)
class Verdict:
    """refused: why not, each with what would have to change. because: what it rests on. present: words for
    companions (such as ``processed_wheat``). cautions: what the maker should know all the same.
    """

    refused: tuple[str, ...]
    because: tuple[str, ...]
    present: tuple[str, ...] = ()
    cautions: tuple[str, ...] = ()


def judge_gluten_free(
    rule: ClaimRule, product: Product, kitchen: Kitchen, parts: tuple[Part, ...]
) -> Verdict:
    """Gluten free, by the market's own limit, its view of oats, and what it wants tested."""
    limit, test = rule.limit, product.tested.get("gluten")
    refused, processed = gluten_in(limit, parts)
    unread = [p.name for p in parts if p.unread and not p.says("gluten_free")]
    handled = [c for c in kitchen.handles if same_allergen(c, "gluten")]
    needs_test = limit.test == "always" or handled or processed
    if needs_test and not _passes(test, limit):
        shown = f"'{test.text}' does not" if test else "nothing does"
        why = (
            f"{', '.join(handled)} is handled in the same kitchen"
            if handled
            else (
                "a recipe alone proves nothing here"
                if limit.test == "always"
                else "an ingredient is made from a gluten cereal"
            )
        )
        refused.append(
            f"{why}, and a laboratory must show the finished food to hold {_limit_words(limit)} gluten:"
            f" {shown}; write for example 'tested: {{gluten: \"{_example(limit)}\"}}' once it is measured"
        )
    if limit.processed and not processed:
        refused.append(
            "it is for foods made with gluten cereals that were specially processed: without one, 'gluten"
            " free' is the claim to make"
        )
    refused += _warned_by_maker(product, "gluten")
    because = [f"no gluten cereal among {len(parts)} ingredients"] if not processed else []
    because += [
        f"{name} is made from {spoken(code)}, processed, as its supplier states" for name, code in processed
    ]
    because += [f"tested: {test.text}"] if test else ["no gluten handled in the kitchen"]
    wheat = [c for _, c in processed if same_allergen(c, "wheat")]
    cautions = (*_read_packets(unread, "gluten"), *_keep_records(parts, limit.fermented))
    return Verdict(
        tuple(dict.fromkeys(refused)), tuple(because), ("processed_wheat",) if wheat else (), cautions
    )


def gluten_in(limit: Limit, parts: Sequence[Part]) -> tuple[list[str], list[tuple[str, str]]]:
    """(why ingredients refuse "gluten free", the (ingredient, cereal) that are allowed because their
    gluten was taken out).
    """
    refused, processed = [], []
    for part in parts:
        assured = part.says("gluten_free")
        if assured is False:
            refused.append(f"its supplier says {part.name} is not gluten free: replace it")
        for hit in part.ingredient.contains:
            if same_allergen(hit.allergen, "gluten") and (why := _cereal(part, hit, limit, assured)):
                refused.append(why)
            elif same_allergen(hit.allergen, "gluten") and hit.allergen != "gluten/oats":
                processed.append((part.name, hit.allergen))
        for hit in part.possible:
            if same_allergen(hit.allergen, "gluten") and not assured:
                refused.append(
                    f"{hit.because}; write 'gluten_free: true' on {part.name} once its supplier confirms it"
                    " in writing"
                )
        if any(same_allergen(h.allergen, "gluten") for h in part.warned):
            refused.append(
                f"the supplier of {part.name} warns that it may contain gluten: buy it from one who does not"
            )
        if part.level != "told" and not assured:
            refused.append(_nobody_tells(part))
    return refused, processed


def _nobody_tells(part: Part) -> str:
    return (
        f"nobody tells what {part.name} is made of ({_gap(part)}): copy its packet's list into 'statement:'"
    )


def _keep_records(parts: tuple[Part, ...], fermented: Sequence[str]) -> tuple[str, ...]:
    """What to keep of fermented and hydrolyzed ingredients, in which no test finds gluten surely."""
    found = [
        p.name
        for p in parts
        for t in (p.spec.statement if p.spec else "", p.ingredient.print_name)
        if any(_says(t, w) for w in fermented)
    ]
    if not found:
        return ()
    return (
        (
            f"{', '.join(dict.fromkeys(found))} is fermented or hydrolyzed, where no test finds gluten"
            " surely: keep records that it was gluten free before that, and of what keeps gluten away"
        ),
    )


def _says(text: str, words: str) -> bool:
    return (
        f" {' '.join(w.key for w in read_words(words))} " in f" {' '.join(w.key for w in read_words(text))} "
    )


def _cereal(part: Part, hit: AllergenHit, limit: Limit, assured: bool | None) -> str:
    """Why a gluten cereal in an ingredient refuses the claim; "" when it does not."""
    cereal = spoken(hit.allergen)
    if hit.allergen == "gluten/oats":
        if limit.oats == "never":
            return f"{part.name} is oats, which can never be gluten free here: replace them"
        if not assured:
            return (
                f"{part.name} is oats: only oats grown and milled apart qualify; write 'gluten_free: true'"
                " on it if its supplier certifies that"
            )
        shown = part.ingredient.print_name.lower().replace("-", " ")
        return (
            f"{part.name} must be called 'gluten-free oats' wherever oats are named: write that under"
            " 'print:'"
            if limit.oats == "named" and "gluten free oats" not in shown
            else ""
        )
    words = {w.key for t in (hit.words, part.ingredient.print_name) for w in read_words(t)}
    derived = {w.key for d in limit.derivatives for w in read_words(d)}
    never = {w.key for d in limit.never for w in read_words(d)}
    if assured and words & derived and not words & never:
        return ""
    return f"{part.name} holds {cereal} ({hit.because}): replace it"


def _passes(test: LabTest | None, limit: Limit) -> bool:
    if test is None:
        return False
    if limit.below is not None:
        return test.most < limit.below
    return (
        test.most <= limit.at_most
        if limit.at_most is not None
        else not test.detected and test.most <= (limit.detection or 0)
    )


def _limit_words(limit: Limit) -> str:
    return (
        f"less than {limit.below} mg/kg"
        if limit.below is not None
        else f"at most {limit.at_most} mg/kg"
        if limit.at_most is not None
        else "no detectable"
    )


def _example(limit: Limit) -> str:
    return (
        f"not detected (limit {limit.detection} mg/kg), laboratory, 2026-11-02"
        if limit.detection is not None
        else "<5 mg/kg, laboratory, 2026-11-02"
    )


def judge_free_from(
    pack: Pack,
    codes: tuple[str, ...],
    product: Product,
    kitchen: Kitchen,
    parts: tuple[Part, ...],
    tested_as: str = "",
) -> Verdict:
    """Free from allergens or kinds of ingredient. tested_as: what a laboratory may have looked for instead
    (lactose).
    """
    refused = []
    own = product.tested.get(tested_as) if tested_as else None
    if own and not own.detected:
        return Verdict(
            (),
            (f"tested for {tested_as}: {own.text}",),
            cautions=(
                (
                    f"it is no {spoken(codes[0])}-free food: somebody with a {spoken(codes[0])} allergy"
                    " must still be warned"
                ),
            ),
        )
    for code in codes:
        refused += kind_present(code, parts) if code in known_kinds() else []
        refused += _allergen_present(pack, code, product, kitchen, parts) if is_allergen(code) else []
    names = ", ".join(spoken(c) for c in codes)
    untested = [c for c in codes if is_allergen(c) and c not in product.tested]
    unread = [p.name for p in parts if p.unread] if untested else []
    every = (
        ("somebody is allergic to almost any food: name what it is free from instead",)
        if len(codes) > 10
        else ()
    )
    return Verdict(
        tuple(dict.fromkeys(refused)),
        (f"none of {names} in any of {len(parts)} ingredients",),
        cautions=(*every, *_read_packets(unread, names)),
    )


def _read_packets(unread: list[str], what: str) -> tuple[str, ...]:
    """What to tell when ingredients are only foods of the table, whose packets may warn of more."""
    if not unread:
        return ()
    return (
        (
            f"read the packets of {', '.join(unread)} for warnings of {what}, and write what they declare"
            " under 'contains:' and 'may_contain:'"
        ),
    )


def _allergen_present(
    pack: Pack, code: str, product: Product, kitchen: Kitchen, parts: tuple[Part, ...]
) -> list[str]:
    name, refused = spoken(code), []
    for part in parts:
        refused += [
            f"{part.name} holds {spoken(h.allergen)} ({h.because}): replace it"
            for h in part.ingredient.contains
            if same_allergen(h.allergen, code)
        ]
        refused += [
            f"{h.because}; then write the source into the statement of {part.name}"
            for h in part.possible
            if same_allergen(h.allergen, code)
        ]
        refused += [
            f"the supplier of {part.name} warns that it may contain {spoken(h.allergen)}: buy it from one"
            " who does not"
            for h in part.warned
            if same_allergen(h.allergen, code)
        ]
        if part.level == "unknown" or (
            part.level == "declared" and not _declarable(kitchen.country or pack.market, pack, code)
        ):
            refused.append(_nobody_tells(part))
    test = product.tested.get(code) or product.tested.get(code.partition("/")[0])
    if test and test.detected:
        refused.append(f"the laboratory found {name} ({test.text}): the claim is untrue")
    if any(same_allergen(c, code) for c in kitchen.handles) and not (test and not test.detected):
        refused.append(
            f"the kitchen handles {name}: keep it out, or have the finished food tested and write 'tested:"
            f' {{{code}: "not detected (limit 1 mg/kg), laboratory, 2026-11-02"}}\''
        )
    return refused + _warned_by_maker(product, code)


def kind_present(kind: str, parts: tuple[Part, ...]) -> list[str]:
    """Why a kind of ingredient cannot be called absent; [] when it can."""
    word, refused = kind.replace("_", " "), []
    for part in parts:
        for hit in part.kinds:
            if hit.kind == kind:
                refused.append(
                    f"{part.name} brings {word} ('{hit.words}'): replace it"
                    if hit.sure
                    else (
                        f"'{hit.words}' in {part.name} may be {word}: ask the supplier and write the source"
                        " into its statement"
                    )
                )
        if part.level != "told":
            refused.append(_nobody_tells(part))
    return refused


def judge_diet(rule: ClaimRule, word: str, kitchen: Kitchen, parts: tuple[Part, ...]) -> Verdict:
    """Vegan or vegetarian: nothing of the kinds the rule excludes. A supplier's own answer settles doubts,
    not facts.
    """
    refused, cautions = [], []
    vegan = word == "vegan"
    handled = [
        spoken(c)
        for c in kitchen.handles
        if any(same_allergen(c, code) for code in rule.without if is_allergen(code))
    ]
    if handled:
        cautions.append(
            f"the kitchen handles {', '.join(handled)}: '{word}' does not make the food safe for somebody"
            " allergic to it"
        )
    for part in parts:
        answer = part.says(word)
        answer = True if answer is None and not vegan and part.says("vegan") else answer
        if answer is False:
            refused.append(f"its supplier says {part.name} is not {word}: replace it")
        for code in rule.without:
            hits = [(h.words, h.sure) for h in part.kinds if h.kind == code]
            if is_allergen(code):
                hits += [
                    (h.words or h.because, True)
                    for h in part.ingredient.contains
                    if same_allergen(h.allergen, code)
                ]
                hits += [
                    (h.words or h.because, False) for h in part.possible if same_allergen(h.allergen, code)
                ]
                cautions += [
                    f"{part.name} may contain {spoken(h.allergen)}: '{word}' does not make the food safe"
                    " for somebody allergic to it"
                    for h in part.warned
                    if same_allergen(h.allergen, code)
                ]
            for words, sure in hits:
                if sure:
                    refused.append(f"{part.name} brings {code.replace('_', ' ')} ('{words}'): replace it")
                elif not answer:
                    refused.append(
                        f"'{words}' in {part.name} may be of animal origin: ask the supplier and write"
                        f" '{word}: true' on it"
                    )
        if part.level != "told" and not answer:
            refused.append(
                f"nobody tells what {part.name} is made of ({_gap(part)}): copy its packet's list into"
                f" 'statement:', or write '{word}: true' on it once its supplier confirms that"
            )
    return Verdict(
        tuple(dict.fromkeys(refused)),
        (
            (
                f"nothing of animal origin in {len(parts)} ingredients"
                if vegan
                else f"nothing from a dead animal in {len(parts)} ingredients"
            ),
        ),
        cautions=tuple(dict.fromkeys(cautions)),
    )


def _declarable(country: str, pack: Pack, code: str) -> bool:
    """Whether the law where the ingredients are bought makes a supplier declare this allergen."""
    counted, _, _ = count(pack_of(country, pack.on), [AllergenHit(code, "")])
    return bool(counted)


def _gap(part: Part) -> str:
    if part.ingredient.composite:
        return f"{part.ingredient.food_name!r} is a manufactured food of the table"
    return "only its allergens are declared" if part.level == "declared" else "neither list nor declaration"


def _warned_by_maker(product: Product, code: str) -> list[str]:
    if any(same_allergen(c, code) for c in precaution_codes(product)):
        return [
            f"the label itself warns of {spoken(code)}: a food cannot be free of it and warn of it; take it"
            " out of 'may_contain:' or 'precaution:', or the claim off"
        ]
    return []
