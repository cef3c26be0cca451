"""Directions wrap to [0, 360), turns to (-180, 180], and the two agree."""

from math import hypot

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.quantities.angles import direction, direction_of, turn, unit

angles = st.floats(-1e6, 1e6)
ten_nanodegrees = 1e-8


@given(angles)
def test_a_direction_is_within_the_circle(angle: float) -> None:
    """Whatever the angle, its direction is at least 0 and less than 360."""
    assert 0.0 <= direction(angle) < 360.0


@pytest.mark.parametrize("angle", [-1e-20, -0.0, 0.0, 360.0, -360.0, 720.0])
def test_north_is_nought(angle: float) -> None:
    """North is 0 however it is reached, and never 360 or -0."""
    assert str(direction(angle)) == "0.0"


@given(angles, angles)
def test_a_turn_is_within_half_the_circle(start: float, end: float) -> None:
    """Whatever the two directions, the turn is over -180 and at most 180."""
    assert -180.0 < turn(start, end) <= 180.0


@given(angles, angles)
def test_the_turn_leads_there(start: float, end: float) -> None:
    """The first direction and the turn make the second."""
    assert turn(direction(start + turn(start, end)), end) == pytest.approx(0.0, abs=ten_nanodegrees)


@pytest.mark.parametrize(
    ("start", "end", "expected"),
    [(350, 10, 20), (10, 350, -20), (0, 180, 180), (180, 0, 180), (90, 90, 0), (359, 360, 1)],
)
def test_turns_to_starboard_are_positive(start: float, end: float, expected: float) -> None:
    """A turn to starboard is +, to port -, a turn about +180."""
    assert turn(start, end) == expected


@given(st.floats(0.0, 360.0, exclude_max=True))
def test_a_unit_vector_points_along_its_direction(angle: float) -> None:
    """The direction of a unit vector is the one it was made for, and its length is one."""
    north, east = unit(angle)

    assert hypot(north, east) == pytest.approx(1.0, abs=1e-12)
    assert turn(direction_of(north, east), angle) == pytest.approx(0.0, abs=ten_nanodegrees)


@pytest.mark.parametrize(
    ("north", "east", "expected"),
    [(1, 0, 0), (0, 1, 90), (-1, 0, 180), (0, -1, 270), (0, 0, 0), (1, -1, 315)],
)
def test_the_direction_of_a_vector(north: float, east: float, expected: float) -> None:
    """North is 000, east 090; the null vector is given north."""
    assert direction_of(north, east) == expected
