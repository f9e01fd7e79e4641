"""The words claims are printed in: the maker's, the market's where only those are permitted, and those of
a further language.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from labelgen.composition.text.folded_words import read_words
from labelgen.errors import Finding
from labelgen.findings import find
from labelgen.law.claim_tables import ClaimRule, ClaimTerm
from labelgen.law.pack import Pack
from labelgen.market.claims.claim_words import Asked, read_claim
from labelgen.market.declaration_records import Claim
from labelgen.market.second_language import GAP
from labelgen.recipe.models import Product

#: Kinds of rule that give nutrition information: they bring disclosures and end exemptions from the panel.
NUTRITION = ("content", "comparative", "amount")


def rule_for(pack: Pack, asked: Asked) -> ClaimRule:
    """The rule of a claim; a market without one has a rule for what its list does not name."""
    return pack.find(ClaimRule, asked.key) or pack.entry(ClaimRule, "unlisted")


def gives_nutrition(pack: Pack, claims: Sequence[str]) -> tuple[str, ...]:
    """Those of the claims that give nutrition information, which exemptions do not survive; one nobody
    understands counts.
    """
    if not pack.has(ClaimRule):
        return tuple(claims)
    return tuple(
        c
        for c in claims
        if not read_claim(c)
        or any(is_nutrition(rule_for(pack, a)) or rule_for(pack, a).kind == "refused" for a in read_claim(c))
    )


def is_nutrition(rule: ClaimRule) -> bool:
    """Whether a claim gives nutrition information in the market's eyes: by its kind, unless the rule says."""
    keeps = rule.keeps_exemption
    return rule.kind in NUTRITION if keeps is None else not keeps


def loose_word(pack: Pack, asked: Asked, rule: ClaimRule) -> str:
    """Why words that the market does not define may not stand for its terms ("loaded with fiber"); "" when
    there are none.
    """
    terms = pack.find(ClaimTerm, "not_terms") if pack.has(ClaimTerm) else None
    said = f" {_folded(asked.text)} "
    found = (
        next((w for w in terms.values if f" {w} " in said), "") if terms and rule.kind in NUTRITION else ""
    )
    return f"'{found}' is no term of the law: {terms.text}" if terms and found else ""


def printed_words(pack: Pack, text: str, rules: Sequence[ClaimRule]) -> str:
    """A claim as printed in the market's first language: the maker's words, or the permitted ones where
    only those may stand.
    """
    exact = pack.has(ClaimTerm) and pack.find(ClaimTerm, "exact_wording")
    if exact and all(r.printed and is_nutrition(r) for r in rules):
        permitted = (
            {_folded(w) for r in rules for w in (r.printed, *r.wordings)} if len(rules) == 1 else set()
        )
        if _folded(text) not in permitted:
            return ", ".join(r.printed for r in rules)
    text = _spelt(pack, text)
    return f"{text[:1].upper()}{text[1:]}"


def _spelt(pack: Pack, text: str) -> str:
    """A claim in the market's own spelling: "fiber" for "fibre", a capital kept."""
    rule = pack.find(ClaimTerm, "spelling") if pack.has(ClaimTerm) else None
    for pair in rule.values if rule else ():
        elsewhere, here = pair.split()
        text = re.sub(rf"\b{elsewhere}\b", here, text)
        text = re.sub(rf"\b{elsewhere.capitalize()}\b", here.capitalize(), text)
    return text


def check_permitted(pack: Pack, product: Product, claim: Claim, place: str) -> tuple[Finding, ...]:
    """A claim that stands in a text of the label in other words than the market permits."""
    if not place or not claim.allowed or _folded(claim.text) == _folded(claim.asked):
        return ()
    rule = pack.entry(ClaimTerm, "exact_wording")
    told = {
        "product": product.key,
        "claim": claim.asked,
        "place": place,
        "law": rule.text,
        "words": claim.text,
    }
    return (find("claim-not-exact", product.where, path=product.path("claims"), cites=rule.source, **told),)


def _folded(text: str) -> str:
    return " ".join(w.key for w in read_words(text))


def word_claims(
    claims: Sequence[Claim], pack: Pack, product: Product, language: str
) -> tuple[tuple[Claim, ...], tuple[Finding, ...]]:
    """Allowed claims in a further language: as the maker words them, else as the market's rule does; what
    is missing.
    """
    worded, found = [], []
    for claim in claims:
        asked = read_claim(claim.asked)
        rule = rule_for(pack, asked[0]).worded(language) if len(asked) == 1 else None
        said = product.also.get(language, {}).get(f"claim {claim.asked}", "")
        said = "" if GAP in said else said
        own = (
            f"{claim.asked[:1].upper()}{claim.asked[1:]}"
            if all(a.language == language for a in asked)
            else ""
        )
        beside = (
            tuple(c.text for c in rule.companions)
            if rule and rule.is_worded(language, "companions") and claim.companions and not said
            else ()
        )
        text = said or own or (rule.printed if rule and rule.is_worded(language, "printed") else "")
        # a claim that stands in a text already lacks only what stands beside it
        if (claim.text and not text) or (claim.companions and not said and not beside):
            told = {"product": product.key, "claim": claim.asked, "language": language}
            found.append(
                find(
                    "wording-missing.of-claim",
                    product.where,
                    path=product.path("claims"),
                    cites=claim.citation,
                    **told,
                )
            )
            continue
        worded.append(replace(claim, text=claim.text and text, companions=beside))
    return tuple(worded), tuple(found)


def check_language(claims: Sequence[Claim], pack: Pack, product: Product) -> tuple[Finding, ...]:
    """Claims worded in another language than the label's first one."""
    return tuple(
        find(
            "claim-language",
            product.where,
            path=product.path("claims"),
            cites=c.citation,
            product=product.key,
            claim=c.asked,
        )
        for c in claims
        if c.text == printed_words(pack, c.asked, ())
        and any(a.language not in ("en", "") for a in read_claim(c.asked))
    )
