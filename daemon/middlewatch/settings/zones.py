"""The zones file: polygons with a stream of their own. Their shape is checked; nothing uses them yet."""

from pathlib import Path
from typing import Annotated, Any, Literal

from pydantic import Field

from middlewatch.settings.geojson import CollectionWord, FeatureWord, GeoJson, read_geojson
from middlewatch.settings.table import Table


class _Properties(Table):
    strongest_stream_kn: Annotated[float, Field(gt=0, le=20)]
    kind: Literal["race", "river"] | None = None
    name: str | None = None


class _Polygon(GeoJson):
    type: Literal["Polygon", "MultiPolygon"]
    coordinates: list[Any]


class _ZoneFeature(GeoJson):
    type: FeatureWord
    geometry: _Polygon
    properties: _Properties


class _ZonesFile(GeoJson):
    type: CollectionWord
    features: list[_ZoneFeature]


def check_zones(file: Path) -> None:
    """Check that a file of zones is there and has their shape; SettingsError where not."""
    read_geojson(file, _ZonesFile)
