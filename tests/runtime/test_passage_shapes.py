"""Shapes of GeoJSON on the round earth: cut at 180 degrees, rings by the right hand, rays and circles."""

from itertools import pairwise
from math import cos, pi, sin
from typing import Any

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.quantities.positions import Position
from middlewatch.runtime import passage_shapes as shapes


def places(*corners: tuple[float, float]) -> list[Position]:
    """Return positions given as in GeoJSON, longitude first."""
    return [Position(latitude, longitude) for longitude, latitude in corners]


def rings_of(geometry: dict[str, Any]) -> list[list[list[list[float]]]]:
    """Return the polygons of a Polygon or a MultiPolygon."""
    if geometry["type"] == "Polygon":
        return [geometry["coordinates"]]
    polygons: list[list[list[list[float]]]] = geometry["coordinates"]
    return polygons


def area(ring: list[list[float]]) -> float:
    """Return the area of a ring in square degrees, + anticlockwise (the surveyor's formula)."""
    return sum(one[0] * other[1] - other[0] * one[1] for one, other in pairwise(ring)) / 2


def test_a_line_is_cut_as_the_standards_example_has_it() -> None:
    """RFC 7946, 3.1.9: a line along 45 N from 170 E to 170 W (the example from memory)."""
    assert shapes.line(places((170, 45), (-170, 45))) == {
        "type": "MultiLineString",
        "coordinates": [[[170, 45], [180, 45]], [[-180, 45], [-170, 45]]],
    }
    assert shapes.line(places((-170, 45), (170, 45))) == {
        "type": "MultiLineString",
        "coordinates": [[[-170, 45], [-180, 45]], [[180, 45], [170, 45]]],
    }


def test_a_polygon_is_cut_as_the_standards_example_has_it() -> None:
    """RFC 7946, 3.1.9: a rectangle across 180, cut in two (the example from memory)."""
    cut = shapes.areas([places((170, 40), (-170, 40), (-170, 50), (170, 50))])

    assert cut["type"] == "MultiPolygon"
    corners = [{tuple(corner) for corner in polygon[0]} for polygon in cut["coordinates"]]
    assert corners == [
        {(180, 40), (180, 50), (170, 50), (170, 40)},
        {(-170, 40), (-170, 50), (-180, 50), (-180, 40)},
    ]
    assert [area(polygon[0]) for polygon in cut["coordinates"]] == [100.0, 100.0]


def test_what_stays_on_one_side_is_not_cut() -> None:
    """A line that touches 180 and turns back, and one of one place, are one LineString."""
    assert shapes.line(places((179, 1), (179.9, 2), (179, 3)))["type"] == "LineString"
    assert shapes.line(places((10, 1), (10, 1))) == {"type": "LineString", "coordinates": [[10, 1], [10, 1]]}


def test_a_ring_within_a_ring_is_a_hole_and_one_within_that_is_land_again() -> None:
    """By the even-odd rule, as the outline has it; the hole runs clockwise, also across 180."""
    square = ((-1, -1), (1, -1), (1, 1), (-1, 1))

    def ring(size: float, longitude: float) -> list[Position]:
        return [Position(size * north, longitude + size * east) for east, north in square]

    for longitude in (0.0, 180.0):
        nested = shapes.areas([ring(1, longitude), ring(3, longitude), ring(2, longitude)])
        polygons = rings_of(nested)
        outer = sum(area(polygon[0]) for polygon in polygons)
        holes = sum(area(hole) for polygon in polygons for hole in polygon[1:])
        assert outer == pytest.approx(36 + 4)
        assert holes == pytest.approx(-16)


blob = st.lists(st.floats(0.05, 2.0), min_size=3, max_size=20)


@given(blob, st.floats(-60, 60), st.floats(-180, 180, exclude_max=True), st.booleans())
def test_every_ring_is_closed_anticlockwise_and_on_the_map(
    reach: list[float], latitude: float, longitude: float, backwards: bool
) -> None:
    """RFC 7946, 3.1.6: whatever the shape and wherever it lies, nothing of it is lost by the cut."""
    turns = [2 * pi * k / len(reach) for k in range(len(reach))]
    corners = [
        (latitude + r * cos(turn), longitude + r * sin(turn)) for r, turn in zip(reach, turns, strict=True)
    ]
    whole = abs(area([[east, north] for north, east in [*corners, corners[0]]]))
    ring = [Position(*corner) for corner in corners]
    if backwards:
        ring.reverse()

    polygons = rings_of(shapes.areas([ring]))

    for (outer,) in polygons:
        assert outer[0] == outer[-1]
        assert len(outer) >= 4
        assert all(-180 <= east <= 180 for east, _ in outer)
    assert all(area(outer) >= 0.0 for (outer,) in polygons)
    assert sum(area(outer) for (outer,) in polygons) == pytest.approx(whole, abs=1e-4)


@pytest.mark.parametrize("bearing", [0.0, 77.0, 181.0, 330.0])
def test_from_everywhere_on_a_ray_the_mark_bears_so(bearing: float) -> None:
    """Held against geographiclib: a thousandth of a degree, at 60 N where meridians converge fast."""
    mark = Position(60.0, -4.0)

    for k, place in enumerate(shapes.ray(mark, bearing, 24.0)[1:], 1):
        way = Geodesic.WGS84.Inverse(place.latitude_deg, place.longitude_deg, 60.0, -4.0)
        assert way["azi1"] % 360.0 == pytest.approx(bearing, abs=1e-3) or bearing == 0.0
        assert abs((way["azi1"] - bearing + 180.0) % 360.0 - 180.0) < 1e-3
        assert way["s12"] == pytest.approx(k * 2.0 * 1852.0, abs=0.01)


def test_a_circle_is_round_and_closed() -> None:
    """Each place is as far from the centre, and the last is the first."""
    round_ = shapes.circle(Position(50.0, 179.99), 3.0)

    assert round_[0] == round_[-1]
    assert all(Position(50.0, 179.99).to(place)[1] == pytest.approx(3.0, abs=1e-6) for place in round_)
