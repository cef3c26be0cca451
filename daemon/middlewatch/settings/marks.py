"""The marks file: GeoJSON points, and lines that are depth contours, each with the name that entries use."""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag

from middlewatch.quantities.positions import Position
from middlewatch.readings.marks import Contour, Mark, Sector
from middlewatch.settings.geojson import CollectionWord, FeatureWord, GeoJson, Name, Place, read_geojson
from middlewatch.settings.refusal import LINE, POINT, SettingsError, in_words
from middlewatch.settings.table import Table

NO_MARKS: Mapping[str, Mark] = MappingProxyType({})


Direction = Annotated[float, Field(ge=0, le=360)]


class _SectorMembers(Table):
    colour: Literal["white", "red", "green", "dark"]
    from_true_deg: Direction
    to_true_deg: Direction


CHARTED_SD_M = 10.0
"""One standard deviation of a mark's place where the file says nothing: unknown is not nought (judgement)."""


class _Properties(Table):
    name: Name
    height_m: Annotated[float, Field(gt=0, le=2000)] | None = None
    range_nm: Annotated[float, Field(gt=0, le=60)] | None = None
    character: str | None = None
    sectors: Annotated[tuple[_SectorMembers, ...], Field(strict=False)] = ()
    datum: str | None = None
    source: str | None = None
    sd_m: Annotated[float, Field(ge=0, le=20000)] = CHARTED_SD_M


class _Point(GeoJson):
    type: Literal["Point"]
    coordinates: Place


class _MarkFeature(GeoJson):
    type: FeatureWord
    geometry: _Point
    properties: _Properties


class _ContourProperties(Table):
    name: Name
    depth_m: Annotated[float, Field(gt=0, le=11_000)]
    sd_m: Annotated[float, Field(gt=0, le=20_000)] = 100.0
    slope_1_in: Annotated[float, Field(gt=0, le=10_000)] = 200.0


class _Line(GeoJson):
    type: Literal["LineString"]
    coordinates: Annotated[tuple[Place, ...], Field(strict=False, min_length=2, max_length=200)]


class _ContourFeature(GeoJson):
    type: FeatureWord
    geometry: _Line
    properties: _ContourProperties


def _form(feature: Any) -> str:
    geometry = feature.get("geometry") if isinstance(feature, dict) else None
    return LINE if isinstance(geometry, dict) and geometry.get("type") == "LineString" else POINT


_Feature = Annotated[
    Annotated[_MarkFeature, Tag(POINT)] | Annotated[_ContourFeature, Tag(LINE)], Discriminator(_form)
]


class _MarksFile(GeoJson):
    type: CollectionWord
    features: Annotated[tuple[_Feature, ...], Field(strict=False)]


@dataclass(frozen=True, slots=True)
class Charted:
    """What a marks file lists: marks by name, and depth contours, in the file's order."""

    marks: Mapping[str, Mark]
    contours: tuple[Contour, ...]


def read_charted(file: Path) -> Charted:
    """Read a marks file; SettingsError where anything in it is amiss.

    Names that differ by capitals alone count as one name: by voice and at night they are.
    """
    marks: dict[str, Mark] = {}
    contours: list[Contour] = []
    heard: set[str] = set()
    for place, feature in enumerate(read_geojson(file, _MarksFile).features, start=1):
        name = feature.properties.name
        if name.casefold() in heard:
            key = f"features.#{place}.properties.name"
            raise SettingsError(file, key, in_words(name), "a name that no other mark has")
        heard.add(name.casefold())
        if isinstance(feature, _ContourFeature):
            contours.append(_contour(feature))
        else:
            marks[name] = _mark(feature)
    return Charted(MappingProxyType(marks), tuple(contours))


def _contour(feature: _ContourFeature) -> Contour:
    said = feature.properties
    places = (place[:2] for place in feature.geometry.coordinates)
    points = tuple(Position(latitude_deg, longitude_deg) for longitude_deg, latitude_deg in places)
    return Contour(said.name, said.depth_m, points, said.sd_m, said.slope_1_in)


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
