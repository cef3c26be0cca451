"""How the cloud weighs angles, lights, sectors and soundings from wherever the boat may have been."""

from cmath import rect
from math import log, pi, radians

import numpy as np
import pytest

from middlewatch.navigator.area.regions import ColourSeen, ContourSounded, LightSeen
from middlewatch.navigator.area.seen import AngleSeen, Held, Plane
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
