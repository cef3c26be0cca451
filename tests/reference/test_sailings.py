"""The handbooks' sailings agree with what the handbooks print."""

import pytest

from reference.sailing_cases import (
    ARRIVED_ALONG_A_PARALLEL,
    ARRIVED_BY_MERCATOR,
    BY_MERCATOR,
    BY_MID_LATITUDE,
    PARTS_OF_D14,
    Arrived,
    Sailed,
)
from reference.sailings import (
    CLARKE_1880,
    Ellipsoid,
    Point,
    mercator,
    mercator_arrival,
    mid_latitude,
    parallel_arrival,
)

FROM_MINUTES = 1 / 60


def check(worked: tuple[float, float], printed: Sailed) -> None:
    """Compare a course and distance with those printed."""
    course_deg, distance_nm = worked
    if printed.course_deg is not None:
        assert course_deg == pytest.approx(printed.course_deg, abs=printed.course_tolerance_deg)
    assert distance_nm == pytest.approx(printed.distance_nm, abs=printed.distance_tolerance_nm)


def check_arrival(worked: Point, printed: Arrived) -> None:
    """Compare a place of arrival with the one printed."""
    latitude_deg, longitude_deg = worked
    if printed.latitude_deg is not None:
        tolerance_deg = printed.latitude_tolerance_min * FROM_MINUTES
        assert latitude_deg == pytest.approx(printed.latitude_deg, abs=tolerance_deg)
    tolerance_deg = printed.longitude_tolerance_min * FROM_MINUTES
    assert longitude_deg == pytest.approx(printed.longitude_deg, abs=tolerance_deg)


@pytest.mark.parametrize("printed", BY_MID_LATITUDE, ids=lambda printed: printed.case)
def test_mid_latitude_sailing(printed: Sailed) -> None:
    """Mid-latitude sailing, and along a parallel parallel sailing, gives the printed course and distance."""
    check(mid_latitude(printed.start, printed.end), printed)


@pytest.mark.parametrize(("figure", "printed"), BY_MERCATOR, ids=[case.case for _, case in BY_MERCATOR])
def test_mercator_sailing(figure: Ellipsoid, printed: Sailed) -> None:
    """Mercator sailing on the source's ellipsoid gives the printed course and distance."""
    check(mercator(printed.start, printed.end, figure), printed)


def test_meridional_parts() -> None:
    """The difference of Norie's meridional parts is the printed one (D-14)."""
    south, north, parts, tolerance = PARTS_OF_D14

    difference = CLARKE_1880.meridional_parts(north) - CLARKE_1880.meridional_parts(south)

    assert difference == pytest.approx(parts, abs=tolerance)


@pytest.mark.parametrize(
    ("figure", "printed"), ARRIVED_BY_MERCATOR, ids=[case.case for _, case in ARRIVED_BY_MERCATOR]
)
def test_arrival_by_mercator_sailing(figure: Ellipsoid, printed: Arrived) -> None:
    """A course and distance by Mercator sailing lead to the printed place."""
    worked = mercator_arrival(printed.start, printed.course_deg, printed.distance_nm, figure)

    check_arrival(worked, printed)


def test_arrival_along_a_parallel() -> None:
    """A run due west in the southern hemisphere leads to the printed longitude (D-11)."""
    printed = ARRIVED_ALONG_A_PARALLEL

    check_arrival(parallel_arrival(printed.start, -printed.distance_nm), printed)
