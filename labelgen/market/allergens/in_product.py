"""What is in a product of allergens, what may be, and why; and which products hold some or are free of
them.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from labelgen.composition.ingredient_allergens import WHEATS, code_fault, told_once
from labelgen.composition.ingredient_records import AllergenHit
from labelgen.composition.text.lexicon import find_allergens
from labelgen.errors import RecipeError
from labelgen.market.allergens.called import in_order, plain_name
from labelgen.market.allergens.cross_contact import STATED
from labelgen.market.declaration_records import Declaration

#: The parts of an answer, the most dangerous first.
PARTS = ("contains", "may contain", "not known")


@dataclass(frozen=True)
class Answer:
    """One allergen of a product. part: one of the above. because: what it rests on."""

    allergen: str
    name: str
    part: str
    because: str


def what_is_in(d: Declaration) -> tuple[Answer, ...]:
    """Every allergen of a product that is known, warned of or asked about, each under its most dangerous
    part.
    """
    stated = tuple(h for h in d.may_contain if h.how in STATED)
    found, told = [], set()
    for part, hits in zip(PARTS, (d.contains, stated, d.questions)):
        codes = [c for c in told_once(in_order(h.allergen for h in hits)) if c not in told]
        found += [Answer(c, plain_name(c, "en"), part, _why(c, hits)) for c in codes]
        told |= {h.allergen for h in hits}
    return (
        *found,
        *(
            Answer("", f"the make-up of {name}", "not known", "nobody tells what is in it")
            for name in d.untold
        ),
    )


def _why(code: str, hits: Iterable[AllergenHit]) -> str:
    return "; ".join(dict.fromkeys(h.because for h in hits if h.allergen == code))


def codes_asked(text: str) -> tuple[str, ...]:
    """The allergens that somebody asks about, as codes or words joined by commas. Raises RecipeError for
    what is none.
    """
    found = []
    for word in filter(None, (part.strip() for part in text.split(","))):
        codes = (
            [word]
            if not code_fault(word)
            else [h.allergen for h in find_allergens(word.replace("_", " "), kind="name").contains]
        )
        if not codes:
            raise RecipeError(code_fault(word))
        found += codes
    return tuple(dict.fromkeys(found))


def answers_for(asked: Iterable[str], answers: Iterable[Answer]) -> tuple[Answer, ...]:
    """The answers that concern what is asked: a kind by its group and a group by its kinds, wheat by
    either name; an untold make-up concerns everything.
    """
    asked = tuple(asked)
    return tuple(a for a in answers if not a.allergen or any(_concerns(code, a.allergen) for code in asked))


def _concerns(asked: str, found: str) -> bool:
    if asked == found or found.partition("/")[0] == asked or asked.partition("/")[0] == found:
        return True
    return asked in WHEATS | {"gluten"} and found in WHEATS | {"gluten"}
