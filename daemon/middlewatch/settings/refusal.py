"""How settings are refused: one line that says the file, the key, what was found and what was wanted."""

import json
from collections.abc import Iterable
from difflib import get_close_matches
from pathlib import Path

from pydantic import ValidationError
from pydantic_core import ErrorDetails, PydanticCustomError

POINT, LINE, AREA, AREAS = "a point", "a line", "an area", "areas"
"""The forms of a feature of GeoJSON, by which pydantic tells them apart; no key of a file is called so."""

_LONGEST_FOUND = 60

# pydantic's own words, where a skipper would stumble over them.
_WANTED = {
    "missing": "a value, for this has no default",
    "model_type": "a table of keys",
    "model_attributes_type": "a table of keys",
    "tuple_type": "a list",
    "int_type": "a whole number",
    "int_from_float": "a whole number",
    "float_type": "a number",
    "string_type": "text in quotes",
    "bool_type": "true or false",
    "too_long": "at most {max_length} items",
}


class SettingsError(ValueError):
    """Settings that cannot be used; its text is one line: `file: key: found X, wanted Y`."""

    def __init__(self, file: Path, key: str, found: str, wanted: str) -> None:
        super().__init__(_printable(f"{file}: {key}: found {found}, wanted {wanted}"))
        self.file = file
        self.key = key
        self.found = found
        self.wanted = wanted


def wrong(key: str, found: object, wanted: str) -> PydanticCustomError:
    """Make the error of a check of our own; `key` leads on from where the check stands ("": there)."""
    return _refused(key, in_words(found), wanted)


def unknown_key(key: str, known: Iterable[str]) -> PydanticCustomError:
    """Make the error of a key that is not known, with the one that may have been meant."""
    names = list(known)
    near = get_close_matches(key.lower(), names, n=1)
    wanted = f"{near[0]} (did you mean that?)" if near else f"one of {', '.join(names)}"
    return _refused(key, "an unknown key", wanted)


def _refused(key: str, found: str, wanted: str) -> PydanticCustomError:
    return PydanticCustomError("refused", "{wanted}", {"key": key, "found": found, "wanted": wanted})


def refusal_of(file: Path, document: object, errors: ValidationError) -> SettingsError:
    """Turn the first of pydantic's errors about `document` into our one line."""
    first = errors.errors(include_url=False)[0]
    context = first.get("ctx", {})
    # Our own checks know what they found, and may stand a step above the key they speak of.
    path = [step for step in first["loc"] if step not in (POINT, LINE, AREA, AREAS)]
    path += [context["key"]] if context.get("key") else []
    key = _key(path, document)
    if first["type"] == "refused":
        return SettingsError(file, key, context["found"], context["wanted"])
    found = "nothing" if first["type"] == "missing" else in_words(first["input"])
    return SettingsError(file, key, found, _wanted(first))


def in_words(value: object) -> str:
    """Show a value as the file has it, cut to a readable length unless a file's name; None is "nothing"."""
    if value is None:
        return "nothing"
    if isinstance(value, Path):
        return f'"{value}"'
    text = json.dumps(value, ensure_ascii=False, default=str)
    return text if len(text) <= _LONGEST_FOUND else f"{text[:_LONGEST_FOUND]}..."


def _wanted(error: ErrorDetails) -> str:
    if error["type"] in _WANTED:
        return _WANTED[error["type"]].format(**error.get("ctx", {}))
    return error["msg"].removeprefix("Input should be ")


def _key(path: Iterable[str | int], document: object) -> str:
    """Write the way to a key with dots; an item of a list by its name, else by its place counted from 1."""
    steps = []
    place = document
    for step in path:
        place = _below(place, step)
        steps.append(_name(place) or f"#{step + 1}" if isinstance(step, int) else step)
    return ".".join(steps) or "the whole file"


def _below(place: object, step: str | int) -> object:
    if isinstance(place, dict):
        return place.get(step)
    if isinstance(place, list) and isinstance(step, int) and step < len(place):
        return place[step]
    return None


def _name(item: object) -> str | None:
    """Return what an input or a mark calls itself."""
    for holder in (item, _below(item, "properties")):
        name = _below(holder, "name")
        if isinstance(name, str) and name:
            return name
    return None


def _printable(text: str) -> str:
    """Write line ends and control characters as their escapes, so that a refusal stays one line."""
    return "".join(letter if letter.isprintable() else ascii(letter)[1:-1] for letter in text)
