"""The zones file: GeoJSON polygons with a strongest stream of their own."""

from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Discriminator, Field, Tag

from middlewatch.readings.zones import Zone
from middlewatch.settings.geojson import (
    CollectionWord,
    FeatureWord,
    GeoJson,
    Rings,
    positions,
    read_geojson,
)
from middlewatch.settings.refusal import AREA, AREAS
from middlewatch.settings.table import Table


class _Properties(Table):
    strongest_stream_kn: Annotated[float, Field(gt=0, le=20)]
    kind: Literal["race", "river"] | None = None
    name: str | None = None


class _Polygon(GeoJson):
    type: Literal["Polygon", "MultiPolygon"]
    coordinates: Rings

    def rings(self) -> Rings:
        return self.coordinates


class _MultiPolygon(GeoJson):
    type: Literal["MultiPolygon"]
    coordinates: Annotated[tuple[Rings, ...], Field(strict=False, min_length=1)]

    def rings(self) -> Rings:
        return tuple(ring for polygon in self.coordinates for ring in polygon)


def _form(geometry: Any) -> str:
    several = isinstance(geometry, dict) and geometry.get("type") == "MultiPolygon"
    return AREAS if several else AREA


class _ZoneFeature(GeoJson):
    type: FeatureWord
    geometry: Annotated[
        Annotated[_Polygon, Tag(AREA)] | Annotated[_MultiPolygon, Tag(AREAS)], Discriminator(_form)
    ]
    properties: _Properties


class _ZonesFile(GeoJson):
    type: CollectionWord
    features: Annotated[tuple[_ZoneFeature, ...], Field(strict=False)]


def read_zones(file: Path) -> tuple[Zone, ...]:
    """Read a file of zones, in its order; SettingsError where anything in it is amiss."""
    return tuple(
        Zone(
            feature.properties.name,
            feature.properties.kind,
            feature.properties.strongest_stream_kn,
            tuple(positions(ring) for ring in feature.geometry.rings()),
        )
        for feature in read_geojson(file, _ZonesFile).features
    )
