"""Whose name and address stand on a label, and whether they are anybody's."""

from __future__ import annotations

from functools import cache

from labelgen import paths
from labelgen.errors import NOT_READY, Finding
from labelgen.findings import find
from labelgen.law.label_tables import Statement
from labelgen.law.pack import Pack
from labelgen.recipe.models import Kitchen, Producer, Product
from labelgen.tomlfile import read_toml


def name_producer(producer: Producer, product: Product) -> tuple[str, ...]:
    """The lines that name the business."""
    name = " ".join(x for x in (producer.role, producer.name) if x)
    said = (
        name,
        producer.address,
        producer.phone,
        producer.email,
        producer.web,
        producer.permit,
        product.origin,
    )
    return tuple(t for t in said if t)


def check_producer(pack: Pack, kitchen: Kitchen, lot: str) -> list[Finding]:
    """What is lacking, and what is a placeholder: with a lot, nothing is printed by it."""
    lacking = [word for word in ("name", "address") if not getattr(kitchen.producer, word)]
    rule = pack.find(Statement, "business")
    source = rule.source if rule else ""
    if lacking:
        return [
            find("no-producer", kitchen.where, path="producer", cites=source, fields=" and ".join(lacking))
        ]
    texts = [
        getattr(kitchen.producer, field)
        for field in ("name", "address")
        if is_placeholder(field, getattr(kitchen.producer, field))
    ]
    where = kitchen.places.get("producer", kitchen.where)
    severity = "block" if lot else "warn"
    return (
        [find(f"{NOT_READY}-producer", where, path="producer", severity=severity, cites=source, text=texts)]
        if texts
        else []
    )


@cache
def _placeholders() -> dict[str, dict[str, list[str]]]:
    return read_toml(paths.reference("words", "placeholders.toml"))


def is_placeholder(field: str, text: str) -> bool:
    """Whether a name or an address is what a form or an example puts there.

    >>> is_placeholder("address", "Your street, your town"), is_placeholder("name", "Yourk Bakery")
    (True, False)
    """
    table, folded = _placeholders()[field], " ".join(text.casefold().split())
    return folded in table["is"] or any(words in folded for words in table["holds"])
