"""Positions lie on WGS 84; geodesics and short rhumb steps lead from one to another and back."""

from math import inf, nan

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.quantities.angles import turn
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position, longitude, radii_m
from reference.geodesic_cases import GEODESICS
from reference.rhumb import meridian_arc_m

millimetre = 1e-3
ten_miles_m = 10 * METRES_PER_NM

places = st.builds(Position, st.floats(-80.0, 80.0), st.floats(-180.0, 180.0))
anywhere = st.builds(Position, st.floats(-90.0, 90.0), st.floats(-180.0, 180.0))
within_ten_miles = st.floats(-0.7 * ten_miles_m, 0.7 * ten_miles_m)


@pytest.mark.parametrize("case", GEODESICS)
def test_along_is_the_geodesic(case: tuple[float, ...]) -> None:
    """Karney's geodesics end where they should (D-21)."""
    latitude_1, longitude_1, azimuth, latitude_2, longitude_2, _, distance_m = case

    end = Position(latitude_1, longitude_1).along(azimuth, distance_m / METRES_PER_NM)

    assert end.latitude_deg == pytest.approx(latitude_2, abs=1e-8)
    assert turn(end.longitude_deg, longitude_2) == pytest.approx(0.0, abs=1e-8)


@pytest.mark.parametrize("case", GEODESICS)
def test_to_is_the_geodesic_the_other_way_about(case: tuple[float, ...]) -> None:
    """Bearing and distance between the ends of Karney's geodesics are his (D-21)."""
    latitude_1, longitude_1, azimuth, latitude_2, longitude_2, _, distance_m = case

    bearing_deg, distance_nm = Position(latitude_1, longitude_1).to(Position(latitude_2, longitude_2))

    assert turn(bearing_deg, azimuth) == pytest.approx(0.0, abs=1e-8)
    assert distance_nm * METRES_PER_NM == pytest.approx(distance_m, abs=millimetre)


def test_to_the_same_point() -> None:
    """The same point bears 0 at no distance."""
    assert Position(50.0, -4.0).to(Position(50.0, -4.0)) == (0.0, 0.0)


def test_radii() -> None:
    """The radii are WGS 84's: of the meridian at the equator and the poles, of the equator itself.

    NIMA TR8350.2: semi-major axis 6378137, polar radius of curvature 6399593.6258 m; at the equator the
    meridian's is a(1 - e2), 6335439.327 m (all from memory).
    """
    assert radii_m(0.0) == pytest.approx((6335439.327, 6378137.0), abs=millimetre)
    assert radii_m(90.0) == pytest.approx((6399593.6258, 0.0), abs=millimetre)
    assert radii_m(-90.0) == pytest.approx((6399593.6258, 0.0), abs=millimetre)


def test_the_quarter_meridian_of_the_independent_rhumb() -> None:
    """The check's own meridian is WGS 84's quarter of 10 001 965.729 m (from memory)."""
    assert meridian_arc_m(0.0, 90.0) == pytest.approx(10_001_965.729, abs=millimetre)


@given(st.floats(-1e6, 1e6))
def test_longitude_is_wrapped(degrees_east: float) -> None:
    """Any longitude comes to [-180, 180) and stays the same meridian."""
    wrapped = longitude(degrees_east)

    assert -180.0 <= wrapped < 180.0
    assert turn(wrapped, degrees_east) == pytest.approx(0.0, abs=1e-8)


@pytest.mark.parametrize(("given_deg", "expected"), [(180.0, -180.0), (-180.0, -180.0), (540.0, -180.0)])
def test_the_180th_meridian_is_west(given_deg: float, expected: float) -> None:
    """The 180th meridian has one name, -180."""
    assert Position(0.0, given_deg).longitude_deg == expected


@pytest.mark.parametrize(
    ("latitude", "longitude_deg"), [(90.1, 0), (-90.1, 0), (nan, 0), (0, nan), (inf, 0), (0, -inf)]
)
def test_no_such_place(latitude: float, longitude_deg: float) -> None:
    """A latitude beyond the poles, and what is no number, is refused."""
    with pytest.raises(ValueError, match=r"latitude|position"):
        Position(latitude, longitude_deg)


@given(places, within_ten_miles, within_ten_miles)
def test_offset_undoes_moved(start: Position, north_m: float, east_m: float) -> None:
    """The offset to where a step of up to ten miles leads is that step, to a millimetre, up to 80 N and S."""
    offset = start.offset_to(start.moved(north_m, east_m))

    assert offset == pytest.approx((north_m, east_m), abs=millimetre)


@given(places, within_ten_miles, within_ten_miles)
def test_there_and_back(start: Position, north_m: float, east_m: float) -> None:
    """A step of up to ten miles and the same step back lead home, to a millimetre."""
    home = start.moved(north_m, east_m).moved(-north_m, -east_m)

    assert start.offset_to(home) == pytest.approx((0.0, 0.0), abs=millimetre)


@given(anywhere, st.floats(-2e5, 2e5), st.floats(-2e5, 2e5))
def test_every_step_leads_somewhere(start: Position, north_m: float, east_m: float) -> None:
    """From anywhere, the poles included, a step of up to a hundred miles and more ends on the earth."""
    end = start.moved(north_m, east_m)

    assert -90.0 <= end.latitude_deg <= 90.0
    assert -180.0 <= end.longitude_deg < 180.0
