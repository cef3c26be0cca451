"""GeoJSON (RFC 7946) read strictly: no duplicate key, no NaN, and checked against a model of ours."""

import json
from pathlib import Path
from typing import Annotated, Any, Literal, NoReturn, TypeVar

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError

from middlewatch.quantities.positions import Position
from middlewatch.settings.refusal import SettingsError, refusal_of, wrong


class GeoJson(BaseModel):
    """An object of GeoJSON: strict and frozen; members that the standard lets anyone add are passed over."""

    model_config = ConfigDict(strict=True, frozen=True, extra="ignore", allow_inf_nan=False)


Collection = TypeVar("Collection", bound=GeoJson)
FeatureWord = Literal["Feature"]
CollectionWord = Literal["FeatureCollection"]


def _name(name: str) -> str:
    if not (name and name.isprintable() and name == name.strip() and len(name) <= 64):
        raise wrong("", name, "a name of 1 to 64 printable characters, without space at its ends")
    return name


def _longitude_latitude(coordinates: tuple[float, ...]) -> tuple[float, ...]:
    # RFC 7946, section 3.1.1: longitude, latitude, perhaps a height above the ellipsoid (no sight needs it).
    if not 2 <= len(coordinates) <= 3:
        raise wrong("", list(coordinates), "longitude, latitude")
    if not -180.0 <= coordinates[0] <= 180.0:
        raise wrong("#1", coordinates[0], "a longitude from -180 to 180 (GeoJSON has longitude first)")
    if not -90.0 <= coordinates[1] <= 90.0:
        raise wrong("#2", coordinates[1], "a latitude from -90 to 90 (GeoJSON has longitude first)")
    return coordinates


MOST_PLACES = 1000
"""A line or ring of more places is to be cut in two: each is held against every sample's path."""


def _closed(ring: tuple[tuple[float, ...], ...]) -> tuple[tuple[float, ...], ...]:
    # RFC 7946, section 3.1.6.
    if ring[0][:2] != ring[-1][:2]:
        raise wrong("", list(ring[-1]), f"the ring's first place again at its end, {list(ring[0])}")
    return ring


Name = Annotated[str, AfterValidator(_name)]
Place = Annotated[tuple[float, ...], Field(strict=False), AfterValidator(_longitude_latitude)]
"""Longitude, latitude, degrees."""
Ring = Annotated[
    tuple[Place, ...], Field(strict=False, min_length=4, max_length=MOST_PLACES), AfterValidator(_closed)
]
Rings = Annotated[tuple[Ring, ...], Field(strict=False, min_length=1)]


def positions(places: tuple[tuple[float, ...], ...]) -> tuple[Position, ...]:
    """Return places of GeoJSON, longitude first, as positions."""
    return tuple(Position(place[1], place[0]) for place in places)


def read_geojson(file: Path, wanted: type[Collection]) -> Collection:
    """Read a file of GeoJSON as `wanted`; SettingsError where it cannot be read or is something else."""
    document = _read_json(file)
    try:
        return wanted.model_validate(document)
    except ValidationError as errors:
        raise refusal_of(file, document, errors) from errors


def _read_json(file: Path) -> object:
    try:
        text = file.read_text(encoding="utf-8")
    except OSError as fault:
        raise SettingsError(file, "the whole file", f"nothing ({fault.strerror})", "GeoJSON") from fault
    except UnicodeDecodeError as fault:
        raise SettingsError(file, "the whole file", f"no text ({fault})", "GeoJSON in UTF-8") from fault
    try:
        return json.loads(text, object_pairs_hook=_each_key_once, parse_constant=_no_number)
    except (ValueError, RecursionError) as fault:
        raise SettingsError(file, "the whole file", f"a fault ({fault})", "GeoJSON") from fault


def _each_key_once(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    members = dict(pairs)
    if len(members) < len(pairs):
        keys = [key for key, _ in pairs]
        twice = next(key for key in keys if keys.count(key) > 1)
        raise ValueError(f"key {twice!r} stands twice in one object")
    return members


def _no_number(word: str) -> NoReturn:
    raise ValueError(f"{word} is no number")
