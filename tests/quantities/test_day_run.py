"""A day's run, a second at a time, is the rhumb line; about the poles nothing breaks."""

from math import cos, isfinite, radians, sin

import pytest

from middlewatch.quantities.lengths import METRES_PER_NM, METRES_PER_SECOND_PER_KNOT
from middlewatch.quantities.positions import rhumb_step
from reference.rhumb import metres_apart, rhumb_arrival
from reference.speed_cases import RUNS, Run

DAY_S = 24 * 3600
DAYS_RUN_NM = 150.0
millimetre = 1e-3
ten_metres = 10.0

POLAR_DEGREE_M = radians(1.0) * 6_399_593.6258
"""A degree of the meridian at the pole, by WGS 84's polar radius (NIMA TR8350.2, from memory)."""


def run(
    start: tuple[float, float], course_deg: float, step_m: float, steps: int
) -> tuple[tuple[float, float], float]:
    """Make so many steps on one course; return where they lead and the lowest latitude on the way."""
    north_m, east_m = step_m * cos(radians(course_deg)), step_m * sin(radians(course_deg))
    at, lowest = start, start[0]
    for _ in range(steps):
        at = rhumb_step(*at, north_m, east_m)
        assert isfinite(at[0])
        assert -90.0 <= at[0] <= 90.0
        assert -180.0 <= at[1] < 180.0
        lowest = min(lowest, at[0])
    return at, lowest


@pytest.mark.parametrize(
    ("start", "course_deg"),
    [
        ((50.0, -4.2), 0.0),
        ((50.0, -4.2), 47.0),
        ((50.0, -4.2), 270.0),
        ((0.5, 30.0), 200.0),
        ((-60.0, 150.0), 90.0),
        ((-60.0, -20.0), 305.0),
        ((80.0, 10.0), 30.0),
        ((80.0, 10.0), 90.0),
        ((80.0, 10.0), 350.0),
        ((17.0, 179.2), 75.0),
        ((-60.0, -179.0), 265.0),
    ],
)
def test_a_days_run_is_the_rhumb_line(start: tuple[float, float], course_deg: float) -> None:
    """150 nm in 86,400 steps of a second end within a millimetre of the independently worked rhumb line.

    Ten metres are asked. So from 80 N to 60 S, across the equator and either way across the 180th meridian.
    """
    arrived, _ = run(start, course_deg, DAYS_RUN_NM * METRES_PER_NM / DAY_S, DAY_S)

    assert metres_apart(arrived, rhumb_arrival(*start, course_deg, DAYS_RUN_NM)) < millimetre


@pytest.mark.parametrize("printed", RUNS, ids=lambda printed: printed.case)
def test_speed_time_and_distance(printed: Run) -> None:
    """Seconds at a speed in knots make the published distance."""
    metres = printed.speed_kn * METRES_PER_SECOND_PER_KNOT * printed.time_min * 60

    assert metres / METRES_PER_NM == pytest.approx(printed.distance_nm, abs=printed.tolerance_nm)


@pytest.mark.parametrize(("short_of_it_deg", "step_m"), [(0.001, 1_000.0), (0.15, 30_000.0)])
def test_the_pole_is_crossed(short_of_it_deg: float, step_m: float) -> None:
    """A step over the pole comes down on the other side, as far beyond it as the step was longer."""
    beyond = rhumb_step(90.0 - short_of_it_deg, 30.0, step_m, 0.0)

    assert metres_apart(beyond, (90.0, 0.0)) == pytest.approx(
        step_m - short_of_it_deg * POLAR_DEGREE_M, abs=0.1
    )
    assert beyond[1] == pytest.approx(-150.0, abs=1e-6)


@pytest.mark.parametrize("pole", [90.0, -90.0])
@pytest.mark.parametrize("course_deg", [0.0, 45.0, 90.0, 180.0, 270.0])
def test_an_hour_from_the_very_pole(pole: float, course_deg: float) -> None:
    """From a pole itself an hour at 5 kn ends on the earth and no further off than the run."""
    arrived, _ = run((pole, 0.0), course_deg, 5 * METRES_PER_SECOND_PER_KNOT, 3600)

    assert metres_apart(arrived, (pole, 0.0)) <= 5 * METRES_PER_NM + 1e-6


def test_the_pole_is_circled() -> None:
    """Steering east a mile from the pole goes round it at a mile: once round in 2 pi hours at a knot."""
    mile_off = 90.0 - METRES_PER_NM / POLAR_DEGREE_M
    step_m = METRES_PER_SECOND_PER_KNOT

    arrived, lowest = run((mile_off, 0.0), 90.0, step_m, 22_619)  # 2 pi hours, in seconds

    # Each step leaves along the tangent, so the circle widens: by under two metres once round.
    assert metres_apart((lowest, 0.0), (mile_off, 0.0)) < ten_metres
    assert metres_apart(arrived, (mile_off, 0.0)) < ten_metres
