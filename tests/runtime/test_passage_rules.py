"""Any passage, anywhere: its GPX keeps to the schema of GPX 1.1, its GeoJSON to RFC 7946.

The schema's own file could not be had; its rules are written down here from memory: the order of elements,
how often each may stand, which attributes are required, and the types of what is in them.
"""

import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise
from typing import Any
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from middlewatch.quantities.positions import Position
from middlewatch.readings.marks import Mark
from middlewatch.runtime.passage import Passage, passage_of
from middlewatch.runtime.passage_geojson import geojson
from middlewatch.runtime.passage_gpx import NAMESPACE, gpx

Json = dict[str, Any]

# --- the schema of GPX 1.1, from memory -------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Type:
    """A complex type: its elements in order, which of them may be repeated, its attributes by type."""

    elements: tuple[str, ...]
    repeated: frozenset[str] = frozenset()
    required: dict[str, str] = field(default_factory=dict)


_POINT = Type(
    ("ele", "time", "magvar", "geoidheight", "name", "cmt", "desc", "src", "link", "sym", "type", "fix",
     "sat", "hdop", "vdop", "pdop", "ageofdgpsdata", "dgpsid", "extensions"),
    frozenset({"link"}),
    {"lat": "latitude", "lon": "longitude"},
)  # fmt: skip
TYPES = {
    "gpx": Type(
        ("metadata", "wpt", "rte", "trk", "extensions"),
        frozenset({"wpt", "rte", "trk"}),
        {"version": "1.1", "creator": "string"},
    ),
    "metadata": Type(
        ("name", "desc", "author", "copyright", "link", "time", "keywords", "bounds", "extensions"),
        frozenset({"link"}),
    ),
    "wpt": _POINT,
    "trkpt": _POINT,
    "trk": Type(
        ("name", "cmt", "desc", "src", "link", "number", "type", "extensions", "trkseg"),
        frozenset({"link", "trkseg"}),
    ),
    "trkseg": Type(("trkpt", "extensions"), frozenset({"trkpt"})),
}
TEXTS = {"name", "cmt", "desc", "src", "type", "keywords", "sym"}
_DECIMAL = re.compile(r"[+-]?(\d+(\.\d*)?|\.\d+)\Z")
_DATE_TIME = re.compile(r"-?\d{4,}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?(Z|[+-]\d\d:\d\d)?\Z")
_LOCATION = "{http://www.w3.org/2001/XMLSchema-instance}schemaLocation"


def breaches(element: ET.Element) -> Iterator[str]:
    """Yield what of an element and all below it is not as the schema has it."""
    name = element.tag.removeprefix(f"{{{NAMESPACE}}}")
    if name in TEXTS or name == "time":
        if len(element) or element.attrib:
            yield f"{name} holds more than text"
        if name == "time" and not _DATE_TIME.match(element.text or ""):
            yield f"time {element.text}"
        return
    if name not in TYPES:
        yield f"{element.tag} is not known here"
        return
    kind = TYPES[name]
    if (element.text or "").strip():
        yield f"{name} holds text"
    yield from _attributes(name, element, kind)
    children = [child.tag.removeprefix(f"{{{NAMESPACE}}}") for child in element]
    places = [kind.elements.index(child) if child in kind.elements else -1 for child in children]
    if places != sorted(places) or -1 in places:
        yield f"{name}: {children}"
    yield from (
        f"two {child} in {name}" for child in set(children) - kind.repeated if children.count(child) > 1
    )
    for child in element:
        yield from breaches(child)


def _attributes(name: str, element: ET.Element, kind: Type) -> Iterator[str]:
    found = {key: value for key, value in element.attrib.items() if key != _LOCATION}
    if set(found) != set(kind.required):
        yield f"{name} has {sorted(found)}"
    for key, value in found.items():
        match kind.required.get(key):
            case "latitude":
                good = bool(_DECIMAL.match(value)) and -90.0 <= float(value) <= 90.0
            case "longitude":
                good = bool(_DECIMAL.match(value)) and -180.0 <= float(value) < 180.0
            case "1.1":
                good = value == "1.1"
            case _:
                good = True
        if not good:
            yield f"{name}: {key} {value}"


@pytest.mark.parametrize(
    ("inside", "said"),
    [
        ('<wpt lat="1" lon="180.0000000"/>', "wpt: lon 180.0000000"),
        ('<wpt lat="1"/>', "wpt has ['lat']"),
        (
            '<wpt lat="1" lon="1"><name>a</name><time>2026-05-03T01:00:00Z</time></wpt>',
            "wpt: ['name', 'time']",
        ),
        ('<wpt lat="1" lon="1"><time>yesterday</time></wpt>', "time yesterday"),
        ("<trk><trkseg/><name>a</name></trk>", "trk: ['trkseg', 'name']"),
        ('<wpt lat="1e1" lon="1"/>', "wpt: lat 1e1"),
        ('<wpt lat="1" lon="1"><name>a</name><name>b</name></wpt>', "two name in wpt"),
    ],
)
def test_the_check_itself_sees_what_is_wrong(inside: str, said: str) -> None:
    """Each kind of breach is found in a document that has just that one."""
    text = f'<gpx xmlns="{NAMESPACE}" version="1.1" creator="x">{inside}</gpx>'

    assert list(breaches(ET.fromstring(text))) == [said]  # noqa: S314 -- our own text


# --- any passage ------------------------------------------------------------------------------------


def clock(second: int) -> str:
    """Return a time of the passage."""
    return f"2026-05-03T{second // 3600:02d}:{second // 60 % 60:02d}:{second % 60:02d}.000Z"


EASTS = st.one_of(st.floats(-0.02, 0.02), st.floats(179.98, 180.02), st.floats(-150.0, 150.0), st.just(180.0))
STEPS = st.lists(st.tuples(st.floats(-0.01, 0.01), st.floats(-0.01, 0.01)), min_size=2, max_size=12)
ROUND = st.lists(st.floats(0.001, 0.05), min_size=3, max_size=10)
BEARINGS = st.floats(0, 359.99)


@st.composite
def passages(draw: st.DrawFn) -> Passage:
    """Return a passage near a meridian, its reports rounded as they are published."""
    north, east = draw(st.floats(-75, 75)), draw(EASTS)
    place = _place(north, east)
    area = _area(north, east, draw(ROUND))
    reports: list[tuple[str, Json]] = []
    for n, (up, along) in enumerate(draw(STEPS)):
        north, east = north + up, east + along
        place = _place(north, east)
        said = {"at": clock(10 * n), "dr": place, "ep": place, "area": area if n == 1 else None}
        reports.append(("position", {**said, "origin": {"id": "d1", "at": clock(0)}}))
        told = {"at": clock(10 * n), "gap_nm": draw(st.floats(0, 2)), "bearing_deg": draw(BEARINGS)}
        reports.append(("satellite", told))
    for n, line in enumerate(draw(st.lists(lines(north, east), max_size=4))):
        answer = {"id": f"s{n}", "kind": "bearing", "used": True, "open": False, "line": line}
        reports.append(("sighting/answer", answer))
    fix = {"id": "f-s0", "at": clock(60), "label": "Fix", "sightings": ["s0"], "lines": [], "worth": "good"}
    reports.append(("fix", {**fix, **place, "area": area}))
    return passage_of(reports)


def _place(north: float, east: float) -> Json:
    """Return a place as it is published: rounded after it was brought to -180 up to 180."""
    place = Position(north, (east + 180.0) % 360.0 - 180.0)
    return {"latitude_deg": round(place.latitude_deg, 7), "longitude_deg": round(place.longitude_deg, 7)}


def _area(north: float, east: float, reach: list[float]) -> Json:
    steps = [(reach[n] * dn, reach[n] * de) for n, (dn, de) in enumerate(_circle(len(reach)))]
    corners = [_place(north + dn, east + de) for dn, de in steps]
    outline = [[[corner["latitude_deg"], corner["longitude_deg"]] for corner in corners]]
    sizes = {"semi_major_nm": 1.0, "semi_minor_nm": 1.0, "orientation_deg": 0.0}
    return {"outline": outline, "probability": 0.95, "shape": "ellipse", **sizes}


def _circle(count: int) -> list[tuple[float, float]]:
    turns = [complex(0, 1) ** (4 * n / count) for n in range(count)]
    return [(turn.real, turn.imag) for turn in turns]


@st.composite
def lines(draw: st.DrawFn, north: float, east: float) -> Json:
    """Return a line of any shape about a place."""
    shape = draw(st.sampled_from(["ray", "circle", "wedge", "contour", "point"]))
    line: Json = {"shape": shape, **_place(north + draw(st.floats(-0.1, 0.1)), east), "at": clock(30)}
    match shape:
        case "ray":
            line["bearing_deg"] = draw(BEARINGS)
        case "circle":
            line["radius_nm"] = draw(st.floats(0.1, 10))
        case "wedge":
            line |= {"from_deg": draw(BEARINGS), "to_deg": draw(BEARINGS)}
        case "contour":
            line["points"] = [_place(north + 0.01 * n, east + draw(st.floats(-0.1, 0.1))) for n in range(3)]
    return line


@settings(max_examples=60, deadline=None)
@given(passages())
def test_gpx_keeps_to_its_schema(passage: Passage) -> None:
    """Order, occurrence, attributes and types of every element (schema from memory)."""
    root = ET.fromstring(gpx(passage, "kittiwake <&> co"))  # noqa: S314 -- our own text

    assert root.tag == f"{{{NAMESPACE}}}gpx"
    assert list(breaches(root)) == []


@settings(max_examples=100, deadline=None)
@given(passages())
def test_geojson_keeps_to_rfc_7946(passage: Passage) -> None:
    """Positions, lines, rings, their turn and the cut at 180 degrees, in the whole document.

    RFC 7946: 3.1.1, 3.1.4, 3.1.6, 3.1.9, 3.2, 3.3, 4 (no member `crs`), 11.2 (digits).
    """
    marks = {"light": Mark("light", Position(10.0, 179.9999999))}
    document = json.loads(geojson(passage, marks))

    assert document["type"] == "FeatureCollection"
    assert "crs" not in document
    for each in document["features"]:
        assert set(each) == {"type", "geometry", "properties"}
        assert each["type"] == "Feature"
        _sound(each["geometry"])


def _sound(geometry: Json) -> None:
    """Check a geometry's coordinates."""
    assert set(geometry) == {"type", "coordinates"}
    coordinates = geometry["coordinates"]
    match geometry["type"]:
        case "Point":
            _positions([coordinates])
        case "LineString":
            _line(coordinates)
        case "MultiLineString":
            assert coordinates
            for line in coordinates:
                _line(line)
        case "Polygon":
            _polygon(coordinates)
        case "MultiPolygon":
            for polygon in coordinates:
                _polygon(polygon)
        case other:
            raise AssertionError(other)


def _positions(places: list[list[float]]) -> None:
    for east, north in places:
        assert -180.0 <= east <= 180.0
        assert -90.0 <= north <= 90.0
        assert (round(east, 7), round(north, 7)) == (east, north)
    # Cut at the antimeridian, nothing goes the long way round.
    assert all(abs(one[0] - other[0]) < 180.0 for one, other in pairwise(places))


def _line(places: list[list[float]]) -> None:
    assert len(places) >= 2
    _positions(places)


def _polygon(rings: list[list[list[float]]]) -> None:
    for n, ring in enumerate(rings):
        assert len(ring) >= 4
        assert ring[0] == ring[-1]
        _positions(ring)
        twice = sum(one[0] * other[1] - other[0] * one[1] for one, other in pairwise(ring))
        assert twice >= 0.0 if n == 0 else twice <= 0.0
