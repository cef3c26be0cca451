"""Regions: what is drawn of a light in sight, of a sector's colour, of a contour sounded."""

from math import atan2, degrees, hypot, radians

import pytest
from hypothesis import given
from hypothesis import strategies as st

from middlewatch.navigator.position.lines import report
from middlewatch.navigator.position.regions import ContourBand, InSight, Wedge
from middlewatch.quantities.positions import Position
from middlewatch.readings.marks import Sector
from middlewatch.reports.fix import LimitsReport
from navigator.legs import line

LIGHT = Position(50.0, -4.0)
RED, WHITE = Sector("red", 350.0, 60.0), Sector("white", 60.0, 100.0)
GREEN, ALSO_RED = Sector("green", 100.0, 140.0), Sector("red", 200.0, 230.0)
ALL = (RED, WHITE, GREEN, ALSO_RED)


def seaward(bearing_deg: float, off_nm: float = 3.0) -> Position:
    """Return the place from which the light bears so."""
    return LIGHT.along(bearing_deg + 180.0, off_nm)


def test_a_wedge_has_its_limits() -> None:
    """True and from seaward, as the marks file and the lists of lights give them."""
    drawn = report(line("s", 60, "light", Wedge(LIGHT, (WHITE,), True, 2.0)), seen_from=seaward(80.0))

    assert (drawn.shape, drawn.from_deg, drawn.to_deg, drawn.others) == ("wedge", 60.0, 100.0, None)


@pytest.mark.parametrize(
    ("bearing_deg", "first", "other"),
    [(10.0, (350.0, 60.0), (200.0, 230.0)), (240.0, (200.0, 230.0), (350.0, 60.0))],
)
def test_of_two_sectors_of_a_colour_both_are_told(
    bearing_deg: float, first: tuple[float, float], other: tuple[float, float]
) -> None:
    """The one the boat is in, or nearest to, comes first."""
    red = Wedge(LIGHT, (RED, ALSO_RED), True, 2.0)
    drawn = report(line("s", 60, "light", red), seen_from=seaward(bearing_deg))

    assert (drawn.from_deg, drawn.to_deg) == first
    assert drawn.others == (LimitsReport(*other),)


def test_a_light_that_showed_nothing_has_the_gaps() -> None:
    """Dark is between the lit sectors: from 140 to 200, and from 230 to 350."""
    dark = Wedge(LIGHT, ALL, False, 2.0)
    drawn = report(line("s", 60, "light", dark), seen_from=seaward(170.0))

    assert (drawn.from_deg, drawn.to_deg) == (140.0, 200.0)
    assert drawn.others == (LimitsReport(230.0, 350.0),)


def test_a_light_lit_all_round_leaves_no_gap() -> None:
    """Dark is seen of it from nowhere, and no limits are told."""
    dark = Wedge(LIGHT, (Sector("white", 0.0, 360.0),), False, 2.0)
    drawn = report(line("s", 60, "light", dark), seen_from=seaward(170.0))

    assert (drawn.from_deg, drawn.to_deg, drawn.others) == (None, None, None)


@given(st.floats(0, 359.9), st.sampled_from([(RED, ALSO_RED), (WHITE,), (GREEN, WHITE)]), st.booleans())
def test_the_limits_hold_just_the_places_that_are_inside(
    bearing_deg: float, sectors: tuple[Sector, ...], shown: bool
) -> None:
    """A place is on one of the arcs told where, and only where, the wedge is not missed there."""
    wedge, boat = Wedge(LIGHT, sectors, shown, 2.0), seaward(bearing_deg)
    bears_deg = boat.to(LIGHT)[0]

    on_an_arc = any((bears_deg - a) % 360.0 <= (b - a) % 360.0 for a, b in wedge.arcs(boat))
    assert on_an_arc == (wedge.miss_m(boat) <= 1e-6)


def test_edges_are_no_better_than_the_place_of_the_light() -> None:
    """Two degrees, and the light out by 0.1 nm at 3: hypot(2, 1.91)."""
    wedge = Wedge(LIGHT, (WHITE,), True, 2.0, 0.1)
    drawn = report(line("s", 60, "light", wedge), seen_from=seaward(80.0))

    assert drawn.sd_deg == pytest.approx(hypot(2.0, degrees(atan2(0.1, 3.0))), rel=1e-6)
    assert wedge.sd_m(seaward(80.0)) == pytest.approx(1852 * hypot(3 * radians(2.0), 0.1), rel=1e-6)


def test_a_light_in_sight_is_told_as_no_line() -> None:
    """The circle is the edge of where the boat is: she is at or inside it."""
    drawn = report(line("r", 60, "light", InSight(LIGHT, 12.0, 1.0)))

    assert (drawn.shape, drawn.radius_nm, drawn.sd_nm, drawn.inside) == ("circle", 12.0, 1.0, True)


def test_a_contour_is_told_with_its_line_and_depth() -> None:
    """It can be drawn from the report alone; the place given is the nearest of it."""
    bend = (LIGHT, LIGHT.along(0.0, 1.0), LIGHT.along(90.0, 1.0))
    drawn = report(line("d", 60, "ten", ContourBand(bend, 0.05, 10.0)), seen_from=LIGHT.along(270.0, 0.5))

    assert (drawn.shape, drawn.depth_m, drawn.sd_nm) == ("contour", 10.0, 0.05)
    assert drawn.points is not None
    assert [(each.latitude_deg, each.longitude_deg) for each in drawn.points] == [
        (each.latitude_deg, each.longitude_deg) for each in bend
    ]
    assert (drawn.latitude_deg, drawn.longitude_deg) == pytest.approx((50.0, -4.0), abs=1e-6)
