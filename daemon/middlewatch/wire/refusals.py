"""Why an entry is refused, in a skipper's words: which field, what was found there, what is wanted."""

import json
from difflib import get_close_matches
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic.fields import FieldInfo
from pydantic_core import ErrorDetails

from middlewatch.wire.entry_fields import PLACED, MarkPlace, field_path

SHOWN_AT_MOST = 80
"""Characters of a found value that an answer repeats."""


class RefusedError(Exception):
    """An entry cannot be taken; the four parts of the refusal are its attributes."""

    def __init__(self, field: str, found: str, wanted: str, reason: str) -> None:
        super().__init__(reason)
        self.field = shortened(field)
        self.found = shortened(found)
        self.wanted = wanted
        self.reason = reason


def shortened(text: str) -> str:
    """Return the text at its most `SHOWN_AT_MOST` characters long, each of them one that can be sent on."""
    sendable = text.encode("utf-8", "backslashreplace").decode("utf-8")
    return sendable if len(sendable) <= SHOWN_AT_MOST else sendable[: SHOWN_AT_MOST - 3] + "..."


def shown(value: object) -> str:
    """Return a value as it stood in the entry, shortened."""
    return shortened(json.dumps(value, ensure_ascii=False))


def did_you_mean(word: str, known: list[str]) -> str:
    """Return `did you mean bearing_deg?`, or the whole list where nothing known comes near."""
    near = get_close_matches(word, known, n=1)
    return f"did you mean {near[0]}?" if near else "one of " + ", ".join(known)


def unfit(kind: str, model: type[BaseModel], error: ValidationError) -> RefusedError:
    """Return the refusal of the first thing wrong: a misspelt key before the gap it leaves."""
    wrongs = error.errors(include_url=False)
    wrong = next((one for one in wrongs if one["type"] == "extra_forbidden"), wrongs[0])
    location = wrong["loc"]
    owner = MarkPlace if PLACED in location else model
    field = field_path(location)
    if wrong["type"] == "extra_forbidden":
        key, keys = str(location[-1]), [known.alias or name for name, known in owner.model_fields.items()]
        return RefusedError(field, key, did_you_mean(key, keys), f"{kind} has no field {shortened(field)}")
    wanted = _wanted(owner, location)
    if wrong["type"] == "missing":
        return RefusedError(field, "nothing", wanted, f"{kind} needs {field}")
    found = shown(wrong["input"])
    return RefusedError(field, found, wanted, _why(field, found, wrong))


def _why(field: str, found: str, wrong: ErrorDetails) -> str:
    value: Any = wrong["input"]
    if wrong["type"] in {"float_type", "int_type"}:
        if isinstance(value, str):
            return f"{field} is text, and a number is wanted: numbers go without quotes"
        if isinstance(value, bool):
            return f"{field} is {found}, and a number is wanted"
    if wrong["type"] == "value_error":
        return str(wrong["ctx"]["error"])
    return f"{field} cannot be {found}"


def _wanted(owner: type[BaseModel], location: tuple[int | str, ...]) -> str:
    """Return what the field at this place takes, as its model describes it."""
    key = location[-1] if owner is MarkPlace else location[0]
    field = next(field for name, field in owner.model_fields.items() if (field.alias or name) == key)
    return field.description or _described_inside(field)


def _described_inside(field: FieldInfo) -> str:
    """Return the description of the type within `Type | None`."""
    inside = [
        note.description
        for choice in getattr(field.annotation, "__args__", ())
        for note in getattr(choice, "__metadata__", ())
        if isinstance(note, FieldInfo) and note.description
    ]
    return inside[0]
