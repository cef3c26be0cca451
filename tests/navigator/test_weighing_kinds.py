"""How the cloud weighs angles, lights, sectors and soundings from wherever the boat may have been."""

from cmath import rect
from collections.abc import Callable
from math import atan, degrees, hypot, log, pi, radians
from statistics import NormalDist

import numpy as np
import pytest

from middlewatch.navigator.area.regions import ColourSeen, ContourSounded, LightSeen
from middlewatch.navigator.area.seen import AngleSeen, BearingSeen, Held, Plane, TransitSeen
from middlewatch.navigator.chance import Floats


def likely(held: Held) -> Floats:
    """Return the log of how likely a sighting is from each place."""
    return held.log_density(held.residual, np.square(np.asarray(held.sd)))


def test_an_angle_is_held_as_the_angle() -> None:
    """Marks at a mile north-west and north-east stand 90 degrees apart: entered 91, it is one degree more."""
    north_west, north_east = rect(1852.0, radians(-45)), rect(1852.0, radians(45))
    seen = AngleSeen("a", north_west, north_east, radians(91), radians(1), (0.0, 0.0))

    held = seen.hold(np.array([0j]))

    assert held.residual[0].real == pytest.approx(radians(1), abs=1e-12)
    assert held.barred is not None
    assert not held.barred[0]


def test_an_angle_seen_the_other_way_round_is_barred() -> None:
    """From beyond the marks the left one stands to the right: impossible, however well the angle fits."""
    seen = AngleSeen("a", -1000j, 1000j, radians(90), radians(1), (0.0, 0.0))

    south, north = likely(seen.hold(np.array([-1000 + 0j, 1000 + 0j])))

    assert south == pytest.approx(-log(radians(1)) - 0.5 * log(2 * pi))
    assert north == -np.inf


def test_a_light_in_sight_is_one_sided() -> None:
    """Well inside it is as likely as anywhere else inside, on the edge a half, well outside it is not."""
    inside, nearer, edge, outside = np.exp(
        likely(LightSeen("l", 0j, 10_000.0, 500.0).hold(np.array([1000j, 6000j, 10_000j, 14_000j])))
    )

    assert inside == pytest.approx(nearer, abs=1e-3)
    assert edge == pytest.approx(0.5)
    assert outside < 1e-6


def test_colours_share_out_the_horizon() -> None:
    """From any bearing, all that a light can show, and nothing, add up to one; edges are a half."""
    red, white = (radians(30.0), radians(30.0)), (radians(80.0), radians(20.0))
    places = -np.array([rect(5000.0, radians(bearing)) for bearing in range(0, 360, 5)])

    def seen(*sectors: tuple[float, float], shown: bool = True) -> Floats:
        colour = ColourSeen("l", 0j, sectors, shown, radians(2), Plane())
        return np.exp(likely(colour.hold(places)))

    as_red, as_white, as_dark = seen(red), seen(white), seen(red, white, shown=False)

    assert as_red + as_white + as_dark == pytest.approx(np.ones(72), abs=1e-9)
    assert as_red[0] == pytest.approx(0.5, abs=1e-6)
    assert as_red[6] == pytest.approx(1.0, abs=1e-6)
    assert as_dark[40] == pytest.approx(1.0, abs=1e-6)
    assert seen((radians(180.0), pi)) == pytest.approx(np.ones(72), abs=1e-6)


def test_a_contour_is_a_band_about_its_line() -> None:
    """Off a bend the distance is to the nearest leg, beyond an end to the end."""
    contour = ContourSounded("c", (0j, 1000 + 0j, 1000 + 1000j), 50.0)

    off = contour.hold(np.array([500 + 30j, 1100 + 500j, -300 - 400j])).residual

    assert off == pytest.approx(np.array([30.0, 100.0, 500.0]))


# --- the mark's own doubt -----------------------------------------------------------------------------------

OFF_M = np.array([500.0, 1852.0, 5556.0, 18520.0])
PLACES = -OFF_M.astype(np.complex128)
"""Places south of a mark at nought."""


def averaged(density: Callable[[complex], Floats], sd_m: float) -> Floats:
    """Return a density averaged over where a mark may be, each axis normal about its charted place."""
    quantiles = [NormalDist().inv_cdf((n + 0.5) / 41) for n in range(41)]
    laid = [complex(north, east) * sd_m for north in quantiles for east in quantiles]
    mean: Floats = np.mean([density(mark) for mark in laid], axis=0)
    return mean


def test_a_bearing_is_weighed_with_the_doubt_of_its_mark() -> None:
    """At each place by its own distance: the arc tangent of 100 m over that, beside 2.5 degrees."""
    held = BearingSeen("m", 0j, 0.0, radians(2.5), mark_sd=100.0).hold(PLACES)

    assert held.sd == pytest.approx(np.hypot(radians(2.5), np.arctan(100.0 / OFF_M)), rel=1e-12)
    # By a mark without doubt nothing changes.
    assert BearingSeen("m", 0j, 0.0, radians(2.5)).hold(PLACES).sd == radians(2.5)


def test_what_a_bearing_teaches_of_the_hand_is_by_the_doubt_at_the_ep() -> None:
    """All samples learn alike, as they would at the EP: 100 m at 2 miles beside 2.5 degrees."""
    seen = BearingSeen("m", 3704 + 0j, 0.0, radians(2.5), mark_sd=100.0)

    assert seen.sd == pytest.approx(np.hypot(radians(2.5), np.arctan(100.0 / 3704.0)), rel=1e-12)


@pytest.mark.parametrize("off_deg", [0.0, 2.0, -5.0])
def test_a_bearing_is_as_likely_as_over_all_the_places_of_its_mark(off_deg: float) -> None:
    """Averaged by brute force over where the mark may be, a mile off and farther, to 3 parts in 100."""
    places = PLACES[1:]

    def sharp(mark_at: complex) -> Floats:
        return np.exp(likely(BearingSeen("m", mark_at, radians(off_deg), radians(2.5)).hold(places)))

    doubtful = np.exp(
        likely(BearingSeen("m", 0j, radians(off_deg), radians(2.5), mark_sd=100.0).hold(places))
    )

    assert doubtful == pytest.approx(averaged(sharp, 100.0), rel=0.03)


def test_a_transit_is_as_likely_as_over_all_the_places_of_its_front_mark() -> None:
    """Half a mile before the rear one, out by 20 m: the eye's minute is the least of it."""
    places, rear = np.array([-3704 + 0j, -3704 + 90j, -7408 - 150j]), 926 + 0j

    def sharp(front_at: complex) -> Floats:
        return np.exp(likely(TransitSeen("m", front_at, rear, radians(5 / 60)).hold(places)))

    doubtful = TransitSeen("m", 0j, rear, radians(5 / 60), mark_sds=(20.0, 0.0)).hold(places)

    assert np.exp(likely(doubtful)) == pytest.approx(averaged(sharp, 20.0), rel=0.05)


def test_the_doubt_of_both_marks_of_a_transit_adds_up() -> None:
    """As angles seen from the place: 20 m at 2 miles, 30 m at 2.5."""
    held = TransitSeen("m", 0j, 926 + 0j, radians(1 / 60), mark_sds=(20.0, 30.0)).hold(np.array([-3704 + 0j]))

    assert held.sd == pytest.approx([hypot(radians(1 / 60), atan(20 / 3704), atan(30 / 4630))], rel=1e-12)


def test_the_edges_of_a_sector_are_softer_by_a_light_known_badly() -> None:
    """A degree outside the limit at a mile: by 2 degrees beside 100 m a third softer than by 2 alone."""
    place = np.array([-rect(1852.0, radians(61.0))])

    def odds(soft_deg: float, mark_sd: float = 0.0) -> float:
        colour = ColourSeen(
            "l", 0j, ((radians(30.0), radians(30.0)),), True, radians(soft_deg), mark_sd=mark_sd
        )
        return float(np.exp(likely(colour.hold(place)))[0])

    both_deg = degrees(hypot(radians(2.0), atan(100.0 / 1852.0)))
    assert odds(2.0, 100.0) == pytest.approx(odds(both_deg), rel=1e-9)
    assert odds(2.0) < odds(2.0, 100.0) < 0.5
