"""The true boat: her run against an independent rhumb line, and the signs of leeway, stream and variation."""

from dataclasses import replace
from itertools import pairwise
from math import atanh, cos, degrees, radians, sin, sqrt, tan
from statistics import fmean, stdev

import pytest
from geographiclib.geodesic import Geodesic
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from middlewatch.practice.truth import Leg, Plan, RectilinearTide, SteadyStream, Stream, sail
from middlewatch.quantities.angles import turn
from middlewatch.quantities.instants import MS_PER_HOUR, Instant
from middlewatch.quantities.lengths import METRES_PER_NM
from middlewatch.quantities.positions import Position

START_MS = Instant.parse("2026-05-02T21:00:00Z").ms
OFFING = Position(47.0, -34.0)
SLACK = SteadyStream(0.0, 0.0)
one_centimetre_nm = 0.01 / METRES_PER_NM


def steady(*legs: Leg, start: Position = OFFING, stream: Stream = SLACK, variation_deg: float = 0.0) -> Plan:
    """Plan a boat without yaw and with a speed that never wanders."""
    return Plan(START_MS, start, legs, stream, variation_deg, yaw_deg=0.0, speed_wander_kn=0.0)


def rhumb_end(start: Position, course_deg: float, distance_nm: float) -> Position:
    """Return a rhumb line's end: latitude by the meridian's geodesic, longitude by isometric latitude."""
    course = radians(course_deg)
    north_m = distance_nm * METRES_PER_NM * cos(course)
    latitude = Geodesic.WGS84.Direct(start.latitude_deg, start.longitude_deg, 0.0, north_m)["lat2"]
    stretch = isometric(latitude) - isometric(start.latitude_deg)
    return Position(latitude, start.longitude_deg + degrees(stretch * tan(course)))


def isometric(latitude_deg: float) -> float:
    """Return the isometric latitude, radians (Snyder, Map Projections, USGS PP 1395, 7-7; from memory)."""
    e = sqrt(Geodesic.WGS84.f * (2.0 - Geodesic.WGS84.f))
    sine = sin(radians(latitude_deg))
    return atanh(sine) - e * atanh(e * sine)


@settings(max_examples=40, deadline=None)
@given(
    latitude_deg=st.floats(-75.0, 75.0),
    longitude_deg=st.floats(-180.0, 179.9),
    course_deg=st.floats(0.0, 359.9),
    speed_kn=st.floats(0.5, 12.0),
)
def test_constant_course_runs_along_the_rhumb_line(
    latitude_deg: float, longitude_deg: float, course_deg: float, speed_kn: float
) -> None:
    """A quarter of an hour on one course ends within a centimetre of an independent rhumb line."""
    assume(abs(cos(radians(course_deg))) > 0.01)  # the check divides by it; due east has its own test
    start = Position(latitude_deg, longitude_deg)

    end = sail(steady(Leg(900, course_deg, speed_kn), start=start), seed=1)[-1]

    _, gap_nm = end.position.to(rhumb_end(start, course_deg, speed_kn / 4))
    assert gap_nm < one_centimetre_nm


def test_due_east_stays_on_its_parallel() -> None:
    """An hour due east at 6 knots keeps its latitude and makes 6 miles of its parallel."""
    start = Position(60.0, 179.95)

    end = sail(steady(Leg(3600, 90.0, 6.0), start=start), seed=1)[-1].position

    # Radius of the parallel: a cos(lat) / sqrt(1 - e2 sin2(lat)).
    e2 = Geodesic.WGS84.f * (2.0 - Geodesic.WGS84.f)
    radius_m = Geodesic.WGS84.a * cos(radians(60.0)) / sqrt(1.0 - e2 * sin(radians(60.0)) ** 2)
    assert end.latitude_deg == pytest.approx(60.0, abs=1e-9)
    assert end.longitude_deg == pytest.approx(
        179.95 - 360.0 + degrees(6.0 * METRES_PER_NM / radius_m), abs=1e-7
    )


def test_stopped_boat_goes_with_the_stream() -> None:
    """With no way on, an hour in a stream of 2 knots setting 120 ends 2 miles along 120."""
    plan = steady(Leg(3600, 0.0, 0.0), stream=SteadyStream(120.0, 2.0))

    end = sail(plan, seed=1)[-1].position

    _, gap_nm = end.to(rhumb_end(plan.start, 120.0, 2.0))
    assert gap_nm < one_centimetre_nm


def test_leeway_is_positive_to_starboard() -> None:
    """Heading north and pushed 5 degrees to starboard, the boat makes good 005 through the water."""
    plan = steady(Leg(3600, 0.0, 6.0, leeway_deg=5.0))

    end = sail(plan, seed=1)[-1].position

    bearing_deg, distance_nm = plan.start.to(end)
    assert bearing_deg == pytest.approx(5.0, abs=0.01)
    # The log measures along the keel: 6 miles ahead are 6 / cos 5 through the water.
    assert distance_nm == pytest.approx(6.0 / cos(radians(5.0)), abs=0.002)


def test_magnetic_course_is_steered_by_variation() -> None:
    """Variation 17 E: 279 magnetic is 296 true (common practice, no source)."""
    truths = sail(steady(Leg(10, 279.0, 5.0, reference="magnetic"), variation_deg=17.0), seed=1)

    assert truths[-1].heading_true_deg == pytest.approx(296.0)


def test_turn_goes_the_short_way_at_its_rate() -> None:
    """From 350 to 020 she turns to starboard through north, 2 degrees each second, in 15 seconds."""
    truths = sail(steady(Leg(60, 350.0, 5.0), Leg(60, 20.0, 5.0)), seed=1)

    turns = [
        turn(before.heading_true_deg, after.heading_true_deg)
        for before, after in pairwise(truths)
        if before.heading_true_deg != after.heading_true_deg
    ]
    assert turns == pytest.approx([2.0] * 15)
    assert truths[60].heading_true_deg == pytest.approx(352.0)
    assert truths[-1].heading_true_deg == pytest.approx(20.0)


def test_speed_is_gathered_not_jumped() -> None:
    """From 3 to 5 knots at a tenth of a knot a second takes 20 seconds."""
    truths = sail(steady(Leg(60, 0.0, 3.0), Leg(60, 0.0, 5.0)), seed=1)

    assert truths[59].speed_water_kn == pytest.approx(3.0)
    assert truths[69].speed_water_kn == pytest.approx(4.0)
    assert truths[79].speed_water_kn == pytest.approx(5.0)
    assert truths[-1].speed_water_kn == pytest.approx(5.0)


def test_tide_turns_after_half_its_period() -> None:
    """The tide is greatest when stated, slack a quarter period later, and runs as hard back after a half."""
    tide = RectilinearTide(90.0, 2.0, START_MS, period_h=12.0)

    assert tide.at(START_MS) == pytest.approx((0.0, 2.0))
    assert tide.at(START_MS + 3 * MS_PER_HOUR) == pytest.approx((0.0, 0.0), abs=1e-9)
    assert tide.at(START_MS + 6 * MS_PER_HOUR) == pytest.approx((0.0, -2.0))


def test_one_truth_each_second_from_start_to_end() -> None:
    """Legs of 90 and 30 seconds make 121 truths, each a second after the one before."""
    truths = sail(steady(Leg(90, 0.0, 5.0), Leg(30, 10.0, 5.0)), seed=1)

    assert [truth.at_ms for truth in truths] == [START_MS + 1000 * second for second in range(121)]
    assert truths[0].position == OFFING


def test_yaw_is_as_large_as_stated_and_about_the_course() -> None:
    """Over four hours yaw of 2 degrees shows that standard deviation, about the course steered."""
    plan = replace(steady(Leg(4 * 3600, 0.0, 5.0)), yaw_deg=2.0)

    yaw = [turn(0.0, truth.heading_true_deg) for truth in sail(plan, seed=1)]

    # A memory of 8 s leaves some 4 * 3600 / 16 = 900 independent swings: 4 sigma of mean and of deviation.
    assert fmean(yaw) == pytest.approx(0.0, abs=4 * 2.0 / sqrt(900))
    assert stdev(yaw) == pytest.approx(2.0, abs=4 * 2.0 / sqrt(2 * 900))


def test_same_seed_same_truth_and_another_seed_another() -> None:
    """The truth is a function of plan and seed."""
    plan = replace(steady(Leg(120, 0.0, 5.0)), yaw_deg=2.0)

    assert sail(plan, seed=1) == sail(plan, seed=1)
    assert sail(plan, seed=1) != sail(plan, seed=2)
