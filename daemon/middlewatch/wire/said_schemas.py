"""JSON schemas of what is said, told from the report classes and the very tables that write them.

Keys, their order, what is left out and what is null come from `payloads`, figures from `figures`, words
from the classes' own Literals. Only the draft-07 words that AsyncAPI 3.0 shares with JSON Schema are used;
how many decimals a figure has stands under `x-decimals`, for `multipleOf` cannot be judged in floating
point, and that keys stand in the order of `properties` under `x-ordered`.
"""

from collections.abc import Iterable
from dataclasses import is_dataclass
from inspect import getdoc
from types import NoneType, UnionType
from typing import Any, Literal, Union, get_args, get_origin, get_type_hints

from middlewatch.quantities.instants import Instant
from middlewatch.readings.entries import Channel
from middlewatch.reports.answer import Answer, RefusalReport, SightingAnswer, SlipReport
from middlewatch.reports.area import Outline
from middlewatch.wire.figures import rounding_of
from middlewatch.wire.payloads import SIGHTING_UNITS, keys_of, left_out_of, sighting_keys, slip_value_key

Schema = dict[str, Any]
"""A JSON schema, as the JSON object it is."""

INSTANT = r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z$"
_SCHEMAS = "#/components/schemas/"


def ref(name: str) -> Schema:
    """Return a reference to a schema of the document."""
    return {"$ref": _SCHEMAS + name}


class SaidSchemas:
    """The schemas of reports by name; each class asked for brings those it is made of."""

    def __init__(self) -> None:
        self.named: dict[str, Schema] = {}

    def report(self, kind: type) -> Schema:
        """Return a reference to the schema of a class of report, any but `Answer`."""
        name = kind.__name__.removesuffix("Report")
        if name not in self.named:
            self.named[name] = {}  # its place, before those it is made of
            self.named[name] = self._object(getdoc(kind) or "", self._fields(kind, keys_of(kind)))
        return ref(name)

    def answer(self, channel: Channel) -> Schema:
        """Return a reference to the schema of the answers on a channel: refused, or what it came to."""
        head = self._fields(Answer, keys_of(Answer))
        refused = "RefusedEntry"
        self.named[refused] = self._object(
            "An entry that was refused: which field, what was found there, what is wanted, and why.",
            head + self._fields(RefusalReport, keys_of(RefusalReport)),
        )
        taken = self._sightings(head) if channel == "sighting" else [self._order(head)]
        name = f"{channel.capitalize()}Answers"
        self.named[name] = {"oneOf": [ref(refused), *taken]}
        return ref(name)

    def _sightings(self, head: "list[_Field]") -> list[Schema]:
        made = []
        for units in SIGHTING_UNITS:
            in_units = "And".join(unit.capitalize() for unit in units)
            slip = f"SlipIn{in_units}"
            value = _figure(slip_value_key(units))
            slips = self._fields(SlipReport, keys_of(SlipReport), {"value": value})
            self.named[slip] = self._object(getdoc(SlipReport) or "", slips)
            special = {"slips": {"type": "array", "items": ref(slip)}}
            name = f"SightingAnsweredIn{in_units}"
            fields = head + self._fields(SightingAnswer, sighting_keys(units), special)
            self.named[name] = self._object(getdoc(SightingAnswer) or "", fields)
            made.append(ref(name))
        return made

    def _order(self, head: "list[_Field]") -> Schema:
        name = "OrderAnswered"
        effect, about = self._fields(Answer, ("effect", "about"))
        # Of an answer that is no refusal the effect is told; `about` is left out where it is not.
        fields = [*head, effect.always("string"), about.perhaps("string")]
        self.named[name] = self._object(getdoc(Answer) or "", fields)
        return ref(name)

    def _object(self, description: str, fields: "Iterable[_Field]") -> Schema:
        fields = list(fields)
        return {
            "type": "object",
            "description": " ".join(description.split()).replace("None", "null"),
            "properties": {field.key: field.schema for field in fields},
            "required": [field.key for field in fields if field.required],
            "additionalProperties": False,
            "x-ordered": True,
        }

    def _fields(
        self, kind: type, keys: Iterable[str], special: dict[str, Schema] | None = None
    ) -> "list[_Field]":
        hints = get_type_hints(kind)
        left_out = left_out_of(kind)
        return [
            _Field(
                key,
                (special or {}).get(key) or self._value(hints[key], key, null=key not in left_out),
                key not in left_out,
            )
            for key in keys
        ]

    def _value(self, hint: Any, key: str, *, null: bool) -> Schema:
        """Return the schema of a field; `null` says that None is written as null, not left out."""
        if get_origin(hint) in {Union, UnionType}:
            (inner,) = (choice for choice in get_args(hint) if choice is not NoneType)
            schema = self._value(inner, key, null=False)
            return _or_null(schema) if null else schema
        if get_origin(hint) is tuple:
            return {"type": "array", "items": self._value(get_args(hint)[0], key, null=False)}
        if get_origin(hint) is Literal:
            return {"type": "string", "enum": list(get_args(hint))}
        if hint is float:
            return _figure(key)
        if hint in _PLAIN:
            return dict(_PLAIN[hint])
        if is_dataclass(hint) and isinstance(hint, type):
            return self.report(hint)
        raise TypeError(f"{key} is of a type that no schema is told for: {hint}")


class _Field:
    """A field of an object: its key, its schema, and whether it is always there."""

    def __init__(self, key: str, schema: Schema, required: bool) -> None:  # noqa: FBT001 -- all three are a field
        self.key, self.schema, self.required = key, schema, required

    def always(self, kind: str) -> "_Field":
        """Return the field as one that is there and never null."""
        return _Field(self.key, self.schema | {"type": kind}, required=True)

    def perhaps(self, kind: str) -> "_Field":
        """Return the field as one that is left out where there is nothing to say."""
        return _Field(self.key, self.schema | {"type": kind}, required=False)


def _figure(key: str) -> Schema:
    rounding = rounding_of(key)
    ends = {
        "minimum": rounding.at_least,
        "exclusiveMinimum": rounding.above,
        "maximum": rounding.at_most,
        "exclusiveMaximum": rounding.below,
    }
    return {
        "type": "number",
        "description": f"{rounding.unit}, rounded to {rounding.places} decimals",
        "x-decimals": rounding.places,
        **{word: end for word, end in ends.items() if end is not None},
    }


def _or_null(schema: Schema) -> Schema:
    if "$ref" in schema:
        return {"oneOf": [schema, {"type": "null"}]}
    or_null = schema | {"type": [schema["type"], "null"]}
    return or_null | {"enum": [*schema["enum"], None]} if "enum" in schema else or_null


_CORNER: Schema = {
    "type": "array",
    "description": "latitude and longitude",
    "items": [_figure("latitude_deg"), _figure("longitude_deg")],
    "additionalItems": False,
    "minItems": 2,
}
_PLAIN: dict[Any, Schema] = {
    str: {"type": "string"},
    int: {"type": "integer"},
    bool: {"type": "boolean"},
    NoneType: {"type": "null", "description": "always null"},
    Instant: {"type": "string", "format": "date-time", "pattern": INSTANT},
    Outline: {
        "type": "array",
        "description": "polygons that hold the boat 95 times in 100, each a list of corners",
        "items": {"type": "array", "items": _CORNER},
    },
}
