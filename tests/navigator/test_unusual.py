"""How unusual a sighting is, against a cloud that can be worked by hand, and against plain chance."""

from math import cos, degrees, hypot, log, pi, radians, sin, sqrt

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.navigator.area.cloud import Cloud
from middlewatch.navigator.area.seen import BearingSeen, DistanceSeen, PointSeen, TransitSeen
from middlewatch.navigator.area.unknowns import COUNT, Unknown
from middlewatch.navigator.area.unusual import AT_MOST_SIGMA, Outlook, as_sigma
from middlewatch.navigator.position.misread import digits_swapped

SAMPLES = 20_000
NM = 1852.0


def cloud(sd_m: float = 0.0, hand_rad: float = 0.0, together: float = 0.0) -> Cloud:
    """Return a cloud about the EP: each axis known so well, the hand so well, and how they hang together."""
    spread = np.zeros((COUNT, COUNT))
    spread[Unknown.NORTH, Unknown.NORTH] = spread[Unknown.EAST, Unknown.EAST] = sd_m**2
    spread[Unknown.HAND, Unknown.HAND] = hand_rad**2
    spread[Unknown.EAST, Unknown.HAND] = spread[Unknown.HAND, Unknown.EAST] = together * sd_m * hand_rad
    return Cloud(1_000_000, np.zeros((COUNT, SAMPLES)), spread, np.full(SAMPLES, 1.0 / SAMPLES))


def by_hand(bearing_deg: float, sd_deg: float, mark_at: complex = 5 * NM + 0j) -> BearingSeen:
    """Return a bearing by a hand-bearing compass of a mark, due north unless told otherwise."""
    effects = np.zeros(COUNT)
    effects[Unknown.HAND] = 1.0
    return BearingSeen("M", mark_at, radians(bearing_deg), radians(sd_deg), effects)


@pytest.mark.parametrize(
    ("tail", "sigma"),
    # Two-sided tails of the normal distribution, as any table of it has them.
    [(0.3173105, 1.0), (0.0455003, 2.0), (0.0026998, 3.0), (6.334e-5, 4.0), (1.0, 0.0)],
)
def test_tails_of_the_normal_distribution(tail: float, sigma: float) -> None:
    """A tail is told as the sigmas it has in tables."""
    assert as_sigma(tail) == pytest.approx(sigma, abs=1e-4)


def test_no_tail_at_all() -> None:
    """Where a double has no tail left, 37 sigma are told and nothing is infinite."""
    assert as_sigma(0.0) == AT_MOST_SIGMA


@pytest.mark.parametrize("off_deg", [0.5, -4.0, 7.5, 12.0])
def test_where_the_place_is_known_only_the_sighting_is_in_doubt(off_deg: float) -> None:
    """Noise of 2 degrees, 1.5 shared: sigmas are degrees over the two together."""
    awaited = Outlook(cloud(hand_rad=radians(1.5)), 1).of(by_hand(off_deg, 2.0))

    assert awaited.residual == pytest.approx(radians(off_deg), abs=1e-12)
    assert awaited.doubt == pytest.approx(radians(hypot(2.0, 1.5)), rel=1e-9)
    assert awaited.sigmas() == pytest.approx(abs(off_deg) / hypot(2.0, 1.5), rel=1e-6)


@pytest.mark.parametrize("off_m", [300.0, 900.0])
def test_doubt_of_place_and_of_range_add_up(off_m: float) -> None:
    """A range of a mark far off, from a round cloud: both doubts are normal, and so is their sum."""
    awaited = Outlook(cloud(sd_m=200.0), 1).of(DistanceSeen("M", 60 * NM + 0j, 60 * NM + off_m, 150.0))

    # Four standard deviations of a mean over the samples; far out the samples' own tail is thin.
    assert awaited.residual == pytest.approx(off_m, abs=4 * 200.0 / sqrt(SAMPLES))
    assert awaited.sigmas() == pytest.approx(off_m / hypot(200.0, 150.0), rel=0.03)


def test_what_the_place_tells_of_the_hand_is_used() -> None:
    """Further east a mark in the north bears more to the west: with a hand that errs the other way, less."""
    sd_m, hand = 400.0, radians(2.0)
    together = Outlook(cloud(sd_m, hand, together=0.8), 1).of(by_hand(0.0, 1.0))

    # East by e turns the bearing by -e / 5 nm; variances and twice the covariance of both.
    turned = sd_m / (5 * NM)
    expected = sqrt(turned**2 + hand**2 - 2 * 0.8 * turned * hand + radians(1.0) ** 2)
    assert together.doubt == pytest.approx(expected, rel=0.02)


def test_a_direction_comes_round() -> None:
    """Expected 359, seen 002: three degrees, not 357."""
    mark_at = 5 * NM * complex(cos(radians(-1.0)), sin(radians(-1.0)))
    awaited = Outlook(cloud(), 1).of(by_hand(2.0, 1.0, mark_at))

    assert awaited.residual == pytest.approx(radians(3.0), abs=1e-12)
    assert awaited.sigmas() == pytest.approx(3.0, abs=1e-6)


def test_the_least_there_is_of_a_tail_is_as_unusual_as_can_be() -> None:
    """5e-324 is the least double over nothing, and half of it is nothing: no error, and nothing infinite."""
    assert as_sigma(5e-324) == AT_MOST_SIGMA


def test_half_a_circle_out_is_as_unusual_as_can_be() -> None:
    """From a known place, with two degrees of noise."""
    assert Outlook(cloud(), 1).of(by_hand(180.0, 2.0)).sigmas() == AT_MOST_SIGMA


def test_against_plain_chance() -> None:
    """A mark close by and a wide cloud: the tail is the part of such bearings that come by chance."""
    near = complex(0.4 * NM, 0.2 * NM)
    outlook = Outlook(cloud(sd_m=0.3 * NM), 1)
    awaited = outlook.of(by_hand(120.0, 3.0, near))
    # Another way: draw places and noise, and count how many are further from the middle on that side.
    drawn = np.random.Generator(np.random.PCG64(5))  # noqa: TID251 -- a simulation, seeded
    places = 0.3 * NM * (drawn.standard_normal(400_000) + 1j * drawn.standard_normal(400_000))
    seen = np.angle(near - places) + radians(3.0) * drawn.standard_normal(400_000)
    middle = np.angle(np.exp(1j * seen).mean())
    off = np.remainder(seen - middle + pi, 2 * pi) - pi
    beyond = float((off > radians(120.0) - middle).mean())

    assert awaited.sigmas() == pytest.approx(as_sigma(2 * beyond), abs=0.05)


def test_density_is_that_of_the_normal_distribution() -> None:
    """One degree off with a sigma of two: the published density over the sigma, per radian."""
    awaited = Outlook(cloud(), 1).of(by_hand(1.0, 2.0))

    # phi(0.5) = 0.3520653, any table.
    assert awaited.density() == pytest.approx(0.3520653 / radians(2.0), rel=1e-6)


def test_a_transit_from_behind_cannot_have_been_seen() -> None:
    """From beyond the rear mark the front one cannot cover it."""
    transit = TransitSeen("M", 2 * NM + 0j, 1 * NM + 0j, radians(1 / 60))

    assert Outlook(cloud(), 1).of(transit).sigmas() == AT_MOST_SIGMA


def test_a_point_at_the_radius_of_95_in_100() -> None:
    """2.4477 sigma out in the plane is as rare as 1.96 on a line (sqrt(-2 ln 0.05); any table)."""
    outlook = Outlook(cloud(sd_m=300.0), 1)
    sd_m = hypot(300.0, 400.0)
    away = sqrt(-2.0 * log(0.05)) * sd_m
    point = outlook.of_point(PointSeen("M", away * complex(0.6, 0.8), 400.0).hold(outlook.places))

    assert point.residual == pytest.approx(away, abs=4 * 300.0 / sqrt(SAMPLES))
    assert point.sigmas() == pytest.approx(1.96, abs=0.03)


@given(st.floats(-3.1, 3.1), st.floats(0.01, 0.5), st.integers(-3, 3))
def test_a_whole_turn_changes_nothing(off: float, sd: float, turns: int) -> None:
    """A direction entered a turn round is the same direction, as unusual and as dense."""
    at = Outlook(cloud(), 1)
    one = at.of(by_hand(degrees(off), degrees(sd)))
    other = at.of(by_hand(degrees(off) + 360.0 * turns, degrees(sd)))

    assert other.sigmas() == pytest.approx(one.sigmas(), abs=1e-6)
    assert other.density() == pytest.approx(one.density(), rel=1e-6, abs=1e-300)


def test_the_same_cloud_gives_the_same_to_the_last_digit() -> None:
    """Chance hangs on the seed and the second alone."""
    seen = by_hand(4.0, 2.0)
    sigmas = {Outlook(cloud(sd_m=500.0), 3).of(seen).sigmas() for _ in range(2)}

    assert len(sigmas) == 1
    assert Outlook(cloud(sd_m=500.0), 4).of(seen).sigmas() not in sigmas


@pytest.mark.parametrize(
    ("bearing_deg", "swapped"),
    [
        (325.0, [235.0, 352.0]),
        (12.0, [21.0, 102.0]),
        (90.0, [9.0]),  # 900 is no bearing
        (222.0, []),
        (248.5, [284.5]),  # 428.5 is none either
        (360.0, [306.0]),
    ],
)
def test_digits_swapped_makes_valid_bearings_only(bearing_deg: float, swapped: list[float]) -> None:
    """Neighbouring figures of the three changed places, and none over 360."""
    assert digits_swapped(bearing_deg, 3, 360.0) == swapped
