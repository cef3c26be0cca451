"""An entry's text as a JSON object, one and plain: nothing in it that two readers could take two ways."""

import json
import re
from math import isfinite
from typing import Any

from middlewatch.wire.refusals import RefusedError, shortened, shown

LARGEST_BYTES = 16 * 1024
DEEPEST = 8
"""Levels of nesting that are read; no entry needs more than three."""

# The largest whole number that a JSON reader keeping all numbers as doubles still tells from its neighbour.
_LARGEST_WHOLE = 2**53
# Control characters but tab and line ends, and halves of characters: neither can be printed or sent on.
_UNPRINTABLE = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff]")
_QUOTED = re.compile(r'"(?:[^"\\]|\\.)*+"?', re.DOTALL)


def read_object(text: str) -> dict[str, Any]:
    """Read an entry's text; RefusedError where it is not one plain JSON object.

    Refused: text over `LARGEST_BYTES` or nested deeper than `DEEPEST`, anything but an object, duplicate
    keys, NaN and Infinity (also as 1e999), unprintable characters. Numbers come back
    in one form: 248.0 as 248.
    """
    _check_bounds(text)
    try:
        value = json.loads(text, object_pairs_hook=_object_of, parse_int=_number)
    except ValueError as error:
        wanted = 'a JSON object, as {"kind": "bearing", ...}'
        raise RefusedError("payload", text, wanted, f"the text is not JSON: {error}") from None
    if not isinstance(value, dict):
        raise RefusedError("payload", shown(value), "a JSON object in braces", "an entry is one JSON object")
    return {_printable(key, key): _plain(item, key) for key, item in value.items()}


def said_once(text: str, key: str) -> str | None:
    """Return the text under a key of the outermost object, whatever else is wrong; None where unclear."""
    try:
        _check_bounds(text)
        # Objects come as tuples of pairs and arrays as lists: nothing is lost to a duplicate.
        pairs = json.loads(text, object_pairs_hook=tuple, parse_int=_number)
    except (RefusedError, ValueError):
        return None
    values = [value for name, value in pairs if name == key] if isinstance(pairs, tuple) else []
    return values[0] if len(values) == 1 and isinstance(values[0], str) else None


def canonical(entry: dict[str, Any]) -> str:
    """Return the one text of an object read by `read_object`: keys sorted, no blanks, letters as they are."""
    return json.dumps(entry, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def _check_bounds(text: str) -> None:
    size = len(text.encode("utf-8", "surrogatepass"))
    if size > LARGEST_BYTES:
        raise RefusedError(
            "payload", f"{size} bytes", f"{LARGEST_BYTES} bytes at most", "the entry is too long to be one"
        )
    depth = deepest = 0
    for bracket in re.findall(r"[\[{\]}]", _QUOTED.sub("", text)):
        depth += 1 if bracket in "[{" else -1
        deepest = max(deepest, depth)
    if deepest > DEEPEST:
        raise RefusedError(
            "payload", f"{deepest} levels", f"{DEEPEST} levels at most", "the entry is nested too deep"
        )


def _object_of(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    entry: dict[str, Any] = {}
    for key, value in pairs:
        if key in entry:
            both = f"{shown(entry[key])} and {shown(value)}"
            raise RefusedError(key, both, "each key once", f"{shortened(key)} is given twice")
        entry[key] = value
    return entry


def _number(digits: str) -> int | float:
    """Return a number written without a point; as a float where it is too large to be exact."""
    number = float(digits)
    return int(digits) if abs(number) <= _LARGEST_WHOLE else number


def _plain(value: Any, path: str) -> Any:
    """Return a value with its numbers canonical; RefusedError names the path to what is not plain."""
    if isinstance(value, dict):
        return {_printable(key, path): _plain(item, f"{path}.{key}") for key, item in value.items()}
    if isinstance(value, list):
        return [_plain(item, f"{path}[{index}]") for index, item in enumerate(value)]
    if isinstance(value, str):
        return _printable(value, path)
    if isinstance(value, float):
        return _finite(value, path)
    return value


def _printable(text: str, path: str) -> str:
    if (odd := _UNPRINTABLE.search(text)) is not None:
        name = f"the character U+{ord(odd[0]):04X}"
        raise RefusedError(
            path, name, "characters that print", f"{name} in {shortened(path)} cannot be printed"
        )
    return text


def _finite(number: float, path: str) -> float:
    if not isfinite(number):
        raise RefusedError(
            path, shown(number), "a finite number", f"{shortened(path)} is no number one can steer by"
        )
    return int(number) if number.is_integer() and abs(number) <= _LARGEST_WHOLE else number
