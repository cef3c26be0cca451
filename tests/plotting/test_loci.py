"""Lines of position as they are drawn: from each place of a bearing's line the mark bears as seen."""

from math import radians, sin

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.plotting.loci import along_arc, along_ray, on_bearing
from middlewatch.quantities.positions import Position

marks = st.builds(Position, st.floats(-70.0, 70.0), st.floats(-180.0, 179.9))


@given(marks, st.floats(0.0, 359.99), st.floats(0.1, 40.0))
def test_the_mark_bears_as_seen(mark: Position, bearing_deg: float, distance_nm: float) -> None:
    """From the place the mark lies in the direction seen, to ten metres across, at the distance asked."""
    place = on_bearing(mark, bearing_deg, distance_nm)
    way = Geodesic.WGS84.Inverse(
        place.latitude_deg, place.longitude_deg, mark.latitude_deg, mark.longitude_deg
    )

    assert way["s12"] == pytest.approx(distance_nm * 1852, abs=0.01)
    assert abs(way["s12"] * sin(radians(way["azi1"] - bearing_deg))) < 10.0


@given(marks, st.floats(0.2, 30.0), st.floats(0.0, 359.0), st.floats(0.1, 5.0))
def test_an_arc_keeps_its_distance(mark: Position, radius_nm: float, seen_deg: float, half_nm: float) -> None:
    """Each place of an arc lies at the radius, and the arc runs by where the boat was."""
    near = mark.along(seen_deg, radius_nm)
    arc = along_arc(mark, radius_nm, near, half_nm)

    assert all(place.to(mark)[1] == pytest.approx(radius_nm, abs=1e-5) for place in arc)
    assert min(place.to(near)[1] for place in arc) < max(0.05, 0.04 * radius_nm)


def test_a_line_stops_short_of_its_mark() -> None:
    """A line drawn about a boat near the mark begins at the mark's side of it and never behind the mark."""
    mark = Position(50.0, -4.0)
    line = along_ray(mark, 90.0, mark.along(270.0, 0.5), 3.0)

    assert line[0].to(mark)[1] < 0.05
    assert all(place.longitude_deg < mark.longitude_deg for place in line)
