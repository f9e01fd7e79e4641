"""Which printed labels no longer match today's kitchen, specifications, food table or law, and how."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date

from labelgen import __version__
from labelgen.errors import Finding
from labelgen.ledger.differences import ASPECTS, Difference, compare_declarations
from labelgen.ledger.inputs import CALLED
from labelgen.ledger.store import Printing


@dataclass(frozen=True)
class Today:
    """A product as it would be printed now. label_sha256: "" when it cannot be, or need not be
    drawn because its words differ; stops: the findings that stop it. own_packets: ingredients whose packet
    was taken as it was then, since today's is of another lot; lots_unclear: those that changed, and nobody
    wrote for which lot.
    """

    declaration: dict | None
    label_sha256: str
    inputs: tuple[tuple[str, str, str], ...]
    stops: tuple[Finding, ...] = ()
    own_packets: tuple[str, ...] = ()
    lots_unclear: tuple[str, ...] = ()


@dataclass(frozen=True)
class Verdict:
    """One printed label against today. changed: names of the inputs that differ; own_packets,
    lots_unclear: as in ``Today``.
    """

    printing: Printing
    differences: tuple[Difference, ...]
    changed: tuple[str, ...]
    stops: tuple[Finding, ...]
    own_packets: tuple[str, ...] = ()
    lots_unclear: tuple[str, ...] = ()

    @property
    def holds(self) -> bool:
        return not (self.differences or self.stops)

    @property
    def true(self) -> bool:
        """Whether every word printed is still true: at most it would be laid out differently."""
        return all(d.aspect == "layout" for d in self.differences)


def latest(printings: Iterable[Printing], on: date) -> list[Printing]:
    """Every different label of every product, market and lot that may still be on somebody's shelf.

    A lot printed again with another label keeps both: nobody knows which packs carry the first.
    """
    different: dict[tuple[str, ...], Printing] = {}
    for p in printings:
        place = (p.product, p.market, p.lot, p.label_sha256)
        before = different.get(place)
        # the same label may stand on packs that keep longer: the last of their days counts
        ends = (p.best_before, before.best_before) if before else (p.best_before,)
        different[place] = replace(p, best_before=None if None in ends else max(ends))
    return [p for p in different.values() if p.best_before is None or p.best_before >= on]


def judge(printings: Iterable[Printing], make: Callable[[Printing], Today]) -> list[Verdict]:
    """A verdict on each label, those with the most dangerous difference first. ``make`` remakes one as of
    today.
    """
    verdicts = []
    for p in printings:
        today = make(p)
        differences = compare_declarations(p.declaration, today.declaration) if today.declaration else []
        if not differences and today.label_sha256 and today.label_sha256 != p.label_sha256:
            differences = [Difference("layout", "the same words, laid out differently")]
        program = (f"labelgen {p.version}, now {__version__}",) if p.version != __version__ else ()
        verdicts.append(
            Verdict(
                p,
                tuple(differences),
                (*_changed(p.inputs, today.inputs), *program),
                today.stops,
                today.own_packets,
                today.lots_unclear,
            )
        )

    def danger(v: Verdict) -> tuple:
        first = min((ASPECTS.index(d.aspect) for d in v.differences), default=len(ASPECTS))
        return (v.holds, first, not v.stops, v.printing.number)

    return sorted(verdicts, key=danger)


def _changed(then: Iterable[tuple[str, str, str]], now: Iterable[tuple[str, str, str]]) -> tuple[str, ...]:
    """The inputs that differ; of those other than kitchen files, only what was kept then can be compared."""
    before, after = ({(kind, name): digest for kind, name, digest in inputs} for inputs in (then, now))
    places = [
        place
        for place in dict.fromkeys((*before, *after))
        if before.get(place) != after.get(place) and (place in before or place[0] == "kitchen")
    ]
    called = (
        f"{CALLED[kind]} {name}".rstrip() if kind in CALLED else f"reference data: {kind}"
        for kind, name in places
    )
    return tuple(dict.fromkeys(called))
