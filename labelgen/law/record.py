"""A frozen record whose annotations say what a rule may hold: read, checked and given its defaults in one
place.

``name: str`` must be written, ``name: str = ""`` may be; a name that is a word of Python ends in ``_``
(``for_`` is ``for`` in the file). Annotations are read as they are written: ``str``, ``bool``, ``int``,
``Decimal``, another record, ``tuple[X, ...]``, ``Mapping[str, X]`` and ``X | None``. Records are made without
generated code, because forty generated classes take longer than reading the law of a label.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from decimal import Decimal
from functools import cache
from types import MappingProxyType
from typing import Any, ClassVar, Self, dataclass_transform

from labelgen.errors import RuleError

#: Turns what a file holds into what a field holds; raises TypeError for anything else.
_Reader = Callable[[object], object]


@dataclass_transform(frozen_default=True, kw_only_default=True, eq_default=False)
class Record:
    """Equal only to itself. ``vars`` of it are the fields that were written, and what begins with ``_``,
    which no file writes.
    """

    #: Name in the file -> (name of the field, its annotation), those of the bases first.
    fields: ClassVar[dict[str, tuple[str, str]]] = {}
    #: Names in the file that must be written.
    required: ClassVar[frozenset[str]] = frozenset()
    #: Every kind of record by the name that annotations call it by.
    kinds: ClassVar[dict[str, type[Record]]] = {}

    def __init_subclass__(cls) -> None:
        own = {
            n: a
            for n, a in vars(cls).get("__annotations__", {}).items()
            if not a.startswith("ClassVar") and n[0] != "_"
        }
        cls.fields = {**cls.fields, **{n.rstrip("_"): (n, a) for n, a in own.items()}}
        open_ = {n.rstrip("_") for n in own if n not in vars(cls)}
        cls.required = (cls.required - {n.rstrip("_") for n in own}) | open_
        Record.kinds[cls.__name__] = cls

    def __init__(self, **values: Any) -> None:
        vars(self).update(values)

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"a rule is not changed: {name}")

    def replace(self, **changes: Any) -> Self:
        """The same record with some fields changed."""
        return type(self)(**{**vars(self), **changes})


def read_fields(kind: type[Record], given: Mapping[str, object], at: str) -> dict[str, Any]:
    """What a file gives, by field, as the fields hold it. at: begins an error, ``file: rule``.

    Raises RuleError for a key the record does not have and for a value of another type; what must be written
    is asked for elsewhere, since a further language words only some of it.
    """
    read = {}
    for name, value in given.items():
        if name not in kind.fields:
            raise RuleError(f"{at}: unknown key {name!r}; allowed are {', '.join(sorted(kind.fields))}")
        field, annotation = kind.fields[name]
        try:
            read[field] = _reader(annotation)(value)
        except TypeError:
            raise RuleError(f"{at}: {name} = {value!r} has the wrong type") from None
    return read


@cache
def _reader(annotation: str) -> _Reader:
    said = annotation.removesuffix(" | None")
    if said.startswith("tuple["):
        return _tuple_of(_reader(said.removeprefix("tuple[").removesuffix(", ...]")))
    if said.startswith("Mapping["):
        return _mapping_of(_reader(said.removeprefix("Mapping[str, ").removesuffix("]")))
    return _PLAIN[said] if said in _PLAIN else _record_of(Record.kinds[said])


def _tuple_of(inner: _Reader) -> _Reader:
    def read(value: object) -> object:
        if not isinstance(value, (list, tuple)):
            raise TypeError
        return tuple(inner(v) for v in value)

    return read


def _mapping_of(inner: _Reader) -> _Reader:
    def read(value: object) -> object:
        if not isinstance(value, Mapping):
            raise TypeError
        return MappingProxyType({k: inner(v) for k, v in value.items()})

    return read


def _record_of(kind: type[Record]) -> _Reader:
    def read(value: object) -> object:
        if not isinstance(value, Mapping) or kind.required - set(value) or set(value) - set(kind.fields):
            raise TypeError
        return kind(**{kind.fields[n][0]: _reader(kind.fields[n][1])(v) for n, v in value.items()})

    return read


def _is(kind: type) -> _Reader:
    def read(value: object) -> object:
        if not isinstance(value, kind) or (isinstance(value, bool) and kind is not bool):
            raise TypeError
        return value

    return read


def _decimal(value: object) -> object:
    if isinstance(value, bool) or not isinstance(value, (int, Decimal)):
        raise TypeError
    return Decimal(value)


_PLAIN: dict[str, _Reader] = {
    "str": _is(str),
    "bool": _is(bool),
    "int": _is(int),
    "date": _is(date),
    "Decimal": _decimal,
}


def known(figure: Decimal | None, whose: str) -> Decimal:
    """A figure that must be there. Raises RuleError saying whose is missing."""
    if figure is None:
        raise RuleError(f"{whose} has no figure: write it into the table")
    return figure
