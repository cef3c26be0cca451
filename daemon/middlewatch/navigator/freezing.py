"""Freezing: the navigator's own state as plain JSON values and back, to the last digit.

The types tell the form, so nothing is stored but values: a dataclass is an object of its fields, a tuple or
list an array, a float its shortest exact decimal. None, true and false are left out where they are what a
field has by itself.
"""

import json
from collections.abc import Mapping
from dataclasses import MISSING, fields, is_dataclass
from enum import Enum
from functools import cache
from types import NoneType, UnionType
from typing import Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

T = TypeVar("T")


def frozen(value: object) -> str:
    """Return a value as one line of JSON."""
    return json.dumps(_plain(value), separators=(",", ":"), allow_nan=False)


def thawed(type_: type[T], text: str) -> T:
    """Return the value of a type that `frozen` made a text of; ValueError where it does not fit."""
    try:
        value: T = _value(type_, json.loads(text))
    except (KeyError, TypeError) as error:
        raise ValueError(f"this is no frozen {type_.__name__}: {error!r}") from error
    return value


def _plain(value: Any) -> Any:
    if value is None or isinstance(value, str | int | float | bool):
        return value
    if isinstance(value, complex):
        return [value.real, value.imag]
    if isinstance(value, Enum):
        return value.value
    if isinstance(value, frozenset):
        return sorted(value)
    if isinstance(value, list | tuple):
        return [_plain(item) for item in value]
    if isinstance(value, Mapping):
        return {key: _plain(item) for key, item in value.items()}
    if is_dataclass(value):
        class_: type = type(value)
        plain = {"": class_.__name__}
        for name, by_itself in _fields(class_):
            kept = getattr(value, name)
            if kept is not by_itself:
                plain[name] = _plain(kept)
        return plain
    raise TypeError(f"{type(value).__name__} cannot be frozen")


@cache
def _fields(class_: type) -> tuple[tuple[str, object], ...]:
    """Return the fields of a dataclass, each with what it has by itself if that is None, true or false.

    Of these alone there is one each; of anything else what is equal need not be the same (0 and -0.0). Who
    changes such a default changes what older texts mean: `keeping.VERSION`.
    """
    return tuple(
        (field.name, field.default if field.default is None or isinstance(field.default, bool) else MISSING)
        for field in fields(class_)
    )


@cache
def _hints(type_: type) -> dict[str, Any]:
    return get_type_hints(type_)


def _value(type_: Any, plain: Any) -> Any:
    origin, parts = get_origin(type_), get_args(type_)
    if origin in (Union, UnionType):
        return _one_of(parts, plain)
    if origin is Literal:
        return plain
    if origin is tuple:
        if len(parts) == 2 and parts[1] is Ellipsis:
            return tuple(_value(parts[0], item) for item in plain)
        return tuple(_value(part, item) for part, item in zip(parts, plain, strict=True))
    if origin is list:
        return [_value(parts[0], item) for item in plain]
    if origin is frozenset:
        return frozenset(plain)
    if origin is dict:
        return {key: _value(parts[1], item) for key, item in plain.items()}
    return _of_class(type_, plain) if isinstance(type_, type) else plain


def _of_class(class_: type, plain: Any) -> Any:
    if issubclass(class_, Enum):
        return class_(plain)
    if class_ is complex:
        return complex(*plain)
    if is_dataclass(class_):
        hints = _hints(class_)
        return class_(**{name: _value(hints[name], item) for name, item in plain.items() if name})
    if issubclass(class_, tuple):
        # A named tuple: an array of its fields, in their order.
        return class_(
            *(_value(hint, item) for hint, item in zip(_hints(class_).values(), plain, strict=True))
        )
    return plain


def _one_of(parts: tuple[Any, ...], plain: Any) -> Any:
    """Return the value of a union: None, the dataclass that the text names, or whatever is left."""
    if plain is None:
        return None
    if isinstance(plain, dict):
        for part in parts:
            if is_dataclass(part) and getattr(part, "__name__", "") == plain[""]:
                return _value(part, plain)
    for part in parts:
        if part is not NoneType and not is_dataclass(part):
            return _value(part, plain)
    raise TypeError(f"nothing among {parts} fits")
