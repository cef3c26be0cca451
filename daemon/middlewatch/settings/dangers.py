"""The dangers file: GeoJSON points, lines and areas, each with its name and how far to keep off it.

A danger may have clearing bearings: the marks that lead clear of it, by their bearings true.
"""

from collections.abc import Collection, Iterator
from pathlib import Path
from typing import Annotated, Any, Literal, Self

from pydantic import Discriminator, Field, Tag, model_validator

from middlewatch.quantities.angles import direction
from middlewatch.quantities.positions import Position
from middlewatch.readings.dangers import ClearingBearing, Danger
from middlewatch.settings.geojson import (
    MOST_PLACES,
    CollectionWord,
    FeatureWord,
    GeoJson,
    Name,
    Place,
    Rings,
    positions,
    read_geojson,
)
from middlewatch.settings.marks import Direction
from middlewatch.settings.refusal import AREA, LINE, POINT, SettingsError, in_words, wrong
from middlewatch.settings.table import Table

_Line = Annotated[tuple[Place, ...], Field(strict=False, min_length=2, max_length=MOST_PLACES)]


class _Clearing(Table):
    mark: Name
    not_less_than_true_deg: Direction | None = None
    not_more_than_true_deg: Direction | None = None

    @model_validator(mode="after")
    def _some_limit(self) -> Self:
        if self.not_less_than_true_deg is None and self.not_more_than_true_deg is None:
            raise wrong("not_less_than_true_deg", None, "this, or not_more_than_true_deg")
        return self

    def bearings(self) -> Iterator[ClearingBearing]:
        if self.not_less_than_true_deg is not None:
            yield ClearingBearing(self.mark, "not less than", direction(self.not_less_than_true_deg))
        if self.not_more_than_true_deg is not None:
            yield ClearingBearing(self.mark, "not more than", direction(self.not_more_than_true_deg))


class _Properties(Table):
    name: Name
    clearance_m: Annotated[float, Field(ge=0, le=20_000)]
    clearing: Annotated[tuple[_Clearing, ...], Field(strict=False)] = ()


class _Point(GeoJson):
    type: Literal["Point", "LineString", "Polygon"]
    coordinates: Place

    def lines(self) -> tuple[tuple[Position, ...], ...]:
        return (positions((self.coordinates,)),)


class _LineString(GeoJson):
    type: Literal["LineString"]
    coordinates: _Line

    def lines(self) -> tuple[tuple[Position, ...], ...]:
        return (positions(self.coordinates),)


class _Polygon(GeoJson):
    type: Literal["Polygon"]
    coordinates: Rings

    def lines(self) -> tuple[tuple[Position, ...], ...]:
        return tuple(positions(ring) for ring in self.coordinates)


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


def read_dangers(file: Path, marks: Collection[str]) -> tuple[Danger, ...]:
    """Read a dangers file, in its order; SettingsError where anything in it is amiss.

    `marks`: the names that a clearing bearing may be of.
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
        for number, each in enumerate(said.clearing, start=1):
            if each.mark not in marks:
                key = f"features.{said.name}.properties.clearing.#{number}.mark"
                raise SettingsError(file, key, in_words(each.mark), "a mark of the marks file")
        form: Literal["point", "line", "area"] = "point"
        if feature.geometry.type != "Point":
            form = "line" if feature.geometry.type == "LineString" else "area"
        clearing = tuple(bearing for each in said.clearing for bearing in each.bearings())
        dangers.append(Danger(said.name, form, feature.geometry.lines(), said.clearance_m, clearing))
    return tuple(dangers)
