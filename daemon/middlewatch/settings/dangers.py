"""The dangers file: GeoJSON points, lines and areas, each with its name and how far to keep off it."""

from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, Discriminator, Field, Tag

from middlewatch.quantities.positions import Position
from middlewatch.readings.dangers import Danger
from middlewatch.settings.geojson import CollectionWord, FeatureWord, GeoJson, Name, Place, read_geojson
from middlewatch.settings.refusal import AREA, LINE, POINT, SettingsError, in_words, wrong
from middlewatch.settings.table import Table

MOST_PLACES = 1000
"""A line or ring of more places is to be cut in two: each is held against every sample's path."""


def _closed(ring: tuple[tuple[float, ...], ...]) -> tuple[tuple[float, ...], ...]:
    # RFC 7946, section 3.1.6.
    if ring[0][:2] != ring[-1][:2]:
        raise wrong("", list(ring[-1]), f"the ring's first place again at its end, {list(ring[0])}")
    return ring


_Line = Annotated[tuple[Place, ...], Field(strict=False, min_length=2, max_length=MOST_PLACES)]
_Ring = Annotated[
    tuple[Place, ...], Field(strict=False, min_length=4, max_length=MOST_PLACES), AfterValidator(_closed)
]


class _Properties(Table):
    name: Name
    clearance_m: Annotated[float, Field(ge=0, le=20_000)]


class _Point(GeoJson):
    type: Literal["Point", "LineString", "Polygon"]
    coordinates: Place

    def lines(self) -> tuple[tuple[Position, ...], ...]:
        return (_positions((self.coordinates,)),)


class _LineString(GeoJson):
    type: Literal["LineString"]
    coordinates: _Line

    def lines(self) -> tuple[tuple[Position, ...], ...]:
        return (_positions(self.coordinates),)


class _Polygon(GeoJson):
    type: Literal["Polygon"]
    coordinates: Annotated[tuple[_Ring, ...], Field(strict=False, min_length=1)]

    def lines(self) -> tuple[tuple[Position, ...], ...]:
        return tuple(_positions(ring) for ring in self.coordinates)


_FORMS = {"LineString": LINE, "Polygon": AREA}


def _form(geometry: Any) -> str:
    type_ = geometry.get("type") if isinstance(geometry, dict) else None
    return _FORMS.get(type_, POINT) if isinstance(type_, str) else POINT


class _DangerFeature(GeoJson):
    type: FeatureWord
    geometry: Annotated[
        Annotated[_Point, Tag(POINT)] | Annotated[_LineString, Tag(LINE)] | Annotated[_Polygon, Tag(AREA)],
        Discriminator(_form),
    ]
    properties: _Properties


class _DangersFile(GeoJson):
    type: CollectionWord
    features: Annotated[tuple[_DangerFeature, ...], Field(strict=False)]


def read_dangers(file: Path) -> tuple[Danger, ...]:
    """Read a dangers file, in its order; SettingsError where anything in it is amiss.

    Names that differ by capitals alone count as one name: an alert is to be understood when it is read out.
    """
    heard: set[str] = set()
    dangers: list[Danger] = []
    for place, feature in enumerate(read_geojson(file, _DangersFile).features, start=1):
        said = feature.properties
        if said.name.casefold() in heard:
            key = f"features.#{place}.properties.name"
            raise SettingsError(file, key, in_words(said.name), "a name that no other danger has")
        heard.add(said.name.casefold())
        form: Literal["point", "line", "area"] = "point"
        if feature.geometry.type != "Point":
            form = "line" if feature.geometry.type == "LineString" else "area"
        dangers.append(Danger(said.name, form, feature.geometry.lines(), said.clearance_m))
    return tuple(dangers)


def _positions(places: tuple[tuple[float, ...], ...]) -> tuple[Position, ...]:
    return tuple(Position(place[1], place[0]) for place in places)
