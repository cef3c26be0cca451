"""Arcs of horizontal angles: circles through both marks, with the boat on the right side of them."""

from math import cos, radians, sin

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.navigator.position.arcs import AngleArc
from middlewatch.quantities.angles import turn
from middlewatch.quantities.positions import Position

LEFT = Position(50.0, -4.0)
RIGHT = LEFT.along(80.0, 3.0)


def arc(angle_deg: float) -> AngleArc:
    """Return the arc of an angle between the two marks."""
    return AngleArc(LEFT, RIGHT, angle_deg, 1.0)


def on(angle_deg: float, part: float) -> Position:
    """Return a place on the arc: so much of the way round it from the right mark to the left one."""
    circle = arc(angle_deg)
    right_deg, left_deg = circle.centre.to(RIGHT)[0], circle.centre.to(LEFT)[0]
    round_deg = (left_deg - right_deg) % 360.0
    return circle.centre.along(right_deg + part * round_deg, circle.radius_nm)


@given(st.floats(10, 150), st.floats(0.1, 0.9))
def test_the_angle_is_the_same_all_along_the_arc(angle_deg: float, part: float) -> None:
    """Euclid III, 21: angles in the same segment are equal; on the ellipsoid to a part of a minute or two."""
    boat = on(angle_deg, part)

    assert turn(boat.to(LEFT)[0], boat.to(RIGHT)[0]) == pytest.approx(angle_deg, abs=0.15)
    assert arc(angle_deg).ahead(boat)


def test_radius_is_by_the_law_of_sines() -> None:
    """3 miles apart, an angle of 30 degrees: a radius of 3 / (2 sin 30), 3 miles."""
    assert arc(30.0).radius_nm == pytest.approx(3.0, abs=1e-3)


def test_a_boat_beyond_the_marks_is_not_on_the_arc() -> None:
    """From the far side the marks would stand the other way round."""
    assert not arc(30.0).ahead(LEFT.along(80.0, 1.5).along(350.0, 3.0))


def test_an_error_of_the_angle_moves_the_boat_as_the_arcs_lie_apart() -> None:
    """One minute more is as far across as the arc of that angle lies away, by the circles themselves."""
    boat = on(40.0, 0.5)
    nearer = arc(40.0 + 1 / 60)

    apart_m = abs(boat.to(nearer.centre)[1] - nearer.radius_nm) * 1852
    assert arc(40.0).sd_m(boat) == pytest.approx(apart_m, rel=0.03)


def test_double_horizontal_danger_angle() -> None:
    """F-04 (Math4U, horizontal danger angles): keep between 20 and 33; 18 and 35 are out, 25 is within."""
    outer, inner = arc(20.0), arc(33.0)

    def within(boat: Position) -> bool:
        return outer.miss_m(boat) > 0.0 > inner.miss_m(boat)

    assert [within(on(angle_deg, 0.45)) for angle_deg in (18.0, 25.0, 35.0)] == [False, True, False]


def test_marks_known_badly_make_the_arc_wide() -> None:
    """A mark at two miles, out by 50 m across the sight, turns the angle by 50 / 3704."""
    boat = LEFT.along(170.0, 2.0)
    doubtful = AngleArc(LEFT, RIGHT, 56.0, 0.0, 50 / 1852, 0.0)

    assert doubtful.sd_rad(boat) == pytest.approx(50 / 3704, rel=1e-3)


@given(st.floats(20, 140), st.floats(0.2, 0.8), st.floats(-300, 300), st.floats(0, 360))
def test_the_miss_brings_back_to_the_arc(angle_deg: float, part: float, off_m: float, way_deg: float) -> None:
    """A step of the miss, against the way it grows, leads to within a few metres of the arc."""
    boat = on(angle_deg, part).moved(off_m * cos(radians(way_deg)), off_m * sin(radians(way_deg)))
    (miss,) = arc(angle_deg).misses(boat)

    back = boat.moved(-miss.metres * miss.north, -miss.metres * miss.east)

    assert abs(arc(angle_deg).miss_m(back)) <= max(1.0, abs(miss.metres) * 0.7)
