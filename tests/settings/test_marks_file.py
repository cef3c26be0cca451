"""The marks file and the zones file: GeoJSON as RFC 7946 has it, checked whole."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from middlewatch.quantities.positions import Position
from middlewatch.readings.marks import Mark, Sector
from middlewatch.readings.zones import Zone
from middlewatch.settings import SettingsError, load

Read = Callable[[str], str]


def point(name: object, *coordinates: object, **properties: object) -> dict[str, Any]:
    """Return a GeoJSON point with properties."""
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": list(coordinates)},
        "properties": {"name": name, **properties},
    }


def collection(*features: dict[str, Any]) -> str:
    """Return a GeoJSON collection as text."""
    return json.dumps({"type": "FeatureCollection", "features": list(features)})


@pytest.fixture
def refused(tmp_path: Path) -> Read:
    """Load settings with a marks file that has to be refused; return what is said after the file's name."""

    def refuse(geojson: str) -> str:
        marks = tmp_path / "marks.geojson"
        marks.write_text(geojson, encoding="utf-8")
        settings = tmp_path / "settings.toml"
        settings.write_text("", encoding="utf-8")
        with pytest.raises(SettingsError) as caught:
            load(settings)
        assert len(str(caught.value).splitlines()) == 1
        return str(caught.value).removeprefix(f"{marks}: ")

    return refuse


def test_marks_are_read_longitude_first(settings_file: Callable[[str], Path], tmp_path: Path) -> None:
    """RFC 7946, section 3.1.1, has longitude before latitude; every property arrives; no sd is 10 m."""
    light = point(
        "Harrack Point", -4.25, 50.5, height_m=41, range_nm=18.5, character="Fl(3) 15s", datum="WGS 84",
        sectors=[{"colour": "red", "from_true_deg": 350, "to_true_deg": 20.5}], source="chart", sd_m=15,
    )  # fmt: skip
    tower = point("Tower", 180, -90, 12.0, height_m=None)
    (tmp_path / "m.json").write_text(collection(light, tower), encoding="utf-8")

    marks = load(settings_file("marks.file = 'm.json'")).marks

    assert list(marks.values()) == [
        Mark(
            name="Harrack Point",
            position=Position(latitude_deg=50.5, longitude_deg=-4.25),
            height_m=41.0,
            range_nm=18.5,
            character="Fl(3) 15s",
            sectors=(Sector("red", 350.0, 20.5),),
            datum="WGS 84",
            source="chart",
            sd_m=15.0,
        ),
        Mark(name="Tower", position=Position(latitude_deg=-90.0, longitude_deg=-180.0), sd_m=10.0),
    ]
    assert list(marks) == ["Harrack Point", "Tower"]


def test_marks_may_be_none(settings_file: Callable[[str], Path], tmp_path: Path) -> None:
    """An empty name means no marks, even where the default file is there."""
    (tmp_path / "marks.geojson").write_text(collection(point("A", 1, 2)), encoding="utf-8")

    assert list(load(settings_file("")).marks) == ["A"]
    assert list(load(settings_file("marks.file = ''")).marks) == []


NO_DEFAULT = "found nothing, wanted a value, for this has no default"
NAMELESS = "wanted a name of 1 to 64 printable characters, without space at its ends"
MAUVE = {"colour": "mauve", "from_true_deg": 0, "to_true_deg": 9}
NO_POINT = {
    "type": "Feature",
    "geometry": {"type": "Polygon", "coordinates": [[[1, 2], [3, 4], [5, 2], [1, 2]]]},
    "properties": {"name": "A"},
}


@pytest.mark.parametrize(
    ("marks", "said"),
    [
        ([point("A", 1, 2), point("A", 3, 4)],
         '#2.properties.name: found "A", wanted a name that no other mark has'),
        ([point("Nab", 1, 2), point("NAB", 3, 4)],
         '#2.properties.name: found "NAB", wanted a name that no other mark has'),
        ([point("", 1, 2)], f'#1.properties.name: found "", {NAMELESS}'),
        ([point("A", 1, 2) | {"properties": {}}], f"#1.properties.name: {NO_DEFAULT}"),
        ([NO_POINT], "A.geometry.type: found \"Polygon\", wanted 'Point'"),
        ([point("A", 1, 91)], ("A.geometry.coordinates.#2: found 91.0, wanted"
         " a latitude from -90 to 90 (GeoJSON has longitude first)")),
        ([point("A", 181, 2)], ("A.geometry.coordinates.#1: found 181.0, wanted"
         " a longitude from -180 to 180 (GeoJSON has longitude first)")),
        ([point("A", 1)], "A.geometry.coordinates: found [1.0], wanted longitude, latitude"),
        ([point("A", 1, "2")], 'A.geometry.coordinates.#2: found "2", wanted a number'),
        ([point("A", 1, 2, hieght_m=3)],
         "A.properties.hieght_m: found an unknown key, wanted height_m (did you mean that?)"),
        ([point("A", 1, 2, range_nm=-3)], "A.properties.range_nm: found -3, wanted greater than 0"),
        ([point("A", 1, 2, sectors=[MAUVE])],
         "A.properties.sectors.#1.colour: found \"mauve\", wanted 'white', 'red', 'green' or 'dark'"),
    ],
)  # fmt: skip
def test_marks_at_fault_are_refused(refused: Read, marks: list[dict[str, Any]], said: str) -> None:
    """Marks are taken whole or refused, with the mark, the key, what was found and what was wanted."""
    assert refused(collection(*marks)) == f"features.{said}"


@pytest.mark.parametrize(
    ("geojson", "found"),
    [
        ('{"type": 1, "type": 2}', "key 'type' stands twice in one object"),
        (collection(point("A", float("nan"), 2)), "NaN is no number"),
        ("{", "line 1 column 2"),
        ("[" * 100_000, "maximum recursion depth exceeded"),
    ],
    ids=["a key twice", "not a number", "broken off", "too deep"],
)
def test_text_that_is_no_json_is_refused(refused: Read, geojson: str, found: str) -> None:
    """What cannot be read at all, or in one way only, is refused as a whole."""
    said = refused(geojson)

    assert said.startswith("the whole file: found a fault (")
    assert found in said
    assert said.endswith(", wanted GeoJSON")


def test_another_thing_of_geojson_is_refused(refused: Read) -> None:
    """A single feature is no collection, and a list is nothing."""
    assert refused('{"type": "Feature"}') == "type: found \"Feature\", wanted 'FeatureCollection'"
    assert refused("[]") == "the whole file: found [], wanted a table of keys"


def zones(**properties: object) -> str:
    """Return a zones file of one polygon."""
    ring = [[0, 0], [1, 0], [1, 1], [0, 0]]
    geometry = {"type": "Polygon", "coordinates": [ring]}
    return collection({"type": "Feature", "geometry": geometry, "properties": properties})


def test_zones_of_the_right_shape_are_taken(settings_file: Callable[[str], Path], tmp_path: Path) -> None:
    """A zones file is looked at before the start and its place handed on."""
    file = tmp_path / "zones.geojson"
    file.write_text(zones(strongest_stream_kn=6, kind="race"), encoding="utf-8")

    settings = load(settings_file("waters.zones = 'zones.geojson'"))

    corners = (Position(0, 0), Position(0, 1), Position(1, 1), Position(0, 0))
    assert settings.tuning().zones == (Zone(None, "race", 6.0, (corners,)),)


def test_a_zone_of_several_areas_keeps_all_its_rings(
    settings_file: Callable[[str], Path], tmp_path: Path
) -> None:
    """A MultiPolygon is one zone; a ring that is not closed is refused."""
    ring = [[0, 0], [1, 0], [1, 1], [0, 0]]
    file = tmp_path / "zones.geojson"
    several = {"type": "MultiPolygon", "coordinates": [[ring, ring], [ring]]}
    feature = {"type": "Feature", "geometry": several, "properties": {"strongest_stream_kn": 3}}
    file.write_text(collection(feature), encoding="utf-8")

    (zone,) = load(settings_file("waters.zones = 'zones.geojson'")).zones
    assert len(zone.rings) == 3

    several["coordinates"] = [[[*ring[:-1], [2, 2]]]]
    file.write_text(collection(feature), encoding="utf-8")
    with pytest.raises(SettingsError, match="first place again at its end"):
        load(settings_file("waters.zones = 'zones.geojson'"))


@pytest.mark.parametrize(
    ("geojson", "said"),
    [
        (zones(kind="race"), f"#1.properties.strongest_stream_kn: {NO_DEFAULT}"),
        (
            zones(strongest_stream_kn=6, kind="eddy"),
            "#1.properties.kind: found \"eddy\", wanted 'race' or 'river'",
        ),
        (
            collection(point("A", 1, 2)),
            "A.geometry.type: found \"Point\", wanted 'Polygon' or 'MultiPolygon'",
        ),
    ],
)
def test_zones_of_another_shape_are_refused(
    settings_file: Callable[[str], Path], tmp_path: Path, geojson: str, said: str
) -> None:
    """A zones file of another shape is refused in its own name."""
    file = tmp_path / "zones.geojson"
    file.write_text(geojson, encoding="utf-8")

    with pytest.raises(SettingsError) as caught:
        load(settings_file("waters.zones = 'zones.geojson'"))

    assert str(caught.value) == f"{file}: features.{said}"
