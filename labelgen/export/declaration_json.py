"""A declaration as JSON, and the JSON Schema it keeps to (both made by pydantic from the records
themselves).
"""

from __future__ import annotations

from functools import cache
from typing import Any

from pydantic import TypeAdapter

from labelgen.market.declaration_records import Declaration

#: Raised by one whenever a field changes its meaning or goes.
VERSION = 1


@cache
def _adapter() -> TypeAdapter:
    return TypeAdapter(Declaration)


def declaration_as_dict(declaration: Declaration) -> dict[str, Any]:
    """Everything one label says, as JSON types. Amounts in each row's ``unit``; null where nothing is
    known.
    """
    return {"version": VERSION, **_adapter().dump_python(declaration, mode="json")}


def declaration_schema() -> dict[str, Any]:
    """The JSON Schema (2020-12) of ``declaration_as_dict``."""
    schema = _adapter().json_schema(mode="serialization")
    # a declaration may hold another one, so that the record itself stands among the definitions
    schema = {**schema["$defs"]["Declaration"], "$defs": schema["$defs"]}
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    schema["title"] = "labelgen declaration"
    schema["properties"] = {"version": {"const": VERSION}, **schema["properties"]}
    schema["required"] = ["version", *schema["required"]]
    return schema
