"""Whether an outline holds a place: by the angle that its corners, as they are published, make round it."""

from cmath import phase, rect
from dataclasses import replace
from math import hypot, pi, radians

from hypothesis import assume, given
from hypothesis import strategies as st

from middlewatch.quantities.positions import Position, longitude
from middlewatch.reports.area import Outline

CLOSE = 1e-7
"""As a part of the outline's size: a place so near a side may be taken for either."""

LATITUDES = st.floats(-80.0, 80.0)
LONGITUDES = st.floats(-180.0, 180.0, exclude_max=True)
RADII_M = st.lists(st.floats(100.0, 20_000.0), min_size=3, max_size=64)
PARTS = st.floats(-1.5, 1.5)


@st.composite
def outlines(draw: st.DrawFn) -> Outline:
    """Draw a star of corners about a place, carried on, turned and widened, sometimes with a hole in it."""
    radii_m = draw(RADII_M)
    star = tuple(rect(radius, 2.0 * pi * place / len(radii_m)) for place, radius in enumerate(radii_m))
    hole = tuple(0.4 * corner for corner in star)
    drawn = Outline(draw(LATITUDES), draw(LONGITUDES), (star, hole) if draw(st.booleans()) else (star,))
    return replace(
        drawn,
        shift=rect(draw(st.floats(0.0, 5_000.0)), draw(st.floats(-pi, pi))),
        along=rect(draw(st.floats(0.5, 2.0)), draw(st.floats(-pi, pi))),
        across=rect(draw(st.floats(0.5, 2.0)), draw(st.floats(-pi, pi))),
    )


def round_about(corners: tuple[tuple[float, float], ...], at: Position) -> float:
    """Return how often polygon corners go round a place in the plane of latitude and longitude."""
    seen = [complex(north - at.latitude_deg, longitude(east - at.longitude_deg)) for north, east in corners]
    size = max(abs(corner) for corner in seen)
    turned = 0.0
    for before, after in zip(seen, seen[1:] + seen[:1], strict=True):
        side = after - before
        assume(abs(side) > CLOSE * size)
        assume(min(abs(before), abs(after)) > CLOSE * size)
        angle = phase(after / before)
        # On a side the angle is a straight one, and neither way round.
        assume(abs(abs(angle) - pi) > CLOSE)
        turned += angle
    return turned / (2.0 * pi)


@given(outline=outlines(), off=st.tuples(PARTS, PARTS))
def test_a_place_is_held_where_the_corners_go_round_it(outline: Outline, off: tuple[float, float]) -> None:
    """The even-odd rule: round an odd number of times altogether, of polygon and hole."""
    reach_m = max(hypot(corner.real, corner.imag) for corner in outline.drawn[0])
    at = Position(outline.latitude_deg, outline.longitude_deg).moved(
        outline.shift.real + off[0] * reach_m, outline.shift.imag + off[1] * reach_m
    )
    rounds = sum(abs(round(round_about(corners, at))) for corners in outline.corners_deg())

    assert outline.holds(at.latitude_deg, at.longitude_deg) == (rounds % 2 == 1)


@given(outline=outlines())
def test_no_outline_holds_the_pole(outline: Outline) -> None:
    """No corner is drawn beyond a pole, so none lies north of it."""
    at_the_pole = replace(outline, latitude_deg=89.99)

    assert all(abs(north) <= 90.0 for corners in at_the_pole.corners_deg() for north, _ in corners)
    assert not at_the_pole.holds(90.0, 0.0)


def test_an_outline_across_the_antimeridian() -> None:
    """A square about 180 holds what is near on both sides of it, and nothing that is farther off."""
    square = Outline(20.0, -180.0, (tuple(rect(1852.0, radians(45.0 + 90.0 * each)) for each in range(4)),))

    assert square.holds(20.0, 179.99)
    assert square.holds(20.0, -179.99)
    assert not square.holds(20.0, 179.97)
    assert not square.holds(20.0, -179.97)
    assert not square.holds(20.0, 90.0)


def test_nothing_on_the_other_side_of_the_earth_is_held() -> None:
    """A boat at 180, and a receiver that has lost its longitude and says 0 on her own parallel."""
    star = tuple(rect(3_000.0, 2.0 * pi * place / 36) for place in range(36))
    outline = Outline(20.0, -180.0, (star,))

    assert outline.holds(20.0, 179.999)
    assert not any(outline.holds(20.0, far / 1000.0) for far in range(-90_000, 90_000, 7))
