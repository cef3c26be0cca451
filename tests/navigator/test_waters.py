"""Waters: the strongest stream where the boat is, and what it does to the area."""

from math import hypot

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.navigator.reckoning.waters import NEAR_NM, Waters
from middlewatch.navigator.tuning import Tuning
from middlewatch.quantities.positions import Position
from middlewatch.readings.zones import Zone
from navigator.navigating import TRUE_COMPASS, Aboard


def square(middle: Position, half_nm: float) -> tuple[Position, ...]:
    """Return a closed ring: a square round a place."""
    half = half_nm * 1852.0
    corners = [(half, half), (half, -half), (-half, -half), (-half, half), (half, half)]
    return tuple(middle.moved(north, east) for north, east in corners)


def at(middle: Position, north_nm: float, east_nm: float) -> tuple[float, float]:
    """Return a (latitude, longitude) so far from a place."""
    place = middle.moved(north_nm * 1852.0, east_nm * 1852.0)
    return place.latitude_deg, place.longitude_deg


MIDDLES = [Position(50.0, -4.0), Position(-41.0, 180.0), Position(0.0, 0.0)]


@pytest.mark.parametrize("middle", MIDDLES, ids=["Channel", "date line", "equator"])
@given(north_nm=st.floats(-6, 6), east_nm=st.floats(-6, 6))
def test_a_zone_holds_inside_and_near(middle: Position, north_nm: float, east_nm: float) -> None:
    """A square of 2 nm half a side with a hole of 1: its own stream inside, near the edge the stronger."""
    race = Zone("race", "race", 5.0, (square(middle, 2.0), square(middle, 1.0)))
    waters = Waters(Tuning(strongest_stream_kn=1.5, zones=(race,)))
    far = max(abs(north_nm), abs(east_nm))
    corner = hypot(max(abs(north_nm) - 2.0, 0.0), max(abs(east_nm) - 2.0, 0.0))
    off = 1.0 - far if far < 1.0 else corner
    edge = min(abs(off - NEAR_NM), abs(far - 1.0), abs(far - 2.0))
    if edge < 0.01:
        return  # on the very edge either will do

    expected = 5.0 if 1.0 <= far <= 2.0 or off <= NEAR_NM else 1.5
    assert waters.strongest_kn(at(middle, north_nm, east_nm)) == expected


def test_the_slack_of_a_river_does_not_calm_the_sea_beside_it() -> None:
    """Inside a quieter zone its own stream holds; near its edge that of the sea does, the stronger."""
    middle = Position(50.0, -4.0)
    lagoon = Zone("lagoon", "river", 0.5, (square(middle, 2.0),))
    waters = Waters(Tuning(strongest_stream_kn=1.5, zones=(lagoon,)))

    assert waters.strongest_kn(at(middle, 0.0, 0.0)) == 0.5
    assert waters.strongest_kn(at(middle, 2.2, 0.0)) == 1.5


def test_of_zones_that_overlap_the_strongest_holds() -> None:
    """A race in a strong tideway."""
    middle = Position(50.0, -4.0)
    zones = tuple(Zone(None, None, kn, (square(middle, half),)) for kn, half in ((3.0, 4.0), (6.0, 1.0)))
    waters = Waters(Tuning(zones=zones))

    assert [waters.strongest_kn(at(middle, north, 0.0)) for north in (0.0, 2.0, 6.0)] == [6.0, 3.0, 1.5]
    assert waters.strongest_kn(None) == 1.5


def test_in_a_race_the_area_grows_as_its_stream_may() -> None:
    """Half an hour in a zone of 5 kn: the area is that of a boat whose sea has 5 kn everywhere."""
    race = Zone("race", "race", 5.0, (square(Position(50.0, -4.2), 20.0),))
    wide, zoned, plain = (
        Aboard(tuning)
        for tuning in (
            Tuning(variation=TRUE_COMPASS.variation, strongest_stream_kn=5.0),
            Tuning(variation=TRUE_COMPASS.variation, zones=(race,)),
            TRUE_COMPASS,
        )
    )
    majors = []
    for boat in (wide, zoned, plain):
        boat.sail(60, 40.0, 6.0)
        boat.depart()
        area = boat.sail(1800, 40.0, 6.0).area
        assert area is not None
        majors.append(area.semi_major_nm)

    assert majors[1] == pytest.approx(majors[0], rel=0.01)
    assert majors[1] > 2.0 * majors[2]


def test_sides_of_no_length_and_level_sides_do_no_harm() -> None:
    """A corner given twice, and sides along a parallel."""
    middle = Position(50.0, -4.0)
    ring = square(middle, 2.0)
    waters = Waters(Tuning(zones=(Zone(None, None, 4.0, ((ring[0], *ring),)),)))

    with np.errstate(all="raise"):
        assert waters.strongest_kn(at(middle, 1.0, 1.0)) == 4.0
        assert waters.strongest_kn(at(middle, 9.0, 1.0)) == 1.5
