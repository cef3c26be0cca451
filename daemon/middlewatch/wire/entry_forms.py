"""The forms: what each kind of entry asks for, told from its model, so that nobody has to write it twice."""

from types import NoneType
from typing import Annotated, Any, Literal, get_args, get_origin

from pydantic import Discriminator
from pydantic.fields import FieldInfo

from middlewatch.quantities.instants import Instant
from middlewatch.wire.entry_fields import EntryFields
from middlewatch.wire.orders import ORDERS
from middlewatch.wire.sightings import SIGHTINGS

Form = dict[str, Any]
"""A form or one of its fields, as the JSON object it becomes."""

_OF_EVERY_ENTRY = frozenset({"id", "kind", "at", "ago_s"})
"""What no form asks: the page makes the id and keeps the time."""

_ASKED: dict[Any, str] = {
    float: "number", int: "whole number", str: "text", bool: "yes or no", Instant: "time",
    list: "list", dict: "changes", Literal: "choice",
}  # fmt: skip


def forms() -> list[Form]:
    """Return a form for every kind of sighting and order: `kind`, `channel`, `fields` in their order.

    A field: `name`, `asks` (number, whole number, text, yes or no, choice, time, mark, list, changes),
    `wanted` (in words, as a refusal says it), `required`, `null` (whether null says something); `choices` of
    a choice; `default` where the model has one.
    """
    channels = (("sighting", SIGHTINGS), ("order", ORDERS))
    return [
        {"kind": kind, "channel": channel, "fields": _fields(model)}
        for channel, models in channels
        for kind, model in models.items()
    ]


def _fields(model: type[EntryFields]) -> list[Form]:
    own = [name for name in model.model_fields if name not in _OF_EVERY_ENTRY and name != "note"]
    return [_field(model, name) for name in (*own, "note")]


def _field(model: type[EntryFields], name: str) -> Form:
    told = model.model_fields[name]
    said = told.alias or name
    kind, wanted = _told(told.annotation, told.metadata, told.description or "")
    field: Form = {
        "name": said,
        "asks": _asks(kind),
        "wanted": wanted,
        "required": told.is_required() and said not in model.may_be_null,
        "null": said in model.may_be_null,
    }
    if get_origin(kind) is Literal:
        field["choices"] = list(get_args(kind))
    if not told.is_required() and told.default is not None:
        field["default"] = told.default
    return field


def _asks(kind: Any) -> str:
    return "mark" if kind is Discriminator else _ASKED[get_origin(kind) or kind]


def _told(annotation: Any, metadata: list[Any], wanted: str) -> tuple[Any, str]:
    """Return what a field holds and the words for it, looked for below `| None` and Annotated."""
    if any(isinstance(each, Discriminator) for each in metadata):
        return Discriminator, wanted
    if get_origin(annotation) is Annotated:
        inner, *more = get_args(annotation)
        info = next((each for each in more if isinstance(each, FieldInfo)), None)
        below = [] if info is None else info.metadata
        return _told(inner, [*more, *below], wanted or (info.description or "" if info else ""))
    choices = [each for each in get_args(annotation) if each is not NoneType]
    if NoneType in get_args(annotation) and len(choices) == 1:
        return _told(choices[0], metadata, wanted)
    return annotation, wanted
