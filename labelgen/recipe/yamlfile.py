"""Reads one YAML 1.2 file strictly: every value keeps its line and column, duplicates and oddities are
refused.

The core schema of YAML 1.2 applies: only true/false are booleans, ``no`` and ``on`` are words, and ``012`` is
twelve. Anchors may be used; language tags, several documents in one file and endless nesting may not.
"""

from __future__ import annotations

import json
import math
import re
import stat
from dataclasses import dataclass, field
from pathlib import Path
from typing import ClassVar

import yaml

from labelgen.errors import Finding, Where
from labelgen.findings import find
from labelgen.recipe.reach import SPACES

_Base = getattr(yaml, "CSafeLoader", yaml.SafeLoader)
#: A kitchen file larger than this is not one a person wrote [bytes]; nor is one with more values than this.
LARGEST_FILE = 4_000_000
MOST_VALUES = 200_000


class _Core(_Base):
    """The C parser with YAML 1.2's own idea of which plain words are numbers, booleans or null."""

    yaml_implicit_resolvers: ClassVar[dict[str, list[tuple[str, re.Pattern[str]]]]] = {}


for _tag, _pattern, _first in (
    ("tag:yaml.org,2002:bool", r"true|True|TRUE|false|False|FALSE", "tTfF"),
    ("tag:yaml.org,2002:null", r"~|null|Null|NULL|", ["~", "n", "N", ""]),
    ("tag:yaml.org,2002:int", r"[-+]?[0-9]+", "-+0123456789"),
    (
        "tag:yaml.org,2002:float",
        r"[-+]?(?:\.[0-9]+|[0-9]+(?:\.[0-9]*)?)(?:[eE][-+]?[0-9]+)?|[-+]?\.(?:inf|Inf|INF)|\.(?:nan|NaN|NAN)",
        "-+.0123456789",
    ),
):
    _Core.add_implicit_resolver(_tag, re.compile(f"^(?:{_pattern})$"), list(_first))


#: A value that stands in its key's own line.
_VALUE = re.compile(r"(?P<key>\s*(?:- )?[^\s:#\[{][^:#\[{]*:\s+)(?P<value>\S.*?)\s*(?: #.*)?$")
#: A list, finished or not; "[organic] sugar" is a text.
_LIST = re.compile(r"\[[^\]]*(?:\]\W*)?$")


@dataclass
class Source:
    """One file, read. data: plain dicts, lists and scalars. places: path of keys -> (line, column).
    section: what its entries are, where they stand at its top level. text: as written; None where it
    cannot be had.
    """

    file: str
    section: str = ""
    data: object = None
    places: dict[tuple, tuple[int, int]] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    text: str | None = None
    #: The language that texts are in where they do not say; "" where the kitchen speaks several.
    spoken: str = ""

    def at(self, path: tuple = ()) -> Where:
        """The place of a value; of its nearest parent if it has none of its own."""
        for end in range(len(path), -1, -1):
            if path[:end] in self.places:
                return Where(self.file, *self.places[path[:end]])
        return Where(self.file, 1)

    def fault(
        self,
        key: str,
        /,
        path: tuple | Where,
        *,
        at: Where | None = None,
        severity: str = "",
        sure: bool = True,
        **blanks,
    ) -> None:
        """Adds a finding of the catalogue about what ``path`` leads to, shown there or ``at`` another
        place; a mere place is about no one entry. blanks: what fills its sentences.
        """
        about = () if isinstance(path, Where) else (self.section, *path) if self.section and path else path
        shown = at or (path if isinstance(path, Where) else self.at(path))
        field = (*(() if not about or about[0] in SPACES else ("kitchen",)), *map(str, about))
        self.findings.append(
            find(key, shown, path=".".join(field), keys=about, severity=severity, sure=sure, **blanks)
        )


def read_yaml(path: Path, shown: str, section: str = "") -> Source:
    """Read one file. Faults are collected in ``findings``; ``data`` is None if nothing could be read.
    section: what the entries at its top level are, "" where sections stand there.
    """
    source = Source(shown, section)
    try:
        status = path.stat()
        if not stat.S_ISREG(status.st_mode):
            source.fault("file-unreadable.no-file", Where(shown, 1))
            return source
        if status.st_size > LARGEST_FILE:
            source.fault("file-too-large", Where(shown, 1), most=LARGEST_FILE)
            return source
        raw = path.read_bytes()
    except OSError as error:
        source.fault("file-unreadable", Where(shown, 1), reason=error.strerror)
        return source
    try:
        text = raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw[: error.start].count(b"\n") + 1
        source.fault("file-not-text", Where(shown, line))
        return source
    if not text.strip():
        source.fault("file-empty", Where(shown, 1))
        return source
    source.text = text
    loader = _Core(text)
    try:
        node = loader.get_single_node()
        if node is not None:
            source.data = _Builder(source).build(node, (), frozenset())
    except yaml.MarkedYAMLError as error:
        mark = error.problem_mark or error.context_mark
        where = Where(shown, mark.line + 1, mark.column + 1) if mark else Where(shown, 1)
        if quoted := quotable(text, mark):
            source.fault("yaml-syntax.unquoted", where, old=quoted, new=json.dumps(quoted))
        else:
            source.fault(
                "yaml-syntax.tab" if _has_tab(text, mark) else "yaml-syntax",
                where,
                reason=error.problem or error.context,
            )
    except yaml.YAMLError as error:
        source.fault("yaml-syntax", Where(shown, 1), reason=str(error).replace("\n", " "))
    except RecursionError:
        source.fault("yaml-too-deep", Where(shown, 1))
    except _TooMany:
        source.fault("yaml-too-large", Where(shown, 1), most=MOST_VALUES)
    finally:
        loader.dispose()
    return source


def quotable(text: str, mark) -> str:
    """The value in the line of a syntax fault, if all it lacks are quotes: with them, reading goes on beyond
    that line.
    """
    lines = text.splitlines()
    found = _VALUE.match(lines[mark.line]) if mark and mark.line < len(lines) else None
    if not found or found["value"][0] in "\"'|>{" or _LIST.match(found["value"]):
        return ""
    again = [*lines]
    again[mark.line] = f"{found['key']}{json.dumps(found['value'])}"
    try:
        yaml.compose("\n".join(again), _Core)
    except yaml.MarkedYAMLError as error:
        further = error.problem_mark or error.context_mark
        return found["value"] if further and further.line > mark.line else ""
    return found["value"]


def _has_tab(text: str, mark) -> bool:
    """Whether the line of a syntax fault has a tab, which is then most often what is wrong."""
    lines = text.splitlines()
    return mark is not None and mark.line < len(lines) and "\t" in lines[mark.line]


class _TooMany(Exception):
    pass


class _Int(int):
    """A whole number that is still what was typed where a text is wanted: the lot 0012 is not 12."""

    written: str

    def __str__(self) -> str:
        return self.written


class _Float(float):
    """A number that is still what was typed where a text is wanted: 4.50 is not 4.5."""

    written: str

    def __str__(self) -> str:
        return self.written


class _Builder:
    """Node tree -> plain data, filling the source's places and findings."""

    def __init__(self, source: Source):
        self.source = source
        self.count = 0

    def build(self, node, path: tuple, inside: frozenset):
        self.count += 1
        if self.count > MOST_VALUES:
            raise _TooMany
        if id(node) in inside:
            self.source.fault("yaml-loop", path, at=self._where(node))
            return None
        self.source.places.setdefault(path, (node.start_mark.line + 1, node.start_mark.column + 1))
        inside = inside | {id(node)}
        if isinstance(node, yaml.MappingNode):
            return self._mapping(node, path, inside)
        if isinstance(node, yaml.SequenceNode):
            return [self.build(item, (*path, i), inside) for i, item in enumerate(node.value)]
        return self._scalar(node, path)

    def _mapping(self, node, path, inside):
        data = {}
        for key_node, value_node in node.value:
            if not isinstance(key_node, yaml.ScalarNode):
                self.source.fault("yaml-key", path, at=self._where(key_node))
                continue
            key = key_node.value.strip()
            if key in data:
                first = self.source.places[(*path, key)]
                self.source.fault(
                    "duplicate-key", (*path, key), at=self._where(key_node), name=key, line=first[0]
                )
                continue
            self.source.places[(*path, key)] = (
                key_node.start_mark.line + 1,
                key_node.start_mark.column + 1,
            )
            data[key] = self.build(value_node, (*path, key), inside)
        return data

    def _scalar(self, node, path):
        tag, text = node.tag.rpartition(":")[2], node.value
        if tag == "str":
            return text
        if tag == "null":
            return None
        if tag == "bool":
            return text.lower() == "true"
        try:
            value = (
                _Int(text)
                if tag == "int"
                else _Float(text.replace(".inf", "inf").replace(".nan", "nan"))
                if tag == "float"
                else None
            )
        except ValueError:
            value = None
        if value is None:
            self.source.fault("yaml-tag", path, tag=node.tag)
        elif not math.isfinite(value) or abs(value) > 1e15:
            self.source.fault("number-not-finite", path, text=text)

            value = None
        else:
            value.written = text
        return value

    def _where(self, node) -> Where:
        return Where(self.source.file, node.start_mark.line + 1, node.start_mark.column + 1)
