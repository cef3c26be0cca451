"""The marks file: GeoJSON points, each with the name that entries use."""

from collections.abc import Mapping
from pathlib import Path
from types import MappingProxyType
from typing import Annotated, Literal

from pydantic import AfterValidator, Field

from middlewatch.quantities.positions import Position
from middlewatch.readings.marks import Mark, Sector
from middlewatch.settings.geojson import CollectionWord, FeatureWord, GeoJson, read_geojson
from middlewatch.settings.refusal import SettingsError, in_words, wrong
from middlewatch.settings.table import Table

NO_MARKS: Mapping[str, Mark] = MappingProxyType({})


def _mark_name(name: str) -> str:
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


Direction = Annotated[float, Field(ge=0, le=360)]


class _SectorMembers(Table):
    colour: Literal["white", "red", "green", "dark"]
    from_true_deg: Direction
    to_true_deg: Direction


class _Properties(Table):
    name: Annotated[str, AfterValidator(_mark_name)]
    height_m: Annotated[float, Field(gt=0, le=2000)] | None = None
    range_nm: Annotated[float, Field(gt=0, le=60)] | None = None
    character: str | None = None
    sectors: Annotated[tuple[_SectorMembers, ...], Field(strict=False)] = ()
    datum: str | None = None
    source: str | None = None
    sd_m: Annotated[float, Field(ge=0, le=20000)] = 0.0


class _Point(GeoJson):
    type: Literal["Point"]
    coordinates: Annotated[tuple[float, ...], Field(strict=False), AfterValidator(_longitude_latitude)]


class _MarkFeature(GeoJson):
    type: FeatureWord
    geometry: _Point
    properties: _Properties


class _MarksFile(GeoJson):
    type: CollectionWord
    features: Annotated[tuple[_MarkFeature, ...], Field(strict=False)]


def read_marks(file: Path) -> Mapping[str, Mark]:
    """Read a marks file: marks by name, in the file's order; SettingsError where anything in it is amiss.

    Names that differ by capitals alone count as one name: by voice and at night they are.
    """
    marks: dict[str, Mark] = {}
    heard: set[str] = set()
    for place, feature in enumerate(read_geojson(file, _MarksFile).features, start=1):
        mark = _mark(feature)
        if mark.name.casefold() in heard:
            key = f"features.#{place}.properties.name"
            raise SettingsError(file, key, in_words(mark.name), "a name that no other mark has")
        heard.add(mark.name.casefold())
        marks[mark.name] = mark
    return MappingProxyType(marks)


def _mark(feature: _MarkFeature) -> Mark:
    longitude_deg, latitude_deg = feature.geometry.coordinates[:2]
    said = feature.properties
    return Mark(
        name=said.name,
        position=Position(latitude_deg, longitude_deg),
        height_m=said.height_m,
        range_nm=said.range_nm,
        character=said.character,
        sectors=tuple(Sector(s.colour, s.from_true_deg, s.to_true_deg) for s in said.sectors),
        datum=said.datum,
        source=said.source,
        sd_m=said.sd_m,
    )
