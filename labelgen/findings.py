"""The catalogue of findings: every fault and doubt labelgen can tell of, each once, in
``reference/findings/``.

A file holds the findings of one room, a table each::

    ["kitchen-key"]                        # the code; an ending after a dot tells wordings of one code apart
    severity = "block"                     # danger, block, warn, note; several, where the caller says which
    says = "{owner} has no {key!r}"        # what is wrong, one sentence, with named blanks
    do = "write {near}"                    # what to type or do, one sentence; may be missing
    why = "..."                            # the rest, for who asks; may be missing
    cites = "cfr-21-101-9 (c)"             # the rule behind it, where it is always the same one
    old = "{key}"                          # what to type: words at the place, and those in their stead;
    new = "{near}"                         # without ``old``, a key to add to the entry there
    sure = true                            # nothing else can be meant

Codes that a table of the law makes, one for each of its rules, are one entry, ``["asked-*"]``; the caller
gives the rule.

A finding carries what fills its blanks, so that a program can act on it and it can be worded anew; nothing
reads a sentence to decide. A blank takes a text, a number, or several texts, which are joined by commas.
"""

from __future__ import annotations

import re
import string
from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from labelgen import paths
from labelgen.errors import SEVERITIES, Edit, Finding, RuleError, Where
from labelgen.tomlfile import read_toml

_KEYS = {"severity", "says", "do", "why", "cites", "old", "new", "sure"}
_TEXTS = ("says", "do", "why", "cites", "old", "new")


@dataclass(frozen=True)
class Entry:
    """One wording of a finding. code: without the ending. severities: those a caller may choose from, the
    first by default.
    """

    key: str
    room: str
    severities: tuple[str, ...]
    says: str
    do: str = ""
    why: str = ""
    cites: str = ""
    old: str = ""
    new: str = ""
    sure: bool = False

    @property
    def code(self) -> str:
        return self.key.partition(".")[0]

    @property
    def message(self) -> str:
        """What is wrong and what to do, as one text, its blanks open."""
        return (f"{self.says}: {self.do}" if self.do else self.says).replace("{{", "{").replace("}}", "}")

    @property
    def blanks(self) -> frozenset[str]:
        """Names of what a caller must give."""
        return frozenset().union(*map(blanks_of, (self.says, self.do, self.why, self.old, self.new)))

    @property
    def about(self) -> str:
        """The blank that ``says`` begins with, before a colon; "" for none."""
        found = _ABOUT.match(self.says)
        return found[0].removesuffix(": ") if found else ""


class _Words(string.Formatter):
    """Fills named blanks only: no positions, attributes or items."""

    def get_field(self, field_name, args, kwargs):
        return kwargs[field_name], field_name

    def format_field(self, value, format_spec):
        if isinstance(value, (list, tuple, set, frozenset)):
            value = ", ".join(
                str(v) for v in (sorted(value) if isinstance(value, (set, frozenset)) else value)
            )
        return super().format_field(value, format_spec)


_WORDS = _Words()
_ABOUT = re.compile(r"\{\w+\}: ")


def blanks_of(text: str) -> frozenset[str]:
    """The named blanks of a sentence.

    >>> sorted(blanks_of("{owner} has no {key!r}"))
    ['key', 'owner']
    """
    return frozenset(name for _, name, _, _ in _WORDS.parse(text) if name is not None)


@cache
def catalogue() -> Mapping[str, Entry]:
    """Key -> entry, of every file below ``reference/findings``. Raises RuleError naming the file and the
    key.
    """
    known: dict[str, Entry] = {}
    for path in sorted(paths.reference("findings").glob("*.toml")):
        for key, told in read_toml(path).items():
            known[key] = _checked(path.stem, key, told, known)
    return known


def _checked(room: str, key: str, told: Mapping, known: Mapping[str, Entry]) -> Entry:
    shown = f"reference/findings/{room}.toml: {key}"
    severities = (
        (told["severity"],) if isinstance(told.get("severity"), str) else tuple(told.get("severity", ()))
    )
    if key in known:
        raise RuleError(f"{shown}: stands in {known[key].room}.toml already: keep one")
    if strange := set(told) - _KEYS:
        raise RuleError(
            f"{shown}: unknown {', '.join(sorted(strange))}; a finding holds {', '.join(sorted(_KEYS))}"
        )
    if not severities or not set(severities) <= set(SEVERITIES):
        raise RuleError(f"{shown}: severity is one or several of {', '.join(SEVERITIES)}")
    if not told.get("says"):
        raise RuleError(f"{shown}: 'says' is missing: what is wrong, in one sentence")
    texts = {k: " ".join(told.get(k, "").split()) for k in _TEXTS}
    return Entry(key, room, severities, sure=told.get("sure", False), **texts)


def find(
    key: str,
    /,
    where: Where,
    *,
    rule: str = "",
    path: str = "",
    keys: tuple = (),
    severity: str = "",
    cites: str = "",
    sure: bool = True,
    **blanks,
) -> Finding:
    """A finding of the catalogue, its blanks filled.

    where: the place in the maker's file. rule: key of the law's rule, for a code with a star. path: the field
    it is about, ``products.hill-biscuits.claims.0``. keys: the keys that lead there in the files, for a fault
    of the files themselves.
    severity: one of the entry's, where it has several. cites: citation key and locator, where the entry names
    none. sure: whether what the entry has typed for sure can mean nothing else here. Raises RuleError for a
    key, a severity or a blank that the catalogue does not have.
    """
    entry = catalogue().get(key)
    if entry is None:
        raise RuleError(f"{key!r} is no finding of reference/findings: write it there")
    severity = severity or entry.severities[0]
    if severity not in entry.severities:
        raise RuleError(f"{key}: {severity!r} is none of its severities: {', '.join(entry.severities)}")
    if lacking := entry.blanks - set(blanks):
        raise RuleError(f"{key}: nothing fills {', '.join(sorted(lacking))}")
    if ("*" in entry.code) != bool(rule):
        raise RuleError(
            f"{key}:"
            f" {'the rule it is about is missing' if '*' in entry.code else f'is about no rule, {rule!r}'}"
        )
    said, do, why, about, old, new = (
        _WORDS.vformat(text, (), blanks)
        for text in (entry.says, entry.do, entry.why, entry.about, entry.old, entry.new)
    )
    code = entry.code.replace("*", rule.replace("_", "-"))
    data = tuple((name, _kept(value)) for name, value in blanks.items())
    return Finding(
        code,
        severity,
        where,
        said,
        cites or entry.cites,
        do=do,
        path=path,
        data=data,
        why=why,
        keys=keys,
        entry=key,
        about=about,
        edit=Edit(old, new, entry.sure and sure) if new else None,
    )


def _kept(value):
    return tuple(value) if isinstance(value, (list, tuple, set, frozenset)) else value
