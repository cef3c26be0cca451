"""JSON schemas of the entries, told by pydantic from the models that check them.

What a schema cannot say is told in words: which fields go together is checked by the daemon, and an entry
that breaks that is answered with a refusal. An entry that does not fit its schema is always refused.
"""

from collections.abc import Mapping
from inspect import getdoc
from typing import Any

from middlewatch.wire.entries import RESERVED_ID
from middlewatch.wire.entry_fields import EntryFields
from middlewatch.wire.said_schemas import Schema, ref


def entry_schemas(models: Mapping[str, type[EntryFields]]) -> dict[str, Schema]:
    """Return the schemas of these kinds by the name each has in the document, and those they refer to."""
    named: dict[str, Schema] = {}
    for kind, model in models.items():
        schema = model.model_json_schema(by_alias=True, ref_template=ref("{model}")["$ref"])
        named |= {name: _tidied(inner) for name, inner in schema.pop("$defs", {}).items()}
        named[name_of(kind)] = _entry(kind, model, _tidied(schema))
    return named


def name_of(kind: str) -> str:
    """Return what the schema of a kind of entry is called in the document: `VerticalAngleEntry`."""
    return "".join(word.capitalize() for word in kind.split("_")) + "Entry"


def _entry(kind: str, model: type[EntryFields], schema: Schema) -> Schema:
    properties = {
        key: _null_said(field) if key in model.may_be_null else _without_null(field)
        for key, field in schema["properties"].items()
    }
    properties["kind"] = {"const": kind, "description": "the kind of the entry"}
    properties["id"]["not"] = {"const": RESERVED_ID}
    return {
        "type": "object",
        "description": " ".join((getdoc(model) or "").split()),
        "properties": properties,
        "required": schema["required"],
        "additionalProperties": False,
        "not": {"required": ["at", "ago_s"]},
    }


def _null_said(field: Schema) -> Schema:
    """Return a field in which null says something, so that it is no default."""
    return {key: value for key, value in field.items() if key != "default"}


def _without_null(field: Schema) -> Schema:
    """Return a field that is left out and never null, where the model has None for what was not given."""
    if "anyOf" not in field:
        return field
    given: Schema
    (given,) = (choice for choice in field["anyOf"] if choice != {"type": "null"})
    outside = {key: value for key, value in field.items() if key not in {"anyOf", "default"}}
    return given | outside


def _tidied(value: Any) -> Any:
    """Return a schema without the titles pydantic makes of field names; a property named title stays."""
    if isinstance(value, list):
        return [_tidied(each) for each in value]
    if not isinstance(value, dict):
        return value
    return {
        key: {name: _tidied(field) for name, field in inner.items()}
        if key == "properties"
        else _tidied(inner)
        for key, inner in value.items()
        if key != "title"
    }
